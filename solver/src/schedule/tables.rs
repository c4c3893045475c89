//! The schedules as tables for spreadsheets, the unit in each column's name.

use super::field::PieceRow;
use super::model::{CircuitRow, Dossier, FixtureRow};
use crate::bill::{Bill, class_symbol};
use crate::cells::{names, table, text};
use crate::units::{Amperes, Money, VoltAmperes, Volts};

/// A number with fixed decimals; never `-0.000`.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let written = format!("{value:.decimals$}");
    match written.strip_prefix('-') {
        Some(digits) if digits.chars().all(|digit| matches!(digit, '0' | '.')) => digits.to_owned(),
        _ => written,
    }
}

fn volts(value: Volts) -> String {
    number(value.value(), 3)
}

fn volts_or_blank(value: Option<Volts>) -> String {
    value.map(volts).unwrap_or_default()
}

fn amps(value: Amperes) -> String {
    number(value.value(), 3)
}

fn volt_amperes(value: VoltAmperes) -> String {
    number(value.value(), 2)
}

const fn yes(flag: bool) -> &'static str {
    if flag { "yes" } else { "no" }
}

impl Dossier {
    /// `bill.csv`: a row for each line, then a row for each total (`row` tells them apart).
    #[must_use]
    pub fn bill_csv(&self) -> String {
        let header = names([
            "row",
            "section",
            "class",
            "description",
            "quantity",
            "unit",
            "unit_price",
            "extension",
            "currency",
        ]);
        let currency = text(&self.header.currency);
        let lines = self.bill.lines.iter().map(|line| {
            vec![
                "line".to_owned(),
                text(&line.section),
                class_symbol(line.class).to_owned(),
                text(&line.description),
                line.quantity.amount.to_string(),
                line.quantity.unit.symbol().to_owned(),
                line.unit_price.to_string(),
                line.extension.to_string(),
                currency.clone(),
            ]
        });
        let totals = totals(&self.bill).into_iter().map(|(name, class, amount)| {
            let mut row = vec![String::new(); header.len()];
            row[0] = "total".to_owned();
            row[2] = class.to_owned();
            row[3] = name.to_owned();
            row[7] = amount.to_string();
            row[8].clone_from(&currency);
            row
        });
        table(&header, lines.chain(totals))
    }

    /// `circuits.csv`: a row for each circuit.
    #[must_use]
    pub fn circuits_csv(&self) -> String {
        let unit = &self.header.length_unit;
        let header = [
            names([
                "circuit",
                "transformer",
                "secondary",
                "tap",
                "tap_V",
                "common",
                "zone",
                "gauge",
            ]),
            vec![format!("home_run_{unit}"), format!("cable_{unit}")],
            names([
                "fixtures",
                "current_A",
                "limit_A",
                "load_VA",
                "source_expected_V",
                "lowest_fixture",
                "lowest_low_case_V",
                "lowest_window_min_V",
                "lowest_window_max_V",
                "last_fixture",
                "last_expected_V",
                "lowest_line_5pct_low_V",
                "highest_line_5pct_high_V",
                "end_short_A",
                "breaker_A",
                "short_may_not_trip",
                "taps_above",
                "spare_W",
            ]),
            vec![format!("extension_{unit}")],
            names(["extension_gauge", "loading_margin_pct"]),
        ];
        table(&header.concat(), self.circuits.iter().map(circuit_cells))
    }

    /// `fixtures.csv`: a row for each fixture fed.
    #[must_use]
    pub fn fixtures_csv(&self) -> String {
        let header = names([
            "fixture",
            "model",
            "node",
            "zone",
            "section",
            "existing",
            "circuit",
            "rated_VA",
            "expected_V",
            "low_case_V",
            "high_case_V",
            "line_5pct_low_V",
            "line_5pct_high_V",
            "window_min_V",
            "window_max_V",
            "margin_V",
        ]);
        table(&header, self.fixtures.iter().map(fixture_cells))
    }

