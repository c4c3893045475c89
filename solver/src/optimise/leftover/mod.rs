//! What likely stands in the way of fixtures that a search left over.
//!
//! Nothing here is a proof: a search that finds no plan shows only that it found
//! none. Each figure is what one fixture, or the whole job, meets at best, so a
//! figure that is already strained at best points at the likely trouble.

mod capacity;

pub use capacity::{Balance, Resource, State};

use super::bound::{self, Remedy, Surroundings};
use crate::ids::FixtureId;
use crate::job::Job;
use crate::units::Volts;

/// Share of the voltage budget (source less the low end of the window) above
/// which a fixture alone, at best, counts as strained: the rest must pay for
/// the load of its neighbours, slack and thinner cable. A rule of thumb, no source.
const STRAINED_SHARE: f64 = 1.0 / 3.0;

/// Why fixtures may have been left over.
#[derive(Clone, Debug, PartialEq)]
pub struct Leftover {
    /// Each fixture left over, in the order given.
    pub fixtures: Vec<Left>,
    /// What the whole job asks against what it offers, every resource.
    pub balances: Vec<Balance>,
    /// Changes that would likely relieve what is scarce; empty when nothing is.
    pub remedies: Vec<Remedy>,
}

/// A fixture left over.
#[derive(Clone, Debug, PartialEq)]
pub struct Left {
    /// Which.
    pub fixture: FixtureId,
    /// The highest voltage it could have in the low case with the job to itself:
    /// shortest route, thickest gauge, highest tap. Optimistic. `None` when its
    /// load would collapse or nothing reaches it.
    pub best_volts: Option<Volts>,
    /// The lowest voltage it must have in the low case, margin included.
    pub needed: Volts,
    /// What makes it hard to serve; empty when nothing about it alone does.
    pub strains: Vec<Strain>,
    /// Changes that would likely help it; empty when it has no strain.
    pub remedies: Vec<Remedy>,
}

/// What makes a fixture hard to serve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Strain {
    /// It is proven out of reach.
    Unservable,
    /// Alone and at best it uses up this share of its voltage budget, 0..1.
    Voltage(f64),
    /// Even loaded, no tap that may be used stands at or below what its window
    /// bears; only the drop on the way can bring it in.
    TapsTooHigh {
        /// Lowest tap at the high end of the line.
        lowest: Volts,
        /// What it bears, margin taken off.
        bears: Volts,
    },
    /// No joint may stand at its own node: its lead must reach another one.
    NoJointHere,
}

impl Leftover {
    /// Judges the fixtures left over.
    ///
    /// Time: two shortest-path searches a fixture, one a site.
    #[must_use]
    pub fn of(job: &Job, unserved: &[FixtureId]) -> Self {
        let surroundings = Surroundings::new(job);
        let balances = capacity::balances(job);
        Self {
            fixtures: unserved
                .iter()
                .map(|&fixture| Left::of(&surroundings, fixture))
                .collect(),
            remedies: capacity::remedies(&surroundings, unserved, &balances),
            balances,
        }
    }

    /// Whether neither a resource nor any fixture is strained.
    #[must_use]
    pub fn names_nothing(&self) -> bool {
        self.remedies.is_empty() && self.fixtures.iter().all(|left| left.strains.is_empty())
    }
}

impl Left {
    fn of(surroundings: &Surroundings<'_>, fixture: FixtureId) -> Self {
        let job = surroundings.job;
        let model = job.model_of(fixture);
        let mut left = Self {
            fixture,
            best_volts: None,
            needed: model.window.min() + job.rules.margins.low,
            strains: Vec::new(),
            remedies: Vec::new(),
        };
        if let Some(proof) = bound::verdict(surroundings, fixture) {
            left.best_volts = proof.best_volts;
            left.strains.push(Strain::Unservable);
            left.remedies = proof.remedies;
            return left;
        }
        let alone = surroundings.alone(fixture, &surroundings.landings(fixture));
        left.best_volts = alone.best_volts().map(Volts::new);
        let share = alone.share_of_budget();
        if share > STRAINED_SHARE {
            left.strains.push(Strain::Voltage(share.min(1.0)));
            left.remedies.extend(alone.remedies(STRAINED_SHARE));
        }
        left.judge_high_case(job);
        let node = job.fixture(fixture).node;
        if model.lead.is_some() && !job.node(node).joint_allowed {
            left.strains.push(Strain::NoJointHere);
            left.remedies.push(Remedy::JointAt(node));
        }
        left
    }

    /// A fully loaded transformer stands at its tap's rated volts, any other higher.
    fn judge_high_case(&mut self, job: &Job) {
        let bears = job.model_of(self.fixture).window.max() - job.rules.margins.high;
        let high = job.rules.line.high;
        let taps = job
            .transformers
            .iter()
            .flat_map(|model| &model.secondaries)
            .flat_map(|secondary| &secondary.taps)
            .map(|tap| tap.volts)
            .filter(|&volts| volts <= job.rules.highest_tap);
        let Some(lowest) = taps.reduce(Volts::min).map(|volts| volts * high) else {
            return;
        };
        if lowest > bears {
            self.strains.push(Strain::TapsTooHigh { lowest, bears });
            self.remedies.push(Remedy::LowerTap(bears / high));
            self.remedies
                .push(Remedy::WindowUpTo(lowest + job.rules.margins.high));
        }
    }
}
