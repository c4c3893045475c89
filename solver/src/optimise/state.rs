//! A complete or partial plan as the search holds it: units, runs, cables per
//! segment, and the exact direct cost.
//!
//! Runs are shared and never changed in place, so that a copy of the state is a
//! few pointer copies: a trial that fails is dropped whole.

use crate::ids::{FixtureId, SegmentId, SiteId, TransformerModelId, ZoneId};
use crate::job::Switched;
use crate::plan::TransformerSource;
use crate::run::{Context, Run, Shape, Supply};
use std::sync::Arc;

/// A transformer in use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Unit {
    pub site: SiteId,
    pub source: TransformerSource,
    pub model: TransformerModelId,
    /// Decided beforehand: stays even without circuits, and stays what it is.
    pub pinned: bool,
}

/// A run on a unit.
#[derive(Clone, Debug)]
pub(crate) struct Placed {
    pub unit: usize,
    pub run: Arc<Run>,
}

/// Cables in one segment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Use {
    cables: i32,
    fill_mm2: f64,
}

/// The plan under search.
#[derive(Clone)]
pub(crate) struct State {
    /// Units by slot; `None` slots are free.
    pub units: Vec<Option<Unit>>,
    /// Runs by slot; `None` slots are free.
    pub runs: Vec<Option<Placed>>,
    uses: Vec<Use>,
    run_cost: f64,
    trench_cost: f64,
    unit_cost: f64,
}

/// Cost of a segment that holds `used`; infinite when a hard limit is exceeded.
fn segment_cost(ctx: &Context<'_>, segment: SegmentId, used: Use) -> f64 {
    if used.cables == 0 {
        return 0.0;
    }
    let limit = &ctx.job.segment(segment).limit;
    let exceeded = limit.cables.is_some_and(|most| used.cables as u32 > most)
        || limit
            .fill
            .is_some_and(|most| used.fill_mm2 > most.value() * (1.0 + 1e-9));
    let beyond = if exceeded {
        ctx.tariff
            .segment_beyond(segment)
            .map_or(f64::INFINITY, crate::units::Cost::value)
    } else {
        0.0
    };
    ctx.opening[segment.index()] + beyond
}

/// Every segment passed by a shape's pieces and leads, with the cable's outer cross-section.
fn passes(ctx: &Context<'_>, shape: &Shape, mut each: impl FnMut(SegmentId, f64)) {
    for joint in &shape.joints {
        let outer = if ctx.any_fill_limit {
            ctx.job.cable(joint.incoming.cable).outer.value()
        } else {
            0.0
        };
        for &segment in &joint.incoming.route.segments {
            each(segment, outer);
        }
    }
    for lead in &shape.leads {
        let cable = ctx.job.model_of(lead.fixture).lead.map(|lead| lead.cable);
        let outer = cable
            .filter(|_| ctx.any_fill_limit)
            .map_or(0.0, |id| ctx.job.cable(id).outer.value());
        for &segment in &lead.route.segments {
            each(segment, outer);
        }
    }
}

/// Reusable memory for trench differences.
#[derive(Default)]
pub(crate) struct TrenchTrial {
    change: Vec<Use>,
    touched: Vec<SegmentId>,
}

impl TrenchTrial {
    fn add(&mut self, segment: SegmentId, cables: i32, fill_mm2: f64) {
        let change = &mut self.change[segment.index()];
        if *change == Use::default() {
            self.touched.push(segment);
        }
        change.cables += cables;
        change.fill_mm2 += fill_mm2;
    }

    /// Change of trench cost when `old` gives way to `new`.
    pub fn difference(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        old: Option<&Shape>,
        new: &Shape,
    ) -> f64 {
        self.change.resize(ctx.job.segments.len(), Use::default());
        if let Some(old) = old {
            passes(ctx, old, |segment, outer| self.add(segment, -1, -outer));
        }
        passes(ctx, new, |segment, outer| self.add(segment, 1, outer));
        let mut difference = 0.0;
        for &segment in &self.touched {
            let change = std::mem::take(&mut self.change[segment.index()]);
            let before = state.uses[segment.index()];
            let after = Use {
                cables: before.cables + change.cables,
                fill_mm2: before.fill_mm2 + change.fill_mm2,
            };
            if after != before {
                difference +=
                    segment_cost(ctx, segment, after) - segment_cost(ctx, segment, before);
            }
        }
        self.touched.clear();
        difference
    }
}

