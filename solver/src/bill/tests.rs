//! The bill against one worked by hand, and its sums under random prices.

use super::specimen;
use super::*;
use crate::ids::{CableId, SiteId};
use crate::job::{Job, TaxClass};
use crate::plan::Plan;
use crate::tariff::Tariff;
use crate::units::{Cost, GridSteps, Hours, Money, Ratio};
use proptest::prelude::*;
use rust_decimal::{Decimal, RoundingStrategy, dec};

fn by_length(job: &Job, plan: &Plan) -> Bill {
    Bill::of(job, plan, &CableSupply::ByLength, None)
}

fn money(amount: Decimal) -> Money {
    Money::new(amount)
}

/// Worked by hand (feet; labour 72.00 an hour, waste 5 %).
///
/// Pieces: A1-1 = 40.0 + slack 3.0 + 1.5 + rise 2.0 = 46.5 of 12 AWG; A1-2 =
/// 25.5 + 1.5 + 1.0 = 28.0 and B1-1 = 10.0 + 25.5 + 3.0 + 1.0 = 39.5 of 14 AWG.
///
/// Front: fixture 1 x 88.40; setting 0.335 h -> 0.34 h = 24.48.
/// General, material: fixtures 2 x 88.40 = 176.80; transformer 260.00; cable
/// 46.5 x 0.62 = 28.83 and 67.5 x 0.415 = 28.0125 -> 28.01; waste 2.325 -> 2.3,
/// x 0.62 = 1.426 -> 1.43, and 3.375 -> 3.4, x 0.415 = 1.411 -> 1.41; hub 14.00; splices 2 x
/// 3.25 = 6.50; timer 65.00. With Front 670.38; small material 3 % = 20.1114 ->
/// 20.11. Material 690.49.
/// Labour: setting 0.67 h = 48.24; transformer 1.5 h = 108.00; hub 0.25 h =
/// 18.00; splices 0.25 h = 18.00; bed 40 x 0.02 = 0.80 h = 57.60, laying 0.20 h =
/// 14.40; lawn 25.5 x 0.03 = 0.765 -> 0.76 h = 54.72, beyond its limit of one
/// cable 0.255 -> 0.26 h = 18.72, laying two pieces 0.255 -> 0.26 h = 18.72;
/// night visit 1.25 h = 90.00; mobilisation 150.00. With Front 620.88, 6.54 h.
/// Subcontract: site 45.00; lawn beyond its limit 25.5 x 0.35 = 8.925 -> 8.92;
/// drive 120.00 + 12.25 x 6.50 = 79.625 -> 79.62 (a lead is no laying work);
/// permit 55.00; core drilling 90.00. Subcontract 398.54.
/// Cost 1709.91; overhead 12 % = 205.1892 -> 205.19; markup 20 % of 1915.10 =
/// 383.02; price 2298.12. Material's part 690.49 x 1.12 x 1.20 = 928.01856 ->
/// 928.02; tax 8.25 % = 76.56165 -> 76.56; total 2374.68.
#[test]
fn the_bill_is_the_one_worked_by_hand() {
    let bill = by_length(&specimen::job(), &specimen::plan());
    let shown: Vec<String> = bill.lines.iter().map(line_text).collect();
    assert_eq!(
        shown,
        [
            "Front | material | Fixture path | 1 ea x 88.40 = 88.40",
            "Front | labour | Set and aim fixture path | 0.34 h x 72 = 24.48",
            "Front | material | Fixture spot, on site already | 1 ea x 0 = 0.00",
            "General | material | Fixture path | 2 ea x 88.40 = 176.80",
            "General | labour | Set and aim fixture path | 0.67 h x 72 = 48.24",
            "General | material | Transformer T150 | 1 ea x 260 = 260.00",
            "General | labour | Mount and connect transformer T150 | 1.50 h x 72 = 108.00",
            "General | subcontract | Transformer site Garage | 1 ea x 45 = 45.00",
            "General | material | Cable 12 AWG (12 AWG direct burial) | 46.5 ft x 0.62 = 28.83",
            "General | material | Cable 14 AWG (14 AWG direct burial) | 67.5 ft x 0.415 = 28.01",
            "General | material | Waste of cable 12 AWG (12 AWG direct burial) | 2.3 ft x 0.62 = 1.43",
            "General | material | Waste of cable 14 AWG (14 AWG direct burial) | 3.4 ft x 0.415 = 1.41",
            "General | material | Hub H5 | 1 ea x 14 = 14.00",
            "General | labour | Place hub H5 | 0.25 h x 72 = 18.00",
            "General | material | Splice gel (both poles) | 2 ea x 3.25 = 6.50",
            "General | labour | Make splice gel | 0.25 h x 72 = 18.00",
            "General | labour | Open bed | 0.80 h x 72 = 57.60",
            "General | labour | Open lawn | 0.76 h x 72 = 54.72",
            "General | labour | Open lawn beyond its cable limit | 0.26 h x 72 = 18.72",
            "General | subcontract | Open lawn beyond its cable limit | 25.50 ft x 0.35 = 8.92",
            "General | subcontract | Set-up in drive | 1 ea x 120 = 120.00",
            "General | subcontract | Open drive | 12.25 ft x 6.50 = 79.62",
            "General | labour | Lay cable in bed | 0.20 h x 72 = 14.40",
            "General | labour | Lay cable in lawn | 0.26 h x 72 = 18.72",
            "General | material | Timer | 1 lump x 65 = 65.00",
            "General | material | Small material | 0.03 share x 670.38 = 20.11",
            "General | labour | Night visit: adjust fixtures | 1.25 h x 72 = 90.00",
            "General | subcontract | Permit | 1 lump x 55 = 55.00",
            "General | labour | Mobilisation | 1 lump x 150 = 150.00",
            "General | subcontract | Core drilling | 1 lump x 90 = 90.00",
            "General | material | Transformer OLD (T150), standing already | 1 ea x 0 = 0.00",
            "General | material | Leads 16 AWG, delivered with the fixtures | 29.00 ft x 0 = 0.00",
            "General | material | Way through sleeve, at no cost | 10.00 ft x 0 = 0.00",
        ]
    );
    let totals = [
        bill.material,
        bill.labour,
        bill.subcontract,
        bill.cost,
        bill.overhead,
        bill.markup,
        bill.top_up,
        bill.price,
        bill.tax,
        bill.total,
    ];
    let by_hand = [
        dec!(690.49),
        dec!(620.88),
        dec!(398.54),
        dec!(1709.91),
        dec!(205.19),
        dec!(383.02),
        dec!(0),
        dec!(2298.12),
        dec!(76.56),
        dec!(2374.68),
    ];
    assert_eq!(totals, by_hand.map(money));
    assert_eq!(bill.hours, dec!(6.54));
    assert_eq!(bill.taxes[0].base, money(dec!(928.02)));
}

