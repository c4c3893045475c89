//! Fixtures that no plan of a job can serve, with the proof. Not a search: a
//! fixture that is not named here may still be out of a plan's reach.
//!
//! # The proof
//! A fixture's terminals are fed through at least one piece and its lead. The
//! piece is no shorter than the shortest way from any site to the fixture, less
//! the length of the lead; its loop resistance is no less than that of the best
//! cable. In the low case (resistances only, apparent loads added
//! arithmetically) each piece loses `|V1|² - |V2|² = 2 R P + (R I)² >= 2 R P`,
//! and the fixture, if it works at `V >= V_need = Vmin + margin`, draws
//! `P >= S (V_need / Vr)^n`. No source stands above its highest allowed tap at
//! no load, at the low end of the line band. So
//! `|V|² <= V_source² - 2 (R_piece + R_lead) P`, and where the right side is
//! below `V_need²` by more than the tolerance of 1e-6 V, no plan serves it.

use crate::electrical::Conditions;
use crate::electrical::circuit::{load_of, loop_impedance};
use crate::ids::{CableId, FixtureId};
use crate::job::{Job, TransformerModel};
use crate::site::{Reach, ShortestRoutes, SiteGraph};
use crate::units::{Metres, Ohms, Volts};

/// Tolerance by which windows are judged, V.
const TOLERANCE_V: f64 = 1e-6;

/// What stands in the way of a fixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Obstacle {
    /// No tap that may be used is high enough, even without any cable.
    Taps,
    /// The taps are high enough, but not after the shortest way.
    Distance {
        /// Length of the shortest way from any site.
        shortest: Metres,
    },
}

/// A fixture that no plan can serve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfReach {
    /// Which.
    pub fixture: FixtureId,
    /// Why.
    pub obstacle: Obstacle,
    /// Voltage that it needs in the low case: low end of its window and margin.
    pub needed: Volts,
    /// No plan gives it more than this in the low case; `None` when no voltage
    /// would carry its load so far.
    pub best: Option<Volts>,
    /// The least tap voltage with which it might be served.
    pub tap_needed: Volts,
}

/// The highest source: the tap it comes from and what it may stand at.
#[derive(Clone, Copy, Debug)]
struct Source {
    /// Factor from tap voltage to no-load voltage at the low end of the line band.
    factor: f64,
    /// No-load voltage, V.
    volts: f64,
}

/// Every fixture for which the proof holds, in file order.
///
/// One shortest-route search over the site graph, then constant work a fixture and cable.
#[must_use]
pub fn out_of_reach(job: &Job) -> Vec<OutOfReach> {
    let graph = SiteGraph::new(job);
    let mut routes = ShortestRoutes::new(graph.node_count());
    let sites = job.sites.iter().map(|site| (site.node, 0.0));
    let length = |segment| job.segment(segment).length.value();
    routes.search(&graph, sites, length, |_, _| Reach::Further);
    let source = highest_source(job);
    job.fixture_ids()
        .filter_map(|id| {
            // The readers refuse a job with a fixture that no segment joins to a site.
            let shortest = routes.distance(job.fixture(id).node)?;
            judge(job, id, Metres::new(shortest), source)
        })
        .collect()
}

/// The source that can stand highest in the low case.
fn highest_source(job: &Job) -> Source {
    let line = job.rules.line.low;
    let highest = job.rules.highest_tap.value();
    let sources = job
        .transformers
        .iter()
        .flat_map(|model: &TransformerModel| {
            let taps = model
                .secondaries
                .iter()
                .flat_map(|secondary| &secondary.taps);
            let factor = line * (1.0 + model.regulation);
            taps.map(|tap| tap.volts.value())
                .filter(move |&volts| volts <= highest + TOLERANCE_V)
                .map(move |volts| Source {
                    factor,
                    volts: volts * factor,
                })
        });
    sources
        .max_by(|one, other| one.volts.total_cmp(&other.volts))
        .unwrap_or(Source {
            factor: line,
            volts: 0.0,
        })
}

fn judge(job: &Job, id: FixtureId, shortest: Metres, source: Source) -> Option<OutOfReach> {
    let needed = job.model_of(id).window.min() + job.rules.margins.low;
    let lost = 2.0 * least_resistance(job, id, shortest).value() * least_power(job, id, needed);
    let left = source.volts * source.volts - lost;
    let judged = needed.value() - TOLERANCE_V;
    if left >= judged * judged {
        return None;
    }
    let obstacle = if source.volts < judged {
        Obstacle::Taps
    } else {
        Obstacle::Distance { shortest }
    };
    let no_load = (needed.value() * needed.value() + lost).sqrt();
    Some(OutOfReach {
        fixture: id,
        obstacle,
        needed,
        best: (left > 0.0).then(|| Volts::new(left.sqrt())),
        tap_needed: Volts::new(no_load / source.factor),
    })
}

/// Least power that a working fixture draws, VA: the law of the model grows with the voltage.
fn least_power(job: &Job, id: FixtureId, needed: Volts) -> f64 {
    load_of(job.model_of(id)).apparent_va_at(needed.value())
}

/// Least loop resistance between a source and the fixture's terminals, low case.
fn least_resistance(job: &Job, id: FixtureId, shortest: Metres) -> Ohms {
    let low = Conditions::low(&job.rules);
    let lead = job.model_of(id).lead;
    let reach = lead.map_or(Metres::ZERO, |lead| lead.length);
    let piece = (shortest - reach).max(Metres::ZERO);
    let of = |cable, length| loop_impedance(job, cable, length, &low).0;
    let pieces = (0..job.cables.len()).map(CableId::new).filter(|&cable| {
        let allowed = job.cable(cable).allowed;
        allowed.home_run || allowed.branch
    });
    let piece = pieces
        .map(|cable| of(cable, piece))
        .reduce(Ohms::min)
        .unwrap_or(Ohms::ZERO);
    piece + lead.map_or(Ohms::ZERO, |lead| of(lead.cable, lead.length))
}
