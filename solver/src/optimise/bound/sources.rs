//! Transformers and sites: what feeding the load costs at least for each set
//! of sites in use, split into a fixed part and a charge per site.

use super::fleets::{Costs, Fleets, Group};
use super::planted::Planted;
use crate::ids::{SiteId, TransformerModelId, ZoneId};
use crate::job::{Job, Secondary, SizeRange, Switched, TransformerModel};

/// Above this many sites the charge per site is dropped, not enumerated.
const MOST_SITES_ENUMERATED: usize = 12;

/// Slack given to every limit in VA, far above the 1e-6 tolerance of the limits.
pub(super) const VA_TOLERANCE: f64 = 1e-3;

/// The source side of the relaxation.
#[derive(Clone, Debug)]
pub(crate) struct SourceCosts {
    /// Money whatever the sites, >= 0.
    pub constant: f64,
    /// Money for each site once something enters there, >= 0, in site order.
    pub charge: Vec<f64>,
}

/// Highest no-load voltage of any tap that may be used, low end of the line, V.
pub(crate) fn highest_no_load_volts(job: &Job, planted: Planted) -> f64 {
    job.transformers
        .iter()
        .map(|model| highest_of(job, model, planted))
        .fold(0.0, f64::max)
}

fn highest_of(job: &Job, model: &TransformerModel, planted: Planted) -> f64 {
    model
        .secondaries
        .iter()
        .map(|secondary| highest_of_secondary(job, model, secondary, planted))
        .fold(0.0, f64::max)
}

fn highest_of_secondary(
    job: &Job,
    model: &TransformerModel,
    secondary: &Secondary,
    planted: Planted,
) -> f64 {
    let rise = if planted == Planted::TapVoltage {
        0.0
    } else {
        model.regulation.max(0.0)
    };
    secondary
        .taps
        .iter()
        .filter(|tap| tap.volts.value() <= job.rules.highest_tap.value() + 1e-9)
        .map(|tap| tap.volts.value() * (1.0 + rise) * job.rules.line.low)
        .fold(0.0, f64::max)
}

/// Volts by which the highest source voltage of a model falls between no load and rated load,
/// low end of the line.
///
/// Lower taps stand lower at any load below `(1 + regulation) / regulation` times the rated
/// one; 0, which claims nothing, where the rules let a transformer carry that much.
fn full_load_fall(job: &Job, model: &TransformerModel, planted: Planted) -> f64 {
    let regulation = model.regulation.max(0.0);
    if job.rules.loading_limit * regulation > 1.0 {
        return 0.0;
    }
    let times = if planted == Planted::RegulationTwice {
        2.0
    } else {
        1.0
    };
    let highest = highest_of(job, model, Planted::TapVoltage);
    times * highest * regulation * (1.0 - 1e-12)
}

/// Largest continuous limit of any secondary, A.
pub(crate) fn largest_circuit_amperes(job: &Job) -> f64 {
    job.transformers
        .iter()
        .flat_map(|model| &model.secondaries)
        .map(|secondary| secondary.continuous_limit().value())
        .fold(0.0, f64::max)
}

/// Most VA that any one transformer may deliver.
pub(crate) fn largest_transformer_va(job: &Job) -> f64 {
    job.transformers
        .iter()
        .map(|model| most_apparent(job, model))
        .fold(0.0, f64::max)
}

/// Least rated tap volts that stand at `volts` without load, low end of the
/// line; `None` when the job has no transformer model.
pub(crate) fn tap_for_no_load_volts(job: &Job, volts: f64) -> Option<f64> {
    job.transformers
        .iter()
        .map(|model| volts / ((1.0 + model.regulation.max(0.0)) * job.rules.line.low))
        .min_by(f64::total_cmp)
}

/// Rated VA with which a transformer may deliver `va` under the loading limit
/// and the spare; `None` when the rules leave nothing of any rating.
pub(crate) fn rated_va_for(job: &Job, va: f64) -> Option<f64> {
    let rules = &job.rules;
    let share = rules.loading_limit * (1.0 - rules.spare.fraction);
    (share > 0.0).then(|| (va + rules.spare.apparent.value()) / share)
}