    /// `pieces.csv`: a row for each piece to cut.
    #[must_use]
    pub fn pieces_csv(&self) -> String {
        let unit = &self.header.length_unit;
        let parts = [
            "length",
            "route",
            "near_slack",
            "near_rise",
            "far_slack",
            "far_rise",
        ];
        let header = [
            names([
                "piece", "circuit", "home_run", "from", "to", "cable", "gauge",
            ]),
            parts.map(|part| format!("{part}_{unit}")).to_vec(),
            names(["current_A", "route_nodes"]),
        ];
        table(&header.concat(), self.pieces.iter().map(piece_cells))
    }
}

fn totals(bill: &Bill) -> Vec<(&'static str, &'static str, Money)> {
    let mut totals = vec![
        ("Material", "material", bill.material),
        ("Labour", "labour", bill.labour),
        ("Subcontract", "subcontract", bill.subcontract),
        ("Cost", "", bill.cost),
        ("Overhead", "", bill.overhead),
        ("Markup", "", bill.markup),
        ("Top-up to the minimum charge", "", bill.top_up),
        ("Price before tax", "", bill.price),
    ];
    let taxes = bill.taxes.iter();
    totals.extend(taxes.map(|tax| ("Tax", class_symbol(tax.class), tax.amount)));
    totals.push(("Price with tax", "", bill.total));
    totals
}

fn circuit_cells(row: &CircuitRow) -> Vec<String> {
    vec![
        text(&row.label),
        text(&row.transformer),
        text(&row.secondary),
        text(&row.tap),
        volts(row.tap_volts),
        text(&row.common),
        text(row.zone.as_deref().unwrap_or_default()),
        text(&row.gauge),
        row.home_run.to_string(),
        row.cable.to_string(),
        row.fixtures.to_string(),
        amps(row.amps),
        amps(row.limit),
        volt_amperes(row.load),
        volts(row.source_volts),
        text(&row.lowest_fixture),
        volts(row.lowest_volts),
        volts(row.lowest_window_min),
        volts(row.lowest_window_max),
        text(&row.last_fixture),
        volts(row.last_volts),
        volts_or_blank(row.line_low_volts),
        volts_or_blank(row.line_high_volts),
        amps(row.end_short),
        amps(row.breaker),
        yes(row.may_not_trip).to_owned(),
        text(&row.taps_above.join(" ")),
        number(row.spare.value(), 1),
        row.extension
            .map(|length| length.to_string())
            .unwrap_or_default(),
        text(&row.extension_gauge),
        row.loading_margin_percent
            .map(|share| number(share, 1))
            .unwrap_or_default(),
    ]
}

fn fixture_cells(row: &FixtureRow) -> Vec<String> {
    vec![
        text(&row.tag),
        text(&row.model),
        text(&row.node),
        text(row.zone.as_deref().unwrap_or_default()),
        text(row.section.as_deref().unwrap_or_default()),
        yes(row.existing).to_owned(),
        text(&row.circuit),
        volt_amperes(row.apparent),
        volts(row.expected),
        volts(row.low),
        volts(row.high),
        volts_or_blank(row.line_low),
        volts_or_blank(row.line_high),
        volts(row.window_min),
        volts(row.window_max),
        volts(row.margin),
    ]
}

fn piece_cells(row: &PieceRow) -> Vec<String> {
    vec![
        text(&row.id),
        text(&row.circuit),
        yes(row.home_run).to_owned(),
        text(&row.from),
        text(&row.to),
        text(&row.cable),
        text(&row.gauge),
        row.length.to_string(),
        row.parts.route.to_string(),
        row.parts.near_slack.to_string(),
        row.parts.near_rise.to_string(),
        row.parts.far_slack.to_string(),
        row.parts.far_rise.to_string(),
        amps(row.amps),
        text(&row.route.join(" > ")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_negative_numbers_are_not_written_as_negative_zero() {
        assert_eq!(number(-0.0001, 3), "0.000");
        assert_eq!(number(-0.0006, 3), "-0.001");
        assert_eq!(number(1234.5, 2), "1234.50");
    }
}