fn line_text(line: &Line) -> String {
    format!(
        "{} | {} | {} | {} {} x {} = {}",
        line.section,
        class_symbol(line.class),
        line.description,
        line.quantity.amount,
        line.quantity.unit.symbol(),
        line.unit_price,
        line.extension
    )
}

/// 2298.12 / 4 = 574.53; 6.54 / 4 = 1.635 -> 1.64 h; (46.5 + 67.5) / 4 = 28.5 ft.
#[test]
fn figures_per_fixture_count_old_and_new_ones() {
    let per = by_length(&specimen::job(), &specimen::plan()).per_fixture;
    assert_eq!(per.fixtures, 4);
    assert_eq!(per.price, money(dec!(574.53)));
    assert_eq!(per.hours, dec!(1.64));
    assert_eq!(per.cable, dec!(28.50));
}

/// Trench 57.60 + 55.08 + 27.285 + 199.625 = 339.59; laying 14.40 + 18.36 =
/// 32.76; cable (28.83 + 28.0125) x 1.05 = 59.684625; splices 2 x 12.25; hub 32;
/// transformer 368; site 45: 901.534625 in all.
#[test]
fn the_direct_cost_stands_beside_the_bid_unrounded() {
    let direct = by_length(&specimen::job(), &specimen::plan()).direct;
    assert!((direct.cost.value() - 901.534_625).abs() < 1e-9);
    // Shown: 339.59 (half to even) + 32.76 + 59.68 + 24.50 + 32.00 + 368.00 + 45.00.
    assert_eq!(direct.shown(), money(dec!(901.53)));
    assert_eq!(direct.rounding(), money(dec!(0.00)));
    let parts: Vec<DirectPart> = direct.lines.iter().map(|line| line.part).collect();
    assert_eq!(
        parts,
        [
            DirectPart::Trench,
            DirectPart::CableWork,
            DirectPart::Cable,
            DirectPart::Joints,
            DirectPart::Hubs,
            DirectPart::Transformers,
            DirectPart::Sites,
        ]
    );
}

