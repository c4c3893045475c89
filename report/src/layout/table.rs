//! Tables: column widths, and how rows stack. Breaking over pages is the
//! business of [`super::flow`].

use super::frame::{Colour, Frame, Stroke};
use super::geometry::{Area, Place};
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Weight};
use crate::content::{Align, Row, RowKind, Table};

/// Text sizes tried for a table, largest first, pt.
const SIZES: [f64; 5] = [8.5, 8.0, 7.5, 7.0, 6.5];
/// Blank at each side of a cell, pt.
const PAD_X: f64 = 3.4;
/// Blank above and below the text of a cell, pt.
const PAD_Y: f64 = 1.8;
/// The same where there is something to write by hand, pt.
const PAD_TO_WRITE: f64 = 4.2;
/// Most spare width given to one column, pt: a small table stays small.
const MOST_SPARE: f64 = 34.0;
/// Narrowest column that still holds a few letters, pt.
const NARROWEST: f64 = 18.0;

/// A row with its text broken into lines, ready to be put anywhere.
#[derive(Clone, Debug, PartialEq)]
pub struct SetRow {
    cells: Vec<Vec<String>>,
    kind: RowKind,
    /// Height, pt.
    pub height: f64,
    /// Goes on with the row before it, which was too high.
    pub continues: bool,
}

impl SetRow {
    /// Whether it is a group heading; one must not stand last on a page.
    #[must_use]
    pub fn heads_group(&self) -> bool {
        self.kind == RowKind::Group
    }
}

/// A table set for a width.
#[derive(Clone, Debug, PartialEq)]
pub struct SetTable {
    widths: Vec<f64>,
    /// Width that each column has beyond its wish, pt.
    spare: f64,
    aligns: Vec<Align>,
    /// Columns to write in.
    blanks: Vec<bool>,
    size: f64,
    /// The heading, repeated on each page.
    pub heading: SetRow,
    /// The rows; none is higher than `tallest`.
    pub rows: Vec<SetRow>,
}

fn style(size: f64, weight: Weight) -> Style {
    Style {
        size,
        weight,
        colour: Colour::INK,
    }
}

fn weight_of(kind: RowKind) -> Weight {
    match kind {
        RowKind::Plain => Weight::Regular,
        RowKind::Group | RowKind::Total => Weight::Bold,
    }
}

/// Widths a column would like: all on one line, and the widest word.
#[derive(Clone, Copy, Debug, Default)]
struct Wish {
    whole: f64,
    word: f64,
}

fn wishes(setter: Setter<'_>, table: &Table, size: f64) -> Vec<Wish> {
    let mut wishes: Vec<Wish> = table
        .columns
        .iter()
        .map(|column| {
            let bold = style(size, Weight::Bold);
            let word = setter.widest_word(&column.heading, bold);
            // A heading reads well on two lines; uneven words need a little more than half.
            let two_lines = 0.6 * setter.width(&column.heading, bold);
            let room = column.room as f64 * 0.52 * size;
            Wish {
                whole: word.max(two_lines).max(room),
                word: word.max(room),
            }
        })
        .collect();
    for row in table.rows.iter().filter(|row| row.kind != RowKind::Group) {
        let style = style(size, weight_of(row.kind));
        for ((wish, cell), column) in wishes.iter_mut().zip(&row.cells).zip(&table.columns) {
            let whole = setter.width(cell, style);
            wish.whole = wish.whole.max(whole);
            wish.word = wish.word.max(match column.align {
                Align::Left => setter.widest_word(cell, style),
                Align::Right => whole,
            });
        }
    }
    wishes
}

/// Shares `width` among columns: whole lines if they fit, else the columns of the longest
/// texts give way, all to one width (found by halving), none below its widest word.
/// `None` when the widest words do not fit either.
fn share(wishes: &[Wish], width: f64) -> Option<Vec<f64>> {
    let padded = |inner: f64| inner + 2.0 * PAD_X;
    let whole: f64 = wishes.iter().map(|wish| padded(wish.whole)).sum();
    if whole <= width {
        return Some(wishes.iter().map(|wish| padded(wish.whole)).collect());
    }
    let words: f64 = wishes.iter().map(|wish| padded(wish.word)).sum();
    if words > width {
        return None;
    }
    let capped = |cap: f64| {
        let columns = wishes.iter();
        columns.map(move |wish| padded(wish.whole.min(cap).max(wish.word)))
    };
    let (mut low, mut high) = (0.0, width);
    for _ in 0..60 {
        let cap = 0.5 * (low + high);
        if capped(cap).sum::<f64>() <= width {
            low = cap;
        } else {
            high = cap;
        }
    }
    Some(capped(low).collect())
}

