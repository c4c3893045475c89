//! What a whole job asks of its sites against what they offer, and what would relieve it.
//!
//! Sums over all sites: they leave out which fixture is near which site, how
//! loads divide over transformers, and losses, so less than offered may be usable.

use crate::ids::{FixtureId, SiteId, ZoneId};
use crate::job::{Job, SizeRange, Switched, TransformerModel};
use crate::optimise::bound::{self, Remedy, Surroundings};
use crate::units::VoltAmperes;

/// Share of what is offered above which a resource counts as tight: losses and
/// uneven division take some of it. A rule of thumb, no source.
const TIGHT_SHARE: f64 = 0.8;

/// What a plan takes from the job as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Resource {
    /// VA of transformers: rated load against what transformers at every place may deliver.
    TransformerLoad,
    /// VA of mains: rated load over the best efficiency against the usable share at every site.
    Mains,
    /// Transformers: those that the zones and the load ask for against places with an outlet.
    Positions,
    /// Lugs: the least number of circuits against the lug places of transformers at every place.
    Lugs,
}

/// How a resource stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Less is offered than asked for.
    Short,
    /// It may suffice, but little is left for losses and uneven division.
    Tight,
    /// Enough.
    Ample,
}

/// One resource: asked for against offered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// What.
    pub resource: Resource,
    /// Asked for at least: VA, or a count.
    pub needed: f64,
    /// Offered at most: VA, or a count.
    pub offered: f64,
}

impl Balance {
    /// How it stands.
    #[must_use]
    pub fn state(&self) -> State {
        // A place taken is taken whole; VA and lugs divide unevenly.
        let tight = match self.resource {
            Resource::Positions => 1.0,
            Resource::TransformerLoad | Resource::Mains | Resource::Lugs => TIGHT_SHARE,
        };
        if self.needed > self.offered {
            State::Short
        } else if self.needed > tight * self.offered {
            State::Tight
        } else {
            State::Ample
        }
    }
}

/// Every resource of a job.
pub(super) fn balances(job: &Job) -> Vec<Balance> {
    let of = |resource, needed, offered| Balance {
        resource,
        needed,
        offered,
    };
    let load = rated_va(job, |_| true);
    let efficiency = job
        .transformers
        .iter()
        .map(|model| model.efficiency)
        .fold(0.0, f64::max);
    let mains = if efficiency > 0.0 {
        load / efficiency
    } else {
        load
    };
    vec![
        of(Resource::TransformerLoad, load, deliverable_va(job)),
        of(Resource::Mains, mains, usable_mains_va(job)),
        of(
            Resource::Positions,
            transformers_asked(job),
            f64::from(all_positions(job)),
        ),
        of(
            Resource::Lugs,
            circuits_asked(job),
            f64::from(lug_places(job)),
        ),
    ]
}

fn rated_va(job: &Job, of: impl Fn(Option<ZoneId>) -> bool) -> f64 {
    let fixtures = job.fixture_ids().filter(|&id| of(job.fixture(id).zone));
    fixtures.map(|id| job.model_of(id).apparent.value()).sum()
}

/// Places with an outlet, taken ones included.
fn all_positions(job: &Job) -> u32 {
    job.sites
        .iter()
        .map(bound::most_transformers)
        .fold(0, u32::saturating_add)
}

/// Places with an outlet where no transformer stands yet.
fn free_positions(job: &Job) -> u32 {
    let standing = |id| {
        let here = job.existing.iter().filter(|standing| standing.site == id);
        u32::try_from(here.count()).unwrap_or(u32::MAX)
    };
    (0..job.sites.len())
        .map(SiteId::new)
        .map(|id| bound::most_transformers(job.site(id)).saturating_sub(standing(id)))
        .fold(0, u32::saturating_add)
}

