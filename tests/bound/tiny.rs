//! Random tiny jobs with every feature of the wiring model that the bound looks at.

use crate::jobs;
use duskwright_solver::ids::{
    ExistingId, ModelId, NodeId, SiteId, SurfaceId, TransformerModelId, ZoneId,
};
use duskwright_solver::job::{
    Existing, FurtherCircuit, Job, LoadExponent, Objective, Remnant, Slack, Spool, SurfaceWork,
    Switched, Window, Zone,
};
use duskwright_solver::units::{Amperes, GridSteps, Metres, VoltAmperes, Volts};

/// SplitMix64 (S. Vigna, public domain reference): a small repeatable generator.
pub struct Dice(u64);

impl Dice {
    pub const fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }
    pub const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count as u64).expect("below a usize")
    }
    /// Uniform in a range.
    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// True with a chance of one in `odds`.
    pub fn one_in(&mut self, odds: usize) -> bool {
        self.below(odds) == 0
    }
    /// One of a few.
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}

/// A connected graph: a random tree and a few more segments, lengths on a 10 cm grid.
fn graph(dice: &mut Dice, nodes: usize, more: usize) -> Vec<(usize, usize, f64)> {
    let length = |dice: &mut Dice| (dice.within(2.0, 20.0) * 10.0).round() / 10.0;
    let mut edges: Vec<(usize, usize, f64)> = (1..nodes)
        .map(|b| (dice.below(b), b, length(dice)))
        .collect();
    for _ in 0..more {
        let (a, b) = (dice.below(nodes), dice.below(nodes));
        if a != b
            && !edges
                .iter()
                .any(|&(x, y, _)| (x, y) == (a, b) || (x, y) == (b, a))
        {
            edges.push((a, b, length(dice)));
        }
    }
    edges
}

/// The tiny job of a seed.
pub fn job(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let nodes = 4 + dice.below(3);
    let fixtures = match dice.below(8) {
        0..=2 => 2,
        3..=6 => 3,
        _ => 4,
    };
    let more = dice.below(3);
    let edges = graph(dice, nodes, more);
    let at: Vec<usize> = (0..fixtures).map(|_| dice.below(nodes)).collect();
    let root = dice.below(nodes);
    let mut job = jobs::job(nodes, &edges, root, &at);
    ground(dice, &mut job);
    hardware(dice, &mut job);
    loads(dice, &mut job);
    sources(dice, &mut job);
    rules(dice, &mut job);
    job
}

fn ground(dice: &mut Dice, job: &mut Job) {
    let mut hard = jobs::surface(dice.pick(&[0.0, 3.0, 12.0]));
    hard.open_fixed = jobs::money(dice.pick(&[0.0, 0.0, 15.0]));
    let mut soft = jobs::surface(dice.pick(&[0.0, 0.5, 2.0, 6.0]));
    soft.per_cable = SurfaceWork {
        hours_per_unit: dice.pick(&[0.0, 0.0, 0.01]),
        money_per_unit: jobs::money(0.0),
    };
    job.surfaces = vec![soft, hard];
    for segment in &mut job.segments {
        segment.surface = SurfaceId::new(usize::from(dice.one_in(4)));
    }
    for node in &mut job.nodes {
        node.joint_allowed = !dice.one_in(6);
        node.rise = Metres::new(if dice.one_in(6) { 1.5 } else { 0.0 });
    }
}

