//! The head of a paper that goes to others, and lines to write on.

use super::super::frame::{Colour, Item, Stroke, Tile};
use super::super::geometry::{Area, Place};
use super::super::text::Style;
use super::super::typeface::{ABOVE, Weight};
use super::{Flow, SMALL};
use crate::artwork::Region;
use crate::presentation::{Firm, Logo};

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
            let (width, height) = logo.size();
            let scale = (LOGO.0 / width).min(LOGO.1 / height);
            let area = Area::new(left, top, width * scale, height * scale);
            self.logo(logo, area, scale);
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

    fn logo(&mut self, logo: &Logo, area: Area, scale: f64) {
        let items = &mut self.frame().items;
        match logo {
            Logo::Picture(picture) => {
                let picture = picture.clone();
                items.push(Item::Tile(Tile { area, picture }));
            }
            Logo::Artwork(artwork) => {
                let on_page = |at: Place| Place::new(area.x + at.x * scale, area.y + at.y * scale);
                let moved = |region: &Region| {
                    let steps = region.outline.iter();
                    Item::Region(Region {
                        outline: steps.map(|step| step.map(on_page)).collect(),
                        ..region.clone()
                    })
                };
                items.extend(artwork.regions().iter().map(moved));
            }
        }
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
