//! Seeded garden-like jobs: a house with a drive and terraces, irregular beds,
//! fixtures along beds and drive, candidate trenches between what lies near.
//! Not a grid. Seeds 1, 4, 6, 9 (mod 10) are heavy: thin gauges fail for many
//! fixtures. Seeds 2, 5, 8 (mod 10) have three zones.

use crate::catalogue;
use duskwright_solver::ids::*;
use duskwright_solver::job::*;
use duskwright_solver::units::*;
use duskwright_tests::build::plain_rules;
use rand::{RngExt as _, SeedableRng as _};
use rust_decimal::dec;

type Random = rand_pcg::Pcg64Mcg;

#[derive(Clone, Copy, PartialEq)]
enum Place {
    Wall,
    Bed(usize),
    Drive,
    Lawn,
}

struct Spot {
    x: f64,
    y: f64,
    place: Place,
}

/// Rectangles of a garden, m.
struct Garden {
    side: f64,
    house: (f64, f64, f64, f64),
    drive: (f64, f64, f64, f64),
}

/// Whether a seed makes a heavy job.
#[must_use]
pub fn is_binding(seed: u64) -> bool {
    [1, 4, 6, 9].contains(&(seed % 10))
}

/// A job of `fixtures` fixtures. The same arguments make the same job on every machine.
#[must_use]
pub fn job(fixtures: usize, seed: u64) -> Job {
    let mut random = Random::seed_from_u64(seed.wrapping_mul(1000) + fixtures as u64);
    let garden = lay_out(fixtures, &mut random);
    let mut spots = Vec::new();
    let site_count = match fixtures {
        0..25 => 1,
        25..50 => 1 + (seed % 2) as usize,
        50..100 => 2,
        100..200 => 3,
        _ => 6,
    };
    wall_spots(&garden, site_count, &mut random, &mut spots);
    let wall_count = spots.len();
    let beds = bed_spots(&garden, fixtures, &mut random, &mut spots);
    drive_spots(&garden, fixtures, &mut random, &mut spots);
    let fixture_spots = choose_fixtures(&spots, wall_count, fixtures, &mut random);
    let segments = segments(&garden, &spots, &mut random);
    assemble(
        fixtures,
        seed,
        &garden,
        &spots,
        beds,
        site_count,
        wall_count,
        &fixture_spots,
        segments,
        &mut random,
    )
}

fn lay_out(fixtures: usize, random: &mut Random) -> Garden {
    let side = 11.0 * (fixtures as f64).sqrt() * random.random_range(0.9..1.1);
    let (wide, deep) = (
        side * random.random_range(0.22..0.32),
        side * random.random_range(0.15..0.22),
    );
    let (x, y) = (
        side * random.random_range(0.3..0.45),
        side * random.random_range(0.4..0.55),
    );
    let drive_x = x + wide * random.random_range(0.6..0.9);
    Garden {
        side,
        house: (x, y, x + wide, y + deep),
        drive: (drive_x, 0.0, drive_x + 4.0, y),
    }
}

fn wall_spots(garden: &Garden, site_count: usize, random: &mut Random, spots: &mut Vec<Spot>) {
    let (x0, y0, x1, y1) = garden.house;
    let round = 2.0 * ((x1 - x0) + (y1 - y0));
    let count = ((round / 7.0) as usize).max(site_count + 4);
    for index in 0..count {
        let along = round * (index as f64 + random.random_range(0.0..0.6)) / count as f64;
        let (wide, deep) = (x1 - x0, y1 - y0);
        let (x, y) = if along < wide {
            (x0 + along, y0 - 0.5)
        } else if along < wide + deep {
            (x1 + 0.5, y0 + along - wide)
        } else if along < 2.0 * wide + deep {
            (x1 - (along - wide - deep), y1 + 0.5)
        } else {
            (x0 - 0.5, y1 - (along - 2.0 * wide - deep))
        };
        spots.push(Spot {
            x,
            y,
            place: Place::Wall,
        });
    }
}