fn hardware(dice: &mut Dice, job: &mut Job) {
    let rate = dice.pick(&[0.2, 1.0, 3.0]);
    let thin = jobs::cable("thin", 2.0, 0.009, 0.9 * rate);
    let thick = jobs::cable("thick", 5.0, 0.0035, dice.pick(&[1.5, 2.1]) * rate);
    job.cables = vec![thin, thick];
    if dice.one_in(5) {
        job.cables[0].ampacity = Amperes::new(dice.within(1.0, 6.0));
    }
    if dice.one_in(8) {
        job.cables[1].allowed.branch = false;
    }
    job.joints = vec![jobs::splice(
        dice.pick(&[1.0, 4.0, 10.0]),
        2 + dice.below(2),
    )];
    if dice.one_in(2) {
        job.joints.push(jobs::splice(dice.pick(&[6.0, 13.0]), 4));
    }
    if dice.one_in(2) {
        job.hubs = vec![jobs::hub(dice.pick(&[5.0, 14.0]), 2 + dice.below(3) as u32)];
    }
    if dice.one_in(2) {
        job.rates.slack = Slack {
            transformer: Metres::new(dice.pick(&[0.5, 1.0])),
            fixture: Metres::new(0.2),
            hub: Metres::new(0.3),
            splice: Metres::new(0.3),
        };
    }
    if dice.one_in(3) {
        job.rates.waste = jobs::ratio(0.1);
    }
    if dice.one_in(6) {
        spools(dice, job);
    }
}

fn spools(dice: &mut Dice, job: &mut Job) {
    job.objective = Objective::WholeSpools;
    for cable in &mut job.cables {
        let each = cable
            .price
            .map_or(1.0, |price| price.per_unit.cost().value());
        cable.spools = vec![
            Spool {
                length: GridSteps(2500),
                price: jobs::money(25.0 * each),
            },
            Spool {
                length: GridSteps(6000),
                price: jobs::money(54.0 * each),
            },
        ];
        if dice.one_in(3) {
            cable.stock = vec![Remnant {
                length: GridSteps(800 + 700 * dice.below(3) as i64),
                count: 1,
            }];
        }
    }
}

fn loads(dice: &mut Dice, job: &mut Job) {
    let heavy = dice.pick(&[4.0, 12.0, 40.0]);
    job.models = (0..2)
        .map(|_| {
            let mut model = jobs::model(heavy * dice.within(0.5, 1.5));
            model.real = model.real * dice.pick(&[1.0, 0.9, 0.6]);
            model.exponent =
                LoadExponent::new(dice.pick(&[0.0, 0.5, 1.0, 1.6, 2.0])).expect("lawful");
            let low = dice.pick(&[9.0, 10.0, 10.8]);
            model.window = Window::new(Volts::new(low), Volts::new(16.0)).expect("lawful");
            if dice.one_in(2) {
                model.lead = Some(jobs::lead(dice.pick(&[0.4, 6.0, 15.0])));
            }
            model
        })
        .collect();
    for fixture in &mut job.fixtures {
        fixture.model = ModelId::new(dice.below(2));
    }
    for cable in &mut job.cables {
        cable.conductor.reactance += cable.conductor.resistance * 0.05;
    }
}

fn sources(dice: &mut Dice, job: &mut Job) {
    let sum: f64 = job
        .fixture_ids()
        .map(|f| job.model_of(f).apparent.value())
        .sum();
    let mut small = jobs::transformer(
        sum * dice.pick(&[0.6, 1.0, 1.3]),
        dice.pick(&[0.0, 20.0, 60.0]),
    );
    let mut large = jobs::transformer(sum * 2.2, dice.pick(&[25.0, 90.0]));
    for model in [&mut small, &mut large] {
        model.regulation = dice.pick(&[0.0, 0.0, 0.04, 0.08]);
        model.efficiency = dice.pick(&[1.0, 0.85]);
        if dice.one_in(3) {
            let taps = &mut model.secondaries[0].taps;
            taps.push(taps[0].clone());
            taps[1].tag = "T2".into();
            taps[1].volts = Volts::new(dice.pick(&[11.0, 14.0]));
        }
        model.secondaries[0].breaker =
            Amperes::new(dice.pick(&[25.0, 25.0, 1.6 * sum / 12.0, 0.8 * sum / 12.0]));
        if dice.one_in(3) {
            let other = model.secondaries[0].clone();
            model.secondaries.push(other);
        }
    }
    job.transformers = vec![small, large];
    job.sites[0].cost = jobs::money(dice.pick(&[0.0, 10.0]));
    if dice.one_in(3) {
        let mut second = jobs::site(dice.below(job.nodes.len()));
        second.cost = jobs::money(dice.pick(&[0.0, 5.0, 30.0]));
        job.sites.push(second);
    }
    for site in &mut job.sites {
        if dice.one_in(6) {
            site.mains = VoltAmperes::new(sum * dice.within(0.5, 1.5));
            site.further = Some(FurtherCircuit {
                price: jobs::money(35.0),
                mains: VoltAmperes::new(sum),
                outlets: 1,
                most: 2,
            });
        }
        if dice.one_in(6) {
            site.outlets = 1;
        }
    }
    if dice.one_in(4) {
        standing(dice, job, sum);
    }
}

