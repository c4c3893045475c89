//! Which of several overlapping areas counts at a point.
//!
//! The area with the highest stated priority; at equal priority no-trench before utility
//! before bore-only before ground; among those of one rank the smaller area (a bed in a lawn),
//! then the name that sorts first. The order of the features in the plan never matters.

use crate::plan::{Area, AreaKind, Barrier, Rate};
use geo::{Area as _, BoundingRect, Contains, Coord, Point};
use rstar::{AABB, RTree, RTreeObject};

/// What the ground at a point is to a trench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Region {
    /// No trench.
    Blocked,
    /// Crossed only by a bore; index of the area.
    Bore(usize),
    /// Dug at the rate of this index.
    Ground(usize),
}

/// Box of an area in the search tree.
struct Boxed {
    envelope: AABB<[f64; 2]>,
    area: usize,
}

impl RTreeObject for Boxed {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        self.envelope
    }
}

/// All areas, laid over each other.
pub(crate) struct Overlay<'a> {
    areas: &'a [Area],
    tree: RTree<Boxed>,
    /// Place of each area in the order of precedence, 0 first.
    rank: Vec<usize>,
    /// What each area is.
    regions: Vec<Option<Region>>,
    /// Where no area counts.
    uncovered: Region,
    /// Whether a boundary was drawn.
    bounded: bool,
}

/// Order in which kinds count where areas overlap, 0 first.
pub(crate) const fn precedence(kind: &AreaKind) -> u8 {
    match kind {
        AreaKind::NoTrench(_) => 0,
        AreaKind::Utility(_) => 1,
        AreaKind::BoreOnly(_) => 2,
        AreaKind::Ground(_) => 3,
        AreaKind::Boundary => 4,
    }
}

impl<'a> Overlay<'a> {
    /// Lays the areas over each other. `rates` holds every surface that is named.
    pub(crate) fn new(areas: &'a [Area], ground: Option<&str>, rates: &[Rate]) -> Self {
        let index = |surface: &str| rates.iter().position(|rate| rate.surface == surface);
        let region = |surface: &str| index(surface).map_or(Region::Blocked, Region::Ground);
        let regions = areas
            .iter()
            .enumerate()
            .map(|(number, area)| match &area.kind {
                AreaKind::NoTrench(_) => Some(Region::Blocked),
                AreaKind::BoreOnly(_) => Some(Region::Bore(number)),
                AreaKind::Utility(surface) | AreaKind::Ground(surface) => Some(region(surface)),
                AreaKind::Boundary => None,
            })
            .collect();
        let sizes: Vec<f64> = areas
            .iter()
            .map(|area| area.outline.unsigned_area())
            .collect();
        let mut order: Vec<usize> = (0..areas.len()).collect();
        order.sort_by(|&a, &b| {
            let (one, two) = (&areas[a], &areas[b]);
            two.priority
                .unwrap_or(0)
                .cmp(&one.priority.unwrap_or(0))
                .then(precedence(&one.kind).cmp(&precedence(&two.kind)))
                .then(sizes[a].total_cmp(&sizes[b]))
                .then_with(|| one.id.cmp(&two.id))
                .then(a.cmp(&b))
        });
        let mut rank = vec![0; areas.len()];
        for (place, &area) in order.iter().enumerate() {
            rank[area] = place;
        }
        let boxes = areas.iter().enumerate().filter_map(|(area, item)| {
            let bounds = item.outline.bounding_rect()?;
            Some(Boxed {
                envelope: AABB::from_corners(
                    [bounds.min().x, bounds.min().y],
                    [bounds.max().x, bounds.max().y],
                ),
                area,
            })
        });
        Self {
            areas,
            tree: RTree::bulk_load(boxes.collect()),
            rank,
            regions,
            uncovered: ground.map_or(Region::Blocked, region),
            bounded: areas.iter().any(|area| area.kind == AreaKind::Boundary),
        }
    }

    /// Areas that hold a point, the one that counts first.
    pub(crate) fn areas_at(&self, at: Coord<f64>) -> Vec<usize> {
        let point = Point::from(at);
        let here = AABB::from_point([at.x, at.y]);
        let mut found: Vec<usize> = self
            .tree
            .locate_in_envelope_intersecting(&here)
            .map(|boxed| boxed.area)
            .filter(|&area| self.areas[area].outline.contains(&point))
            .collect();
        found.sort_unstable_by_key(|&area| self.rank[area]);
        found
    }

    /// What the ground at a point is.
    pub(crate) fn at(&self, at: Coord<f64>) -> Region {
        let found = self.areas_at(at);
        let inside = |area: &&usize| self.areas[**area].kind == AreaKind::Boundary;
        if self.bounded && !found.iter().any(|area| inside(&area)) {
            return Region::Blocked;
        }
        found
            .iter()
            .find_map(|&area| self.regions[area])
            .unwrap_or(self.uncovered)
    }

    /// The region that a utility strip makes; `None` for any other area.
    pub(crate) fn utility(&self, area: usize) -> Option<Region> {
        match self.areas[area].kind {
            AreaKind::Utility(_) => self.regions[area],
            _ => None,
        }
    }

    /// The barrier that blocks a point, if an area does.
    pub(crate) fn barrier_at(&self, at: Coord<f64>) -> Option<(usize, Barrier)> {
        let first = *self.areas_at(at).first()?;
        match self.areas[first].kind {
            AreaKind::NoTrench(barrier) => Some((first, barrier)),
            _ => None,
        }
    }
}
