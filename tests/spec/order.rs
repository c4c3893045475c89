//! Orders over several jobs: quantities, cutting, stock and papers, figures worked by hand.

use duskwright_solver::bill::Unit;
use duskwright_solver::cut::{CutEffort, cut, cut_jobs};
use duskwright_solver::job::{Job, Remnant, Spool};
use duskwright_solver::order::{
    Goods, Order, OrderChoice, OrderError, OrderLine, PlannedJob, cutting_refused,
};
use duskwright_solver::units::{GridSteps, Metres, Money};
use duskwright_tests::build::*;
use rust_decimal::{Decimal, dec};

fn spool(metres: i64, price: &str) -> Spool {
    Spool {
        length: GridSteps(metres * 100),
        price: money(price),
    }
}

/// The row of lamps under another name, with spools of 50 m for 100 and 100 m for 150 of the thick cable.
fn named(name: &str) -> Job {
    let mut job = row();
    job.name = name.to_owned();
    job.cables[0].spools = vec![spool(50, "100"), spool(100, "150")];
    job
}

fn ordered(jobs: &[Job]) -> Result<Order, OrderError> {
    let plan = chain();
    let planned: Vec<PlannedJob<'_>> = jobs
        .iter()
        .map(|job| PlannedJob { job, plan: &plan })
        .collect();
    Order::of(&planned, &OrderChoice::default())
}

fn line(order: &Order, goods: Goods) -> &OrderLine {
    let found = order.lines.iter().find(|line| line.goods == goods);
    found.unwrap_or_else(|| panic!("no {goods:?} in {:?}", order.lines))
}

#[test]
fn one_job_buys_what_its_pieces_need() {
    let order = ordered(&[named("North")]).unwrap();
    // A chain of 3 pieces of 10 m on the cheapest spool that holds 30 m.
    let cable = line(&order, Goods::Spool);
    assert_eq!(cable.spool_length, Some(dec!(50.00)));
    assert_eq!(
        (cable.quantity, cable.extension),
        (dec!(1), money("100.00"))
    );
    assert_eq!(line(&order, Goods::Splice).quantity, dec!(3));
    assert_eq!(line(&order, Goods::Transformer).quantity, dec!(1));
    assert!(order.lines.iter().all(|line| line.goods != Goods::Fixture));
    let figures = &order.cables[0];
    assert_eq!((figures.needed, figures.bought), (dec!(30.00), dec!(50.00)));
    assert_eq!((figures.kept, figures.waste), (dec!(20.00), dec!(0.00)));
    assert_eq!(order.saving, Some(Money::ZERO));
    // Ids without job number: there is only one job.
    assert_eq!(order.spools[0].cuts[0].pieces, ["C1-P1", "C1-P2", "C1-P3"]);
    assert_eq!(order.spools[0].cuts[0].marks, [dec!(10.00), dec!(20.00)]);
}

#[test]
fn two_jobs_together_are_cheaper_than_one_after_another_and_say_by_how_much() {
    let order = ordered(&[named("North"), named("South")]).unwrap();
    // Alone: North buys 50 m and leaves 20 m, so South needs another 50 m. Together 60 m come off 100 m.
    let alone = vec![money("100"), money("100")];
    assert_eq!(order.separately, Some(alone));
    assert_eq!(order.cables[0].cost, money("150"));
    assert_eq!(order.saving, Some(money("50")));
    assert_eq!(line(&order, Goods::Spool).spool_length, Some(dec!(100.00)));
    assert_eq!(line(&order, Goods::Splice).by_job, [dec!(3), dec!(3)]);
    let ids: Vec<&str> = order.labels.iter().map(|label| label.id.as_str()).collect();
    assert_eq!(
        ids,
        [
            "1:C1-P1", "1:C1-P2", "1:C1-P3", "2:C1-P1", "2:C1-P2", "2:C1-P3"
        ]
    );
    let sum: Money = order.lines.iter().map(|line| line.extension).sum();
    assert_eq!(order.total, sum);
}

#[test]
fn every_length_bought_or_drawn_is_cut_kept_or_waste() {
    let mut jobs = [named("North"), named("South"), named("East")];
    for job in &mut jobs {
        job.cables[0].stock = vec![
            Remnant {
                length: GridSteps(3150),
                count: 1,
            },
            Remnant {
                length: GridSteps(1200),
                count: 2,
            },
        ];
    }
    let order = ordered(&jobs).unwrap();
    let cable = &order.cables[0];
    assert_eq!(
        cable.needed + cable.waste + cable.kept,
        cable.bought + cable.drawn
    );
    assert!(cable.drawn > Decimal::ZERO, "{cable:?}");
    let before: Decimal = order
        .stock
        .iter()
        .map(|row| row.length * Decimal::from(row.before))
        .sum();
    let after: Decimal = order
        .stock
        .iter()
        .map(|row| row.length * Decimal::from(row.after()))
        .sum();
    assert_eq!(before - cable.drawn + cable.kept, after);
}

#[test]
fn a_remnant_is_drawn_before_anything_is_bought_and_what_it_leaves_goes_back() {
    let mut job = named("North");
    job.cables[0].stock = vec![Remnant {
        length: GridSteps(3500),
        count: 2,
    }];
    let order = ordered(&[job]).unwrap();
    assert!(order.lines.iter().all(|line| line.goods != Goods::Spool));
    let rows: Vec<(Decimal, u32, u32, u32)> = order
        .stock
        .iter()
        .map(|row| (row.length, row.before, row.drawn, row.added))
        .collect();
    assert_eq!(rows, [(dec!(35.00), 2, 1, 0), (dec!(5.00), 0, 0, 1)]);
    assert_eq!(
        order.stock_csv(),
        "cable,length_m,count\n4mm2,35.00,1\n4mm2,5.00,1\n"
    );
}

