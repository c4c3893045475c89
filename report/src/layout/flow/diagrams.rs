//! Drawings, diagrams and charts on the page.

use super::super::geometry::{Area, Place};
use super::super::plot::{self, Stage};
use super::super::{charts, one_line, page, riser, table};
use super::{Flow, STRONG};
use crate::content::{Bars, Block, Bus, Drawing, OneLine, Orientation, Profile, Riser, Section};

/// Least height of a drawing, pt; less room means a new page.
const DRAWING: f64 = 300.0;
/// Height of the title and note over a drawing, pt.
const HEAD: f64 = 48.0;
/// Blank between two charts side by side, pt.
const GUTTER: f64 = 18.0;

impl Flow<'_> {
    /// A drawing on the rest of the page; one that is crowded goes on over further
    /// sheets, laid as suits them.
    pub(super) fn drawing(&mut self, drawing: &Drawing) {
        self.need(DRAWING);
        let body = self.body();
        let area = Area::new(body.x, self.y, body.width, body.bottom() - self.y);
        for sheet in plot::sheets(self.setter, drawing, area, self.stages(0.0)) {
            if let Some(orientation) = sheet.turned {
                self.orientation = orientation;
                self.new_page();
            }
            self.frame().items.extend(sheet.items);
            self.y = self.body().bottom();
        }
    }

    /// How a section lies: one that is a drawing as the drawing is larger.
    pub(super) fn turned(&self, section: &Section) -> Orientation {
        let drawing = section.blocks.iter().find_map(|block| match block {
            Block::Drawing(drawing) => Some(drawing),
            _ => None,
        });
        match (drawing, section.orientation) {
            (Some(drawing), Orientation::Sheet) => {
                plot::larger(self.setter, drawing, self.stages(HEAD))
            }
            (_, orientation) => orientation,
        }
    }

    /// A sheet lying level and one standing upright, but for `head` at their top.
    fn stages(&self, head: f64) -> [Stage; 2] {
        [Orientation::Sheet, Orientation::UprightSheet].map(|orientation| {
            let body = page::body(&self.stock.page(orientation));
            let area = Area::new(body.x, body.y + head, body.width, body.height - head);
            Stage { orientation, area }
        })
    }

    pub(super) fn bars(&mut self, bars: &Bars) {
        let height = charts::bars_height(bars);
        self.skip(4.0);
        self.need(height);
        let at = Place::new(self.body().x, self.y);
        let setter = self.setter;
        charts::put_bars(setter, self.frame(), at, bars);
        self.y += height;
    }

    /// Charts two in a row.
    pub(super) fn profiles(&mut self, profiles: &[Profile]) {
        for pair in profiles.chunks(2) {
            self.need(charts::PROFILE_HEIGHT);
            let body = self.body();
            let width = 0.5 * (body.width - GUTTER);
            for (place, profile) in pair.iter().enumerate() {
                let left = body.x + place as f64 * (width + GUTTER);
                let area = Area::new(left, self.y, width, charts::PROFILE_HEIGHT);
                let setter = self.setter;
                charts::put_profile(setter, self.frame(), area, profile);
            }
            self.y += charts::PROFILE_HEIGHT;
        }
    }

    /// The tree of a circuit with its table; both go on over page breaks.
    pub(super) fn riser(&mut self, riser: &Riser) {
        let body = self.body();
        let tree = riser::width(riser);
        let tallest = body.height * 0.6;
        let set = table::set(self.setter, &riser.table, body.width - tree, tallest);
        let first: f64 = set.rows.iter().take(2).map(|row| row.height).sum();
        self.skip(6.0);
        self.need(STRONG.leading() + 4.0 + set.heading.height + first);
        self.text(&riser.heading, STRONG, 0.0);
        self.y += 2.0;
        let at = Place::new(self.body().x, self.y);
        riser::put_source(self.frame(), riser, at, set.heading.height);
        self.table_heading_at(&set, tree);
        let mut stem = None;
        for row in &set.rows {
            if self.need(row.height) {
                let name = riser.heading.split(':').next().unwrap_or_default();
                self.text(&format!("{name}, continued"), STRONG, 0.0);
                self.table_heading_at(&set, tree);
            }
            let at = Place::new(self.body().x, self.y);
            let setter = self.setter;
            set.put_row(setter, self.frame(), at.moved(tree, 0.0), row);
            // A row too high for a page is parted; its sign stands beside the first part.
            let next = stem.map_or(0, |stem: usize| stem + 1);
            if !row.continues && next < riser.stems.len() {
                riser::put_row(self.frame(), riser, next, at, row.height);
                stem = Some(next);
            }
            self.y += row.height;
        }
        self.y += 8.0;
    }

    pub(super) fn one_line(&mut self, diagram: &OneLine) {
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
}
