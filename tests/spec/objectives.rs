//! What is minimised besides installed cost: energy over the years, whole spools.

use duskwright_solver::check::CostKind;
use duskwright_solver::job::{self, EnergyTerms, HoursFrom, Job, Layout, Objective, Spool};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::solve::{self, Outcome, Solution};
use duskwright_solver::tariff::Tariff;
use duskwright_solver::units::{Hours, Metres};
use duskwright_tests::build::{THICK, THIN, money, ratio, row};
use duskwright_tests::full_job;

fn planned(job: &Job) -> Box<Solution> {
    let settings = Settings {
        effort: Effort::Quick,
        layout: Layout::Mixed,
        seed: 1,
    };
    match solve::plan(job, &settings, &Silent) {
        Outcome::Feasible(solution) => solution,
        other => panic!("no plan: {other:?}"),
    }
}

/// The row of three, with the lead's cable for leads only.
fn two_gauges() -> Job {
    let mut job = row();
    job.cables[2].allowed.home_run = false;
    job.cables[2].allowed.branch = false;
    job
}

/// Ten years of a thousand hours: a watt draws 10 kWh.
fn with_energy(price_per_kwh: &str, discount: &str) -> Job {
    let mut job = two_gauges();
    job.objective = Objective::WithLosses(EnergyTerms {
        years: 10.0,
        discount: ratio(discount),
        price_per_kwh: money(price_per_kwh),
        hours_per_year: Hours::new(1000.0),
        hours_from: HoursFrom::Stated,
    });
    job
}

/// An annuity of 10 years at 5 % is 7.7217 (any table of compound interest); half a
/// year more adds half of 1.05^-11.
#[test]
fn a_watt_is_worth_its_annuity() {
    let mut job = with_energy("0.2", "0.05");
    let worth = Tariff::new(&job).energy_per_watt();
    assert!((worth - 0.2 * 7.7217).abs() < 2e-5, "{worth}");
    if let Objective::WithLosses(terms) = &mut job.objective {
        terms.years = 10.5;
    }
    let more = Tariff::new(&job).energy_per_watt() - worth;
    assert!(
        (more - 0.2 * 0.5 * 1.05_f64.powi(-11)).abs() < 1e-12,
        "{more}"
    );
}

/// Three lamps of 1 A in a row, 10 m apart, on one circuit of tap V: the terminals
/// give 3 V watts whatever the gauges.
#[test]
fn energy_is_counted_alike_by_the_search_and_by_the_checker() {
    let job = with_energy("0.2", "0");
    let solution = planned(&job);
    let circuit = &solution.plan.circuits[0];
    assert_eq!(solution.plan.circuits.len(), 1);
    let tap = &job.transformers[0].secondaries[circuit.secondary].taps[circuit.tap];
    // 3 A x V, 10 kWh a watt, at 0.2.
    let expected = 3.0 * tap.volts.value() * 10.0 * 0.2;
    let energy = solution.cost.energy.value();
    assert!(
        (energy - expected).abs() < 1e-6 * expected,
        "{energy} {expected}"
    );
    let own = solution.verdict.figures.of_kind(CostKind::Losses).value();
    assert!((energy - own).abs() < 1e-6 * energy, "{energy} {own}");
    let total = solution.verdict.figures.total().value();
    assert!((solution.cost.total().value() - total).abs() < 1e-6 * total);
    assert!(solution.bound.value.value() <= solution.cost.total().value());
}

/// Constant power makes losses dear: 3 x 10 m at 3, 2, 1 A. The thick cable halves them.
#[test]
fn dear_energy_pays_for_thick_cable_and_cheap_energy_does_not() {
    let gauge = |price: &str| {
        let mut job = with_energy(price, "0");
        job.models[0].exponent = duskwright_solver::job::LoadExponent::new(0.0).unwrap();
        let solution = planned(&job);
        assert!(solution.bound.value.value() <= solution.cost.total().value());
        solution.plan.circuits[0].home_run().cable
    };
    assert_eq!(gauge("0.01"), THIN);
    assert_eq!(gauge("10"), THICK);
}

