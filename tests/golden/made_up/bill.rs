//! The bill of a made-up dossier.

use super::{Maker, count};
use duskwright_solver::bill::{
    Bill, DirectCost, DirectLine, DirectPart, Line, LineKind, PerFixture, Quantity, TaxLine, Unit,
};
use duskwright_solver::job::TaxClass;
use duskwright_solver::units::{Cost, Money, Ratio};
use rust_decimal::{Decimal, dec};

fn line(
    kind: LineKind,
    class: TaxClass,
    description: &str,
    amount: Decimal,
    unit: Unit,
    price: Decimal,
) -> Line {
    Line {
        section: "General".to_owned(),
        kind,
        class,
        description: description.to_owned(),
        quantity: Quantity { amount, unit },
        unit_price: Money::new(price),
        extension: Money::new(price).times(amount).cents(),
    }
}

fn bill_lines(maker: &Maker) -> Vec<Line> {
    use LineKind as Kind;
    use TaxClass::{Labour, Material, Subcontract};
    let unit = if maker.recipe.metric {
        Unit::Metres
    } else {
        Unit::Feet
    };
    let each = Decimal::from(maker.recipe.fixtures);
    let path = if maker.recipe.long_names {
        "Fixture path-light-copper-with-a-name-that-goes-on-and-on-and-on 3 W 2700 K incl. ground stake, 25 ft lead and glare shield"
    } else {
        "Fixture path-3"
    };
    let material = dec!(1830.30);
    vec![
        line(Kind::Fixture, Material, path, each, Unit::Each, dec!(78.00)),
        line(
            Kind::Fixture,
            Labour,
            "Set and aim path-3",
            each * dec!(0.4),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Transformer,
            Material,
            "Transformer t-300",
            Decimal::from(maker.transformers),
            Unit::Each,
            dec!(214.50),
        ),
        line(
            Kind::Transformer,
            Labour,
            "Mount t-300",
            Decimal::from(maker.transformers) * dec!(1.5),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Cable,
            Material,
            "Cable 12-2",
            dec!(12345.6),
            unit,
            dec!(0.4175),
        ),
        line(
            Kind::Waste,
            Material,
            "Waste, 12-2",
            dec!(617.28),
            unit,
            dec!(0.4175),
        ),
        line(
            Kind::Joint,
            Material,
            "Splice kit, both poles",
            each,
            Unit::Each,
            dec!(3.20),
        ),
        line(
            Kind::Trench,
            Labour,
            "Open lawn",
            dec!(31.25),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Trench,
            Subcontract,
            "Bore under drive",
            dec!(1),
            Unit::Lump,
            dec!(650),
        ),
        line(
            Kind::Sundries,
            Material,
            "Sundries on material",
            dec!(0.05),
            Unit::Share,
            material,
        ),
        line(
            Kind::NightVisit,
            Labour,
            "Night visit",
            dec!(3),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Permit,
            Subcontract,
            "Permit",
            dec!(1),
            Unit::Lump,
            dec!(0),
        ),
        line(
            Kind::Present,
            Material,
            "Existing transformer, present already",
            dec!(1),
            Unit::Each,
            dec!(0),
        ),
    ]
}

pub fn bill(maker: &Maker) -> Bill {
    let lines = bill_lines(maker);
    let sum = |class: TaxClass| -> Money {
        lines
            .iter()
            .filter(|line| line.class == class)
            .map(|line| line.extension)
            .sum()
    };
    let (material, labour, subcontract) = (
        sum(TaxClass::Material),
        sum(TaxClass::Labour),
        sum(TaxClass::Subcontract),
    );
    let cost = material + labour + subcontract;
    let overhead = cost.times(dec!(0.10)).cents();
    let markup = (cost + overhead).times(dec!(0.25)).cents();
    let price = cost + overhead + markup;
    let tax = price.times(dec!(0.0825)).cents();
    let hours = lines
        .iter()
        .filter(|line| line.quantity.unit == Unit::Hours)
        .map(|line| line.quantity.amount)
        .sum::<Decimal>();
    let fixtures = Decimal::from(maker.recipe.fixtures);
    let parts = [
        (DirectPart::Trench, dec!(912.40)),
        (DirectPart::Cable, dec!(418.22)),
        (DirectPart::Transformers, dec!(310.00)),
    ];
    Bill {
        hours,
        labour_rate: Money::new(dec!(65)),
        material,
        labour,
        subcontract,
        cost,
        overhead_rate: Ratio::new(dec!(0.10)),
        overhead,
        markup_rate: Ratio::new(dec!(0.25)),
        markup,
        minimum_charge: Money::ZERO,
        top_up: Money::ZERO,
        price,
        taxes: vec![TaxLine {
            class: TaxClass::Material,
            base: price,
            rate: Ratio::new(dec!(0.0825)),
            amount: tax,
        }],
        tax,
        total: price + tax,
        per_fixture: PerFixture {
            fixtures: count(maker.recipe.fixtures),
            price: Money::new(price.decimal() / fixtures).cents(),
            hours: (hours / fixtures).round_dp(2),
            cable: (dec!(12345.6) / fixtures).round_dp(2),
        },
        direct: DirectCost {
            lines: parts
                .iter()
                .map(|&(part, cost)| DirectLine {
                    part,
                    cost: Money::new(cost).cost(),
                })
                .collect(),
            cost: Cost::new(1640.62),
        },
        lines,
    }
}