/// Price 2298.12 against 3000.00: top-up 701.88, taxed as labour. Labour's part
/// 620.88 x 1.344 = 834.46272 -> 834.46, with the top-up 1536.34; 20 % = 307.268.
#[test]
fn the_minimum_charge_is_a_top_up_line_taxed_as_labour() {
    let mut job = specimen::job();
    job.bid.minimum_charge = money(dec!(3000));
    job.bid.tax = vec![(TaxClass::Labour, Ratio::new(dec!(0.20)))];
    let bill = by_length(&job, &specimen::plan());
    assert_eq!(bill.top_up, money(dec!(701.88)));
    assert_eq!(bill.price, money(dec!(3000)));
    assert_eq!(bill.taxes[0].base, money(dec!(1536.34)));
    assert_eq!(bill.total, money(dec!(3307.27)));
}

/// Same rate on all classes: the tax is that of the whole price, within a cent per rounded line.
#[test]
fn the_parts_taxed_add_up_to_the_price() {
    let mut job = specimen::job();
    let rate = Ratio::new(dec!(0.19));
    job.bid.tax = [TaxClass::Material, TaxClass::Labour, TaxClass::Subcontract]
        .map(|class| (class, rate))
        .to_vec();
    let bill = by_length(&job, &specimen::plan());
    let bases: Money = bill.taxes.iter().map(|line| line.base).sum();
    assert_eq!(bases, bill.price);
}

#[test]
fn further_mains_circuits_are_subcontract() {
    let mut plan = specimen::plan();
    plan.further_circuits = vec![(SiteId(0), 2)];
    let with = by_length(&specimen::job(), &plan);
    let without = by_length(&specimen::job(), &specimen::plan());
    assert_eq!(with.subcontract, without.subcontract + money(dec!(620.00)));
}

/// The shed has a transformer already, and at the gate there is none: neither costs a site.
#[test]
fn only_a_site_that_gets_its_first_transformer_is_paid_for() {
    let mut job = specimen::job();
    let mut gate = job.sites[0].clone();
    gate.tag = "Gate".to_owned();
    job.sites.push(gate);
    let bill = by_length(&job, &specimen::plan());
    let sites = bill.lines.iter().filter(|line| line.kind == LineKind::Site);
    let sites: Vec<&str> = sites.map(|line| line.description.as_str()).collect();
    assert_eq!(sites, ["Transformer site Garage"]);
}

/// The first fixture of the job names no section, the second one does.
#[test]
fn lines_without_a_section_stand_below_those_with_one() {
    let mut job = specimen::job();
    job.fixtures[0].section = None;
    let bill = by_length(&job, &specimen::plan());
    let mut sections: Vec<&str> = bill.lines.iter().map(|line| &*line.section).collect();
    sections.dedup();
    assert_eq!(sections, ["Front", GENERAL]);
}

/// Two spools of 12 AWG at 150.00, one of 14 AWG at 90.00, a remnant drawn: no waste line.
#[test]
fn whole_spools_replace_cable_by_length_and_its_waste() {
    let spool = |cable, count, price| SpoolBought {
        cable: CableId(cable),
        length: GridSteps(2500),
        count,
        price: money(price),
    };
    let supply = CableSupply::BySpool {
        bought: vec![spool(0, 2, dec!(150)), spool(1, 1, dec!(90))],
        drawn: vec![StockDrawn {
            cable: CableId(1),
            length: GridSteps(405),
            count: 1,
        }],
    };
    let bill = Bill::of(&specimen::job(), &specimen::plan(), &supply, None);
    let of_kind = |kind| {
        let lines = bill.lines.iter().filter(move |line| line.kind == kind);
        lines.map(|line| line.extension).sum::<Money>()
    };
    assert_eq!(of_kind(LineKind::Cable), money(dec!(390)));
    assert!(bill.lines.iter().all(|line| line.kind != LineKind::Waste));
    assert!(
        bill.lines
            .iter()
            .any(|line| line.description == "Remnant on hand 14 AWG, 40.5 ft")
    );
    let cable = bill
        .direct
        .lines
        .iter()
        .find(|line| line.part == DirectPart::Cable);
    assert_eq!(cable.expect("cable is bought").cost, Cost::new(390.0));
}

