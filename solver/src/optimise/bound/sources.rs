//! Transformers and sites: what feeding the load costs at least for each set
//! of sites in use, split into a fixed part and a charge per site.

use super::covering::Covering;
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

    /// VA that transformers already standing at the sites of `mask` may still deliver.
    pub(super) fn standing_va(&self, mask: usize) -> f64 {
        self.job
            .existing
            .iter()
            .filter(|standing| mask >> standing.site.index() & 1 == 1)
            .map(|standing| {
                let model = self.job.transformer(standing.model);
                let present: f64 = standing.present_load.iter().map(|va| va.value()).sum();
                (most_apparent(self.job, model) - present.max(0.0)).max(0.0)
            })
            .sum()
    }

    /// Least cost of new transformers when exactly the sites of `mask` are in use, `count` of
    /// them fresh, and the transformers deliver `va` in all.
    ///
    /// Where nothing stands, each zone switched at a whole transformer has transformers of its
    /// own, and each zone switched at a secondary has secondaries of its own on others. A
    /// standing transformer may serve every zone at once.
    pub(super) fn transformers(
        &self,
        covering: &Covering,
        mask: usize,
        count: usize,
        va: f64,
    ) -> f64 {
        let standing = self.standing_va(mask);
        let stands =
            (self.job.existing.iter()).any(|standing| mask >> standing.site.index() & 1 == 1);
        let (mut needed, mut secondaries) = (count, 0);
        if !stands {
            let whole = self.whole_va.len();
            secondaries = whole + self.secondaries();
            needed = needed.max(whole + usize::from(!self.secondary_va.is_empty()));
        }
        let together = covering.cost(va - standing, needed, secondaries);
        let whole: f64 = (self.whole_va.iter())
            .map(|(_, va)| {
                covering.cost(va - standing, usize::from(*va > standing + VA_TOLERANCE), 0)
            })
            .sum();
        let zoned_va: f64 = self.secondary_va.iter().map(|(_, va)| va).sum();
        let apart = if stands {
            covering.cost(
                zoned_va - standing,
                usize::from(zoned_va > standing + VA_TOLERANCE),
                0,
            )
        } else {
            let some = usize::from(!self.secondary_va.is_empty());
            covering.cost(zoned_va, some, self.secondaries())
        };
        together.max(whole + apart)
    }

    /// Least cost of further mains circuits for the sites of `mask`; infinite when mains cannot suffice.
    pub(super) fn mains(&self, mask: usize) -> f64 {
        let usable = self.job.rules.mains_fraction;
        let sites = self
            .job
            .sites
            .iter()
            .enumerate()
            .filter(|(s, _)| mask >> s & 1 == 1);
        let (mut have, mut largest, mut cheapest, mut most) = (0.0, 0.0_f64, f64::INFINITY, 0.0);
        for (_, site) in sites {
            have += site.mains.value() * usable + VA_TOLERANCE;
            if let Some(further) = site.further {
                largest = largest.max(further.mains.value() * usable);
                cheapest = cheapest.min(further.price.cost().value().max(0.0));
                most += f64::from(further.most) * further.mains.value() * usable;
            }
        }
        let lacking = self.total_va - have - VA_TOLERANCE;
        if lacking <= 0.0 {
            0.0
        } else if lacking > most + VA_TOLERANCE || largest <= 0.0 {
            f64::INFINITY
        } else {
            (lacking / largest - 1e-9).ceil().max(0.0) * cheapest
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
    let covering = Covering::new(job, demand.total_va, most_counted(sites));
    if sites > MOST_SITES_ENUMERATED {
        let constant = covering.cost(demand.total_va - standing_everywhere(&demand), 0, 0);
        return SourceCosts {
            constant: finite(constant),
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
    for mask in 1..1_usize << sites {
        let fresh: Vec<usize> = (0..sites)
            .filter(|&s| mask >> s & 1 == 1 && !has_standing(job, SiteId::new(s)))
            .collect();
        let site_money: f64 = fresh
            .iter()
            .map(|&s| job.sites[s].cost.cost().value().max(0.0))
            .sum();
        let least = site_money
            + demand.transformers(&covering, mask, fresh.len(), demand.total_va)
            + demand.mains(mask);
        let charged: f64 = fresh.iter().map(|&s| charge[s]).sum();
        constant = constant.min(least - charged);
    }
    SourceCosts {
        constant: finite(constant),
        charge,
    }
}

/// Most transformers that are counted one by one.
pub(super) fn most_counted(sites: usize) -> usize {
    sites.clamp(4, MOST_SITES_ENUMERATED)
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