/// Most home runs that the lugs of a secondary take, counting those that `fits`
/// accepts: of its taps that may be used, or of its commons if those are fewer.
pub(crate) fn lug_places(
    job: &Job,
    secondary: &Secondary,
    fits: &dyn Fn(SizeRange) -> bool,
) -> u32 {
    let taps = secondary
        .taps
        .iter()
        .filter(|tap| tap.volts.value() <= job.rules.highest_tap.value() + 1e-9)
        .filter(|tap| fits(tap.takes))
        .fold(0_u32, |sum, tap| sum.saturating_add(tap.lugs));
    let commons = secondary
        .commons
        .iter()
        .filter(|common| fits(common.takes))
        .fold(0_u32, |sum, common| sum.saturating_add(common.lugs));
    taps.min(commons)
}

/// Most VA that a transformer of this model may deliver at its terminals.
pub(crate) fn most_apparent(job: &Job, model: &TransformerModel) -> f64 {
    let rules = &job.rules;
    let rated = model.rated.value() * rules.loading_limit * (1.0 - rules.spare.fraction)
        - rules.spare.apparent.value();
    let by_secondaries: f64 = model
        .secondaries
        .iter()
        .map(|secondary| {
            let amperes =
                (secondary.continuous_limit().value() - rules.spare.current.value()).max(0.0);
            (amperes + 1e-6) * highest_of_secondary(job, model, secondary, Planted::Nothing)
        })
        .sum();
    (rated.min(by_secondaries) + VA_TOLERANCE).max(0.0)
}

/// What the fixtures ask of the transformers.
pub(super) struct Demand<'a> {
    pub job: &'a Job,
    planted: Planted,
    pub total_va: f64,
    /// Demand of each zone switched at a whole transformer.
    whole_va: Vec<(ZoneId, f64)>,
    /// Demand of each zone switched at a secondary.
    secondary_va: Vec<(ZoneId, f64)>,
}

/// Adds a demand to its zone's.
fn add_to(sums: &mut Vec<(ZoneId, f64)>, zone: ZoneId, va: f64) {
    match sums.iter_mut().find(|(known, _)| *known == zone) {
        Some((_, sum)) => *sum += va,
        None => sums.push((zone, va)),
    }
}

impl<'a> Demand<'a> {
    pub(super) fn new(job: &'a Job, power_va: &[f64], planted: Planted) -> Self {
        let (mut whole_va, mut secondary_va) = (Vec::new(), Vec::new());
        for (fixture, &va) in job.fixtures.iter().zip(power_va) {
            match fixture.zone {
                Some(zone) if job.zone(zone).switched == Switched::Transformer => {
                    add_to(&mut whole_va, zone, va);
                }
                Some(zone) => add_to(&mut secondary_va, zone, va),
                None if planted == Planted::UnzonedAsOwnZone => {
                    add_to(&mut whole_va, ZoneId(u32::MAX), va);
                }
                None => {}
            }
        }
        Self {
            job,
            planted,
            total_va: power_va.iter().sum(),
            whole_va,
            secondary_va,
        }
    }

    /// Secondaries that the zones switched at one need: they never share, and one carries so much.
    fn secondaries(&self) -> usize {
        let most_va = largest_circuit_amperes(self.job)
            * highest_no_load_volts(self.job, Planted::Nothing)
            + VA_TOLERANCE;
        let each = self.secondary_va.iter();
        each.map(|(_, va)| ((va / most_va - 1e-9).ceil().max(1.0)) as usize)
            .sum()
    }

    /// What needs transformers of its own where standing ones may still carry `standing_va`.
    ///
    /// A standing transformer may serve every zone at once, so the least that is left of each
    /// group counts, and no secondaries do.
    fn groups(&self, standing_va: Option<f64>) -> Vec<Group> {
        let carried_va = standing_va.unwrap_or(0.0);
        let zoned_va: f64 = self.secondary_va.iter().map(|(_, va)| va).sum();
        let by_secondary = Group {
            va: zoned_va - carried_va,
            secondaries: match standing_va {
                Some(_) => 0,
                None => self.secondaries(),
            },
            transformers: 0,
        };
        let whole = self.whole_va.iter().map(|(_, va)| Group {
            va: va - carried_va,
            secondaries: 0,
            transformers: 0,
        });
        let groups = whole.chain((!self.secondary_va.is_empty()).then_some(by_secondary));
        groups
            .filter(|group| standing_va.is_none() || group.va > VA_TOLERANCE)
            .collect()
    }