/// Only 12 AWG comes on a spool: 14 AWG stays at 28.01 with waste 1.41.
#[test]
fn cable_without_a_spool_is_still_paid_for_by_length() {
    let supply = CableSupply::BySpool {
        bought: vec![SpoolBought {
            cable: CableId(0),
            length: GridSteps(2500),
            count: 1,
            price: money(dec!(150)),
        }],
        drawn: Vec::new(),
    };
    let bill = Bill::of(&specimen::job(), &specimen::plan(), &supply, None);
    let cable: Money = bill
        .lines
        .iter()
        .filter(|line| matches!(line.kind, LineKind::Cable | LineKind::Waste))
        .map(|line| line.extension)
        .sum();
    assert_eq!(cable, money(dec!(179.42)));
}

/// A remnant holds all of the 14 AWG: only 12 AWG is bought, 28.83 with waste 2.3 ft x 0.62 = 1.43.
#[test]
fn cable_cut_from_a_remnant_alone_is_not_bought() {
    let supply = CableSupply::BySpool {
        bought: Vec::new(),
        drawn: vec![StockDrawn {
            cable: CableId(1),
            length: GridSteps(700),
            count: 1,
        }],
    };
    let bill = Bill::of(&specimen::job(), &specimen::plan(), &supply, None);
    let cable = bill
        .lines
        .iter()
        .filter(|line| matches!(line.kind, LineKind::Cable | LineKind::Waste));
    let shown: Vec<Decimal> = cable.map(|line| line.extension.decimal()).collect();
    assert_eq!(shown, [dec!(28.83), dec!(1.43)]);
}

#[test]
fn the_present_value_of_losses_stands_with_the_direct_cost_only() {
    let (job, plan) = (specimen::job(), specimen::plan());
    let plain = by_length(&job, &plan);
    let losses = Some(Cost::new(12.345));
    let weighed = Bill::of(&job, &plan, &CableSupply::ByLength, losses);
    assert_eq!(weighed.price, plain.price);
    assert!(
        (weighed.direct.cost - plain.direct.cost - Cost::new(12.345))
            .value()
            .abs()
            < 1e-9
    );
}

#[test]
fn an_empty_plan_costs_the_terms_of_the_bid_only() {
    let bill = by_length(&specimen::job(), &Plan::default());
    assert_eq!(bill.per_fixture.fixtures, 0);
    assert_eq!(bill.direct.cost, Cost::ZERO);
    assert_eq!(bill.subcontract, money(dec!(145)));
}

fn cents(most: i64) -> impl Strategy<Value = Decimal> {
    (0..most).prop_map(|amount| Decimal::new(amount, 2))
}

prop_compose! {
    /// The specimen job with random prices, hours, lengths and commercial terms.
    fn random_job()(
        lengths in prop::array::uniform4(0.0_f64..400.0),
        hours in prop::array::uniform4(0.0_f64..2.0),
        per_unit in (0_i64..99_999).prop_map(|amount| Decimal::new(amount, 4)),
        prices in prop::array::uniform4(cents(90_000)),
        labour in cents(20_000),
        ratios in prop::array::uniform4((0_i64..4_000).prop_map(|rate| Decimal::new(rate, 4))),
        minimum in cents(1_000_000),
        taxed in prop::sample::subsequence(
            vec![TaxClass::Material, TaxClass::Labour, TaxClass::Subcontract], 0..=3),
    ) -> Job {
        let mut job = specimen::job();
        for (segment, length) in job.segments.iter_mut().zip(lengths) {
            segment.length = job.units.to_metres(length);
        }
        for (surface, hours) in job.surfaces.iter_mut().zip(hours) {
            surface.open.hours_per_unit = hours / 10.0;
            surface.per_cable.money_per_unit = Money::new(per_unit);
        }
        job.models[0].price = Money::new(prices[0]);
        job.models[0].hours = Hours::new(hours[0]);
        job.transformers[0].price = Money::new(prices[1]);
        job.hubs[0].price = Money::new(prices[2]);
        job.surfaces[2].open_fixed = Money::new(prices[3]);
        job.rates.labour = Money::new(labour);
        job.rates.waste = Ratio::new(ratios[0]);
        job.bid.sundries = Ratio::new(ratios[1]);
        job.bid.overhead = Ratio::new(ratios[2]);
        job.bid.markup = Ratio::new(ratios[3]);
        job.bid.minimum_charge = Money::new(minimum);
        job.bid.tax = taxed.into_iter().map(|class| (class, Ratio::new(ratios[0]))).collect();
        job
    }
}