fn standing(dice: &mut Dice, job: &mut Job, sum: f64) {
    let model = TransformerModelId::new(dice.below(2));
    let secondaries = job.transformer(model).secondaries.clone();
    job.existing.push(Existing {
        tag: format!("E{}", ExistingId(0).index()),
        site: SiteId::new(dice.below(job.sites.len())),
        model,
        present_load: secondaries
            .iter()
            .map(|_| VoltAmperes::new(sum * dice.pick(&[0.0, 0.2])))
            .collect(),
        tap_lugs_used: secondaries
            .iter()
            .map(|one| vec![0; one.taps.len()])
            .collect(),
        common_lugs_used: secondaries
            .iter()
            .map(|one| vec![0; one.commons.len()])
            .collect(),
        zone: None,
    });
}

fn rules(dice: &mut Dice, job: &mut Job) {
    job.rules.margins.low = Volts::new(dice.pick(&[0.0, 0.5]));
    job.rules.line.low = dice.pick(&[1.0, 1.0, 0.95]);
    job.rules.length_growth = dice.pick(&[1.0, 1.05]);
    job.rules.loading_limit = dice.pick(&[1.0, 0.8]);
    if dice.one_in(6) {
        job.rules.most_fixtures_per_circuit = Some(1 + dice.below(2) as u32);
    }
    if dice.one_in(8) {
        job.rules.joints_at_fixtures_and_hubs = true;
    }
    if dice.one_in(3) {
        let switched = dice.pick(&[Switched::Transformer, Switched::Secondary]);
        job.zones = (0..2)
            .map(|z| Zone {
                tag: format!("Z{z}"),
                switched,
            })
            .collect();
        for fixture in &mut job.fixtures {
            fixture.zone = dice.pick(&[None, Some(ZoneId(0)), Some(ZoneId(1))]);
        }
    }
    // A site of a job may lie anywhere; a fixture with no lead needs a joint at its own node.
    for f in 0..job.fixtures.len() {
        if job.models[job.fixtures[f].model.index()].lead.is_none() {
            let node: NodeId = job.fixtures[f].node;
            job.nodes[node.index()].joint_allowed = true;
        }
    }
}

/// Two sites whose circuits must pass one trench in opposite directions: each
/// zone is switched at a transformer that already stands at the far site, and no other can be added.
pub fn crossing(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let mut length = || (dice.within(3.0, 15.0) * 10.0).round() / 10.0;
    let edges = [(0, 1, length()), (1, 2, length()), (2, 3, length())];
    let mut job = jobs::job(4, &edges, 0, &[1, 2]);
    job.surfaces = vec![jobs::surface(10.0)];
    job.cables = vec![jobs::cable("a", 4.0, 0.001, 0.5)];
    job.models = vec![jobs::model(5.0)];
    job.joints = vec![jobs::splice(2.0, 3)];
    job.transformers = vec![jobs::transformer(100.0, 5000.0)];
    job.sites.push(jobs::site(3));
    job.zones = (0..2)
        .map(|z| Zone {
            tag: format!("Z{z}"),
            switched: Switched::Transformer,
        })
        .collect();
    for (fixture, zone) in [(0, 1), (1, 0)] {
        job.fixtures[fixture].zone = Some(ZoneId(zone));
    }
    for at in 0..2 {
        (job.sites[at].outlets, job.sites[at].places) = (1, 1);
        job.existing.push(Existing {
            tag: format!("E{at}"),
            site: SiteId::new(at),
            model: TransformerModelId(0),
            present_load: vec![VoltAmperes::new(0.0)],
            tap_lugs_used: vec![vec![0]],
            common_lugs_used: vec![vec![0]],
            zone: Some(ZoneId::new(at)),
        });
    }
    job
}

