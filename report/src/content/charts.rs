//! Charts: what is drawn, not where.

/// One bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// What it stands for.
    pub name: String,
    /// Its amount, as printed.
    pub amount: String,
    /// Its length as a share of the whole, 0..1.
    pub share: f64,
}

/// Bars below each other, of one scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Bars {
    /// Bars, top to bottom.
    pub bars: Vec<Bar>,
}

/// A voltage at a length along the cable.
pub type Reading = (f64, f64);

/// Voltage against length of one circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// Heading.
    pub title: String,
    /// The circuit (position in the dossier): picks colour.
    pub circuit: usize,
    /// `ft` or `m`.
    pub length_unit: String,
    /// Pieces and leads in the high, the expected and the low case: near end, far end.
    pub cases: [Vec<(Reading, Reading)>; 3],
    /// Fixtures, expected case, each with its window in volts.
    pub fixtures: Vec<(Reading, (f64, f64))>,
}