fn half_even(exact: Decimal) -> Decimal {
    exact.round_dp_with_strategy(2, RoundingStrategy::MidpointNearestEven)
}

proptest! {
    #[test]
    fn shown_quantity_times_unit_price_is_the_extension(job in random_job()) {
        for line in by_length(&job, &specimen::plan()).lines {
            let product = line.unit_price.decimal() * line.quantity.amount;
            prop_assert_eq!(line.extension.decimal(), half_even(product));
            if line.quantity.unit == Unit::Hours {
                prop_assert!(line.quantity.amount.scale() <= 2);
                prop_assert_eq!(line.unit_price, job.rates.labour);
            }
        }
    }

    #[test]
    fn totals_are_sums_of_what_is_shown(job in random_job()) {
        let bill = by_length(&job, &specimen::plan());
        let of = |class| -> Money {
            bill.lines.iter().filter(|line| line.class == class).map(|line| line.extension).sum()
        };
        prop_assert_eq!(bill.material, of(TaxClass::Material));
        prop_assert_eq!(bill.labour, of(TaxClass::Labour));
        prop_assert_eq!(bill.subcontract, of(TaxClass::Subcontract));
        prop_assert_eq!(bill.cost, bill.material + bill.labour + bill.subcontract);
        prop_assert_eq!(bill.price, bill.cost + bill.overhead + bill.markup + bill.top_up);
        prop_assert_eq!(bill.total, bill.price + bill.tax);
        prop_assert!(bill.price >= job.bid.minimum_charge);
        prop_assert!(bill.top_up == Money::ZERO || bill.price == job.bid.minimum_charge);
        let taxes: Money = bill.taxes.iter().map(|line| line.amount).sum();
        prop_assert_eq!(bill.tax, taxes);
        if bill.taxes.len() == 3 {
            prop_assert_eq!(bill.taxes.iter().map(|line| line.base).sum::<Money>(), bill.price);
        }
    }

    #[test]
    fn the_direct_cost_is_the_tariffs_and_the_bill_stays_close_to_it(
        job in random_job(),
        further in 0_u32..3,
    ) {
        let mut plan = specimen::plan();
        plan.further_circuits = vec![(SiteId(0), further)];
        let bill = by_length(&job, &plan);
        let tariff = Tariff::new(&job).plan_cost(&job, &plan).total();
        prop_assert!((bill.direct.cost - tariff).value().abs() <= 1e-9 * tariff.value().max(1.0));
        let installed = [
            LineKind::Transformer, LineKind::Site, LineKind::Cable, LineKind::Waste,
            LineKind::Hub, LineKind::Joint, LineKind::Trench, LineKind::CableWork,
        ];
        let lines = bill.lines.iter().filter(|line| installed.contains(&line.kind));
        let (count, sum) = lines.fold((0, Money::ZERO), |(count, sum), line| {
            (count + 1, sum + line.extension)
        });
        // Each labour line is off by at most 0.005 h; lengths by 0.005 ft a segment, each of
        // three parts at most 0.2 h/ft and 10 money/ft; waste by 0.05 ft a cable, below 1
        // money/ft; each line by half a cent.
        let rate = job.rates.labour.cost().value();
        let slack = f64::from(count) * (0.005 + 0.005 * rate)
            + 4.0 * 3.0 * 0.005 * (0.2 * rate + 10.0)
            + 2.0 * 0.05;
        prop_assert!((sum.cost() - tariff).value().abs() <= slack);
    }
}
