//! Places and areas on a page. All in points (1/72 inch), x to the right and y
//! *down* from the top left corner of the page.

/// A point of the page, pt.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// To the right, pt.
    pub x: f64,
    /// Down, pt.
    pub y: f64,
}

impl Place {
    /// Makes a place.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// Moved by `(dx, dy)`.
    #[must_use]
    pub fn moved(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }
    /// Straight distance to another place, pt.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        let (dx, dy) = (self.x - other.x, self.y - other.y);
        (dx * dx + dy * dy).sqrt()
    }
}

/// An upright rectangle of the page, pt.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Area {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width, >= 0.
    pub width: f64,
    /// Height, >= 0.
    pub height: f64,
}

impl Area {
    /// Makes an area.
    #[must_use]
    pub const fn new(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self {
            x,
            y,
            width,
            height,
        }
    }
    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.width
    }
    /// Bottom edge.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.y + self.height
    }
    /// Middle.
    #[must_use]
    pub fn centre(&self) -> Place {
        Place::new(self.x + self.width / 2.0, self.y + self.height / 2.0)
    }
    /// Whether the other area lies in this one, `slack` pt over the edge allowed.
    #[must_use]
    pub fn contains(&self, other: &Self, slack: f64) -> bool {
        other.x >= self.x - slack
            && other.y >= self.y - slack
            && other.right() <= self.right() + slack
            && other.bottom() <= self.bottom() + slack
    }
    /// Area common to both, pt²; 0 when they do not meet.
    #[must_use]
    pub fn common(&self, other: &Self) -> f64 {
        let width = self.right().min(other.right()) - self.x.max(other.x);
        let height = self.bottom().min(other.bottom()) - self.y.max(other.y);
        if width > 0.0 && height > 0.0 {
            width * height
        } else {
            0.0
        }
    }
    /// The same area with `by` pt more on each side (less when negative).
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self::new(
            self.x - by,
            self.y - by,
            (self.width + 2.0 * by).max(0.0),
            (self.height + 2.0 * by).max(0.0),
        )
    }
    /// Corners, clockwise from the top left.
    #[must_use]
    pub fn corners(&self) -> [Place; 4] {
        [
            Place::new(self.x, self.y),
            Place::new(self.right(), self.y),
            Place::new(self.right(), self.bottom()),
            Place::new(self.x, self.bottom()),
        ]
    }
    /// The part of this area that lies in another; empty at its edge when none does.
    #[must_use]
    pub fn within(&self, other: &Self) -> Self {
        let x = self.x.clamp(other.x, other.right());
        let y = self.y.clamp(other.y, other.bottom());
        let right = self.right().clamp(other.x, other.right());
        let bottom = self.bottom().clamp(other.y, other.bottom());
        Self::new(x, y, right - x, bottom - y)
    }
    /// Whether a straight stroke touches the area.
    #[must_use]
    pub fn meets_stroke(&self, from: Place, to: Place) -> bool {
        self.clipped(from, to).is_some()
    }
    /// The part of a straight stroke that lies in the area; `None` when none does.
    #[must_use]
    pub fn clipped(&self, from: Place, to: Place) -> Option<(Place, Place)> {
        // Clip the stroke against the four edges (Liang and Barsky 1984).
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        let edges = [
            (-dx, from.x - self.x),
            (dx, self.right() - from.x),
            (-dy, from.y - self.y),
            (dy, self.bottom() - from.y),
        ];
        for (speed, room) in edges {
            if speed == 0.0 {
                if room < 0.0 {
                    return None;
                }
                continue;
            }
            let crossing = room / speed;
            if speed < 0.0 {
                enter = enter.max(crossing);
            } else {
                leave = leave.min(crossing);
            }
            if enter > leave {
                return None;
            }
        }
        let at = |share: f64| from.moved(share * dx, share * dy);
        Some((at(enter), at(leave)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_meets_an_area_it_crosses_and_not_one_it_passes() {
        let area = Area::new(10.0, 10.0, 10.0, 10.0);
        assert!(area.meets_stroke(Place::new(0.0, 15.0), Place::new(30.0, 15.0)));
        assert!(area.meets_stroke(Place::new(12.0, 12.0), Place::new(13.0, 13.0)));
        assert!(!area.meets_stroke(Place::new(0.0, 0.0), Place::new(30.0, 5.0)));
        assert!(!area.meets_stroke(Place::new(0.0, 25.0), Place::new(5.0, 15.0)));
    }

    #[test]
    fn touching_areas_have_nothing_in_common() {
        let area = Area::new(0.0, 0.0, 10.0, 10.0);
        assert_eq!(area.common(&Area::new(10.0, 0.0, 5.0, 5.0)), 0.0);
        assert_eq!(area.common(&Area::new(8.0, 8.0, 5.0, 5.0)), 4.0);
    }
}
