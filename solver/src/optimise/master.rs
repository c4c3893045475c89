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

use super::pool::{Column, UnitKey};
use super::state::{Unit, zone_of};
use crate::back_end;
use crate::ids::{FixtureId, SegmentId, SiteId};
use crate::job::Switched;
use crate::plan::TransformerSource;
use crate::run::{Context, Run, permitted_va};
use good_lp::{
    Expression, ProblemVariables, Solution as _, SolverModel, Variable, constraint, variable,
};
use std::collections::{BTreeMap, BTreeSet};

/// Nodes after which the branch and bound ends with what it has.
const MOST_NODES: i32 = 20;

/// The integer programme over a pool.
pub(super) struct Programme {
    variables: ProblemVariables,
    runs: Vec<Variable>,
    objective: Expression,
    rows: Vec<good_lp::Constraint>,
}

impl Programme {
    /// `None` when a fixture is in no column.
    pub fn new(
        ctx: &Context<'_>,
        columns: &[Column],
        models: &BTreeMap<UnitKey, Unit>,
    ) -> Option<Self> {
        let mut variables = ProblemVariables::new();
        let runs: Vec<Variable> = columns
            .iter()
            .map(|_| variables.add(variable().binary()))
            .collect();
        let objective = columns
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
        this.cover(ctx, columns)?;
        this.link_trenches(ctx, columns);
        this.units(ctx, columns, models);
        Some(this)
    }

    fn cover(&mut self, ctx: &Context<'_>, columns: &[Column]) -> Option<()> {
        let mut serving = vec![Vec::new(); ctx.fixtures.len()];
        for (column, &x) in columns.iter().zip(&self.runs) {
            for fixture in &column.kind.fixtures {
                serving[fixture.index()].push(x);
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

    fn link_trenches(&mut self, ctx: &Context<'_>, columns: &[Column]) {
        let mut links: BTreeMap<(SegmentId, FixtureId), Vec<usize>> = BTreeMap::new();
        for (index, column) in columns.iter().enumerate() {
            for &segment in &column.kind.trenches {
                for &fixture in &column.kind.fixtures {
                    links.entry((segment, fixture)).or_default().push(index);
                }
            }
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
    }

    fn units(&mut self, ctx: &Context<'_>, columns: &[Column], models: &BTreeMap<UnitKey, Unit>) {
        let mut site_units: BTreeMap<SiteId, Vec<Variable>> = BTreeMap::new();
        for (&key, unit) in models {
            let on: Vec<(&Column, Variable)> = columns
                .iter()
                .zip(self.runs.iter().copied())
                .filter(|(column, _)| column.kind.unit == key)
                .collect();
            if on.is_empty() {
                continue;
            }
            let n = self.variables.add(variable().binary());
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
    pub fn solve(self, incumbent: f64) -> Option<Vec<usize>> {
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