impl State {
    /// The empty plan: existing transformers stand ready, nothing else.
    pub fn empty(ctx: &Context<'_>) -> Self {
        let existing = ctx
            .job
            .existing
            .iter()
            .enumerate()
            .map(|(index, existing)| {
                Some(Unit {
                    site: existing.site,
                    source: TransformerSource::Existing(crate::ids::ExistingId::new(index)),
                    model: existing.model,
                    pinned: false,
                })
            });
        let pinned = ctx
            .guidance
            .decisions
            .transformers
            .iter()
            .map(|&(site, model)| {
                Some(Unit {
                    site,
                    source: TransformerSource::New(model),
                    model,
                    pinned: true,
                })
            });
        Self {
            units: existing.chain(pinned).collect(),
            runs: Vec::new(),
            uses: vec![Use::default(); ctx.job.segments.len()],
            run_cost: 0.0,
            trench_cost: 0.0,
            unit_cost: 0.0,
        }
    }

    /// Direct cost of the plan so far.
    pub fn cost(&self) -> f64 {
        self.run_cost + self.trench_cost + self.unit_cost
    }

    /// What one more cable in a segment costs at the margin, opening included.
    pub fn next_cable_cost(&self, ctx: &Context<'_>, segment: SegmentId) -> f64 {
        let before = self.uses[segment.index()];
        let limit = &ctx.job.segment(segment).limit;
        if before.cables > 0 && limit.cables.is_none() && limit.fill.is_none() {
            return 0.0;
        }
        let after = Use {
            cables: before.cables + 1,
            fill_mm2: before.fill_mm2,
        };
        segment_cost(ctx, segment, after) - segment_cost(ctx, segment, before)
    }

    /// Living runs with their slots.
    pub fn placed(&self) -> impl Iterator<Item = (usize, &Placed)> {
        self.runs
            .iter()
            .enumerate()
            .filter_map(|(slot, placed)| placed.as_ref().map(|placed| (slot, placed)))
    }

    /// Runs of one unit.
    pub fn runs_on(&self, unit: usize) -> impl Iterator<Item = (usize, &Placed)> {
        self.placed().filter(move |(_, placed)| placed.unit == unit)
    }

    fn count(&mut self, ctx: &Context<'_>, shape: &Shape, sign: i32) {
        let (uses, trench_cost) = (&mut self.uses, &mut self.trench_cost);
        passes(ctx, shape, |segment, outer| {
            let used = &mut uses[segment.index()];
            *trench_cost -= segment_cost(ctx, segment, *used);
            used.cables += sign;
            used.fill_mm2 += f64::from(sign) * outer;
            if used.cables == 0 {
                used.fill_mm2 = 0.0;
            }
            *trench_cost += segment_cost(ctx, segment, *used);
        });
    }

    /// Puts a run into a slot (a fresh one when `slot` is `None`); returns the slot.
    pub fn place(
        &mut self,
        ctx: &Context<'_>,
        slot: Option<usize>,
        unit: usize,
        run: Arc<Run>,
    ) -> usize {
        let slot = slot.unwrap_or_else(|| {
            self.runs
                .iter()
                .position(Option::is_none)
                .unwrap_or_else(|| {
                    self.runs.push(None);
                    self.runs.len() - 1
                })
        });
        self.take(ctx, slot);
        self.count(ctx, &run.shape, 1);
        self.run_cost += run.figures.cost;
        self.runs[slot] = Some(Placed { unit, run });
        slot
    }

    /// Takes a run out of its slot.
    pub fn take(&mut self, ctx: &Context<'_>, slot: usize) -> Option<Placed> {
        let placed = self.runs[slot].take()?;
        self.count(ctx, &placed.run.shape, -1);
        self.run_cost -= placed.run.figures.cost;
        Some(placed)
    }

    /// Slot of a pinned unit like this one that feeds nothing yet.
    pub fn pinned_like(&self, unit: &Unit) -> Option<usize> {
        (0..self.units.len()).find(|&slot| {
            let like =
                |other: &Unit| other.pinned && (other.site, other.model) == (unit.site, unit.model);
            self.units[slot].as_ref().is_some_and(like) && self.runs_on(slot).next().is_none()
        })
    }

