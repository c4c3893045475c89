//! A plan after what was changed on site: circuits on other taps, leads of fixtures
//! that stand elsewhere.

use super::change::Change;
use crate::failure::Failure;
use duskwright_solver::ids::{CircuitId, FixtureId, NodeId};
use duskwright_solver::job::{Job, listed};
use duskwright_solver::plan::Plan;
use duskwright_solver::site::{Reach, ShortestRoutes, SiteGraph};

/// Lands a circuit on another tap of its secondary; says on which it was.
///
/// # Errors
/// [`Failure::Refused`] when there is no such circuit, or no such tap.
pub(crate) fn move_tap(job: &Job, plan: &mut Plan, change: &Change) -> Result<String, Failure> {
    let mut ids = (0..plan.circuits.len()).map(CircuitId::new);
    let Some(id) = ids.find(|id| id.to_string() == change.name) else {
        let known: Vec<String> = (0..plan.circuits.len())
            .map(|index| CircuitId::new(index).to_string())
            .collect();
        let known = listed(known.iter().map(String::as_str));
        let reason = format!("the plan has no such circuit; accepted: {known}");
        return Err(change.refused(&reason));
    };
    let circuit = &mut plan.circuits[id.index()];
    let placed = &plan.transformers[circuit.transformer.index()];
    let taps = &job.transformer(placed.model(job)).secondaries[circuit.secondary].taps;
    let Some(tap) = taps.iter().position(|tap| tap.tag == change.to) else {
        let known = listed(taps.iter().map(|tap| tap.tag.as_str()));
        let reason = format!("its secondary has no such tap; accepted: {known}");
        return Err(change.refused(&reason));
    };
    let was = taps[circuit.tap].tag.clone();
    circuit.tap = tap;
    Ok(was)
}

/// Leads of fixtures that stand elsewhere now go the shortest way to the joint that they
/// land in. Whether they reach is for the checker to say.
///
/// # Errors
/// [`Failure::Refused`] for a fixture without a lead of its own: its joint would have to
/// move with it.
pub(crate) fn follow_fixtures(before: &Job, after: &Job, plan: &mut Plan) -> Result<(), Failure> {
    let graph = SiteGraph::new(after);
    let mut routes = ShortestRoutes::new(after.nodes.len());
    let moved = |id: FixtureId| -> Option<NodeId> {
        let tag = |job: &Job| job.node(job.fixture(id).node).tag.clone();
        (tag(before) != tag(after)).then(|| after.fixture(id).node)
    };
    for circuit in &mut plan.circuits {
        for lead in &mut circuit.leads {
            let Some(node) = moved(lead.fixture) else {
                continue;
            };
            let tag = &after.fixture(lead.fixture).tag;
            if after.model_of(lead.fixture).lead.is_none() {
                return Err(Failure::Refused(format!(
                    "fixture `{tag}` has no lead: its joint would have to move with it; plan again"
                )));
            }
            let joint = circuit.joints[lead.joint.index()].node;
            routes.search(
                &graph,
                [(joint, 0.0)],
                (|id| after.segment(id).length.value(), 1.0),
                |settled, _| {
                    if settled == node {
                        Reach::Enough
                    } else {
                        Reach::Further
                    }
                },
            );
            if routes.distance(node).is_none() {
                return Err(Failure::Refused(format!(
                    "fixture `{tag}` moved to `{}`, which no path joins to its joint",
                    after.node(node).tag
                )));
            }
            lead.route.segments.clear();
            routes.route_back(node, &mut lead.route.segments);
        }
    }
    Ok(())
}