/// A long way to a fork where no joint may stand, one fixture up a short spur and one beyond: one
/// cable goes up the spur and comes back.
pub fn spurred(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let mut length = |low, high| (dice.within(low, high) * 10.0).round() / 10.0;
    let edges = [
        (0, 1, length(15.0, 25.0)),
        (1, 2, length(3.0, 6.0)),
        (1, 3, length(8.0, 15.0)),
    ];
    let mut job = jobs::job(4, &edges, 0, &[2, 3]);
    job.nodes[1].joint_allowed = false;
    job.surfaces = vec![jobs::surface(8.0)];
    job.cables = vec![jobs::cable("a", 4.0, 0.001, 3.0)];
    job.models = vec![jobs::model(5.0)];
    job.joints = vec![jobs::splice(2.0, 3)];
    job.transformers = vec![jobs::transformer(100.0, 50.0)];
    job
}

/// Constant-resistance lamps at the end of one long run: their true current is
/// well below VA over volts, and the one circuit holds only the true one.
pub fn crowded(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let run = (dice.within(10.0, 20.0) * 10.0).round() / 10.0;
    let mut job = jobs::job(2, &[(0, 1, run)], 0, &[1, 1, 1]);
    let each = dice.within(20.0, 40.0);
    job.models = vec![jobs::model(each)];
    job.models[0].exponent = LoadExponent::new(2.0).expect("lawful");
    job.cables = vec![jobs::cable("a", 4.0, 0.005, 3.0)];
    job.joints = vec![jobs::splice(2.0, 4)];
    job.transformers = vec![jobs::transformer(10.0 * each, 50.0)];
    job.transformers[0].secondaries[0].continuous_fraction = 1.0;
    job.transformers[0].secondaries[0].breaker = Amperes::new(0.97 * 3.0 * each / 12.0);
    job
}

/// Long runs to heavy lamps, and a small transformer that bears them only if little is lost
/// on the way, beside a much dearer large one.
pub fn strained(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let nodes = 3 + dice.below(2);
    let edges: Vec<(usize, usize, f64)> = (1..nodes)
        .map(|b| {
            (
                dice.below(b),
                b,
                (dice.within(8.0, 30.0) * 10.0).round() / 10.0,
            )
        })
        .collect();
    let at: Vec<usize> = (0..2 + dice.below(2))
        .map(|_| 1 + dice.below(nodes - 1))
        .collect();
    let mut job = jobs::job(nodes, &edges, 0, &at);
    job.surfaces = vec![jobs::surface(dice.pick(&[0.0, 1.0]))];
    let rate = dice.pick(&[0.5, 2.0, 5.0]);
    job.cables = vec![
        jobs::cable("thin", 2.0, 0.009, rate),
        jobs::cable("thick", 5.0, 0.0035, dice.pick(&[1.5, 2.1]) * rate),
    ];
    job.joints = vec![jobs::splice(2.0, 4)];
    let mut model = jobs::model(dice.within(15.0, 40.0));
    model.exponent = LoadExponent::new(dice.pick(&[0.0, 0.0, 0.5])).expect("lawful");
    model.window = Window::new(Volts::new(7.0), Volts::new(16.0)).expect("lawful");
    job.models = vec![model];
    let least: f64 = job.models[0].apparent.value() * at.len() as f64;
    let mut small = jobs::transformer(least * dice.within(1.01, 1.2), 200.0);
    small.regulation = dice.pick(&[0.0, 0.05]);
    job.transformers = vec![
        small,
        jobs::transformer(least * 4.0, dice.pick(&[240.0, 390.0])),
    ];
    job.rules.loading_limit = 1.0;
    if dice.one_in(3) {
        let switched = dice.pick(&[Switched::Transformer, Switched::Secondary]);
        let zone = |z: usize| Zone {
            tag: format!("Z{z}"),
            switched,
        };
        job.zones = (0..2).map(zone).collect();
        for fixture in &mut job.fixtures {
            fixture.zone = dice.pick(&[None, Some(ZoneId(0)), Some(ZoneId(1))]);
        }
    }
    job
}

