//! From a site plan to a graph of possible trenches.
//!
//! Text of a GeoJSON or DXF plan comes in, a typed graph and a drawing go out; files, paths
//! and job folders are for others.

mod bore;
mod drawing;
mod edges;
pub mod fault;
mod graph;
mod mesh;
mod net;
mod overlay;
mod overrides;
pub mod plan;
mod read;
mod route;
mod search;
mod sight;
mod survey;
mod tags;
mod thin;
mod water;

pub use drawing::{Drawing, drawing};
pub use fault::{Code, Fault, Faults, Place};
pub use graph::{Graph, MOST_TERMINALS, Node, NodeKind, Segment};
pub use overrides::{Applied, Overrides};
pub use read::{Known, LARGEST_PLAN, Named, PlanText, Units};
pub use survey::{Survey, Terms};
pub use tags::Earlier;

/// Derives the graph of a plan whose mistakes were already looked for.
///
/// # Errors
/// [`Faults`] for fixtures or sites that nothing reaches.
pub fn derive(plan: &plan::SitePlan, rates: &[plan::Rate]) -> Result<Graph, Faults> {
    let mut ledger = fault::Ledger::default();
    graph::derive(plan, rates, &mut ledger)
}

/// Reads a table of hand edits (CSV).
///
/// # Errors
/// [`Faults`] with every row that is not an edit.
pub fn overrides(file: Named<'_>) -> Result<Overrides, Faults> {
    let mut ledger = fault::Ledger::default();
    let overrides = Overrides::read(file, &mut ledger);
    ledger.check().map(|()| overrides)
}

/// Reads the text of a plan, its settings (TOML) and a table of fixtures (CSV), and says what
/// was repaired or assumed.
///
/// # Errors
/// [`Faults`] with every mistake of the plan that is no echo of another.
pub fn read(
    name: &str,
    text: PlanText<'_>,
    settings: Option<Named<'_>>,
    fixtures: Option<Named<'_>>,
    known: Known<'_>,
) -> Result<(plan::SitePlan, Vec<Fault>), Faults> {
    let mut ledger = fault::Ledger::default();
    let (plan, _) = read::read(name, text, settings, fixtures, known, &mut ledger)?;
    Ok((plan, ledger.into_notes()))
}