/// Shares `width` when words must be broken: columns of words give way first,
/// the widest most, down to [`NARROWEST`]; figures only when that is not enough.
fn squeeze(wishes: &[Wish], aligns: &[Align], width: f64) -> Vec<f64> {
    let mut widths: Vec<f64> = wishes.iter().map(|wish| wish.word + 2.0 * PAD_X).collect();
    for giving in [Some(Align::Left), None] {
        let gives = |at: usize| giving.is_none_or(|align| aligns[at] == align);
        let excess = widths.iter().sum::<f64>() - width;
        if excess <= 0.0 {
            break;
        }
        let cap = level(&widths, gives, excess);
        for (at, column) in widths.iter_mut().enumerate() {
            if gives(at) {
                *column = column.min(cap.max(NARROWEST));
            }
        }
    }
    let total: f64 = widths.iter().sum();
    if total > width {
        let factor = width / total;
        widths.iter_mut().for_each(|column| *column *= factor);
    }
    widths
}

/// The cap on the giving columns that takes `excess` off their sum (found by halving).
fn level(widths: &[f64], gives: impl Fn(usize) -> bool, excess: f64) -> f64 {
    let mut low = 0.0;
    let mut high = widths.iter().copied().fold(0.0, f64::max);
    for _ in 0..60 {
        let cap = 0.5 * (low + high);
        let taken: f64 = widths
            .iter()
            .enumerate()
            .filter(|&(at, _)| gives(at))
            .map(|(_, &column)| (column - cap).max(0.0))
            .sum();
        if taken >= excess {
            low = cap;
        } else {
            high = cap;
        }
    }
    low
}

/// Sets a table of clean text for `width`; rows higher than `tallest` are continued in further rows.
#[must_use]
pub fn set(setter: Setter<'_>, table: &Table, width: f64, tallest: f64) -> SetTable {
    let aligns: Vec<Align> = table.columns.iter().map(|column| column.align).collect();
    let fitting = SIZES
        .iter()
        .find_map(|&size| share(&wishes(setter, table, size), width).map(|widths| (size, widths)));
    let (size, mut widths) = fitting.unwrap_or_else(|| {
        let size = SIZES[SIZES.len() - 1];
        (size, squeeze(&wishes(setter, table, size), &aligns, width))
    });
    let spare = spread(&mut widths, width);
    let heading = Row {
        cells: table
            .columns
            .iter()
            .map(|column| column.heading.clone())
            .collect(),
        kind: RowKind::Total,
    };
    let mut set = SetTable {
        widths,
        spare,
        aligns,
        blanks: table.columns.iter().map(|column| column.room > 0).collect(),
        size,
        heading: SetRow {
            cells: Vec::new(),
            kind: RowKind::Total,
            height: 0.0,
            continues: false,
        },
        rows: Vec::new(),
    };
    set.heading = set.row(setter, &heading);
    for row in &table.rows {
        let row = set.row(setter, row);
        set.split(row, tallest);
    }
    set
}

/// Gives left-over width to all columns alike, within reason; returns what each got.
fn spread(widths: &mut [f64], width: f64) -> f64 {
    let left = width - widths.iter().sum::<f64>();
    if left <= 0.0 || widths.is_empty() {
        return 0.0;
    }
    let each = (left / widths.len() as f64).min(MOST_SPARE);
    widths.iter_mut().for_each(|column| *column += each);
    each
}

impl SetTable {
    fn pad_y(&self) -> f64 {
        if self.blanks.contains(&true) {
            PAD_TO_WRITE
        } else {
            PAD_Y
        }
    }

    fn leading(&self) -> f64 {
        style(self.size, Weight::Regular).leading()
    }

    fn height(&self, cells: &[Vec<String>]) -> f64 {
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        lines as f64 * self.leading() + 2.0 * self.pad_y()
    }

    /// Width for the text of a column: figures leave half of the spare width to their right.
    fn inner_width(&self, column: usize) -> f64 {
        let spare = match self.aligns[column] {
            Align::Left => 0.0,
            Align::Right => 0.5 * self.spare,
        };
        self.widths[column] - 2.0 * PAD_X - spare
    }

    fn row(&self, setter: Setter<'_>, row: &Row) -> SetRow {
        let style = style(self.size, weight_of(row.kind));
        let cells: Vec<Vec<String>> = if row.kind == RowKind::Group {
            let all: f64 = self.widths.iter().sum();
            let text = row.cells.first().map_or("", String::as_str);
            vec![setter.lines(text, style, all - 2.0 * PAD_X)]
        } else {
            row.cells
                .iter()
                .enumerate()
                .map(|(at, cell)| setter.lines(cell, style, self.inner_width(at)))
                .collect()
        };
        SetRow {
            height: self.height(&cells),
            cells,
            kind: row.kind,
            continues: false,
        }
    }