#[test]
fn whole_spools_are_paid_whole() {
    let mut job = two_gauges();
    job.objective = Objective::WholeSpools;
    for cable in [THICK, THIN] {
        job.cables[cable.index()].spools = vec![Spool {
            length: job.units.grid().floor(Metres::new(50.0)),
            price: money(if cable == THIN { "40" } else { "90" }),
        }];
    }
    let solution = planned(&job);
    // 30 m in a row on thin cable: one spool.
    assert!(
        (solution.cost.cable.value() - 40.0).abs() < 1e-9,
        "{:?}",
        solution.cost
    );
    assert!(solution.bound.value.value() <= solution.cost.total().value());
}

/// The full job, with its last two sections, objective and place, replaced.
fn full_job_with(place: &str, terms: &str) -> Result<(Job, Vec<job::Notice>), job::Faults> {
    let text = full_job();
    let settings = text.get(job::SETTINGS_FILE).expect("there").to_vec();
    let settings = String::from_utf8(settings).expect("text");
    let (before, _) = settings.split_once("[objective]").expect("there");
    let settings = format!("{before}{place}\n[objective]\n{terms}");
    job::read(&text.with(job::SETTINGS_FILE, settings))
}

const LOSSES: &str = "minimise = \"with losses\"\nyears = 10\ndiscount_percent = 4\n";
const DENVER: &str = "latitude_deg = 39.74\nlongitude_deg = -105.18\n\
                      time_zone = \"America/Denver\"\nenergy_price_per_kwh = 0.2\n";

fn terms(job: &Job) -> EnergyTerms {
    match job.objective {
        Objective::WithLosses(terms) => terms,
        Objective::Installed | Objective::WholeSpools => panic!("losses were asked for"),
    }
}

/// 18:00 to 22:00 on 365 days is 1460 h, whatever the sun does.
#[test]
fn hours_and_price_follow_from_the_place_where_none_are_stated() {
    let place = format!("[place]\n{DENVER}times = \"18:00 to 22:00\"\n");
    let (job, _) = full_job_with(&place, LOSSES).unwrap_or_else(|faults| panic!("{faults}"));
    let found = terms(&job);
    assert_eq!(found.hours_from, HoursFrom::Times);
    assert_eq!(found.hours_per_year, Hours::new(1460.0));
    assert_eq!(found.price_per_kwh, money("0.2"));
    let stated = format!("{LOSSES}lighting_hours_per_year = 900\nenergy_price_per_kwh = 0.3\n");
    let (job, _) = full_job_with(&place, &stated).unwrap_or_else(|faults| panic!("{faults}"));
    let found = terms(&job);
    assert_eq!(found.hours_from, HoursFrom::Stated);
    assert_eq!(found.hours_per_year, Hours::new(900.0));
    assert_eq!(found.price_per_kwh, money("0.3"));
}

/// Without a zone of its own every fixture keeps the usual times; nights at 40 degrees
/// north are rather less than half the year.
#[test]
fn hours_of_dusk_to_dawn_are_those_of_the_nights() {
    let place = format!("[place]\n{DENVER}");
    let (job, _) = full_job_with(&place, LOSSES).unwrap_or_else(|faults| panic!("{faults}"));
    let hours = terms(&job).hours_per_year.value();
    assert!((3800.0..4200.0).contains(&hours), "{hours}");
}

#[test]
fn without_place_and_hours_the_terms_are_refused() {
    let faults =
        full_job_with("", &format!("{LOSSES}energy_price_per_kwh = 0.2\n")).expect_err("no hours");
    let text = faults.to_string();
    assert!(text.contains("needs `lighting_hours_per_year`"), "{text}");
    assert!(text.contains("or a complete [place]"), "{text}");
}
