//! Made-up site plans: a house, beds, paving, water, a drive to bore, root zones, a buried
//! utility, walls and a sleeve, with fixtures strewn over them. Seeded; the same on any machine.

use duskwright_survey::fault::Place;
use duskwright_survey::plan::{
    Area, AreaKind, Barrier, FixturePoint, Line, LineKind, Rate, SitePlan, SitePoint,
};
use geo::{Contains, Coord, LineString, Point, Polygon};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;
use std::collections::BTreeMap;

/// What digging costs on the made-up plans: surface, money per metre, money per segment.
pub const RATES: [(&str, f64, f64); 10] = [
    ("lawn", 7.3, 0.0),
    ("bed", 5.2, 0.0),
    ("gravel", 12.0, 0.0),
    ("paving", 18.3, 0.0),
    ("bore", 37.0, 140.0),
    ("hand-dig", 31.0, 0.0),
    ("sleeve", 1.3, 0.0),
    ("open-trench", 0.5, 0.0),
    ("wall", 4.8, 0.0),
    ("meadow", 6.1, 0.0),
];

/// The rates as the survey takes them.
#[must_use]
pub fn rates() -> Vec<Rate> {
    let rate = |&(surface, per_m, fixed): &(&str, f64, f64)| Rate {
        surface: surface.to_owned(),
        per_m,
        fixed,
    };
    RATES.iter().map(rate).collect()
}

/// A plan of about this many fixtures and areas on a lot that grows with them.
///
/// # Panics
/// Never for a positive number of areas.
#[must_use]
pub fn made_up(fixtures: usize, areas: usize, seed: u64) -> SitePlan {
    let mut draw = Pcg64Mcg::seed_from_u64(seed);
    let columns = (areas as f64).sqrt().ceil() as usize;
    let cell = 16.0;
    let width = columns as f64 * cell;
    let mut plan = SitePlan {
        ground: Some("lawn".to_owned()),
        ..SitePlan::default()
    };
    let drive_row = columns / 2;
    plan.areas.push(area(
        "drive",
        AreaKind::BoreOnly("bore".to_owned()),
        drive(&mut draw, width, (drive_row as f64 + 0.5) * cell),
    ));
    for number in 1..areas {
        let (column, row) = (number % columns, number / columns);
        let centre = Coord {
            x: (column as f64 + 0.5) * cell,
            y: (row as f64 + 0.5) * cell,
        };
        let (kind, low, high) = match number % 8 {
            0 => (AreaKind::NoTrench(Barrier::Building), 3.0, 6.5),
            1 | 5 => (AreaKind::Ground("bed".to_owned()), 2.5, 7.5),
            2 => (AreaKind::Ground("paving".to_owned()), 2.0, 6.5),
            3 => (AreaKind::NoTrench(Barrier::KeepOut), 1.5, 4.0),
            4 => (AreaKind::Ground("gravel".to_owned()), 2.0, 7.0),
            6 => (AreaKind::NoTrench(Barrier::Pool), 2.0, 4.5),
            _ => (AreaKind::Ground("meadow".to_owned()), 4.0, 7.8),
        };
        let outline = blob(&mut draw, centre, low, high);
        plan.areas
            .push(area(&format!("area-{number}"), kind, outline));
    }
    strip(&mut plan, &mut draw, width);
    lines(&mut plan, &mut draw, width);
    strew(&mut plan, &mut draw, width, fixtures);
    plan
}

fn area(id: &str, kind: AreaKind, outline: Polygon<f64>) -> Area {
    Area {
        id: id.to_owned(),
        place: Place::file("made-up"),
        kind,
        priority: None,
        outline,
    }
}

/// A star-shaped outline of five to nine corners.
fn blob(draw: &mut Pcg64Mcg, centre: Coord<f64>, low: f64, high: f64) -> Polygon<f64> {
    let corners = draw.random_range(5..10);
    let turn = draw.random_range(0.0..1.0);
    let ring = (0..corners).map(|corner| {
        let angle = std::f64::consts::TAU * (f64::from(corner) + turn) / f64::from(corners);
        let reach = draw.random_range(low..high);
        centre
            + Coord {
                x: reach * angle.cos(),
                y: reach * angle.sin(),
            }
    });
    Polygon::new(LineString::new(ring.collect()), Vec::new())
}

