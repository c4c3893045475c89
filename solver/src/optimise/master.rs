//! Set partitioning with trench links: the best plan that can be put together
//! from runs already evaluated.
//!
//! ```text
//! min  sum c_r x_r + sum d_e y_e + sum t_u n_u + sum s_i o_i
//! each fixture in exactly one run;
//! for each fixture f and segment e: sum of x_r over runs that cover f and pass e <= y_e;
//! per unit u: VA, amperes per secondary, lugs per tap and common, one zone per switched thing;
//! per site i: units <= outlets and places, mains VA.
//! ```
//!
//! The links per fixture and segment are much tighter than one per run: all
//! runs that cover a fixture exclude one another, so their sum is what the
//! trench must carry (the strong formulation of uncapacitated facility
//! location, J. Krarup and P. M. Pruzan, EJOR 12 (1983) 36-81, applied to
//! trenches; from memory). Figures of a run hold for the transformer load it was
//! evaluated with; the plan put together is coupled anew and judged exactly.
//! Units are those of the plans that the runs come from.

use super::guided;
use super::insert::Tools;
use super::search::{Trial, settle};
use super::state::{State, Unit, zone_of};
use crate::back_end;
use crate::ids::{FixtureId, SegmentId, SiteId};
use crate::job::Switched;
use crate::plan::TransformerSource;
use crate::run::{Context, Run, permitted_va};
use good_lp::{
    Expression, ProblemVariables, Solution as _, SolverModel, Variable, constraint, variable,
};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A unit by what it is: the `ordinal`-th of its model at its site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct UnitKey {
    site: SiteId,
    source: TransformerSource,
    ordinal: usize,
}

/// A run on a unit, a column of the programme.
struct Column {
    unit: UnitKey,
    run: Arc<Run>,
}

/// Runs worth combining: those of good plans.
#[derive(Default)]
pub(crate) struct Pool {
    columns: Vec<Column>,
    models: BTreeMap<UnitKey, Unit>,
}

/// Most columns and links the programme is built with; beyond, it would cost more than it brings.
const MOST_COLUMNS: usize = 250;
const MOST_LINKS: usize = 12_000;

/// Nodes after which the branch and bound ends with what it has.
const MOST_NODES: i32 = 20;

impl Pool {
    /// Adds every run of a plan.
    pub fn add(&mut self, state: &State) {
        let mut ordinals: BTreeMap<(SiteId, TransformerSource), usize> = BTreeMap::new();
        for (slot, unit) in state.units.iter().enumerate() {
            let Some(unit) = *unit else { continue };
            if state.runs_on(slot).next().is_none() {
                continue;
            }
            let next = ordinals.entry((unit.site, unit.source)).or_default();
            let key = UnitKey {
                site: unit.site,
                source: unit.source,
                ordinal: *next,
            };
            *next += 1;
            self.models.insert(key, unit);
            for (_, placed) in state.runs_on(slot) {
                self.add_column(key, &placed.run);
            }
        }
        // The oldest records give way.
        let excess = self.columns.len().saturating_sub(MOST_COLUMNS);
        self.columns.drain(..excess);
    }

    /// Adds the runs of another pool.
    pub fn join(&mut self, other: &Self) {
        self.models.extend(&other.models);
        // The latest records come first: they are the best.
        for column in other.columns.iter().rev() {
            if self.columns.len() >= MOST_COLUMNS {
                return;
            }
            self.add_column(column.unit, &column.run);
        }
    }

    fn add_column(&mut self, unit: UnitKey, run: &Arc<Run>) {
        let known = |column: &Column| {
            column.unit == unit
                && (Arc::ptr_eq(&column.run, run)
                    || (column.run.secondary == run.secondary
                        && column.run.tap == run.tap
                        && column.run.shape == run.shape))
        };
        if !self.columns.iter().any(known) {
            self.columns.push(Column {
                unit,
                run: Arc::clone(run),
            });
        }
    }

    /// The best plan that the runs make together, if one is found that holds.
    pub fn combine(
        &self,
        ctx: &Context<'_>,
        incumbent: &Trial,
        tools: &mut Tools,
    ) -> Option<Trial> {
        let chosen = Programme::new(ctx, self)?.solve(incumbent.state.cost())?;
        let served = chosen
            .iter()
            .flat_map(|&index| &self.columns[index].run.shape.leads)
            .map(|lead| lead.fixture);
        // The solver's word is not taken for it: what it chose is counted before it is used.
        if !each_once(ctx.job.fixtures.len(), served) {
            return None;
        }
        let mut state = State::empty(ctx);
        let mut slots: BTreeMap<UnitKey, usize> = BTreeMap::new();
        for column in chosen.into_iter().map(|index| &self.columns[index]) {
            let unit = self.models[&column.unit];
            let slot = *slots
                .entry(column.unit)
                .or_insert_with(|| match unit.source {
                    TransformerSource::Existing(id) => id.index(),
                    TransformerSource::New(_) => state
                        .pinned_like(&unit)
                        .unwrap_or_else(|| state.add_unit(unit)),
                });
            state.place(ctx, None, slot, Arc::clone(&column.run));
        }
        let mut trial = Trial {
            state,
            unserved: Vec::new(),
        };
        let holds = settle(ctx, &mut trial, tools)
            && trial.unserved.is_empty()
            && guided::holds(ctx, &trial.state);
        holds.then_some(trial)
    }
}