    /// A group heading said again where its rows go on over a page break.
    #[must_use]
    pub fn continued(&self, setter: Setter<'_>, group: &SetRow) -> SetRow {
        let lines = group.cells.first();
        let text = lines.map_or_else(String::new, |lines| lines.join(" "));
        let again = Row {
            cells: vec![format!("{text}, continued")],
            kind: RowKind::Group,
        };
        self.row(setter, &again)
    }

    /// Whether rows stand under group headings.
    #[must_use]
    pub fn grouped(&self) -> bool {
        self.rows.iter().any(|row| row.kind == RowKind::Group)
    }

    /// Width that the table needs, pt.
    #[must_use]
    pub fn needed(&self) -> f64 {
        self.width() - self.spare * self.widths.len() as f64
    }

    /// Adds a row, cut into rows no higher than `tallest` (at least one line each).
    fn split(&mut self, row: SetRow, tallest: f64) {
        if row.height <= tallest {
            self.rows.push(row);
            return;
        }
        let lines = (((tallest - 2.0 * self.pad_y()) / self.leading()).floor() as usize).max(1);
        let parts = row
            .cells
            .iter()
            .map(|cell| cell.len().div_ceil(lines))
            .max()
            .unwrap_or(1);
        for part in 0..parts {
            let cells: Vec<Vec<String>> = row
                .cells
                .iter()
                .map(|cell| {
                    cell.iter()
                        .skip(part * lines)
                        .take(lines)
                        .cloned()
                        .collect()
                })
                .collect();
            self.rows.push(SetRow {
                height: self.height(&cells),
                cells,
                kind: row.kind,
                continues: part > 0,
            });
        }
    }

    /// Width of the whole table, pt.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.widths.iter().sum()
    }

    /// Puts the heading with its top left corner at `at`.
    pub fn put_heading(&self, setter: Setter<'_>, frame: &mut Frame, at: Place) {
        let area = Area::new(at.x, at.y, self.width(), self.heading.height);
        frame.rectangle(area, None, Some(Colour::TINT));
        self.put_cells(setter, frame, at, &self.heading, Colour::ACCENT);
        frame.line(
            vec![
                Place::new(area.x, area.bottom()),
                Place::new(area.right(), area.bottom()),
            ],
            Stroke::solid(Colour::ACCENT, 0.8),
        );
    }

    /// Puts a row with its top left corner at `at`.
    pub fn put_row(&self, setter: Setter<'_>, frame: &mut Frame, at: Place, row: &SetRow) {
        let (left, right) = (at.x, at.x + self.width());
        match row.kind {
            RowKind::Plain => {}
            RowKind::Group => frame.rectangle(
                Area::new(left, at.y, right - left, row.height),
                None,
                Some(Colour(246, 247, 249)),
            ),
            RowKind::Total => frame.line(
                vec![Place::new(left, at.y), Place::new(right, at.y)],
                Stroke::solid(Colour::INK, 0.7),
            ),
        }
        self.put_cells(setter, frame, at, row, Colour::INK);
        if row.kind == RowKind::Plain {
            self.put_blanks(frame, at, row);
        }
        let foot = at.y + row.height;
        frame.line(
            vec![Place::new(left, foot), Place::new(right, foot)],
            Stroke::solid(Colour::RULE, 0.4),
        );
    }

    /// Boxes to write in.
    fn put_blanks(&self, frame: &mut Frame, at: Place, row: &SetRow) {
        let mut left = at.x;
        for (width, blank) in self.widths.iter().zip(&self.blanks) {
            if *blank {
                let free = Area::new(left, at.y, *width, row.height).grown(-1.2);
                frame.rectangle(free, Some(Stroke::solid(Colour::RULE, 0.5)), None);
            }
            left += width;
        }
    }

    fn put_cells(
        &self,
        setter: Setter<'_>,
        frame: &mut Frame,
        at: Place,
        row: &SetRow,
        colour: Colour,
    ) {
        let style = Style {
            colour,
            ..style(self.size, weight_of(row.kind))
        };
        let mut left = at.x;
        for (position, lines) in row.cells.iter().enumerate() {
            let width = self.widths[position];
            for (line, text) in lines.iter().enumerate() {
                let x = match self.aligns[position] {
                    // Half of the spare width keeps figures off the words to their right.
                    Align::Right if row.kind != RowKind::Group => {
                        left + width - PAD_X - 0.5 * self.spare - setter.width(text, style)
                    }
                    Align::Right | Align::Left => left + PAD_X,
                };
                let baseline =
                    at.y + self.pad_y() + ABOVE * self.size + line as f64 * self.leading();
                setter.put(frame, Place::new(x, baseline), text, style);
            }
            left += width;
        }
    }
}
