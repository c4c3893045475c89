//! From a site plan to a graph of possible trenches.
//!
//! Text of a GeoJSON or DXF plan comes in, a typed graph and a drawing go out; files, paths
//! and job folders are for others.

mod bore;
mod edges;
pub mod fault;
mod graph;
mod mesh;
mod net;
mod overlay;
pub mod plan;
mod route;
mod thin;

pub use fault::{Code, Fault, Faults, Place};
pub use graph::{Graph, MOST_TERMINALS, Node, NodeKind, Segment};

/// Derives the graph of a plan whose mistakes were already looked for.
///
/// # Errors
/// [`Faults`] for fixtures or sites that nothing reaches.
pub fn derive(plan: &plan::SitePlan, rates: &[plan::Rate]) -> Result<Graph, Faults> {
    let mut ledger = fault::Ledger::default();
    graph::derive(plan, rates, &mut ledger)
}
