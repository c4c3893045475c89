//! What a report consists of, before anything has a place on a page.

use super::charts::{Bars, Profile};
use super::drawing::Drawing;
use super::one_line::OneLine;
use super::riser::Riser;
use crate::presentation::Firm;

/// How a page lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Orientation {
    /// Long side upright.
    Portrait,
    /// Long side level.
    Landscape,
    /// Long side level, on the paper of the drawings.
    Sheet,
    /// Long side upright, on the paper of the drawings.
    UprightSheet,
}

/// A part of the report with its own bookmark.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Heading and bookmark.
    pub title: String,
    /// How its pages lie.
    pub orientation: Orientation,
    /// Starts on a new page; needed when the orientation changes.
    pub new_page: bool,
    /// What it says, in order.
    pub blocks: Vec<Block>,
}

/// One element of a section.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The large title of the cover.
    Title(String),
    /// A heading inside a section.
    Heading(String),
    /// Running text.
    Paragraph(String),
    /// Small text: conditions and sources of figures.
    Note(String),
    /// A framed list of warnings.
    Cautions {
        /// Heading of the frame.
        heading: String,
        /// One warning each.
        items: Vec<String>,
    },
    /// Names with their values, two columns.
    Facts(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// A drawing.
    Drawing(Drawing),
    /// A one-line diagram.
    OneLine(OneLine),
    /// The tree of one circuit, joint by joint.
    Riser(Riser),
    /// Charts of voltage against length, two in a row.
    Profiles(Vec<Profile>),
    /// A bar chart.
    Bars(Bars),
    /// Logo, name and address of the firm, at the top of a paper.
    Letterhead(Firm),
    /// Named lines to write on, side by side.
    WriteOn(Vec<String>),
}

/// Where the text of a column stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Flush left; may wrap.
    Left,
    /// Flush right; figures, kept on one line as long as the page is wide enough.
    Right,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Heading, repeated on each page.
    pub heading: String,
    /// Where its text stands.
    pub align: Align,
    /// Kept free to write in, as wide as this many letters; 0 for a column of text.
    pub room: usize,
}

impl Column {
    /// A column to write in, as wide as `room` letters.
    #[must_use]
    pub fn blank(heading: &str, room: usize) -> Self {
        Self {
            room,
            ..Self::words(heading)
        }
    }
    /// A column of words.
    #[must_use]
    pub fn words(heading: &str) -> Self {
        Self {
            heading: heading.to_owned(),
            align: Align::Left,
            room: 0,
        }
    }
    /// A column of figures; a unit that ends the heading stays with the word before it.
    #[must_use]
    pub fn figures(heading: &str) -> Self {
        let heading = match heading.rsplit_once(' ') {
            Some((name, unit)) if unit.chars().count() <= 2 => format!("{name}\u{a0}{unit}"),
            _ => heading.to_owned(),
        };
        Self {
            heading,
            align: Align::Right,
            room: 0,
        }
    }
}

/// How a row looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowKind {
    /// One item.
    Plain,
    /// A heading over the rows that follow; its first cell spans the table.
    Group,
    /// A sum.
    Total,
}

/// A row; `cells` has one entry for each column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Text of each column.
    pub cells: Vec<String>,
    /// How it looks.
    pub kind: RowKind,
}

/// A table. Every row has as many cells as there are columns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Columns, left to right.
    pub columns: Vec<Column>,
    /// Rows, top to bottom.
    pub rows: Vec<Row>,
}

impl Table {
    /// An empty table.
    #[must_use]
    pub fn new(columns: Vec<Column>) -> Self {
        Self {
            columns,
            rows: Vec::new(),
        }
    }
    /// Adds a row of one item.
    pub fn row<I: IntoIterator<Item = String>>(&mut self, cells: I) {
        self.push(cells, RowKind::Plain);
    }
    /// Adds a sum.
    pub fn total<I: IntoIterator<Item = String>>(&mut self, cells: I) {
        self.push(cells, RowKind::Total);
    }
    /// Adds a heading over the rows that follow.
    pub fn group(&mut self, text: &str) {
        self.push([text.to_owned()], RowKind::Group);
    }
    /// The table without columns that say nothing in any row; columns to write in stay.
    #[must_use]
    pub fn without_empty_columns(mut self) -> Self {
        let says = |at: usize| {
            let mut items = self.rows.iter().filter(|row| row.kind != RowKind::Group);
            items.any(|row| !row.cells[at].is_empty())
        };
        let columns = self.columns.iter().enumerate();
        let kept: Vec<bool> = columns
            .map(|(at, column)| at == 0 || column.room > 0 || says(at))
            .collect();
        let mut keep = kept.iter().copied();
        self.columns.retain(|_| keep.next().unwrap_or(true));
        for row in &mut self.rows {
            let mut keep = kept.iter().copied();
            row.cells.retain(|_| keep.next().unwrap_or(true));
        }
        self
    }
    fn push<I: IntoIterator<Item = String>>(&mut self, cells: I, kind: RowKind) {
        let mut cells: Vec<String> = cells.into_iter().collect();
        cells.resize(self.columns.len(), String::new());
        self.rows.push(Row { cells, kind });
    }
}
