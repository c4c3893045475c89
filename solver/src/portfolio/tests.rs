//! Sums and tables of a made-up portfolio.

use super::*;
use crate::units::Money;
use rust_decimal::{Decimal, dec};

fn figures(name: &str, currency: &str, unit: &str, bound: Option<f64>) -> JobFigures {
    JobFigures {
        name: name.to_owned(),
        currency: currency.to_owned(),
        length_unit: unit.to_owned(),
        fixtures: 12,
        circuits: 2,
        price: Money::new(dec!(1000.50)),
        total: Money::new(dec!(1200.60)),
        direct_cost: 800.0,
        bound,
        optimal: false,
        hours: dec!(17.70),
        cable: vec![CableLength {
            gauge: "4 mm²".to_owned(),
            length: dec!(40.00),
        }],
        trench: dec!(30.00),
        transformers: vec![ModelCount {
            model: "tr-200".to_owned(),
            count: 1,
        }],
        standing: 0,
        exceptions: Vec::new(),
    }
}

fn planned(job: &str, figures: JobFigures) -> PortfolioRow {
    PortfolioRow {
        job: job.to_owned(),
        fate: Fate::Planned(Box::new(figures)),
    }
}

fn failed(job: &str, reason: &str) -> PortfolioRow {
    PortfolioRow {
        job: job.to_owned(),
        fate: Fate::Failed {
            result: "refused".to_owned(),
            reason: reason.to_owned(),
        },
    }
}

#[test]
fn unlike_things_are_not_added_up() {
    let portfolio = Portfolio::of(vec![
        planned("a", figures("A", "EUR", "m", Some(700.0))),
        planned("b", figures("B", "USD", "ft", None)),
        planned("c", figures("C", "EUR", "m", Some(780.0))),
        failed("d", "no such fixture"),
    ]);
    assert_eq!(
        (portfolio.planned, portfolio.failed, portfolio.missing),
        (3, 1, 0)
    );
    let euro = &portfolio.money[0];
    assert_eq!((euro.jobs, euro.price), (2, Money::new(dec!(2001.00))));
    // (1600 - 1480) / 1600.
    assert_eq!(euro.gap(), Some(0.075));
    assert_eq!(portfolio.money[1].gap(), None);
    let cable: Vec<(&str, Decimal)> = portfolio
        .cable
        .iter()
        .map(|sum| (sum.unit.as_str(), sum.length))
        .collect();
    assert_eq!(cable, [("m", dec!(80.00)), ("ft", dec!(40.00))]);
    assert_eq!(portfolio.transformers[0].count, 3);
    assert_eq!(portfolio.hours, dec!(53.10));
}

#[test]
fn a_name_used_twice_is_an_exception_of_both() {
    let portfolio = Portfolio::of(vec![
        planned("a", figures("Elm Court", "EUR", "m", None)),
        planned("b", figures("Elm Court", "EUR", "m", None)),
        planned("c", figures("Oak Court", "EUR", "m", None)),
    ]);
    let exceptions: Vec<&[String]> = portfolio
        .planned_rows()
        .map(|(_, figures)| figures.exceptions.as_slice())
        .collect();
    assert_eq!(exceptions[0], ["same name as in folder b"]);
    assert_eq!(exceptions[1], ["same name as in folder a"]);
    assert!(exceptions[2].is_empty());
}

#[test]
fn the_table_has_a_row_a_job_and_one_a_currency_and_runs_nothing() {
    let portfolio = Portfolio::of(vec![
        planned("-a", figures("=A", "EUR", "m", Some(700.0))),
        failed("b", "@reason"),
        PortfolioRow {
            job: "c".to_owned(),
            fate: Fate::Missing,
        },
    ]);
    let csv = portfolio.csv();
    let lines: Vec<&str> = csv.lines().collect();
    assert_eq!(lines.len(), 5);
    assert!(lines[0].contains(",cable_4 mm²_m,"), "{csv}");
    assert!(lines[1].starts_with("job,'-a,'=A,feasible,EUR,1000.50,1200.60,800.00,700.00,12.50,12,2,1 x tr-200,0,17.70,m,40.00,30.00,"), "{csv}");
    assert!(
        lines[2].starts_with("job,b,,refused,") && lines[2].ends_with(",'@reason"),
        "{csv}"
    );
    assert!(lines[3].starts_with("job,c,,not planned yet,"), "{csv}");
    assert!(
        lines[4].starts_with("total,1,,,EUR,1000.50,1200.60,"),
        "{csv}"
    );
}

#[test]
fn figures_beyond_any_job_are_known_before_they_are_added_up() {
    let sound = figures("A", "EUR", "m", Some(700.0));
    assert!(sound.add_up());
    let with = |change: fn(&mut JobFigures)| {
        let mut changed = sound.clone();
        change(&mut changed);
        changed
    };
    let beyond = [
        with(|one| one.price = Money::new(Decimal::MAX)),
        with(|one| one.total = Money::new(Decimal::MIN)),
        with(|one| one.hours = Decimal::MAX),
        with(|one| one.trench = Decimal::MAX),
        with(|one| one.cable[0].length = Decimal::MAX),
        with(|one| one.direct_cost = 1e16),
        with(|one| one.bound = Some(-1e16)),
    ];
    assert!(beyond.iter().all(|one| !one.add_up()));
    // Counts are added as far as they go.
    let many = with(|one| {
        one.fixtures = u32::MAX;
        one.transformers[0].count = u32::MAX;
    });
    assert!(many.add_up());
    let portfolio = Portfolio::of(vec![planned("a", many), planned("b", sound)]);
    assert_eq!(portfolio.fixtures, u32::MAX);
    assert_eq!(portfolio.transformers[0].count, u32::MAX);
}

#[test]
fn a_row_survives_being_written_down() {
    let row = planned("a", figures("A", "EUR", "m", Some(0.1 + 0.2)));
    let text = serde_json::to_string(&row).expect("plain values");
    assert_eq!(
        serde_json::from_str::<PortfolioRow>(&text).expect("its own text"),
        row
    );
}
