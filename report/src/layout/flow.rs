//! Pouring sections onto pages from top to bottom.

use super::frame::{Bookmark, Colour, Frame, Pages, Stroke};
use super::geometry::{Area, Place};
use super::one_line;
use super::page::{self, PaperSize};
use super::plot;
use super::table::{self, SetTable};
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Weight};
use crate::content::{Block, Bus, OneLine, Orientation, Section, Table};

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
/// Least height of a drawing, pt; less room means a new page.
const DRAWING: f64 = 300.0;

/// Pours sections of clean text onto pages; feet are added later.
#[must_use]
pub fn pour(setter: Setter<'_>, paper: PaperSize, sections: &[Section]) -> Pages {
    let mut flow = Flow {
        setter,
        paper,
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
    paper: PaperSize,
    orientation: Orientation,
    frames: Vec<Frame>,
    y: f64,
    bookmarks: Vec<Bookmark>,
    /// Heading of the section being poured; empty before its first page.
    running: String,
}

impl Flow<'_> {
    fn new_page(&mut self) {
        let frame = self.paper.page(self.orientation);
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
        let turns = section.orientation != self.orientation;
        self.orientation = section.orientation;
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
        if !matches!(section.blocks.first(), Some(Block::Title(_))) {
            self.text(&section.title, SECTION, 0.0);
            self.rule();
        }
        for block in &section.blocks {
            self.block(block);
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

    fn block(&mut self, block: &Block) {
        match block {
            Block::Title(text) => {
                self.text(text, TITLE, 0.0);
                self.rule();
            }
            Block::Heading(text) => {
                self.skip(9.0);
                self.need(HEADING.leading() + KEEP);
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
            Block::Drawing(drawing) => {
                self.need(DRAWING);
                let body = self.body();
                let top = self.y;
                let area = Area::new(body.x, top, body.width, body.bottom() - top);
                let setter = self.setter;
                plot::put(setter, self.frame(), area, drawing);
                self.y = body.bottom();
            }
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

    /// A framed list; the frame is closed and opened again at each page break.
    fn cautions(&mut self, heading: &str, items: &[String]) {
        const PAD: f64 = 8.0;
        const BULLET: f64 = 11.0;
        let body = self.body();
        let setter = self.setter;
        let width = body.width - 2.0 * PAD;
        let mut lines = vec![(0.0, false, heading.to_owned(), HEADING)];
        for item in items {
            for (at, line) in setter
                .lines(item, RUNNING, width - BULLET)
                .into_iter()
                .enumerate()
            {
                lines.push((BULLET, at == 0, line, RUNNING));
            }
        }
        let mut rest = lines.as_slice();
        self.skip(6.0);
        while !rest.is_empty() {
            self.need(2.0 * PAD + 3.0 * RUNNING.leading());
            let room = self.body().bottom() - self.y - 2.0 * PAD;
            let mut height = 0.0;
            let mut count = 0;
            for (_, first, _, style) in rest {
                let step = style.leading() + if *first { 2.0 } else { 0.0 };
                if count > 0 && height + step > room {
                    break;
                }
                height += step;
                count += 1;
            }
            let (here, later) = rest.split_at(count);
            rest = later;
            let area = Area::new(body.x, self.y, body.width, height + 2.0 * PAD);
            self.frame().rectangle(
                area,
                Some(Stroke::solid(Colour::CAUTION, 1.2)),
                Some(Colour::CAUTION_TINT),
            );
            let mut y = self.y + PAD;
            for (indent, first, line, style) in here {
                let style = Style {
                    colour: if style.weight == Weight::Bold {
                        Colour::CAUTION
                    } else {
                        style.colour
                    },
                    ..*style
                };
                if *first {
                    y += 2.0;
                    let middle = y + 0.62 * style.size;
                    self.frame().rectangle(
                        Area::new(body.x + PAD, middle - 1.6, 3.2, 3.2),
                        None,
                        Some(Colour::CAUTION),
                    );
                }
                let at = Place::new(body.x + PAD + indent, y + ABOVE * style.size);
                setter.put(self.frame(), at, line, style);
                y += style.leading();
            }
            self.y = area.bottom() + 6.0;
            if !rest.is_empty() {
                self.new_page();
            }
        }
    }

    fn one_line(&mut self, diagram: &OneLine) {
        self.need(STRONG.leading() + 2.0 * one_line::LEAST);
        self.text(&diagram.heading, STRONG, 0.0);
        self.y += 4.0;
        for bus in &diagram.buses {
            self.bus(bus);
        }
        self.y += 6.0;
    }

    /// A bus with as many of its circuits as the page takes; the rest on further pages.
    fn bus(&mut self, bus: &Bus) {
        let width = self.body().width;
        let setter = self.setter;
        let rows: Vec<_> = bus
            .feeders
            .iter()
            .map(|feeder| one_line::set(setter, feeder, width))
            .collect();
        let mut rest = rows.as_slice();
        while let Some(first) = rest.first() {
            let least = one_line::least(setter, bus);
            self.need(first.height.max(least));
            let body = self.body();
            let mut height = first.height;
            let mut count = 1;
            while count < rest.len() && self.y + height + rest[count].height <= body.bottom() {
                height += rest[count].height;
                count += 1;
            }
            let at = Place::new(body.x, self.y);
            one_line::put(setter, self.frame(), at, width, bus, &rest[..count]);
            self.y += height.max(least);
            rest = &rest[count..];
        }
    }

    fn table(&mut self, table: &Table) {
        self.skip(3.0);
        let body = self.body();
        let tallest = body.height * 0.6;
        let set = table::set(self.setter, table, body.width, tallest);
        let first: f64 = set.rows.iter().take(2).map(|row| row.height).sum();
        self.need(set.heading.height + first);
        self.table_heading(&set);
        for (position, row) in set.rows.iter().enumerate() {
            let mut height = row.height;
            if row.keeps_with_next() {
                height += set.rows.get(position + 1).map_or(0.0, |next| next.height);
            }
            if self.need(height) {
                self.table_heading(&set);
            }
            let at = Place::new(body.x, self.y);
            let setter = self.setter;
            set.put_row(setter, self.frame(), at, row);
            self.y += row.height;
        }
        self.y += 8.0;
    }

    fn table_heading(&mut self, set: &SetTable) {
        let at = Place::new(self.body().x, self.y);
        let setter = self.setter;
        set.put_heading(setter, self.frame(), at);
        self.y += set.heading.height;
    }
}