fn bed_spots(
    garden: &Garden,
    fixtures: usize,
    random: &mut Random,
    spots: &mut Vec<Spot>,
) -> usize {
    let beds = fixtures / 6 + 3;
    for bed in 0..beds {
        let (cx, cy) = (
            garden.side * random.random_range(0.06..0.94),
            garden.side * random.random_range(0.06..0.94),
        );
        let (rx, ry) = (random.random_range(2.5..7.0), random.random_range(1.5..4.5));
        let turn: f64 = random.random_range(0.0..3.2);
        let count = random.random_range(9..15);
        for index in 0..count {
            let angle = std::f64::consts::TAU * (f64::from(index) + random.random_range(0.0..0.7))
                / f64::from(count);
            let wobble = random.random_range(0.8..1.2);
            let (u, v) = (rx * wobble * angle.cos(), ry * wobble * angle.sin());
            let (x, y) = (
                cx + u * turn.cos() - v * turn.sin(),
                cy + u * turn.sin() + v * turn.cos(),
            );
            if !inside(garden.house, x, y, 0.4) && !inside(garden.drive, x, y, 0.0) {
                spots.push(Spot {
                    x,
                    y,
                    place: Place::Bed(bed),
                });
            }
        }
    }
    let loose = fixtures / 3 + 4;
    for _ in 0..loose {
        let (x, y) = (
            garden.side * random.random_range(0.03..0.97),
            garden.side * random.random_range(0.03..0.97),
        );
        if !inside(garden.house, x, y, 0.4) && !inside(garden.drive, x, y, 0.0) {
            spots.push(Spot {
                x,
                y,
                place: Place::Lawn,
            });
        }
    }
    beds
}

fn drive_spots(garden: &Garden, fixtures: usize, random: &mut Random, spots: &mut Vec<Spot>) {
    let (x0, y0, x1, y1) = garden.drive;
    let count = (fixtures / 10).max(3);
    for index in 0..count {
        let y = y0 + (y1 - y0) * (index as f64 + random.random_range(0.2..0.8)) / count as f64;
        spots.push(Spot {
            x: x0 - 0.6,
            y,
            place: Place::Drive,
        });
        spots.push(Spot {
            x: x1 + 0.6,
            y: y + random.random_range(-1.0..1.0),
            place: Place::Drive,
        });
    }
}

fn inside((x0, y0, x1, y1): (f64, f64, f64, f64), x: f64, y: f64, margin: f64) -> bool {
    x > x0 - margin && x < x1 + margin && y > y0 - margin && y < y1 + margin
}

fn choose_fixtures(
    spots: &[Spot],
    wall_count: usize,
    fixtures: usize,
    random: &mut Random,
) -> Vec<usize> {
    let mut candidates: Vec<usize> = (wall_count..spots.len()).collect();
    for index in (1..candidates.len()).rev() {
        candidates.swap(index, random.random_range(0..=index));
    }
    assert!(
        candidates.len() >= fixtures,
        "the layout always makes more spots than fixtures"
    );
    candidates.truncate(fixtures);
    candidates.sort_unstable();
    candidates
}

/// Candidate trenches: the Gabriel graph (K. R. Gabriel, R. R. Sokal, Systematic
/// Zoology 18 (1969) 259-278) of the spots without what crosses the house, and a
/// few longer cuts across.
fn segments(garden: &Garden, spots: &[Spot], random: &mut Random) -> Vec<(usize, usize)> {
    let distance2 =
        |a: usize, b: usize| (spots[a].x - spots[b].x).powi(2) + (spots[a].y - spots[b].y).powi(2);
    let mut found = Vec::new();
    for a in 0..spots.len() {
        let mut near: Vec<usize> = (0..spots.len()).filter(|&b| b != a).collect();
        near.sort_by(|&b, &c| distance2(a, b).total_cmp(&distance2(a, c)));
        near.truncate(14);
        for &b in near.iter().filter(|&&b| b > a) {
            let (mx, my) = (
                (spots[a].x + spots[b].x) / 2.0,
                (spots[a].y + spots[b].y) / 2.0,
            );
            let empty = near.iter().all(|&c| {
                c == b
                    || (spots[c].x - mx).powi(2) + (spots[c].y - my).powi(2) > distance2(a, b) / 4.0
            });
            let kept = empty || random.random_range(0..12) == 0;
            if kept && !crosses(garden.house, &spots[a], &spots[b]) {
                found.push((a, b));
            }
        }
    }
    join_components(spots, &mut found);
    found
}

