//! Direct cost of a plan, line by line, by the checker's own sums.
//!
//! Lengths are gathered per surface and per cable first and priced in the
//! job's length unit: another order of arithmetic than pricing piece by piece.

use super::figures::{CostKind, CostLine, Figures};
use super::measure::{piece_m, unit_m};
use super::site_rules::{beyond_limit, further_bought, occupancy};
use crate::ids::{JointId, SiteId};
use crate::job::{Job, Objective, SurfaceWork};
use crate::plan::{JointHardware, Plan, TransformerSource};
use crate::units::Cost;

struct Ledger<'a> {
    job: &'a Job,
    lines: Vec<CostLine>,
}

impl Ledger<'_> {
    fn labour(&self, hours: f64) -> f64 {
        self.job.rates.labour.cost().value() * hours
    }
    fn work(&self, work: &SurfaceWork, metres: f64) -> f64 {
        let units = metres / unit_m(self.job.units);
        self.labour(work.hours_per_unit * units) + work.money_per_unit.cost().value() * units
    }
    fn enter(&mut self, kind: CostKind, tag: &str, quantity: f64, cost: f64) {
        if quantity != 0.0 || cost != 0.0 {
            self.lines.push(CostLine {
                kind,
                tag: tag.to_owned(),
                quantity,
                cost: Cost::new(cost),
            });
        }
    }
}

/// Every line of the direct cost.
pub(super) fn lines(job: &Job, plan: &Plan) -> Vec<CostLine> {
    let mut ledger = Ledger {
        job,
        lines: Vec::new(),
    };
    trenches(&mut ledger, plan);
    pieces(&mut ledger, plan);
    hardware(&mut ledger, plan);
    transformers(&mut ledger, plan);
    sites(&mut ledger, plan);
    ledger.lines
}

/// Present value of losses and energy, when the objective counts it: the energy of
/// each year on its own, discounted to today.
pub(super) fn energy(job: &Job, plan: &Plan, figures: &Figures) -> Option<CostLine> {
    let Objective::WithLosses(terms) = job.objective else {
        return None;
    };
    let mut watts = 0.0;
    for (placed, solved) in plan.transformers.iter().zip(&figures.transformers) {
        let model = job.transformer(placed.model(job));
        watts += solved.expected_real?.value() / model.efficiency;
        if matches!(placed.source, TransformerSource::New(_)) {
            watts += model.no_load_loss.value();
        }
    }
    let kwh_a_year = watts * terms.hours_per_year.value() / 1000.0;
    let price = terms.price_per_kwh.cost().value();
    let (mut years_left, mut worth, mut cost) = (terms.years, 1.0, 0.0);
    while years_left > 0.0 {
        worth /= 1.0 + terms.discount.value();
        cost += kwh_a_year * price * worth * years_left.min(1.0);
        years_left -= 1.0;
    }
    Some(CostLine {
        kind: CostKind::Losses,
        tag: String::new(),
        quantity: watts,
        cost: Cost::new(cost),
    })
}

fn trenches(ledger: &mut Ledger<'_>, plan: &Plan) {
    let job = ledger.job;
    let mut metres = vec![0.0; job.surfaces.len()];
    let mut cost = vec![0.0; job.surfaces.len()];
    for (segment, occupied) in job.segments.iter().zip(occupancy(job, plan)) {
        if occupied.cables == 0 {
            continue;
        }
        let (at, length) = (segment.surface.index(), segment.length.value());
        let surface = job.surface(segment.surface);
        metres[at] += length;
        cost[at] += ledger.work(&surface.open, length) + surface.open_fixed.cost().value();
        if let Some(wider) = &surface.beyond_limit
            && beyond_limit(segment, occupied)
        {
            cost[at] += ledger.work(wider, length);
        }
    }
    for (at, surface) in job.surfaces.iter().enumerate() {
        ledger.enter(CostKind::Trench, &surface.tag, metres[at], cost[at]);
    }
}

fn pieces(ledger: &mut Ledger<'_>, plan: &Plan) {
    let job = ledger.job;
    let mut along = vec![0.0; job.surfaces.len()];
    let mut bought = vec![0.0; job.cables.len()];
    for circuit in &plan.circuits {
        for (at, joint) in circuit.joints.iter().enumerate() {
            for &id in &joint.incoming.route.segments {
                let segment = job.segment(id);
                along[segment.surface.index()] += segment.length.value();
            }
            let length = piece_m(job, plan, circuit, JointId::new(at));
            bought[joint.incoming.cable.index()] += length;
        }
    }
    for (surface, metres) in job.surfaces.iter().zip(along) {
        let cost = ledger.work(&surface.per_cable, metres);
        ledger.enter(CostKind::PerCable, &surface.tag, metres, cost);
    }
    let waste = 1.0 + job.rates.waste.value();
    for (cable, metres) in job.cables.iter().zip(bought) {
        let price = cable
            .price
            .map_or(0.0, |price| price.per_unit.cost().value());
        let cost = metres / unit_m(job.units) * price * waste;
        ledger.enter(CostKind::Cable, &cable.tag, metres, cost);
    }
}

fn hardware(ledger: &mut Ledger<'_>, plan: &Plan) {
    let job = ledger.job;
    let mut splices = vec![0.0; job.joints.len()];
    let mut hubs = vec![0.0; job.hubs.len()];
    for joint in plan.circuits.iter().flat_map(|circuit| &circuit.joints) {
        match joint.hardware {
            JointHardware::Splice(kind) => splices[kind.index()] += 1.0,
            JointHardware::Hub(kind) => hubs[kind.index()] += 1.0,
        }
    }
    for (kind, count) in job.joints.iter().zip(splices) {
        let each = kind.price.cost().value() + ledger.labour(kind.hours.value());
        ledger.enter(CostKind::Joints, &kind.tag, count, count * each);
    }
    for (kind, count) in job.hubs.iter().zip(hubs) {
        let each = kind.price.cost().value() + ledger.labour(kind.hours.value());
        ledger.enter(CostKind::Hubs, &kind.tag, count, count * each);
    }
}

fn transformers(ledger: &mut Ledger<'_>, plan: &Plan) {
    let job = ledger.job;
    let mut counts = vec![0.0; job.transformers.len()];
    for placed in &plan.transformers {
        if let TransformerSource::New(model) = placed.source {
            counts[model.index()] += 1.0;
        }
    }
    for (model, count) in job.transformers.iter().zip(counts) {
        let each = model.price.cost().value() + ledger.labour(model.hours.value());
        ledger.enter(CostKind::Transformers, &model.tag, count, count * each);
    }
}

fn sites(ledger: &mut Ledger<'_>, plan: &Plan) {
    let job = ledger.job;
    for (index, site) in job.sites.iter().enumerate() {
        let id = SiteId::new(index);
        let stands = job.existing.iter().any(|existing| existing.site == id);
        let opened = plan
            .transformers
            .iter()
            .any(|placed| placed.site == id && matches!(placed.source, TransformerSource::New(_)));
        if opened && !stands {
            ledger.enter(CostKind::Sites, &site.tag, 1.0, site.cost.cost().value());
        }
        let bought = f64::from(further_bought(plan, id));
        let price = site
            .further
            .map_or(0.0, |further| further.price.cost().value());
        ledger.enter(CostKind::Sites, &site.tag, bought, bought * price);
    }
}
