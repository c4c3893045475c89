//! Pouring sections onto pages from top to bottom.

mod cautions;
mod diagrams;
mod letterhead;

use super::charts;
use super::frame::{Bookmark, Colour, Frame, Pages, Stroke};
use super::geometry::{Area, Place};
use super::page::{self, Stock};
use super::table::{self, SetRow, SetTable};
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Weight};
use crate::content::{Block, Orientation, Section, Table};

const TITLE: Style = Style {
    size: 22.0,
    weight: Weight::Bold,
    colour: Colour::ACCENT,
};
const SECTION: Style = Style {
    size: 15.0,
    weight: Weight::Bold,
    colour: Colour::ACCENT,
};
const HEADING: Style = Style {
    size: 10.5,
    weight: Weight::Bold,
    colour: Colour::ACCENT,
};
const RUNNING: Style = Style {
    size: 9.5,
    weight: Weight::Regular,
    colour: Colour::INK,
};
const STRONG: Style = Style {
    size: 9.5,
    weight: Weight::Bold,
    colour: Colour::INK,
};
const SMALL: Style = Style {
    size: 8.0,
    weight: Weight::Regular,
    colour: Colour::MUTED,
};
/// Height kept free below a heading, so that it never stands last on a page, pt.
const KEEP: f64 = 44.0;
/// The same where a table follows: its heading and some rows.
const TABLE: f64 = 74.0;

/// Rows from which on a narrow table stands in two columns.
const MANY: usize = 16;
/// Blank between the columns, pt.
const BETWEEN: f64 = 22.0;

/// How many rows fit below each other.
fn fitting(rows: &[SetRow], room: f64) -> usize {
    let mut height = 0.0;
    let fits = rows.iter().take_while(|row| {
        height += row.height;
        height <= room + 1e-6
    });
    fits.count()
}

/// Pours sections of clean text onto pages; feet are added later.
#[must_use]
pub fn pour(setter: Setter<'_>, stock: Stock, sections: &[Section]) -> Pages {
    let mut flow = Flow {
        setter,
        stock,
        orientation: Orientation::Portrait,
        frames: Vec::new(),
        y: 0.0,
        bookmarks: Vec::new(),
        running: String::new(),
    };
    for section in sections {
        flow.section(section);
    }
    Pages {
        frames: flow.frames,
        bookmarks: flow.bookmarks,
    }
}

struct Flow<'a> {
    setter: Setter<'a>,
    stock: Stock,
    orientation: Orientation,
    frames: Vec<Frame>,
    y: f64,
    bookmarks: Vec<Bookmark>,
    /// Heading of the section being poured; empty before its first page.
    running: String,
}

