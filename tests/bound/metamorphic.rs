//! What must not change, or only one way, when a job is changed: on tiny jobs, which the
//! search solves to optimality (the judge confirms it).

use crate::judge::{self, Verdict};
use crate::{jobs, tiny};
use duskwright_solver::ids::NodeId;
use duskwright_solver::job::{Job, Layout, Node, Window};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::solve::{self, Outcome};
use duskwright_solver::units::{Metres, Money, Volts};
use rust_decimal::Decimal;

/// Jobs tried with each change.
const SEEDS: u64 = 12;
/// Rounding of sums of prices.
const ROUNDING: f64 = 1e-6;

/// Cost of the plan found.
fn cost(job: &Job) -> Option<f64> {
    let settings = Settings {
        effort: Effort::Quick,
        layout: Layout::Mixed,
        seed: 1,
    };
    match solve::plan(job, &settings, &Silent) {
        Outcome::Feasible(found) => Some(found.cost.total().value()),
        _ => None,
    }
}

/// Tiny jobs with a plan that no other undercuts, and its cost.
fn solved() -> impl Iterator<Item = (u64, Job, f64)> {
    (0..SEEDS).filter_map(|seed| {
        let job = tiny::job(seed);
        let cost = cost(&job)?;
        let optimal = judge::cheapest_below(&job, cost - ROUNDING) == Verdict::NoneBelow;
        optimal.then_some((seed, job, cost))
    })
}

#[test]
fn tiny_jobs_are_solved_to_optimality() {
    let (mut plans, mut optimal) = (0, 0);
    for seed in 0..SEEDS {
        let job = tiny::job(seed);
        let Some(cost) = cost(&job) else { continue };
        match judge::cheapest_below(&job, cost - ROUNDING) {
            Verdict::NoneBelow => {
                plans += 1;
                optimal += 1;
            }
            // The judge leaves out the high case: what it finds need not be lawful.
            Verdict::Cheapest(below) => {
                plans += 1;
                println!("seed {seed}: {cost}, the judge has {below}");
            }
            Verdict::GaveUp => {}
        }
    }
    assert!(
        plans >= 6 && optimal * 10 >= plans * 8,
        "{optimal} of {plans}"
    );
}

/// Whether a change ever raises the least cost.
fn never_dearer(what: &str, change: impl Fn(&mut Job)) {
    let mut tried = 0;
    for (seed, mut job, before) in solved() {
        change(&mut job);
        let after = cost(&job).unwrap_or(f64::INFINITY);
        assert!(
            after <= before + ROUNDING,
            "{what}, seed {seed}: {before} became {after}"
        );
        tried += 1;
    }
    assert!(tried >= 5, "{what}: only {tried} jobs");
}

fn same_cost(what: &str, change: impl Fn(&mut Job)) {
    let mut tried = 0;
    for (seed, mut job, before) in solved() {
        change(&mut job);
        let after = cost(&job).unwrap_or(f64::INFINITY);
        assert!(
            (after - before).abs() <= ROUNDING,
            "{what}, seed {seed}: {before} became {after}"
        );
        tried += 1;
    }
    assert!(tried >= 5, "{what}: only {tried} jobs");
}

fn scaled(money: Money, factor: Decimal) -> Money {
    Money::new(money.decimal() * factor)
}

#[test]
fn a_cheaper_cable_more_never_costs() {
    never_dearer("a cheaper cable", |job| {
        let mut cheaper = job.cables[1].clone();
        cheaper.tag = "cheaper".to_owned();
        if let Some(price) = &mut cheaper.price {
            price.per_unit = scaled(price.per_unit, Decimal::new(9, 1));
        }
        job.cables.push(cheaper);
    });
}

#[test]
fn a_wider_window_never_costs() {
    never_dearer("a wider window", |job| {
        for model in &mut job.models {
            let (low, high) = (model.window.min().value(), model.window.max().value());
            let wider = Window::new(Volts::new(0.9 * low), Volts::new(1.1 * high));
            model.window = wider.expect("the low end stays below the high end");
        }
    });
}

