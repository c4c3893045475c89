//! The bill of materials: lines, totals, figures per fixture, direct cost.

use super::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use duskwright_solver::bill::{Bill, DirectPart, GENERAL, Line, LineKind, Unit, class_symbol};
use duskwright_solver::schedule::{Dossier, Header};
use duskwright_solver::units::Money;

/// The section.
pub fn section(dossier: &Dossier) -> Section {
    let (header, bill) = (&dossier.header, &dossier.bill);
    let mut blocks = vec![
        Block::Note(format!(
            "Amounts in {}. Each line is rounded to the cent; totals are sums of the rounded lines.",
            currency(header)
        )),
        Block::Table(lines(bill)),
        Block::Heading("Price".to_owned()),
        Block::Table(price(header, bill)),
        Block::Heading("Per fixture".to_owned()),
        Block::Facts(per_fixture(header, bill)),
        Block::Heading("Direct cost: what the search kept small".to_owned()),
        Block::Note(
            "Wiring only: fixtures, setting them, controls, lumps, overhead, markup and tax are in the bid above and not here. \
             Parts are rounded for showing."
                .to_owned(),
        ),
        Block::Table(direct(header, bill)),
    ];
    if bill.lines.iter().any(|line| line.kind == LineKind::Present) {
        blocks.push(Block::Note(
            "Lines at zero are on site already or come with something else; they are listed so that nothing is missed."
                .to_owned(),
        ));
    }
    Section {
        title: "Bill of materials".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}

fn currency(header: &Header) -> String {
    if header.currency.trim().is_empty() {
        "the job's currency".to_owned()
    } else {
        header.currency.clone()
    }
}

fn kind_name(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Fixture => "Fixtures",
        LineKind::Transformer => "Transformers",
        LineKind::Site => "Transformer sites",
        LineKind::Cable => "Cable",
        LineKind::Waste => "Cable waste",
        LineKind::Hub => "Hubs",
        LineKind::Joint => "Splices",
        LineKind::Trench => "Opening ground",
        LineKind::CableWork => "Laying cable",
        LineKind::Control => "Controls",
        LineKind::Sundries => "Sundries",
        LineKind::NightVisit => "Night visit",
        LineKind::Permit => "Permit",
        LineKind::Mobilisation => "Mobilisation",
        LineKind::Lump => "Subcontract",
        LineKind::Present => "Present already",
    }
}

fn lines(bill: &Bill) -> Table {
    let mut table = Table::new(vec![
        Column::words("For"),
        Column::words("Item"),
        Column::words("Class"),
        Column::figures("Quantity"),
        Column::words("Unit"),
        Column::figures("Price"),
        Column::figures("Amount"),
    ]);
    let sectioned = bill.lines.iter().any(|line| line.section != GENERAL);
    let mut before: Option<&Line> = None;
    for line in &bill.lines {
        let same_section = before.is_some_and(|before| before.section == line.section);
        let same_kind = before.is_some_and(|before| before.kind == line.kind);
        if sectioned && !same_section {
            table.group(&line.section);
        }
        let purpose = if same_section && same_kind {
            ""
        } else {
            kind_name(line.kind)
        };
        table.row(cells(purpose, line));
        before = Some(line);
    }
    table
}

fn cells(purpose: &str, line: &Line) -> [String; 7] {
    let (quantity, unit) = match line.quantity.unit {
        Unit::Share => (
            format::decimal_percent(line.quantity.amount),
            "of price".to_owned(),
        ),
        unit => (
            format::quantity(line.quantity.amount),
            unit.symbol().to_owned(),
        ),
    };
    [
        purpose.to_owned(),
        line.description.clone(),
        class_symbol(line.class).to_owned(),
        quantity,
        unit,
        format::money_exact(line.unit_price),
        format::money("", line.extension),
    ]
}

fn price(header: &Header, bill: &Bill) -> Table {
    let mut table = Table::new(vec![
        Column::words("Part"),
        Column::words("Basis"),
        Column::figures("Amount"),
    ]);
    let amount = |money: Money| format::money(&header.currency, money);
    let rate = format::money(&header.currency, bill.labour_rate);
    let hours = format::quantity(bill.hours);
    let plain = |part: &str, basis: String, money: Money| [part.to_owned(), basis, amount(money)];
    table.row(plain("Material", String::new(), bill.material));
    table.row(plain(
        "Labour",
        format!("{hours} h at {rate} an hour"),
        bill.labour,
    ));
    table.row(plain("Subcontract", String::new(), bill.subcontract));
    table.total(plain("Cost", String::new(), bill.cost));
    table.row(plain(
        "Overhead",
        format!(
            "{} on cost",
            format::decimal_percent(bill.overhead_rate.decimal())
        ),
        bill.overhead,
    ));
    table.row(plain(
        "Markup",
        format!(
            "{} on cost with overhead",
            format::decimal_percent(bill.markup_rate.decimal())
        ),
        bill.markup,
    ));
    if bill.top_up != Money::ZERO {
        let least = amount(bill.minimum_charge);
        table.row(plain(
            "Up to the minimum charge",
            format!("minimum {least}"),
            bill.top_up,
        ));
    }
    table.total(plain("Price before tax", String::new(), bill.price));
    for tax in &bill.taxes {
        let basis = format!(
            "{} on {}",
            format::decimal_percent(tax.rate.decimal()),
            amount(tax.base)
        );
        let part = format!("Tax on {}", class_symbol(tax.class));
        table.row(plain(&part, basis, tax.amount));
    }
    if bill.taxes.len() != 1 {
        table.row(plain("Tax", String::new(), bill.tax));
    }
    table.total(plain("Total", String::new(), bill.total));
    table
}

/// Price, hours and cable per fixture.
pub fn per_fixture(header: &Header, bill: &Bill) -> Vec<(String, String)> {
    let each = &bill.per_fixture;
    vec![
        (
            "Price before tax per fixture".to_owned(),
            format::money(&header.currency, each.price),
        ),
        (
            "Labour per fixture".to_owned(),
            format!("{} h", format::quantity(each.hours)),
        ),
        (
            "Cable per fixture (leads and waste not counted)".to_owned(),
            format!("{} {}", format::quantity(each.cable), header.length_unit),
        ),
        ("Fixtures counted".to_owned(), each.fixtures.to_string()),
    ]
}

fn part_name(part: DirectPart) -> &'static str {
    match part {
        DirectPart::Trench => "Ground opened",
        DirectPart::CableWork => "Cable laid",
        DirectPart::Cable => "Cable",
        DirectPart::Joints => "Splices",
        DirectPart::Hubs => "Hubs",
        DirectPart::Transformers => "Transformers bought and mounted",
        DirectPart::Sites => "Sites used",
        DirectPart::FurtherCircuits => "Further mains circuits",
        DirectPart::Losses => "Present value of losses",
    }
}

fn direct(header: &Header, bill: &Bill) -> Table {
    let mut table = Table::new(vec![Column::words("Part"), Column::figures("Cost")]);
    let amount = |money: Money| format::money(&header.currency, money);
    let direct = &bill.direct;
    for line in &direct.lines {
        table.row([part_name(line.part).to_owned(), amount(line.shown())]);
    }
    if direct.rounding() != Money::ZERO {
        table.row(["Rounding".to_owned(), amount(direct.rounding())]);
    }
    table.total(["Direct cost".to_owned(), amount(direct.shown())]);
    table
}