/// Whether every one of `count` fixtures is served, and none twice.
fn each_once(count: usize, served: impl Iterator<Item = FixtureId>) -> bool {
    let mut seen = vec![false; count];
    let mut fixtures = 0;
    for fixture in served {
        if std::mem::replace(&mut seen[fixture.index()], true) {
            return false;
        }
        fixtures += 1;
    }
    fixtures == count
}

/// Segments that a run passes, each once.
fn segments_of(run: &Run) -> BTreeSet<SegmentId> {
    let pieces = run
        .shape
        .joints
        .iter()
        .flat_map(|joint| &joint.incoming.route.segments);
    let leads = run.shape.leads.iter().flat_map(|lead| &lead.route.segments);
    pieces.chain(leads).copied().collect()
}

/// The integer programme over a pool.
struct Programme {
    variables: ProblemVariables,
    runs: Vec<Variable>,
    objective: Expression,
    rows: Vec<good_lp::Constraint>,
}

impl Programme {
    fn new(ctx: &Context<'_>, pool: &Pool) -> Option<Self> {
        let mut variables = ProblemVariables::new();
        let runs: Vec<Variable> = pool
            .columns
            .iter()
            .map(|_| variables.add(variable().binary()))
            .collect();
        let objective = pool
            .columns
            .iter()
            .zip(&runs)
            .map(|(column, &x)| column.run.figures.cost * x)
            .sum::<Expression>();
        let mut this = Self {
            variables,
            runs,
            objective,
            rows: Vec::new(),
        };
        this.cover(ctx, pool)?;
        this.link_trenches(ctx, pool)?;
        this.units(ctx, pool);
        Some(this)
    }

    fn cover(&mut self, ctx: &Context<'_>, pool: &Pool) -> Option<()> {
        let mut serving = vec![Vec::new(); ctx.fixtures.len()];
        for (column, &x) in pool.columns.iter().zip(&self.runs) {
            for lead in &column.run.shape.leads {
                serving[lead.fixture.index()].push(x);
            }
        }
        for serving in serving {
            if serving.is_empty() {
                return None;
            }
            let covered: Expression = serving.into_iter().sum();
            self.rows.push(constraint!(covered == 1));
        }
        Some(())
    }

    fn link_trenches(&mut self, ctx: &Context<'_>, pool: &Pool) -> Option<()> {
        let mut links: BTreeMap<(SegmentId, u32), Vec<usize>> = BTreeMap::new();
        for (index, column) in pool.columns.iter().enumerate() {
            for segment in segments_of(&column.run) {
                for lead in &column.run.shape.leads {
                    links
                        .entry((segment, lead.fixture.0))
                        .or_default()
                        .push(index);
                }
            }
        }
        if links.len() > MOST_LINKS {
            return None;
        }
        let mut open: BTreeMap<SegmentId, Variable> = BTreeMap::new();
        for &(segment, _) in links.keys() {
            open.entry(segment)
                .or_insert_with(|| self.variables.add(variable().min(0).max(1)));
        }
        let mut seen: BTreeSet<(SegmentId, Vec<usize>)> = BTreeSet::new();
        for ((segment, _), runs) in links {
            // Fixtures that travel together in every run give the same row.
            let used: Expression = runs.iter().map(|&index| self.runs[index]).sum();
            if seen.insert((segment, runs)) {
                self.rows.push(constraint!(used <= open[&segment]));
            }
        }
        for (&segment, &y) in &open {
            self.objective += ctx.opening[segment.index()] * y;
        }
        Some(())
    }

    fn units(&mut self, ctx: &Context<'_>, pool: &Pool) {
        let mut site_units: BTreeMap<SiteId, Vec<Variable>> = BTreeMap::new();
        for (&key, unit) in &pool.models {
            let n = self.variables.add(variable().binary());
            let on: Vec<(&Column, Variable)> = pool
                .columns
                .iter()
                .zip(self.runs.iter().copied())
                .filter(|(column, _)| column.unit == key)
                .collect();
            self.limits(ctx, unit, n, &on);
            self.zones(ctx, &on);
            if matches!(unit.source, TransformerSource::New(_)) {
                self.objective += ctx.unit_cost(unit.model) * n;
                site_units.entry(unit.site).or_default().push(n);
            }
        }
        for (id, units) in site_units {
            let site = ctx.job.site(id);
            let outlets = site.outlets
                + site
                    .further
                    .map_or(0, |further| further.most * further.outlets);
            let standing = ctx
                .job
                .existing
                .iter()
                .filter(|existing| existing.site == id)
                .count() as u32;
            let most = outlets.min(site.places).saturating_sub(standing);
            if standing == 0 {
                let opened = self.variables.add(variable().min(0).max(1));
                self.objective += ctx.tariff.site(id).value() * opened;
                for &n in &units {
                    self.rows.push(constraint!(n <= opened));
                }
            }
            let count: Expression = units.into_iter().sum();
            self.rows.push(constraint!(count <= f64::from(most)));
        }
    }

