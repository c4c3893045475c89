//! The transformers that may be bought, told apart by the sites in use and by how
//! much they deliver: a partition of all plans.
//!
//! A plan that uses exactly the sites `S` has bought a fleet that may deliver so many VA. What
//! fleets for `S` cost at least rises in steps with what they may deliver, so a plan's fleet
//! lies in exactly one range between two steps: the plan pays at least the money of that
//! range, and delivers no more than its upper end. Each range has a bound of its own, and the
//! least of them holds for every plan.
//!
//! Zones that share no transformer (each one switched at a transformer, and all that are
//! switched at a secondary) stand where some of their transformers do: a part is split by the
//! set of sites that feeds each of them. Such a set of `k` sites takes `k` transformers, which
//! others do not share, and the fixtures of the zone are fed from nowhere else.

use super::loads::most_transformers;
use super::planted::Planted;
use super::sources::{Demand, FleetsByStanding};
use crate::ids::{SiteId, ZoneId};
use crate::job::Job;
use std::collections::BTreeMap;

/// Above this many sites plans are not told apart.
const MOST_SITES: usize = 4;

/// Ranges told apart for one set of sites; the last has no upper end.
const MOST_RANGES: usize = 10;

/// Parts that one part may be split into.
const MOST_SPLIT: usize = 64;

/// The sites that feed some zones, which share no transformer with others.
#[derive(Clone, Debug)]
struct Feeding {
    zones: Vec<ZoneId>,
    /// A bit for each site.
    sites: usize,
}

/// One part of the partition.
#[derive(Clone, Debug)]
pub(crate) struct Arrangement {
    /// Sites that may be in use.
    pub open: Vec<bool>,
    /// Least money of sites, mains and transformers.
    pub cost: f64,
    /// Most VA that the transformers deliver.
    pub most_va: f64,
    /// At most their rated VA, each over the volts that its source falls by at rated load.
    pub source_firmness: f64,
    /// Steps of `fleets` that new transformers deliver at least.
    from: usize,
    /// The sites that feed zones, as far as they are told apart.
    feeding: Vec<Feeding>,
}

impl Arrangement {
    /// Every site, no cost and no limit.
    pub(super) fn free(sites: usize) -> Self {
        Self {
            open: vec![true; sites],
            cost: 0.0,
            most_va: f64::INFINITY,
            source_firmness: f64::INFINITY,
            from: 0,
            feeding: Vec::new(),
        }
    }

    /// Whether a fixture of a zone may be fed from a site, as far as it is told apart.
    pub(super) fn may_feed(&self, zone: Option<usize>, site: usize) -> bool {
        let holds = |one: &&Feeding| zone.is_some_and(|zone| one.has(zone));
        let of_zone = self.feeding.iter().find(holds);
        of_zone.is_none_or(|one| one.sites >> site & 1 == 1)
    }

    /// The sites that may be in use, a bit each.
    fn mask(&self) -> usize {
        let bits = self.open.iter().enumerate();
        bits.fold(0, |mask, (s, open)| mask | usize::from(*open) << s)
    }

    /// Tells plans apart by the sites that feed their zones; empty where there is nothing to
    /// tell.
    ///
    /// Zones that share no transformer need one each at every site where they have any. Not
    /// where transformers stand already: those may serve several zones.
    pub(super) fn split(&self, job: &Job, power_va: &[f64], planted: Planted) -> Vec<Self> {
        let demand = Demand::new(job, power_va, planted);
        let mask = self.mask();
        let ways = 2_usize.pow(mask.count_ones()) - 1;
        let nothing_to_tell = ways < 2 || !self.feeding.is_empty();
        if nothing_to_tell || demand.standing_va(mask).is_some() {
            return Vec::new();
        }
        let subsets: Vec<usize> = (1..=mask).filter(|sites| sites & mask == *sites).collect();
        let mut splits: Vec<Vec<Feeding>> = vec![Vec::new()];
        for zones in demand.apart() {
            if splits.len() * ways > MOST_SPLIT {
                break;
            }
            let with = |split: &Vec<Feeding>, &sites: &usize| {
                let zones = zones.clone();
                let more = std::iter::once(Feeding { zones, sites });
                split.iter().cloned().chain(more).collect()
            };
            splits = (splits.iter())
                .flat_map(|split| subsets.iter().map(|sites| with(split, sites)))
                .collect();
        }
        let mut known: BTreeMap<Vec<usize>, f64> = BTreeMap::new();
        let parts = splits.into_iter().filter_map(|feeding| {
            let count = |one: &Feeding| one.sites.count_ones() as usize;
            let counts: Vec<usize> = feeding.iter().map(count).collect();
            if planted == Planted::ZonesAtOneSite && counts.iter().any(|&count| count > 1) {
                return None;
            }
            if !places_suffice(job, &feeding) {
                return None;
            }
            let cost = *known.entry(counts).or_insert_with_key(|counts| {
                let fleets = demand.fleets_of(counts);
                demand.costs(&fleets, mask).of_steps(self.from)
            });
            let part = Self {
                cost: cost.max(self.cost),
                feeding,
                ..self.clone()
            };
            cost.is_finite().then_some(part)
        });
        parts.collect()
    }
}

impl Feeding {
    fn has(&self, zone: usize) -> bool {
        self.zones.iter().any(|known| known.index() == zone)
    }
}

/// Whether each site has room for a transformer of each of the zones that have one there.
fn places_suffice(job: &Job, feeding: &[Feeding]) -> bool {
    (0..job.sites.len()).all(|s| {
        let here = feeding.iter().filter(|one| one.sites >> s & 1 == 1);
        here.count() as u64 <= u64::from(most_transformers(job.site(SiteId::new(s))))
    })
}

/// All parts; none when there are too many sites, or nothing can feed the job.
pub(crate) fn arrangements(job: &Job, power_va: &[f64], planted: Planted) -> Vec<Arrangement> {
    let sites = job.sites.len();
    if sites > MOST_SITES || job.transformers.is_empty() {
        return Vec::new();
    }
    let demand = Demand::new(job, power_va, planted);
    let mut fleets = FleetsByStanding::new(&demand);
    let mut parts = Vec::new();
    for mask in 1..1_usize << sites {
        let standing = demand.standing_va(mask);
        let costs = demand.costs(fleets.of(standing), mask);
        let standing = standing.unwrap_or(0.0);
        let levels = costs.levels(demand.total_va - standing);
        let told_apart = levels.iter().take(MOST_RANGES).enumerate();
        parts.extend(told_apart.map(|(index, level)| {
            let most_va = match index + 1 == MOST_RANGES {
                true => f64::INFINITY,
                false => level.most_va,
            };
            Arrangement {
                open: (0..sites).map(|s| mask >> s & 1 == 1).collect(),
                cost: level.cost,
                most_va: most_va + standing,
                source_firmness: demand.source_firmness(mask, most_va),
                from: level.from,
                feeding: Vec::new(),
            }
        }));
    }
    parts
}
