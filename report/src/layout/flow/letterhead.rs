//! The head of a paper that goes to others, and lines to write on.

use super::super::frame::{Colour, Item, Stroke, Tile};
use super::super::geometry::{Area, Place};
use super::super::text::Style;
use super::super::typeface::{ABOVE, Weight};
use super::{Flow, SMALL};
use crate::presentation::Firm;

/// Largest logo, pt.
const LOGO: (f64, f64) = (150.0, 54.0);
/// Distance between lines to write on, pt.
const WRITING: f64 = 27.0;

const NAME: Style = Style {
    size: 12.0,
    weight: Weight::Bold,
    colour: Colour::INK,
};
const LINE: Style = Style {
    size: 8.5,
    weight: Weight::Regular,
    colour: Colour::INK,
};

impl Flow<'_> {
    /// Logo at the left, name and address at the right of it.
    pub(super) fn letterhead(&mut self, firm: &Firm) {
        let body = self.body();
        let top = self.y;
        let mut left = body.x;
        let mut bottom = top;
        if let Some(logo) = &firm.logo {
            let (width, height) = (f64::from(logo.width()), f64::from(logo.height()));
            let scale = (LOGO.0 / width).min(LOGO.1 / height);
            let area = Area::new(left, top, width * scale, height * scale);
            let picture = logo.clone();
            self.frame().items.push(Item::Tile(Tile { area, picture }));
            left = area.right() + 14.0;
            bottom = area.bottom();
        }
        let lines = [(firm.name.as_str(), NAME)]
            .into_iter()
            .chain(firm.address.iter().map(|line| (line.as_str(), LINE)))
            .chain(firm.contact.iter().map(|line| (line.as_str(), LINE)));
        let mut y = top;
        for (text, style) in lines {
            let setter = self.setter;
            for line in setter.lines(text, style, body.right() - left) {
                let at = Place::new(left, y + ABOVE * style.size);
                setter.put(self.frame(), at, &line, style);
                y += style.leading();
            }
        }
        self.y = bottom.max(y) + 12.0;
    }

    /// Named lines to write on, side by side.
    pub(super) fn write_on(&mut self, names: &[String]) {
        self.need(WRITING);
        let body = self.body();
        let setter = self.setter;
        let width = body.width / names.len().max(1) as f64;
        let baseline = self.y + WRITING - 7.0;
        for (place, name) in names.iter().enumerate() {
            let left = body.x + place as f64 * width;
            setter.put(self.frame(), Place::new(left, baseline), name, SMALL);
            let start = left + setter.width(name, SMALL) + 5.0;
            let end = left + width - 14.0;
            self.frame().line(
                vec![
                    Place::new(start, baseline + 1.5),
                    Place::new(end, baseline + 1.5),
                ],
                Stroke::solid(Colour::MUTED, 0.6),
            );
        }
        self.y += WRITING;
    }
}
