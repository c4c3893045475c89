//! Framed lists of warnings.

use super::super::frame::{Colour, Stroke};
use super::super::geometry::{Area, Place};
use super::super::text::Style;
use super::super::typeface::{ABOVE, Weight};
use super::{Flow, HEADING, RUNNING};

impl Flow<'_> {
    /// A framed list; the frame is closed and opened again at each page break.
    pub(super) fn cautions(&mut self, heading: &str, items: &[String]) {
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
}