#[test]
fn a_site_more_never_costs() {
    never_dearer("a site more", |job| {
        let at = (job.sites[0].node.index() + 1) % job.nodes.len();
        let mut further = jobs::site(at);
        further.tag = "further".to_owned();
        if job.sites.iter().all(|site| site.node != further.node) {
            job.sites.push(further);
        }
    });
}

#[test]
fn cheaper_digging_never_costs() {
    never_dearer("cheaper digging", |job| {
        for surface in &mut job.surfaces {
            surface.open.money_per_unit = scaled(surface.open.money_per_unit, Decimal::new(5, 1));
            surface.open.hours_per_unit *= 0.5;
        }
    });
}

#[test]
fn other_names_change_nothing() {
    same_cost("other names", |job| {
        for (at, node) in job.nodes.iter_mut().enumerate() {
            node.tag = format!("place {}", 1000 - at);
        }
        for (at, fixture) in job.fixtures.iter_mut().enumerate() {
            fixture.tag = format!("lamp {}", 1000 - at);
        }
        for (at, cable) in job.cables.iter_mut().enumerate() {
            cable.tag = format!("wire {}", 1000 - at);
        }
    });
}

#[test]
fn the_direction_in_which_paths_are_written_changes_nothing() {
    same_cost("paths turned round", |job| {
        for segment in &mut job.segments {
            std::mem::swap(&mut segment.a, &mut segment.b);
        }
    });
}

#[test]
fn another_order_of_the_tables_changes_nothing() {
    same_cost("another order", |job| {
        job.segments.reverse();
        job.fixtures.reverse();
    });
}

/// A path in two halves with a node between that takes no joint: the same trench, where opening it has
/// no fixed price.
#[test]
fn a_path_in_two_halves_changes_nothing() {
    same_cost("a path in two halves", |job| {
        for surface in &mut job.surfaces {
            if surface.open_fixed != Money::ZERO {
                return;
            }
        }
        let middle = NodeId::new(job.nodes.len());
        job.nodes.push(Node {
            tag: "middle".to_owned(),
            at: None,
            rise: Metres::new(0.0),
            joint_allowed: false,
            water: None,
        });
        let mut second = job.segments[0].clone();
        let half = Metres::new(0.5 * second.length.value());
        let first = &mut job.segments[0];
        first.b = middle;
        first.length = half;
        second.a = middle;
        second.length = half;
        job.segments.push(second);
    });
}

#[test]
fn prices_three_times_as_high_make_the_cost_three_times_as_high() {
    let factor = Decimal::from(3);
    let mut tried = 0;
    for (seed, mut job, before) in solved() {
        dearer(&mut job, factor);
        let after = cost(&job).unwrap_or(f64::INFINITY);
        let wanted = 3.0 * before;
        assert!(
            (after - wanted).abs() <= 1e-9 * wanted + ROUNDING,
            "seed {seed}: {wanted} became {after}"
        );
        tried += 1;
    }
    assert!(tried >= 5, "only {tried} jobs");
}

/// Every price of a job times `factor`.
fn dearer(job: &mut Job, factor: Decimal) {
    let times = |money: &mut Money| *money = scaled(*money, factor);
    times(&mut job.rates.labour);
    for surface in &mut job.surfaces {
        times(&mut surface.open.money_per_unit);
        times(&mut surface.open_fixed);
        times(&mut surface.per_cable.money_per_unit);
        if let Some(beyond) = &mut surface.beyond_limit {
            times(&mut beyond.money_per_unit);
        }
    }
    for cable in &mut job.cables {
        if let Some(price) = &mut cable.price {
            times(&mut price.per_unit);
        }
        for spool in &mut cable.spools {
            times(&mut spool.price);
        }
    }
    for joint in &mut job.joints {
        times(&mut joint.price);
    }
    for hub in &mut job.hubs {
        times(&mut hub.price);
    }
    for transformer in &mut job.transformers {
        times(&mut transformer.price);
    }
    for site in &mut job.sites {
        times(&mut site.cost);
        if let Some(further) = &mut site.further {
            times(&mut further.price);
        }
    }
}
