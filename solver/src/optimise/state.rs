//! A complete or partial plan as the search holds it: units, runs, cables per
//! segment, and the exact direct cost.
//!
//! Runs are shared and never changed in place, so that a copy of the state is a
//! few pointer copies: a trial that fails is dropped whole.

mod sites;

use super::regions::Closed;
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
    /// What must stay as it is; `None` when everything may change.
    pub closed: Option<Arc<Closed>>,
    /// Sites where nothing may be bought; `None` when it may anywhere.
    pub shut: Option<Arc<[bool]>>,
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
            let known = ctx.job.cables.get(joint.incoming.cable.index());
            known.map_or(0.0, |cable| cable.outer.value())
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
            closed: None,
            shut: None,
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

    /// Whether a unit and its runs must stay as they are.
    pub fn is_closed(&self, unit: usize) -> bool {
        self.closed
            .as_ref()
            .is_some_and(|closed| closed.units.get(unit).copied().unwrap_or(false))
    }

    /// The runs that may change.
    pub fn open(&self) -> impl Iterator<Item = (usize, &Placed)> {
        self.placed()
            .filter(|(_, placed)| !self.is_closed(placed.unit))
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

    /// Counts the trenches of a shape as passed, though no run of it stands.
    pub fn hold_trenches(&mut self, ctx: &Context<'_>, shape: &Shape) {
        self.count(ctx, shape, 1);
    }

    /// Ends what [`Self::hold_trenches`] began.
    pub fn let_trenches_go(&mut self, ctx: &Context<'_>, shape: &Shape) {
        self.count(ctx, shape, -1);
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

    /// Fixtures served by runs that may change.
    pub fn served(&self) -> impl Iterator<Item = FixtureId> + '_ {
        self.open()
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