    /// The most that the rated VA of all transformers, each over the volts that its source
    /// falls by at rated load, come to: new ones that deliver at most `most_va`, and those
    /// standing at the sites of `mask`.
    pub(super) fn source_firmness(&self, mask: usize, most_va: f64) -> f64 {
        let firmness = |model: &TransformerModel| {
            let volts = full_load_fall(self.job, model, self.planted);
            if volts > 0.0 {
                model.rated.value() / volts
            } else {
                f64::INFINITY
            }
        };
        // One that delivers more is not among them.
        let models = (self.job.transformers.iter())
            .map(|model| (model, most_apparent(self.job, model)))
            .filter(|(_, va)| *va <= most_va + VA_TOLERANCE);
        let per_va = models
            .map(|(model, va)| firmness(model) / va)
            .fold(0.0, f64::max);
        let here = self.job.existing.iter();
        let here = here.filter(|standing| mask >> standing.site.index() & 1 == 1);
        let standing: f64 = here
            .map(|standing| firmness(self.job.transformer(standing.model)))
            .sum();
        let sum = per_va * most_va + standing;
        // A model that delivers nothing, or one that does not fall, says nothing.
        if sum.is_finite() { sum } else { f64::INFINITY }
    }

    /// The zones that share no transformer with others: each one switched at a transformer, and
    /// all that are switched at a secondary.
    pub(super) fn apart(&self) -> Vec<Vec<ZoneId>> {
        let zones = |of: &[(ZoneId, f64)]| of.iter().map(|(zone, _)| *zone).collect::<Vec<_>>();
        let whole = self.whole_va.iter().map(|(zone, _)| vec![*zone]);
        let by_secondary = zones(&self.secondary_va);
        let by_secondary = (!by_secondary.is_empty()).then_some(by_secondary);
        whole.chain(by_secondary).collect()
    }

    /// New transformers where none stands, so many at least for each of [`Self::apart`].
    pub(super) fn fleets_of(&self, transformers: &[usize]) -> Fleets {
        let mut groups = self.groups(None);
        for (group, least) in groups.iter_mut().zip(transformers) {
            group.transformers = *least;
        }
        Fleets::new(self.job, self.total_va, &groups)
    }

    /// New transformers beside standing ones that may carry so much.
    pub(super) fn fleets(&self, standing_va: Option<f64>) -> Fleets {
        Fleets::new(self.job, self.total_va, &self.groups(standing_va))
    }

    /// VA that transformers already standing at the sites of `mask` may still deliver; `None`
    /// where none stands.
    pub(super) fn standing_va(&self, mask: usize) -> Option<f64> {
        let here = self.job.existing.iter();
        let here = here.filter(|standing| mask >> standing.site.index() & 1 == 1);
        here.map(|standing| {
            let model = self.job.transformer(standing.model);
            let present: f64 = standing.present_load.iter().map(|va| va.value()).sum();
            (most_apparent(self.job, model) - present.max(0.0)).max(0.0)
        })
        .reduce(|sum, va| sum + va)
    }

    /// Money of sites and transformers when exactly the sites of `mask` are in use.
    pub(super) fn costs(&self, fleets: &Fleets, mask: usize) -> Costs {
        let fresh = self.fresh(mask);
        let sites: f64 = (fresh.iter())
            .map(|&s| self.job.sites[s].cost.cost().value().max(0.0))
            .sum();
        fleets.costs(fresh.len(), &|count| sites + self.mains(mask, count))
    }

    /// The sites of `mask` where nothing stands yet.
    fn fresh(&self, mask: usize) -> Vec<usize> {
        let in_use = (0..self.job.sites.len()).filter(|s| mask >> s & 1 == 1);
        in_use
            .filter(|&s| !has_standing(self.job, SiteId::new(s)))
            .collect()
    }