/// VA that the largest model may deliver, loading limit, spare and secondaries counted.
fn largest_va(job: &Job) -> f64 {
    let each = job
        .transformers
        .iter()
        .map(|model| bound::most_apparent(job, model));
    each.fold(0.0, f64::max)
}

fn deliverable_va(job: &Job) -> f64 {
    let standing: f64 = job
        .existing
        .iter()
        .map(|standing| {
            let present: f64 = standing.present_load.iter().map(|va| va.value()).sum();
            let most = bound::most_apparent(job, job.transformer(standing.model));
            (most - present).max(0.0)
        })
        .sum();
    f64::from(free_positions(job)) * largest_va(job) + standing
}

fn usable_mains_va(job: &Job) -> f64 {
    let each = job.sites.iter().map(|site| {
        let further = site.further.map_or(0.0, |further| {
            f64::from(further.most) * further.mains.value()
        });
        site.mains.value() + further
    });
    let present: f64 = job
        .existing
        .iter()
        .flat_map(|standing| &standing.present_load)
        .map(|va| va.value())
        .sum();
    (each.sum::<f64>() * job.rules.mains_fraction - present).max(0.0)
}

/// Transformers asked for: each zone switched at a whole transformer has its
/// own, zones switched at a secondary share others; none carries more than the
/// largest model may.
fn transformers_asked(job: &Job) -> f64 {
    let largest = largest_va(job);
    let by_load = |va: f64| match largest > 0.0 {
        true => (va / largest - 1e-9).ceil().max(0.0),
        false => 0.0,
    };
    let lit = |zone: ZoneId| rated_va(job, |own| own == Some(zone));
    let zones = (0..job.zones.len()).map(ZoneId::new);
    let (mut whole, mut secondaries, mut shared_va) = (0.0, 0.0, 0.0);
    for (zone, va) in zones.map(|zone| (zone, lit(zone))) {
        match job.zone(zone).switched {
            _ if va <= 0.0 => {}
            Switched::Transformer => whole += by_load(va).max(1.0),
            Switched::Secondary => {
                secondaries += 1.0;
                shared_va += va;
            }
        }
    }
    let most = job
        .transformers
        .iter()
        .map(|model| model.secondaries.len() as f64)
        .fold(1.0, f64::max);
    let shared = (secondaries / most).ceil().max(by_load(shared_va));
    (whole + shared).max(by_load(rated_va(job, |_| true)))
}

/// Least number of circuits by rated current and by the most fixtures on one;
/// zones share none.
fn circuits_asked(job: &Job) -> f64 {
    let homes = job.cables.iter().filter(|cable| cable.allowed.home_run);
    let ampacity = homes
        .map(|cable| cable.ampacity.value())
        .fold(0.0, f64::max);
    let limit = ampacity.min(bound::largest_circuit_amperes(job));
    let of = |wanted: &dyn Fn(Option<ZoneId>) -> bool| {
        let (mut amperes, mut count) = (0.0, 0.0);
        for id in job.fixture_ids().filter(|&id| wanted(job.fixture(id).zone)) {
            let model = job.model_of(id);
            amperes += model.apparent.value() / model.rated.value();
            count += 1.0;
        }
        let by_current = if limit > 0.0 { amperes / limit } else { 0.0 };
        let most = job.rules.most_fixtures_per_circuit;
        let by_count = most.map_or(0.0, |most| count / f64::from(most.max(1)));
        let least = if count > 0.0 { 1.0_f64 } else { 0.0 };
        (by_current.max(by_count) - 1e-9).ceil().max(least)
    };
    let zones = (0..job.zones.len()).map(ZoneId::new);
    let apart: f64 = zones.map(|zone| of(&|own| own == Some(zone))).sum();
    apart.max(of(&|_| true))
}