#[test]
fn what_is_left_is_kept_from_the_shortest_useful_length_on() {
    for (shortest, kept) in [(5.0, true), (5.001, false)] {
        let mut job = named("North");
        job.cables[0].stock = vec![Remnant {
            length: GridSteps(3500),
            count: 1,
        }];
        job.rates.shortest_useful = Metres::new(shortest);
        let order = ordered(&[job]).unwrap();
        assert_eq!(order.spools[0].keep, kept, "{shortest}");
        assert_eq!(
            order.cables[0].waste,
            if kept { dec!(0.00) } else { dec!(5.00) }
        );
    }
}

#[test]
fn a_parted_pull_names_its_other_part_on_both_sheets() {
    let mut job = named("North");
    job.cables[0].spools = vec![spool(20, "40")];
    let order = ordered(&[job]).unwrap();
    assert_eq!(order.cables[0].partings, 1);
    let cuts: Vec<_> = order
        .spools
        .iter()
        .flat_map(|spool| spool.cuts.iter().map(move |cut| (spool.number, cut)))
        .collect();
    let (first, second) = (cuts[0], cuts[1]);
    let on = second
        .1
        .continues
        .or(first.1.continues)
        .expect("one continues the other");
    let (start, end) = if first.1.continues.is_some() {
        (second, first)
    } else {
        (first, second)
    };
    assert_eq!(on.spool, start.0);
    assert_eq!(start.1.goes_on.expect("goes on").spool, end.0);
    assert_eq!(start.1.to, end.1.from);
}

#[test]
fn a_cable_without_spools_is_bought_by_length() {
    let mut job = row();
    job.cables[0].stock = vec![Remnant {
        length: GridSteps(3500),
        count: 1,
    }];
    let price = job.cables[0].price.unwrap().per_unit;
    let order = ordered(&[job]).unwrap();
    let cable = line(&order, Goods::CableByLength);
    assert_eq!((cable.quantity, cable.unit), (dec!(30.00), Unit::Metres));
    assert_eq!(cable.extension, price.times(dec!(30)).cents());
    assert!(order.labels.iter().all(|label| label.cut.is_none()));
    assert!(
        order
            .remarks
            .iter()
            .any(|remark| remark.contains("not drawn")),
        "{:?}",
        order.remarks
    );
}

#[test]
fn a_piece_longer_than_every_spool_is_named_with_what_would_help() {
    let mut job = named("North");
    job.cables[0].spools = vec![spool(9, "20")];
    job.cables[1].spools = vec![spool(25, "30")];
    let said = ordered(&[job.clone()]).unwrap_err().to_string();
    for words in [
        "cable 4mm2 (4 mm²)",
        "longest spool 9.00 m",
        "C1-P1 from T1 (garage) to C1-J1 at A, 10.00 m",
        "a spool of at least 10.00 m of `4mm2` in spools.csv",
        "where a joint may stand",
        "a cable sold in such lengths: `2mm2`",
    ] {
        assert!(said.contains(words), "no `{words}` in\n{said}");
    }
    // The same words when the job's own cutting is refused.
    let plan = chain();
    let (cable, problem) = cut_jobs(&job, &plan, GridSteps(300)).remove(0);
    let error = cut(&problem, &CutEffort::default()).unwrap_err();
    assert_eq!(
        cutting_refused(&job, &plan, cable, &error).to_string(),
        said
    );
}

#[test]
fn a_spool_for_nothing_is_bought_and_said() {
    let mut job = named("North");
    job.cables[0].spools = vec![spool(50, "0"), spool(100, "150")];
    let order = ordered(&[job]).unwrap();
    assert_eq!(line(&order, Goods::Spool).extension, money("0.00"));
    assert!(
        order
            .remarks
            .iter()
            .any(|remark| remark.contains("price of zero")),
        "{:?}",
        order.remarks
    );
}

#[test]
fn jobs_that_cannot_share_an_order_are_told_why() {
    let alter = |change: fn(&mut Job)| {
        let mut south = named("South");
        change(&mut south);
        ordered(&[named("North"), south]).unwrap_err().to_string()
    };
    let same = alter(|job| job.name = "North".to_owned());
    assert!(
        same.contains("jobs 1 and 2 are both named \"North\""),
        "{same}"
    );
    let currency = alter(|job| job.currency = "XAU".to_owned());
    assert!(currency.contains("the currency differs"), "{currency}");
    let spools = alter(|job| job.cables[0].spools[0].price = money("99"));
    assert!(
        spools.contains("spool 50.00 m at 99") && spools.contains("spool 50.00 m at 100"),
        "{spools}"
    );
    let splice = alter(|job| job.joints[0].price = money("99"));
    assert!(
        splice.contains("the price of splice (both poles)"),
        "{splice}"
    );
    assert_eq!(
        Order::of(&[], &OrderChoice::default()).unwrap_err(),
        OrderError::NoJob
    );
}

#[test]
fn tables_are_neutralised_and_add_up() {
    let mut job = named("North");
    job.joints[0].tag = "=cmd|calc".to_owned();
    job.currency = "@money".to_owned();
    let order = ordered(&[job]).unwrap();
    let csv = order.order_csv();
    assert!(csv.contains(",'=cmd|calc,"), "{csv}");
    assert!(csv.contains(",'@money,"), "{csv}");
    assert!(csv.lines().last().unwrap().starts_with("total,"), "{csv}");
    assert!(csv.contains(&format!(",{},", order.total)), "{csv}");
    // A row for the cut and one for what is left.
    assert_eq!(order.cuts_csv().lines().count(), 3);
}
