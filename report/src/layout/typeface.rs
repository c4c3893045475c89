//! Widths of letters, and which letters there are.

use std::collections::BTreeMap;
use unicode_normalization::UnicodeNormalization;

/// Stands for every character that the typeface lacks.
pub const SUBSTITUTE: char = '\u{fffd}';

/// Weight of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Running text.
    Regular,
    /// Headings, sums.
    Bold,
}

/// The measures of one font, in its own units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Face {
    /// Units per em, > 0.
    pub units_per_em: u16,
    /// Advance width of each covered character.
    pub advances: BTreeMap<char, u16>,
}

impl Face {
    fn advance(&self, letter: char) -> f64 {
        let units = self.advances.get(&letter).copied().unwrap_or(0);
        f64::from(units) / f64::from(self.units_per_em)
    }
}

/// The two weights of the papers' font.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typeface {
    /// Regular.
    pub regular: Face,
    /// Bold; covers at least what regular does.
    pub bold: Face,
}

/// Height of the letters above the baseline, as a share of the size, accents on capitals included.
pub const ABOVE: f64 = 0.93;
/// Depth of the letters below the baseline, as a share of the size.
pub const BELOW: f64 = 0.24;

impl Typeface {
    fn face(&self, weight: Weight) -> &Face {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }
    /// Width of clean text set on one line, pt.
    #[must_use]
    pub fn width(&self, text: &str, weight: Weight, size: f64) -> f64 {
        let face = self.face(weight);
        text.chars().map(|letter| face.advance(letter)).sum::<f64>() * size
    }
    fn covers(&self, letter: char) -> bool {
        self.regular.advances.contains_key(&letter) && self.bold.advances.contains_key(&letter)
    }
    /// Text that can be set: accents composed, blanks made plain, invisible marks
    /// dropped, signs that have a plain spelling spelled out, and every other
    /// character that the typeface lacks replaced by [`SUBSTITUTE`].
    #[must_use]
    pub fn clean(&self, text: &str) -> String {
        let mut clean = String::with_capacity(text.len());
        for letter in text.nfc() {
            match letter {
                '\t' | '\n' | '\r' | '\u{2028}' | '\u{2029}' => clean.push(' '),
                '\u{200b}'..='\u{200f}'
                | '\u{202a}'..='\u{202e}'
                | '\u{2060}'..='\u{2064}'
                | '\u{feff}' => {}
                letter if letter.is_control() => clean.push(SUBSTITUTE),
                letter if self.covers(letter) => clean.push(letter),
                letter => clean.push_str(spelled(letter)),
            }
        }
        clean
    }
}

/// A plain spelling of a sign that the typeface lacks.
fn spelled(letter: char) -> &'static str {
    match letter {
        '\u{2212}' => "–",
        '≤' => "<=",
        '≥' => ">=",
        '≈' => "~",
        '→' => "->",
        '←' => "<-",
        '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{3000}' => " ",
        _ => "\u{fffd}",
    }
}