    /// Adds a unit; returns its slot. [`State::settle_units`] prices it.
    pub fn add_unit(&mut self, unit: Unit) -> usize {
        let slot = self.units.iter().position(Option::is_none);
        match slot {
            Some(slot) => {
                self.units[slot] = Some(unit);
                slot
            }
            None => {
                self.units.push(Some(unit));
                self.units.len() - 1
            }
        }
    }

    /// Drops new units without runs and works out transformers, sites and mains
    /// anew. Returns false when a site cannot carry what stands there.
    pub fn settle_units(&mut self, ctx: &Context<'_>) -> bool {
        for unit in 0..self.units.len() {
            let bought = self.units[unit].is_some_and(|unit| {
                !unit.pinned && matches!(unit.source, TransformerSource::New(_))
            });
            if bought && self.runs_on(unit).next().is_none() {
                self.units[unit] = None;
            }
        }
        let transformers: f64 = self
            .units
            .iter()
            .flatten()
            .filter(|unit| matches!(unit.source, TransformerSource::New(_)))
            .map(|unit| ctx.unit_cost(unit.model))
            .sum();
        let sites: Option<f64> = (0..ctx.job.sites.len())
            .map(|site| {
                self.site_demand(ctx, SiteId::new(site))
                    .map(|(cost, _)| cost)
            })
            .sum();
        self.unit_cost = transformers + sites.unwrap_or(0.0);
        sites.is_some()
    }

    /// The least loaded bought unit at the first site that cannot carry its units.
    pub fn unit_too_many(&self, ctx: &Context<'_>) -> Option<usize> {
        let site = (0..ctx.job.sites.len())
            .map(SiteId::new)
            .find(|&site| self.site_demand(ctx, site).is_none())?;
        let bought = |unit: &Unit| {
            unit.site == site && !unit.pinned && matches!(unit.source, TransformerSource::New(_))
        };
        (0..self.units.len())
            .filter(|&slot| self.units[slot].as_ref().is_some_and(bought))
            .min_by(|&x, &y| {
                let va = |slot| self.unit_va(ctx, slot, None);
                va(x).total_cmp(&va(y)).then(x.cmp(&y))
            })
    }

    /// Cost of a site and the further mains circuits it needs; `None` when it cannot carry its units.
    pub fn site_demand(&self, ctx: &Context<'_>, id: SiteId) -> Option<(f64, u32)> {
        let site = ctx.job.site(id);
        let here = || {
            self.units.iter().enumerate().filter_map(|(slot, unit)| {
                unit.filter(|unit| unit.site == id).map(|unit| (slot, unit))
            })
        };
        let count = here().count() as u32;
        let bought = here()
            .filter(|(_, unit)| matches!(unit.source, TransformerSource::New(_)))
            .count();
        if bought == 0 {
            return Some((0.0, 0));
        }
        let mains_va: f64 = here()
            .map(|(slot, unit)| {
                let model = ctx.job.transformer(unit.model);
                self.unit_va(ctx, slot, None) / model.efficiency + model.no_load_loss.value()
            })
            .sum();
        let cost = if bought == count as usize {
            ctx.tariff.site(id).value()
        } else {
            0.0
        };
        let fraction = ctx.job.rules.mains_fraction;
        let carries = |more: u32| {
            let (va, outlets) = site
                .further
                .map_or((0.0, 0), |further| (further.mains.value(), further.outlets));
            count <= site.outlets + more * outlets
                && mains_va <= (site.mains.value() + f64::from(more) * va) * fraction + 1e-7
        };
        let most = site.further.map_or(0, |further| further.most);
        let price = ctx
            .tariff
            .further_circuit(id)
            .map_or(0.0, crate::units::Cost::value);
        let more = (0..=most)
            .find(|&more| carries(more))
            .filter(|_| count <= site.places)?;
        Some((cost + f64::from(more) * price, more))
    }

    /// Whether the units standing at a site find outlets and wall places there.
    pub fn site_has_room(&self, ctx: &Context<'_>, id: SiteId) -> bool {
        let site = ctx.job.site(id);
        let count = self
            .units
            .iter()
            .flatten()
            .filter(|unit| unit.site == id)
            .count() as u32;
        let outlets = site.outlets
            + site
                .further
                .map_or(0, |further| further.most * further.outlets);
        count <= outlets && count <= site.places
    }

