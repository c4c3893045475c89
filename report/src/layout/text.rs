//! Breaking text into lines that fit a width.

use super::frame::{Colour, Frame, Item, TextRun};
use super::geometry::{Area, Place};
use super::typeface::{ABOVE, BELOW, Typeface, Weight};

/// How text looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Size, pt.
    pub size: f64,
    /// Weight.
    pub weight: Weight,
    /// Colour.
    pub colour: Colour,
}

impl Style {
    /// Distance between baselines, pt.
    #[must_use]
    pub fn leading(&self) -> f64 {
        self.size * 1.28
    }
}

/// Rounding room when a width that was measured is asked for again, pt.
const WIDTH_SLACK: f64 = 1e-6;

/// Sets clean text of one typeface.
#[derive(Clone, Copy, Debug)]
pub struct Setter<'a> {
    /// The typeface.
    pub typeface: &'a Typeface,
}

impl Setter<'_> {
    /// Width of text on one line, pt.
    #[must_use]
    pub fn width(&self, text: &str, style: Style) -> f64 {
        self.typeface.width(text, style.weight, style.size)
    }

    /// Width of the widest word: below this a column must break inside words.
    #[must_use]
    pub fn widest_word(&self, text: &str, style: Style) -> f64 {
        text.split(' ')
            .map(|word| self.width(word, style))
            .fold(0.0, f64::max)
    }

    /// Breaks clean text into lines no wider than `width`; at blanks where
    /// possible, else after a hyphen, slash, dot or underscore, else anywhere.
    /// A single letter wider than `width` stands alone. Never returns no line.
    #[must_use]
    pub fn lines(&self, text: &str, style: Style, width: f64) -> Vec<String> {
        let limit = width + WIDTH_SLACK;
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let candidate = if line.is_empty() {
                word.to_owned()
            } else {
                format!("{line} {word}")
            };
            if self.width(&candidate, style) <= limit {
                line = candidate;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            let mut rest = word;
            while self.width(rest, style) > limit {
                let cut = self.cut_inside(rest, style, limit);
                if cut == rest.len() {
                    break;
                }
                lines.push(rest[..cut].to_owned());
                rest = &rest[cut..];
            }
            rest.clone_into(&mut line);
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// Byte position where a word that is too wide is cut: at least one letter, at
    /// most what fits, after the last breaking sign in the second half of that.
    fn cut_inside(&self, word: &str, style: Style, limit: f64) -> usize {
        let mut fits = 0;
        let mut after_sign = None;
        let mut width = 0.0;
        for (start, letter) in word.char_indices() {
            let end = start + letter.len_utf8();
            width += self.width(&word[start..end], style);
            if width > limit && start > 0 {
                break;
            }
            fits = end;
            if matches!(letter, '-' | '/' | '_' | '.' | ',' | '\u{2013}') {
                after_sign = Some(end);
            }
        }
        match after_sign {
            Some(end) if end * 2 >= fits => end,
            _ => fits,
        }
    }

    /// Puts one line of clean text on a page, its baseline starting at `at`.
    pub fn put(&self, frame: &mut Frame, at: Place, text: &str, style: Style) {
        if text.trim().is_empty() {
            return;
        }
        frame.items.push(Item::Text(TextRun {
            at,
            text: text.to_owned(),
            size: style.size,
            weight: style.weight,
            colour: style.colour,
            area: self.area(at, text, style),
        }));
    }

    /// Area that one line of text takes when its baseline starts at `at`.
    #[must_use]
    pub fn area(&self, at: Place, text: &str, style: Style) -> Area {
        Area::new(
            at.x,
            at.y - ABOVE * style.size,
            self.width(text, style),
            (ABOVE + BELOW) * style.size,
        )
    }
}