/// Lamps so far from a soft transformer that what it falls by under their load decides the
/// gauge; a firm one is much dearer. Gauges in fine steps, priced by their copper.
pub fn sagging(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let nodes = 2 + dice.below(2);
    let edges: Vec<(usize, usize, f64)> = (1..nodes)
        .map(|b| {
            (
                b - 1,
                b,
                (dice.within(30.0, 60.0) / nodes as f64 * 10.0).round() / 10.0,
            )
        })
        .collect();
    let at: Vec<usize> = (1..nodes).collect();
    let mut job = jobs::job(nodes, &edges, 0, &at);
    job.surfaces = vec![jobs::surface(0.0)];
    let rate = dice.within(1.0, 4.0);
    job.cables = [0.04, 0.03, 0.022, 0.016, 0.012, 0.009, 0.0065]
        .iter()
        .enumerate()
        .map(|(step, ohms)| {
            let tag = ["a", "b", "c", "d", "e", "f", "g"][step];
            jobs::cable(tag, 1.0 + step as f64, *ohms, rate * 0.01 / ohms)
        })
        .collect();
    job.joints = vec![jobs::splice(0.0, 4)];
    let mut model = jobs::model(dice.within(20.0, 40.0));
    model.exponent = LoadExponent::new(dice.pick(&[0.0, 1.0])).expect("lawful");
    model.window = Window::new(Volts::new(8.5), Volts::new(16.0)).expect("lawful");
    job.models = vec![model];
    let most: f64 = job.models[0].apparent.value() * at.len() as f64;
    let mut soft = jobs::transformer(most * dice.within(1.6, 2.2), 50.0);
    soft.regulation = 0.3;
    job.transformers = vec![soft, jobs::transformer(most * 6.0, 5000.0)];
    job.rules.loading_limit = 1.0;
    job
}

/// Two sites far apart with a fixture of one zone near each, and one of another zone or of none:
/// a transformer more is cheaper than a trench between them, where a place is left for it.
pub fn split(seed: u64) -> Job {
    let dice = &mut Dice::new(seed);
    let mut length = |low, high| (dice.within(low, high) * 10.0).round() / 10.0;
    let edges = [
        (0, 1, length(2.0, 5.0)),
        (1, 2, length(5.0, 25.0)),
        (2, 3, length(2.0, 5.0)),
    ];
    let other = 1 + dice.below(2);
    let mut job = jobs::job(4, &edges, 0, &[1, 2, other]);
    job.sites.push(jobs::site(3));
    for site in &mut job.sites {
        site.cost = jobs::money(dice.pick(&[0.0, 10.0]));
        (site.outlets, site.places) = dice.pick(&[(1, 1), (2, 2), (3, 3)]);
    }
    let zone = |z: usize| Zone {
        tag: format!("Z{z}"),
        switched: dice.pick(&[Switched::Transformer, Switched::Secondary]),
    };
    job.zones = (0..2).map(zone).collect();
    job.fixtures[0].zone = Some(ZoneId(0));
    job.fixtures[1].zone = Some(ZoneId(0));
    job.fixtures[2].zone = dice.pick(&[None, Some(ZoneId(1))]);
    job.surfaces = vec![jobs::surface(dice.pick(&[2.0, 8.0]))];
    job.cables = vec![jobs::cable("a", 4.0, 0.002, 1.0)];
    job.models = vec![jobs::model(10.0)];
    job.joints = vec![jobs::splice(2.0, 3)];
    job.transformers = vec![
        jobs::transformer(100.0, 50.0),
        jobs::transformer(15.0, 40.0),
    ];
    job
}