    /// VA at the terminals of a unit, present load included, one run left out.
    pub fn unit_va(&self, ctx: &Context<'_>, unit: usize, except: Option<usize>) -> f64 {
        let present = self.existing(ctx, unit).map_or(0.0, |existing| {
            existing.present_load.iter().map(|load| load.value()).sum()
        });
        present
            + self
                .runs_on(unit)
                .filter(|&(slot, _)| Some(slot) != except)
                .map(|(_, placed)| placed.run.figures.va)
                .sum::<f64>()
    }

    fn existing<'j>(&self, ctx: &Context<'j>, unit: usize) -> Option<&'j crate::job::Existing> {
        match self.units[unit]?.source {
            TransformerSource::Existing(id) => Some(ctx.job.existing_transformer(id)),
            TransformerSource::New(_) => None,
        }
    }

    /// What a secondary of a unit offers to a run, one run left out.
    pub fn supply(
        &self,
        ctx: &Context<'_>,
        unit: usize,
        secondary: usize,
        except: Option<usize>,
    ) -> Option<Supply> {
        let model = self.units[unit]?.model;
        let winding = &ctx.job.transformer(model).secondaries[secondary];
        let existing = self.existing(ctx, unit);
        let mut tap_lugs: Vec<u32> = existing.map_or_else(
            || vec![0; winding.taps.len()],
            |existing| existing.tap_lugs_used[secondary].clone(),
        );
        let mut common_lugs: Vec<u32> = existing.map_or_else(
            || vec![0; winding.commons.len()],
            |existing| existing.common_lugs_used[secondary].clone(),
        );
        // Present load is given in VA; at the lowest tap it draws most current.
        let lowest_v = winding
            .taps
            .iter()
            .map(|tap| tap.volts.value())
            .fold(f64::INFINITY, f64::min);
        let mut other_amps = existing.map_or(0.0, |existing| {
            existing.present_load[secondary].value() / lowest_v
        });
        let mut used_on_unit =
            existing.map_or(0, |existing| existing.tap_lugs_used.iter().flatten().sum());
        for (slot, placed) in self.runs_on(unit) {
            if Some(slot) == except {
                continue;
            }
            used_on_unit += 1;
            if placed.run.secondary == secondary {
                tap_lugs[placed.run.tap] += 1;
                common_lugs[placed.run.common] += 1;
                other_amps += placed.run.figures.amps;
            }
        }
        let all_taps: u32 = ctx
            .job
            .transformer(model)
            .secondaries
            .iter()
            .flat_map(|winding| &winding.taps)
            .map(|tap| tap.lugs)
            .sum();
        if used_on_unit + ctx.job.rules.spare.lugs >= all_taps {
            return None;
        }
        Some(Supply {
            model,
            secondary,
            other_va: self.unit_va(ctx, unit, except),
            other_amps,
            tap_free: winding
                .taps
                .iter()
                .zip(&tap_lugs)
                .map(|(tap, &used)| used < tap.lugs)
                .collect(),
            common_free: winding
                .commons
                .iter()
                .zip(&common_lugs)
                .map(|(common, &used)| used < common.lugs)
                .collect(),
        })
    }

    /// Whether fixtures of `zone` may hang on a secondary of a unit, one run left out.
    pub fn zone_fits(
        &self,
        ctx: &Context<'_>,
        unit: usize,
        secondary: usize,
        zone: Option<ZoneId>,
        except: Option<usize>,
    ) -> bool {
        let Some(zone) = zone else { return true };
        let whole = |zone: ZoneId| ctx.job.zone(zone).switched == Switched::Transformer;
        let existing = self.existing(ctx, unit).and_then(|existing| existing.zone);
        let others = self
            .runs_on(unit)
            .filter(|&(slot, _)| Some(slot) != except)
            .filter_map(|(_, placed)| {
                Some((zone_of(ctx, &placed.run.shape)?, placed.run.secondary))
            });
        others
            .chain(existing.map(|zone| (zone, secondary)))
            .all(|(other, place)| {
                other == zone || !(whole(zone) || whole(other) || place == secondary)
            })
    }

    /// Fixtures served.
    pub fn served(&self) -> impl Iterator<Item = FixtureId> + '_ {
        self.placed()
            .flat_map(|(_, placed)| placed.run.shape.leads.iter().map(|lead| lead.fixture))
    }
}

/// The zone of a run: that of its zoned fixtures, which never differ.
pub(crate) fn zone_of(ctx: &Context<'_>, shape: &Shape) -> Option<ZoneId> {
    shape
        .leads
        .iter()
        .find_map(|lead| ctx.fixtures[lead.fixture.index()].zone)
}