    /// Least cost of further mains circuits for `count` new transformers at the sites of `mask`;
    /// infinite when mains, outlets or wall places cannot suffice.
    fn mains(&self, mask: usize, count: usize) -> f64 {
        let usable = self.job.rules.mains_fraction;
        let (mut outlets, mut places, mut have_va) = (0_u64, 0_u64, 0.0);
        let (mut most, mut cheapest) = (0_u64, f64::INFINITY);
        let (mut largest_va, mut largest_outlets) = (0.0_f64, 0_u64);
        for (s, site) in self.job.sites.iter().enumerate() {
            if mask >> s & 1 == 0 {
                continue;
            }
            let standing = self.job.existing.iter();
            let standing = standing.filter(|one| one.site.index() == s).count() as u64;
            outlets += u64::from(site.outlets).saturating_sub(standing);
            places += u64::from(site.places).saturating_sub(standing);
            have_va += site.mains.value() * usable + VA_TOLERANCE;
            if let Some(further) = site.further {
                largest_va = largest_va.max(further.mains.value() * usable);
                largest_outlets = largest_outlets.max(u64::from(further.outlets));
                cheapest = cheapest.min(further.price.cost().value().max(0.0));
                most += u64::from(further.most);
            }
        }
        let count = count as u64;
        let lacking_outlets = count.saturating_sub(outlets);
        let standing_va = self.standing_va(mask).unwrap_or(0.0);
        let lacking_va = self.total_va - standing_va - have_va - VA_TOLERANCE;
        let mut more = 0_u64;
        if lacking_outlets > 0 {
            more = match largest_outlets {
                0 => u64::MAX,
                each => lacking_outlets.div_ceil(each),
            };
        }
        if lacking_va > 0.0 {
            more = more.max(match largest_va > 0.0 {
                true => (lacking_va / largest_va - 1e-9).ceil().max(0.0) as u64,
                false => u64::MAX,
            });
        }
        if more == 0 && count <= places {
            0.0
        } else if more > most || count > places {
            f64::INFINITY
        } else {
            more as f64 * cheapest
        }
    }
}

/// Whether a transformer already stands at a site.
pub(super) fn has_standing(job: &Job, site: SiteId) -> bool {
    job.existing.iter().any(|standing| standing.site == site)
}

/// Splits the least cost of sites and transformers into a constant and a charge per site.
///
/// For every set `S` of sites in use, `G(S)` bounds from below what sites,
/// transformers and further mains circuits cost; the charges are any
/// non-negative numbers, and the constant is the least of
/// `G(S) - sum of the charges of S`, so `constant + charges(S) <= G(S)` for every `S`.
pub(crate) fn source_costs(job: &Job, power_va: &[f64], planted: Planted) -> SourceCosts {
    let demand = Demand::new(job, power_va, planted);
    let sites = job.sites.len();
    if sites > MOST_SITES_ENUMERATED {
        let standing = standing_everywhere(&demand);
        let costs = demand.fleets(Some(standing)).costs(0, &|_| 0.0);
        return SourceCosts {
            constant: finite(costs.of(demand.total_va - standing)),
            charge: vec![0.0; sites],
        };
    }
    let cheapest = cheapest_transformer(job);
    let charge: Vec<f64> = job
        .sites
        .iter()
        .enumerate()
        .map(|(s, site)| match has_standing(job, SiteId::new(s)) {
            true => 0.0,
            false => site.cost.cost().value().max(0.0) + cheapest,
        })
        .collect();
    let mut constant = f64::INFINITY;
    let mut fleets = FleetsByStanding::new(&demand);
    for mask in 1..1_usize << sites {
        let standing = demand.standing_va(mask);
        let costs = demand.costs(fleets.of(standing), mask);
        let charged: f64 = demand.fresh(mask).iter().map(|&s| charge[s]).sum();
        let least = costs.of(demand.total_va - standing.unwrap_or(0.0));
        constant = constant.min(least - charged);
    }
    SourceCosts {
        constant: finite(constant),
        charge,
    }
}

/// Fleets by what standing transformers may carry, each worked out once.
pub(super) struct FleetsByStanding<'a> {
    demand: &'a Demand<'a>,
    known: Vec<(Option<f64>, Fleets)>,
}

impl<'a> FleetsByStanding<'a> {
    pub(super) const fn new(demand: &'a Demand<'a>) -> Self {
        Self {
            demand,
            known: Vec::new(),
        }
    }

    pub(super) fn of(&mut self, standing_va: Option<f64>) -> &Fleets {
        let known = self.known.iter().position(|(va, _)| *va == standing_va);
        let at = known.unwrap_or_else(|| {
            let fleets = self.demand.fleets(standing_va);
            self.known.push((standing_va, fleets));
            self.known.len() - 1
        });
        &self.known[at].1
    }
}

fn standing_everywhere(demand: &Demand<'_>) -> f64 {
    demand
        .job
        .existing
        .iter()
        .map(|standing| most_apparent(demand.job, demand.job.transformer(standing.model)))
        .sum()
}

fn cheapest_transformer(job: &Job) -> f64 {
    let labour = job.rates.labour.cost().value();
    let cheapest = (0..job.transformers.len())
        .map(|m| job.transformer(TransformerModelId::new(m)))
        .map(|model| (model.price.cost().value() + model.hours.value() * labour).max(0.0))
        .fold(f64::INFINITY, f64::min);
    finite(cheapest)
}

/// A job that nothing can feed has no plan; its bound stays a number.
fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}