/// Whether the open segment passes through a rectangle, by sampling every half metre.
fn crosses(rectangle: (f64, f64, f64, f64), a: &Spot, b: &Spot) -> bool {
    let length = ((a.x - b.x).powi(2) + (a.y - b.y).powi(2)).sqrt();
    let steps = (length / 0.5).ceil() as usize + 1;
    (1..steps).any(|step| {
        let share = step as f64 / steps as f64;
        inside(
            rectangle,
            a.x + (b.x - a.x) * share,
            a.y + (b.y - a.y) * share,
            0.0,
        )
    })
}

fn join_components(spots: &[Spot], found: &mut Vec<(usize, usize)>) {
    let mut group: Vec<usize> = (0..spots.len()).collect();
    fn root(group: &mut [usize], mut node: usize) -> usize {
        while group[node] != node {
            group[node] = group[group[node]];
            node = group[node];
        }
        node
    }
    for &(a, b) in found.iter() {
        let (x, y) = (root(&mut group, a), root(&mut group, b));
        group[x] = y;
    }
    loop {
        let mut best: Option<(f64, usize, usize)> = None;
        let first = root(&mut group, 0);
        for a in 0..spots.len() {
            for b in 0..spots.len() {
                if root(&mut group, a) == first && root(&mut group, b) != first {
                    let d = (spots[a].x - spots[b].x).powi(2) + (spots[a].y - spots[b].y).powi(2);
                    if best.is_none_or(|(kept, _, _)| d < kept) {
                        best = Some((d, a, b));
                    }
                }
            }
        }
        let Some((_, a, b)) = best else { return };
        found.push((a, b));
        let (x, y) = (root(&mut group, a), root(&mut group, b));
        group[x] = y;
    }
}

fn surface_of(garden: &Garden, a: &Spot, b: &Spot, random: &mut Random) -> SurfaceId {
    const BED: SurfaceId = SurfaceId(0);
    const LAWN: SurfaceId = SurfaceId(1);
    const GRAVEL: SurfaceId = SurfaceId(2);
    const WALL: SurfaceId = SurfaceId(3);
    const BORE: SurfaceId = SurfaceId(4);
    if crosses(garden.drive, a, b) {
        return BORE;
    }
    match (a.place, b.place) {
        (Place::Wall, Place::Wall) => WALL,
        (Place::Bed(x), Place::Bed(y)) if x == y => BED,
        (Place::Drive, Place::Drive) => GRAVEL,
        _ if random.random_range(0..10) == 0 => GRAVEL,
        _ => LAWN,
    }
}