/// A drive of 4 m right across, with gentle bends.
fn drive(draw: &mut Pcg64Mcg, width: f64, y: f64) -> Polygon<f64> {
    let steps = 6;
    let middle: Vec<f64> = (0..=steps)
        .map(|_| y + draw.random_range(-1.5..1.5))
        .collect();
    let x = |step: usize| -5.0 + (width + 10.0) * step as f64 / f64::from(steps);
    let south = middle
        .iter()
        .enumerate()
        .map(|(step, &y)| (x(step), y - 2.0));
    let north = middle.iter().enumerate().rev();
    let north = north.map(|(step, &y)| (x(step), y + 2.0));
    Polygon::new(LineString::from_iter(south.chain(north)), Vec::new())
}

fn strip(plan: &mut SitePlan, draw: &mut Pcg64Mcg, width: f64) {
    let x = width * draw.random_range(0.3..0.7);
    let ring = [
        (x, -4.0),
        (x + 1.0, -4.0),
        (x + 2.5, width + 4.0),
        (x + 1.5, width + 4.0),
    ];
    plan.areas.push(area(
        "gas line",
        AreaKind::Utility("hand-dig".to_owned()),
        Polygon::new(LineString::from(ring.to_vec()), Vec::new()),
    ));
}

fn lines(plan: &mut SitePlan, draw: &mut Pcg64Mcg, width: f64) {
    let line = |id: &str, kind, surface: &str, course: Vec<(f64, f64)>| Line {
        id: id.to_owned(),
        place: Place::file("made-up"),
        kind,
        surface: surface.to_owned(),
        most_cables: Some(3),
        course: LineString::from(course),
    };
    let y = width * draw.random_range(0.1..0.3);
    let wall = vec![
        (width * 0.1, y),
        (width * 0.5, y + 1.0),
        (width * 0.6, y + 6.0),
    ];
    plan.lines
        .push(line("wall", LineKind::Follow, "wall", wall));
    let x = width * draw.random_range(0.6..0.8);
    let trench = vec![(x, width * 0.7), (x + 6.0, width * 0.9)];
    plan.lines
        .push(line("trench", LineKind::Follow, "open-trench", trench));
    let middle = (width / 16.0 / 2.0).floor() * 16.0 + 8.0;
    let sleeve = vec![(width * 0.45, middle - 4.2), (width * 0.46, middle + 4.2)];
    plan.lines
        .push(line("sleeve", LineKind::Sleeve, "sleeve", sleeve));
}

/// Whether a fixture may stand somewhere: nothing closed or bored within a hand's breadth.
fn stands(plan: &SitePlan, at: Coord<f64>) -> bool {
    !plan.areas.iter().any(|area| {
        matches!(area.kind, AreaKind::NoTrench(_) | AreaKind::BoreOnly(_))
            && area.outline.contains(&Point::from(at))
    })
}

fn strew(plan: &mut SitePlan, draw: &mut Pcg64Mcg, width: f64, fixtures: usize) {
    let mut place = |plan: &SitePlan| loop {
        let at = Coord {
            x: draw.random_range(0.0..width),
            y: draw.random_range(0.0..width),
        };
        if stands(plan, at) {
            return at;
        }
    };
    for number in 1..=fixtures {
        let at = place(plan);
        plan.fixtures.push(FixturePoint {
            tag: format!("F{number}"),
            place: Place::file("made-up"),
            at,
            model: "path-low".to_owned(),
            zone: None,
            section: None,
            rise_m: 0.0,
            existing: false,
        });
    }
    for tag in ["garage", "gatehouse"] {
        let at = place(plan);
        plan.sites.push(SitePoint {
            tag: tag.to_owned(),
            place: Place::file("made-up"),
            at,
            rise_m: 0.0,
            columns: BTreeMap::new(),
        });
    }
}
