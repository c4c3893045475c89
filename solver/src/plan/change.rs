//! What changed from one plan to another, circuit by circuit: what a crew that
//! has the old papers must know.

use super::{Circuit, PlacedTransformer, Plan, TransformerSource};
use crate::ids::{CircuitId, FixtureId};
use crate::job::Job;

/// What became of one circuit of the new plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fate {
    /// As it was, down to cables, joints, routes and tap; under this label before.
    Kept(CircuitId),
    /// The circuit that shares most fixtures with it differs.
    Changed {
        /// Its label before.
        before: CircuitId,
        /// Fixtures that came, in file order.
        came: Vec<FixtureId>,
        /// Fixtures that left, in file order.
        left: Vec<FixtureId>,
        /// Whether another site, transformer model, secondary, tap or common feeds it.
        source: bool,
        /// Pieces that were not in the old circuit.
        pieces: usize,
    },
    /// No fixture of it was in the old plan.
    New,
}

/// Everything that changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changes {
    /// One for each circuit of the new plan, in its order.
    pub circuits: Vec<Fate>,
    /// Circuits of the old plan that no new one continues.
    pub gone: Vec<CircuitId>,
    /// Transformers bought now and not before: site and model tags.
    pub bought: Vec<(String, String)>,
    /// Transformers bought before and not now.
    pub dropped: Vec<(String, String)>,
}

impl Changes {
    /// Compares two plans of one job; both may use any of its parts.
    #[must_use]
    pub fn between(job: &Job, old: &Plan, new: &Plan) -> Self {
        let mut continued = vec![false; old.circuits.len()];
        let circuits = new
            .circuits
            .iter()
            .map(|circuit| {
                let Some(before) = most_alike(old, circuit, &continued) else {
                    return Fate::New;
                };
                continued[before] = true;
                fate(old, new, before, circuit)
            })
            .collect();
        let gone = (0..old.circuits.len()).filter(|&index| !continued[index]);
        Self {
            circuits,
            gone: gone.map(CircuitId::new).collect(),
            bought: only_in(job, new, old),
            dropped: only_in(job, old, new),
        }
    }

    /// How many circuits are as they were.
    #[must_use]
    pub fn kept(&self) -> usize {
        let kept = |fate: &&Fate| matches!(fate, Fate::Kept(_));
        self.circuits.iter().filter(kept).count()
    }
}

fn fixtures(circuit: &Circuit) -> Vec<FixtureId> {
    let mut fixtures: Vec<FixtureId> = circuit.leads.iter().map(|lead| lead.fixture).collect();
    fixtures.sort_unstable();
    fixtures
}

/// The old circuit not yet continued that shares most fixtures; the first of equals.
fn most_alike(old: &Plan, circuit: &Circuit, continued: &[bool]) -> Option<usize> {
    let now = fixtures(circuit);
    let shared = |index: usize| {
        let before = fixtures(&old.circuits[index]);
        before
            .iter()
            .filter(|fixture| now.contains(fixture))
            .count()
    };
    (0..old.circuits.len())
        .filter(|&index| !continued[index] && shared(index) > 0)
        .max_by_key(|&index| (shared(index), std::cmp::Reverse(index)))
}

fn fate(old: &Plan, new: &Plan, before: usize, circuit: &Circuit) -> Fate {
    let was = &old.circuits[before];
    let unit =
        |plan: &Plan, circuit: &Circuit| plan.transformers[circuit.transformer.index()].clone();
    let source = unit(old, was) != unit(new, circuit)
        || (was.secondary, was.tap, was.common) != (circuit.secondary, circuit.tap, circuit.common);
    let (had, has) = (fixtures(was), fixtures(circuit));
    let fresh = circuit
        .joints
        .iter()
        .filter(|joint| {
            let same = |other: &&super::Joint| {
                (other.node, other.hardware) == (joint.node, joint.hardware)
                    && (other.incoming.cable, &other.incoming.route)
                        == (joint.incoming.cable, &joint.incoming.route)
            };
            !was.joints.iter().any(|other| same(&other))
        })
        .count();
    if !source && had == has && fresh == 0 && was.joints.len() == circuit.joints.len() {
        return Fate::Kept(CircuitId::new(before));
    }
    let missing = |from: &[FixtureId], of: &[FixtureId]| {
        let absent = from.iter().filter(|fixture| !of.contains(fixture));
        absent.copied().collect::<Vec<_>>()
    };
    Fate::Changed {
        before: CircuitId::new(before),
        came: missing(&has, &had),
        left: missing(&had, &has),
        source,
        pieces: fresh,
    }
}

/// Transformers bought in one plan beyond those of the other.
fn only_in(job: &Job, plan: &Plan, other: &Plan) -> Vec<(String, String)> {
    let mut spare: Vec<&PlacedTransformer> = other.transformers.iter().collect();
    let mut found = Vec::new();
    for placed in &plan.transformers {
        let TransformerSource::New(model) = placed.source else {
            continue;
        };
        match spare.iter().position(|one| *one == placed) {
            Some(at) => {
                spare.swap_remove(at);
            }
            None => found.push((
                job.site(placed.site).tag.clone(),
                job.transformer(model).tag.clone(),
            )),
        }
    }
    found
}