    /// VA, amperes and lugs of one unit.
    fn limits(&mut self, ctx: &Context<'_>, unit: &Unit, n: Variable, on: &[(&Column, Variable)]) {
        let sum = |weight: &dyn Fn(&Run) -> f64| {
            on.iter()
                .map(|(column, x)| weight(&column.run) * *x)
                .sum::<Expression>()
        };
        // Present load of an existing unit is left to the exact coupling afterwards.
        let va = sum(&|run| run.figures.va);
        self.rows
            .push(constraint!(va <= permitted_va(ctx, unit.model) * n));
        for (index, secondary) in ctx
            .job
            .transformer(unit.model)
            .secondaries
            .iter()
            .enumerate()
        {
            let here = |run: &Run| run.secondary == index;
            let limit = (secondary.continuous_limit() - ctx.job.rules.spare.current).value();
            let amps = sum(&|run| if here(run) { run.figures.amps } else { 0.0 });
            self.rows.push(constraint!(amps <= limit * n));
            for (tap, details) in secondary.taps.iter().enumerate() {
                let lugs = sum(&|run| f64::from(u8::from(here(run) && run.tap == tap)));
                self.rows
                    .push(constraint!(lugs <= f64::from(details.lugs) * n));
            }
            for (common, details) in secondary.commons.iter().enumerate() {
                let lugs = sum(&|run| f64::from(u8::from(here(run) && run.common == common)));
                self.rows
                    .push(constraint!(lugs <= f64::from(details.lugs) * n));
            }
        }
    }

    /// Zones that must not share a switched thing.
    fn zones(&mut self, ctx: &Context<'_>, on: &[(&Column, Variable)]) {
        let zoned: Vec<_> = on
            .iter()
            .filter_map(|(column, x)| {
                zone_of(ctx, &column.run.shape).map(|zone| (zone, column.run.secondary, *x))
            })
            .collect();
        let kinds: BTreeSet<_> = zoned
            .iter()
            .map(|&(zone, secondary, _)| (zone, secondary))
            .collect();
        let mut present = BTreeMap::new();
        for &(zone, secondary) in &kinds {
            let u = self.variables.add(variable().binary());
            present.insert((zone, secondary), u);
            for &(_, _, x) in zoned
                .iter()
                .filter(|&&(z, s, _)| (z, s) == (zone, secondary))
            {
                self.rows.push(constraint!(x <= u));
            }
        }
        let whole = |zone| ctx.job.zone(zone).switched == Switched::Transformer;
        for &(zone, secondary) in &kinds {
            for &(other, place) in kinds.iter().filter(|&&other| other > (zone, secondary)) {
                if zone != other && (whole(zone) || whole(other) || secondary == place) {
                    self.rows.push(constraint!(
                        present[&(zone, secondary)] + present[&(other, place)] <= 1
                    ));
                }
            }
        }
    }

    /// Positions of the runs chosen, when the programme finds a plan cheaper than `incumbent`.
    fn solve(self, incumbent: f64) -> Option<Vec<usize>> {
        let Self {
            variables,
            runs,
            objective,
            rows,
        } = self;
        let mut model = back_end::repeatable(variables, objective)
            .set_option("mip_max_nodes", MOST_NODES)
            .set_option("mip_rel_gap", 1e-6)
            .set_option("objective_bound", incumbent);
        for row in rows {
            model.add_constraint(row);
        }
        let solution = back_end::solve(model).ok()?;
        let chosen = runs
            .iter()
            .enumerate()
            .filter(|&(_, &x)| solution.value(x) > 0.5)
            .map(|(index, _)| index);
        Some(chosen.collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a solver that fails silently, or is wrong, may hand back.
    #[test]
    fn a_choice_that_misses_a_fixture_or_serves_one_twice_is_not_believed() {
        let each = |served: &[u32]| each_once(3, served.iter().map(|&id| FixtureId(id)));
        assert!(each(&[2, 0, 1]));
        assert!(!each(&[]));
        assert!(!each(&[0, 1]));
        assert!(!each(&[0, 1, 1]));
        assert!(!each(&[0, 1, 2, 0]));
    }
}