#[expect(
    clippy::too_many_arguments,
    reason = "the last step of one generator, called once"
)]
fn assemble(
    count: usize,
    seed: u64,
    garden: &Garden,
    spots: &[Spot],
    beds: usize,
    site_count: usize,
    wall_count: usize,
    fixture_spots: &[usize],
    pairs: Vec<(usize, usize)>,
    random: &mut Random,
) -> Job {
    let zoned = [2, 5, 8].contains(&(seed % 10));
    let sites: Vec<usize> = (0..site_count)
        .map(|site| site * wall_count / site_count)
        .collect();
    let segments: Vec<Segment> = pairs
        .iter()
        .map(|&(a, b)| {
            let (from, to) = (&spots[a], &spots[b]);
            let surface = surface_of(garden, from, to, random);
            let straight = ((from.x - to.x).powi(2) + (from.y - to.y).powi(2)).sqrt();
            Segment {
                a: NodeId::new(a),
                b: NodeId::new(b),
                length: Metres::new(straight * random.random_range(1.0..1.08)),
                surface,
                limit: SegmentLimit {
                    cables: (surface == SurfaceId(4)).then_some(8),
                    fill: None,
                },
                utility: None,
            }
        })
        .collect();
    let nodes = spots
        .iter()
        .enumerate()
        .map(|(index, spot)| Node {
            tag: format!("n{index}"),
            at: Some(Point {
                x: Metres::new(spot.x),
                y: Metres::new(spot.y),
            }),
            rise: Metres::new(if sites.contains(&index) { 0.9 } else { 0.0 }),
            joint_allowed: matches!(spot.place, Place::Bed(_) | Place::Wall)
                || fixture_spots.contains(&index)
                || sites.contains(&index),
            water: None,
        })
        .collect();
    let fixtures = fixture_spots
        .iter()
        .enumerate()
        .map(|(index, &spot)| {
            let model = match spots[spot].place {
                Place::Drive => 0,
                Place::Bed(bed) if bed % 7 == 3 => 4,
                _ => [0, 1, 1, 2, 3][random.random_range(0..5)],
            };
            let zone = match spots[spot].place {
                _ if !zoned || random.random_range(0..8) == 0 => None,
                Place::Drive => Some(ZoneId(0)),
                Place::Bed(bed) if 2 * bed < beds => Some(ZoneId(1)),
                _ => Some(ZoneId(2)),
            };
            Fixture {
                tag: format!("F{}", index + 1),
                node: NodeId::new(spot),
                model: ModelId(model),
                zone,
                section: None,
                existing: false,
            }
        })
        .collect();
    let zone = |tag: &str, switched| Zone {
        tag: tag.to_owned(),
        switched,
    };
    Job {
        name: format!("garden {count}, seed {seed}"),
        currency: "$".to_owned(),
        units: UnitSystem::Us,
        nodes,
        segments,
        fixtures,
        zones: if zoned {
            vec![
                zone("drive", Switched::Secondary),
                zone("beds", Switched::Secondary),
                zone("trees", Switched::Transformer),
            ]
        } else {
            Vec::new()
        },
        sites: sites
            .iter()
            .enumerate()
            .map(|(index, &spot)| Site {
                tag: format!("S{}", index + 1),
                node: NodeId::new(spot),
                cost: catalogue::money(dec!(120)),
                mains: VoltAmperes::new(1800.0),
                outlets: 2 + (count / 60) as u32,
                places: 3 + (count / 60) as u32,
                further: Some(FurtherCircuit {
                    price: catalogue::money(dec!(450)),
                    mains: VoltAmperes::new(1800.0),
                    outlets: 2,
                    most: 2,
                }),
            })
            .collect(),
        existing: Vec::new(),
        surfaces: catalogue::surfaces(),
        cables: catalogue::cables(),
        models: catalogue::models(is_binding(seed)),
        transformers: catalogue::transformers(),
        hubs: catalogue::hubs(),
        joints: catalogue::joints(),
        rates: Rates {
            labour: catalogue::money(dec!(62)),
            waste: Ratio::new(dec!(0.05)),
            slack: Slack {
                transformer: Metres::new(0.9144),
                fixture: Metres::new(0.3048),
                hub: Metres::new(0.3048),
                splice: Metres::new(0.3048),
            },
            shortest_useful: Metres::new(3.048),
        },
        bid: Bid {
            sundries: Ratio::new(dec!(0.03)),
            overhead: Ratio::new(dec!(0.12)),
            markup: Ratio::new(dec!(0.25)),
            tax: Vec::new(),
            permit: Money::ZERO,
            mobilisation: Money::ZERO,
            minimum_charge: Money::ZERO,
            lumps: Vec::new(),
            controls: Vec::new(),
            night_visit: Hours::new(2.0),
        },
        rules: rules(),
        objective: Objective::Installed,
        lighting: duskwright_solver::job::lighting::Lighting::default(),
    }
}

fn rules() -> Rules {
    Rules {
        margins: Margins {
            low: Volts::new(0.5),
            high: Volts::ZERO,
        },
        length_growth: 1.05,
        temperatures: Temperatures {
            low_case: Celsius::new(30.0),
            high_case: Celsius::new(5.0),
            expected: Celsius::new(15.0),
        },
        ..plain_rules()
    }
}
