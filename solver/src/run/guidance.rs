//! What a search is told besides the job: decisions that are made already, and a
//! plan that should be changed as little as possible.

use super::shape::Shape;
use crate::ids::{CableId, FixtureId, NodeId, SegmentId, SiteId, TransformerModelId};
use crate::job::Job;
use crate::plan::Plan;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Decisions made beforehand: constraints on every plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Decisions {
    /// Sets of fixtures that share one circuit, each of two or more, in file order, no fixture in two.
    pub together: Vec<Vec<FixtureId>>,
    /// Pairs that do not share a circuit.
    pub apart: Vec<(FixtureId, FixtureId)>,
    /// Sites from which fixtures are fed.
    pub fed_from: Vec<(FixtureId, SiteId)>,
    /// Transformers that are bought and used, as often as named.
    pub transformers: Vec<(SiteId, TransformerModelId)>,
}

impl Decisions {
    /// Whether nothing is decided.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.together.is_empty()
            && self.apart.is_empty()
            && self.fed_from.is_empty()
            && self.transformers.is_empty()
    }

    /// The set that a fixture belongs to.
    fn set_of(&self, fixture: FixtureId) -> Option<&[FixtureId]> {
        let set = self.together.iter().find(|set| set.contains(&fixture))?;
        Some(set)
    }

    /// Adds to a list of fixtures those that share a circuit with any of them.
    pub(crate) fn complete(&self, fixtures: &mut Vec<FixtureId>) {
        for set in &self.together {
            if set.iter().any(|fixture| fixtures.contains(fixture)) {
                let missing: Vec<_> = set
                    .iter()
                    .filter(|fixture| !fixtures.contains(fixture))
                    .copied()
                    .collect();
                fixtures.extend(missing);
            }
        }
    }

    /// Whether a circuit from this site may serve these fixtures while others are
    /// served elsewhere.
    pub(crate) fn allow(
        &self,
        served: &[FixtureId],
        site: SiteId,
        elsewhere: impl Fn(FixtureId) -> bool,
    ) -> bool {
        let parted = |fixture: &FixtureId| {
            let set = self.set_of(*fixture).unwrap_or_default();
            set.iter()
                .any(|mate| !served.contains(mate) && elsewhere(*mate))
        };
        let misfed =
            |&(fixture, from): &(FixtureId, SiteId)| from != site && served.contains(&fixture);
        let joined =
            |(one, other): &(FixtureId, FixtureId)| served.contains(one) && served.contains(other);
        !served.iter().any(parted)
            && !self.fed_from.iter().any(misfed)
            && !self.apart.iter().any(joined)
    }

    /// Whether a whole plan keeps every decision.
    #[must_use]
    pub fn hold(&self, plan: &Plan) -> bool {
        let circuits_hold = plan.circuits.iter().all(|circuit| {
            let served: Vec<FixtureId> = circuit.leads.iter().map(|lead| lead.fixture).collect();
            let site = plan.transformers[circuit.transformer.index()].site;
            self.allow(&served, site, |_| true)
        });
        let bought = |wanted: &(SiteId, TransformerModelId)| {
            let placed = plan.transformers.iter().filter(|placed| {
                (placed.site, placed.source)
                    == (wanted.0, crate::plan::TransformerSource::New(wanted.1))
            });
            placed.count()
                >= self
                    .transformers
                    .iter()
                    .filter(|one| *one == wanted)
                    .count()
        };
        circuits_hold && self.transformers.iter().all(bought)
    }
}

/// One piece by what makes it: from, to, the walk, the cable.
type PieceKey = (NodeId, NodeId, Vec<SegmentId>, CableId);

/// A plan to be changed as little as possible.
#[derive(Clone, Debug)]
pub struct Keep {
    /// The plan.
    pub plan: Arc<Plan>,
    /// Whether it obeys every rule of the job as the job is now.
    pub lawful: bool,
    pieces: BTreeSet<PieceKey>,
    /// What a piece kept is worth to the search, money.
    worth: f64,
}

impl Keep {
    /// Keeping all pieces is worth `worth` of direct cost, each an equal share: the
    /// search then finds no plan dearer than another one it saw by more than this.
    #[must_use]
    pub fn new(job: &Job, plan: Plan, lawful: bool, worth: f64) -> Self {
        let pieces: BTreeSet<PieceKey> = plan
            .circuits
            .iter()
            .flat_map(|circuit| {
                let shape = Shape {
                    source: plan.source_node(job, circuit),
                    joints: circuit.joints.clone(),
                    leads: Vec::new(),
                };
                (0..shape.joints.len())
                    .map(|joint| key(&shape, joint, shape.joints[joint].incoming.cable))
                    .collect::<Vec<_>>()
            })
            .collect();
        Self {
            worth: worth / pieces.len().max(1) as f64,
            plan: Arc::new(plan),
            lawful,
            pieces,
        }
    }

    /// What the piece that feeds a joint is worth, money: nothing unless it was in the plan.
    pub(crate) fn worth(&self, shape: &Shape, joint: usize, cable: CableId) -> f64 {
        if self.pieces.contains(&key(shape, joint, cable)) {
            self.worth
        } else {
            0.0
        }
    }

    /// Most that pieces may be worth, money.
    pub(crate) fn most_worth(&self, pieces: usize) -> f64 {
        self.worth * pieces as f64
    }
}

fn key(shape: &Shape, joint: usize, cable: CableId) -> PieceKey {
    let fed = &shape.joints[joint];
    (
        shape.upstream_node(joint),
        fed.node,
        fed.incoming.route.segments.clone(),
        cable,
    )
}

/// Everything a search is told besides the job.
#[derive(Clone, Debug, Default)]
pub struct Guidance {
    /// Decisions made beforehand.
    pub decisions: Decisions,
    /// A plan to be changed as little as possible.
    pub keep: Option<Keep>,
}