impl Flow<'_> {
    fn new_page(&mut self) {
        let frame = self.stock.page(self.orientation);
        let body = page::body(&frame);
        self.y = body.y;
        self.frames.push(frame);
        if !self.running.is_empty() {
            let text = format!("{}, continued", self.running);
            let setter = self.setter;
            let lines = setter.lines(&text, SMALL, body.width);
            let at = Place::new(body.x, body.y - 8.0);
            setter.put(self.frame(), at, &lines[0], SMALL);
        }
    }

    fn frame(&mut self) -> &mut Frame {
        self.frames
            .last_mut()
            .expect("every section starts by making sure of a page")
    }

    fn body(&mut self) -> Area {
        page::body(self.frame())
    }

    /// Starts a new page unless `height` still fits; a page's worth always fits a new one.
    fn need(&mut self, height: f64) -> bool {
        let body = self.body();
        let fits = self.y + height <= body.bottom() + 1e-6;
        if !fits && self.y > body.y {
            self.new_page();
            return true;
        }
        false
    }

    fn skip(&mut self, height: f64) {
        if self.y > self.body().y {
            self.y += height;
        }
    }

    fn section(&mut self, section: &Section) {
        let orientation = self.turned(section);
        let turns = orientation != self.orientation;
        self.orientation = orientation;
        self.running.clear();
        if self.frames.is_empty() || section.new_page || turns {
            self.new_page();
        } else {
            self.skip(16.0);
            self.need(SECTION.leading() + KEEP);
        }
        self.bookmarks.push(Bookmark {
            title: section.title.clone(),
            page: self.frames.len() - 1,
        });
        self.running.clone_from(&section.title);
        let has_own_head = matches!(
            section.blocks.first(),
            Some(Block::Title(_) | Block::Letterhead(_))
        );
        if !has_own_head {
            self.text(&section.title, SECTION, 0.0);
            self.rule();
        }
        for (position, block) in section.blocks.iter().enumerate() {
            self.block(block, &section.blocks[position + 1..]);
        }
    }

    /// Height that what follows a heading takes before it may go on over the page.
    fn beginning(&self, blocks: &[Block]) -> f64 {
        match blocks.first() {
            Some(Block::Note(text)) => {
                let width = self.stock.body_width(self.orientation);
                let lines = self.setter.lines(text, SMALL, width).len();
                lines as f64 * SMALL.leading() + 4.0 + self.beginning(&blocks[1..])
            }
            Some(Block::Profiles(_)) => charts::PROFILE_HEIGHT,
            Some(Block::Bars(bars)) => charts::bars_height(bars) + 4.0,
            Some(Block::Riser(_) | Block::Table(_)) => TABLE,
            _ => KEEP,
        }
    }

    fn rule(&mut self) {
        let body = self.body();
        let y = self.y + 1.0;
        self.frame().line(
            vec![Place::new(body.x, y), Place::new(body.right(), y)],
            Stroke::solid(Colour::ACCENT, 1.0),
        );
        self.y += 7.0;
    }

    /// Puts a block; `then`: what follows it.
    fn block(&mut self, block: &Block, then: &[Block]) {
        match block {
            Block::Title(text) => {
                self.text(text, TITLE, 0.0);
                self.rule();
            }
            Block::Heading(text) => {
                self.skip(9.0);
                self.need(HEADING.leading() + 2.0 + self.beginning(then));
                self.text(text, HEADING, 0.0);
                self.y += 2.0;
            }
            Block::Paragraph(text) => {
                self.text(text, RUNNING, 0.0);
                self.y += 4.0;
            }
            Block::Note(text) => {
                self.text(text, SMALL, 0.0);
                self.y += 4.0;
            }
            Block::Cautions { heading, items } => self.cautions(heading, items),
            Block::Facts(facts) => self.facts(facts),
            Block::Table(table) => self.table(table),
            Block::OneLine(diagram) => self.one_line(diagram),
            Block::Riser(riser) => self.riser(riser),
            Block::Profiles(profiles) => self.profiles(profiles),
            Block::Bars(bars) => self.bars(bars),
            Block::Letterhead(firm) => self.letterhead(firm),
            Block::WriteOn(names) => self.write_on(names),
            Block::Drawing(drawing) => self.drawing(drawing),
        }
    }

    /// Puts running text, one line after the other, over as many pages as it takes.
    fn text(&mut self, text: &str, style: Style, indent: f64) {
        let body = self.body();
        let lines = self.setter.lines(text, style, body.width - indent);
        for line in &lines {
            self.need(style.leading());
            let at = Place::new(body.x + indent, self.y + ABOVE * style.size);
            let setter = self.setter;
            setter.put(self.frame(), at, line, style);
            self.y += style.leading();
        }
    }

    fn facts(&mut self, facts: &[(String, String)]) {
        let body = self.body();
        let setter = self.setter;
        let widest = facts
            .iter()
            .map(|(name, _)| setter.width(name, RUNNING))
            .fold(0.0, f64::max);
        let indent = (widest + 14.0).min(body.width * 0.42);
        for (name, value) in facts {
            let names = setter.lines(name, RUNNING, indent - 10.0);
            let values = setter.lines(value, STRONG, body.width - indent);
            for line in 0..names.len().max(values.len()) {
                self.need(RUNNING.leading());
                let baseline = self.y + ABOVE * RUNNING.size;
                if let Some(name) = names.get(line) {
                    setter.put(self.frame(), Place::new(body.x, baseline), name, RUNNING);
                }
                if let Some(value) = values.get(line) {
                    let at = Place::new(body.x + indent, baseline);
                    setter.put(self.frame(), at, value, STRONG);
                }
                self.y += RUNNING.leading();
            }
            self.y += 1.2;
        }
        self.y += 5.0;
    }

    fn table(&mut self, table: &Table) {
        self.skip(3.0);
        let body = self.body();
        let tallest = body.height * 0.6;
        let set = table::set(self.setter, table, body.width, tallest);
        let half = 0.5 * (body.width - BETWEEN);
        if set.rows.len() >= MANY && set.needed() <= half && !set.grouped() {
            self.side_by_side(&table::set(self.setter, table, half, tallest), half);
            return;
        }
        let first: f64 = set.rows.iter().take(2).map(|row| row.height).sum();
        self.need(set.heading.height + first);
        self.table_heading(&set);
        let mut group = None;
        for (position, row) in set.rows.iter().enumerate() {
            let mut height = row.height;
            if row.heads_group() {
                height += set.rows.get(position + 1).map_or(0.0, |next| next.height);
                group = Some(row);
            }
            if self.need(height) {
                self.table_heading(&set);
                if let Some(group) = group.filter(|_| !row.heads_group()) {
                    self.put_row(&set, &set.continued(self.setter, group));
                }
            }
            self.put_row(&set, row);
        }
        self.y += 8.0;
    }

    fn put_row(&mut self, set: &SetTable, row: &SetRow) {
        let at = Place::new(self.body().x, self.y);
        let setter = self.setter;
        set.put_row(setter, self.frame(), at, row);
        self.y += row.height;
    }

    /// A long narrow table in two columns of the page, balanced where it ends.
    fn side_by_side(&mut self, set: &SetTable, half: f64) {
        let mut rest = set.rows.as_slice();
        while !rest.is_empty() {
            let least: f64 = rest.iter().take(2).map(|row| row.height).sum();
            self.need(set.heading.height + least);
            let body = self.body();
            let room = body.bottom() - self.y - set.heading.height;
            let all: f64 = rest.iter().map(|row| row.height).sum();
            // No column is filled further than both need.
            let tallest = rest.iter().map(|row| row.height).fold(0.0, f64::max);
            let deep = room.min(0.5 * (all + tallest) + 1e-6);
            let top = self.y;
            let mut lowest = top;
            for left in [body.x, body.x + half + BETWEEN] {
                let count = fitting(rest, deep);
                if count == 0 {
                    break;
                }
                let (here, later) = rest.split_at(count);
                rest = later;
                let setter = self.setter;
                let mut at = Place::new(left, top);
                set.put_heading(setter, self.frame(), at);
                at.y += set.heading.height;
                for row in here {
                    set.put_row(setter, self.frame(), at, row);
                    at.y += row.height;
                }
                lowest = lowest.max(at.y);
            }
            self.y = lowest;
        }
        self.y += 8.0;
    }

    fn table_heading(&mut self, set: &SetTable) {
        self.table_heading_at(set, 0.0);
    }

    /// A heading moved to the right by `indent`.
    fn table_heading_at(&mut self, set: &SetTable, indent: f64) {
        let at = Place::new(self.body().x + indent, self.y);
        let setter = self.setter;
        set.put_heading(setter, self.frame(), at);
        self.y += set.heading.height;
    }
}