/// Lug places of the best model at every free place, and those left on what stands.
fn lug_places(job: &Job) -> u32 {
    let fits = |takes: SizeRange| {
        let mut homes = job.cables.iter().filter(|cable| cable.allowed.home_run);
        homes.any(|cable| takes.fits(cable.size))
    };
    let of = |model: &TransformerModel| {
        let secondaries = model.secondaries.iter();
        secondaries
            .map(|secondary| bound::lug_places(job, secondary, &fits))
            .fold(0_u32, u32::saturating_add)
            .saturating_sub(job.rules.spare.lugs)
    };
    let best = job.transformers.iter().map(of).max().unwrap_or(0);
    let standing = job.existing.iter().map(|standing| {
        let used: u32 = standing.tap_lugs_used.iter().flatten().sum();
        of(job.transformer(standing.model)).saturating_sub(used)
    });
    standing.fold(
        best.saturating_mul(free_positions(job)),
        u32::saturating_add,
    )
}

/// What would likely relieve the resources that are short or tight, each change once.
pub(super) fn remedies(
    surroundings: &Surroundings<'_>,
    unserved: &[FixtureId],
    balances: &[Balance],
) -> Vec<Remedy> {
    let job = surroundings.job;
    let nearest = nearest_site(surroundings, unserved);
    let mut remedies = Vec::new();
    for balance in balances {
        if balance.state() == State::Ample {
            continue;
        }
        let more = relief(job, balance, nearest);
        for remedy in more {
            if !remedies.contains(&remedy) {
                remedies.push(remedy);
            }
        }
    }
    remedies
}

fn relief(job: &Job, balance: &Balance, nearest: Option<SiteId>) -> Vec<Remedy> {
    // Asked for such that the resource would no longer be tight.
    let wanted = balance.needed / TIGHT_SHARE;
    let room = nearest.map(|site| further_position(job, site));
    let room = room.into_iter().chain([Remedy::FurtherSite]);
    match balance.resource {
        Resource::TransformerLoad => {
            let each = wanted / f64::from(all_positions(job).max(1));
            let rated = bound::rated_va_for(job, each).filter(|&rated| larger(job, rated));
            let rated = rated.map(|rated| Remedy::LargerTransformer(VoltAmperes::new(rated)));
            rated.into_iter().chain(room).collect()
        }
        Resource::Mains => {
            let lacking = (wanted - balance.offered) / job.rules.mains_fraction.max(1e-9);
            let more = |site| Remedy::MoreMains {
                site,
                apparent: VoltAmperes::new(lacking),
            };
            let more = nearest.map(more);
            more.into_iter().chain([Remedy::FurtherSite]).collect()
        }
        Resource::Positions => room.collect(),
        Resource::Lugs => {
            let lacking = (wanted - balance.offered).ceil().max(1.0);
            let more = Remedy::MoreLugs(lacking as u32);
            std::iter::once(more).chain(room).collect()
        }
    }
}

/// Whether no model of the catalogue has this rating yet.
fn larger(job: &Job, rated_va: f64) -> bool {
    job.transformers
        .iter()
        .all(|model| model.rated.value() < rated_va)
}

fn further_position(job: &Job, site: SiteId) -> Remedy {
    let row = job.site(site);
    let outlets = bound::most_outlets(row);
    Remedy::FurtherPosition {
        site,
        outlet: outlets <= row.places,
        place: row.places <= outlets,
    }
}

/// The site with the least sum of routes to the fixtures left over; the first of equals.
fn nearest_site(surroundings: &Surroundings<'_>, unserved: &[FixtureId]) -> Option<SiteId> {
    let job = surroundings.job;
    let far = |site: SiteId| {
        let distance = surroundings.graph.nearest(&[job.site(site).node.index()]);
        let nodes = unserved.iter().map(|&id| job.fixture(id).node.index());
        nodes.map(|node| distance[node]).sum::<f64>()
    };
    (0..job.sites.len())
        .map(SiteId::new)
        .map(|site| (far(site), site))
        .min_by(|one, other| one.0.total_cmp(&other.0))
        .map(|(_, site)| site)
}
