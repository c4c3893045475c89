//! Garden-like jobs: beds of fixtures joined by an irregular net of possible trenches.

use crate::jobs;
use crate::tiny::Dice;
use duskwright_solver::ids::{ModelId, SurfaceId};
use duskwright_solver::job::{Job, Layout, Slack, Window};
use duskwright_solver::optimise::bound::{Bound, BoundWork, How, lower_bound};
use duskwright_solver::optimise::{Effort, Observer, Progress, Settings, Silent};
use duskwright_solver::solve::{self, Outcome};
use duskwright_solver::units::{Cost, Metres, Volts};

/// Positions of nodes, m, and segments with their lengths, m.
type Net = (Vec<(f64, f64)>, Vec<(usize, usize, f64)>);

/// Points in beds; each joined to its three nearest, and the beds to one another.
fn net(dice: &mut Dice, nodes: usize, side_m: f64) -> Net {
    let beds: Vec<(f64, f64)> = (0..nodes.div_ceil(12))
        .map(|_| (dice.within(0.0, side_m), dice.within(0.0, side_m)))
        .collect();
    let points: Vec<(f64, f64)> = (0..nodes)
        .map(|_| {
            let bed = beds[dice.below(beds.len())];
            (
                bed.0 + dice.within(-9.0, 9.0),
                bed.1 + dice.within(-9.0, 9.0),
            )
        })
        .collect();
    let metres = |a: usize, b: usize| {
        (points[a].0 - points[b].0)
            .hypot(points[a].1 - points[b].1)
            .max(0.5)
    };
    let mut edges: Vec<(usize, usize, f64)> = Vec::new();
    let add = |edges: &mut Vec<(usize, usize, f64)>, a: usize, b: usize| {
        let (a, b) = (a.min(b), a.max(b));
        if a != b && !edges.iter().any(|edge| (edge.0, edge.1) == (a, b)) {
            edges.push((a, b, (metres(a, b) * 10.0).ceil() / 10.0));
        }
    };
    for a in 0..nodes {
        let mut near: Vec<usize> = (0..nodes).filter(|&b| b != a).collect();
        near.sort_by(|&x, &y| metres(a, x).total_cmp(&metres(a, y)));
        near.iter().take(3).for_each(|&b| add(&mut edges, a, b));
    }
    // Prim's tree joins the beds.
    let mut inside = vec![0];
    while inside.len() < nodes {
        let (a, b) = inside
            .iter()
            .flat_map(|&a| (0..nodes).map(move |b| (a, b)))
            .filter(|(_, b)| !inside.contains(b))
            .min_by(|x, y| metres(x.0, x.1).total_cmp(&metres(y.0, y.1)))
            .expect("some node is outside");
        add(&mut edges, a, b);
        inside.push(b);
    }
    (points, edges)
}

/// A job with so many fixtures; every second node holds one.
pub fn job(fixtures: usize, seed: u64, binding: bool) -> Job {
    let dice = &mut Dice::new(seed);
    let nodes = 2 * fixtures + 2;
    let (_, edges) = net(dice, nodes, 12.0 * (nodes as f64).sqrt());
    let at: Vec<usize> = (0..fixtures).map(|f| 2 * f + 1).collect();
    let mut job = jobs::job(nodes, &edges, 0, &at);
    job.surfaces = vec![jobs::surface(6.0), jobs::surface(9.0), jobs::surface(30.0)];
    for segment in &mut job.segments {
        segment.surface = SurfaceId::new(dice.pick(&[0, 0, 0, 1, 1, 2]));
    }
    job.cables = vec![
        jobs::cable("16 AWG", 1.31, 0.0134, 0.8),
        jobs::cable("12 AWG", 3.31, 0.0053, 1.9),
        jobs::cable("10 AWG", 5.26, 0.0033, 3.0),
    ];
    job.models = [4.0, 7.0, 12.0].map(jobs::model).to_vec();
    for model in &mut job.models {
        let low = if binding { 11.0 } else { 9.0 };
        model.window = Window::new(Volts::new(low), Volts::new(15.5)).expect("lawful");
        model.lead = Some(jobs::lead(dice.pick(&[1.5, 7.5])));
    }
    for fixture in &mut job.fixtures {
        fixture.model = ModelId::new(dice.below(3));
    }
    job.joints = vec![jobs::splice(6.0, 3), jobs::splice(9.0, 5)];
    job.hubs = vec![jobs::hub(24.0, 8)];
    job.transformers = vec![
        jobs::transformer(150.0, 160.0),
        jobs::transformer(300.0, 240.0),
        jobs::transformer(600.0, 390.0),
    ];
    for model in &mut job.transformers {
        model.secondaries = vec![jobs::secondary(if binding { 13.0 } else { 15.0 }, 6)];
        if model.rated.value() > 500.0 {
            model.secondaries.push(model.secondaries[0].clone());
        }
    }
    job.sites.push(jobs::site(nodes / 2));
    job.sites[1].cost = jobs::money(60.0);
    job.rates.waste = jobs::ratio(0.1);
    job.rates.slack = Slack {
        transformer: Metres::new(1.0),
        fixture: Metres::new(0.3),
        hub: Metres::new(0.3),
        splice: Metres::new(0.3),
    };
    job.rules.margins.low = Volts::new(0.5);
    job.rules.loading_limit = 0.8;
    job.rules.length_growth = 1.05;
    job
}

/// A caller who asks to stop at the first occasion.
struct Impatient;

impl Observer for Impatient {
    fn progress(&self, _progress: Progress) {}
    fn should_stop(&self) -> bool {
        true
    }
}

fn bound(job: &Job, plan: Option<Cost>, steps: u32, observer: &dyn Observer) -> Bound {
    lower_bound(
        job,
        Layout::Mixed,
        plan,
        BoundWork::for_steps(job, steps),
        observer,
    )
}

#[test]
fn the_same_work_gives_the_same_bound_and_a_stopped_one_is_no_higher() {
    let job = job(30, 7, true);
    let once = bound(&job, None, 200, &Silent);
    let again = bound(&job, None, 200, &Silent);
    assert_eq!(once, again);
    let stopped = bound(&job, None, 200, &Impatient);
    assert!(matches!(stopped.how, How::Stopped { .. }));
    assert!(
        stopped.value.value() > 0.5 * once.value.value(),
        "dual ascent alone is a good bound"
    );
    assert!(stopped.value.value() <= once.value.value());
}

#[test]
fn plans_found_for_gardens_cost_no_less_than_the_bound() {
    for (seed, binding) in [(7, false), (8, true)] {
        let job = job(12, seed, binding);
        let settings = Settings {
            effort: Effort::Quick,
            layout: Layout::Mixed,
            seed: 1,
        };
        let Outcome::Feasible(found) = solve::plan(&job, &settings, &Silent) else {
            panic!("seed {seed}: the search found no plan");
        };
        let cost = found.cost.total();
        let bound = bound(&job, Some(cost), 600, &Silent);
        let gap = 100.0 * (cost.value() - bound.value.value()) / cost.value();
        println!(
            "seed {seed}, binding {binding}: cost {cost}, bound {}, gap {gap:.2} %",
            bound.value
        );
        assert!(
            bound.value.value() <= cost.value(),
            "seed {seed}: bound above a plan"
        );
    }
}
