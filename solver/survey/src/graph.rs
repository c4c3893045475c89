//! The graph of possible trenches, in words of the job folder and metres of the plane.

use crate::bore::{self, Bore};
use crate::edges::{Edges, distance, rounded};
use crate::fault::{Code, Fault, Faults, Ledger};
use crate::mesh::Mesh;
use crate::net::{Medium, Net, Passage, Prices};
use crate::overlay::{Overlay, Region};
use crate::plan::{Area, AreaKind, Line, LineKind, Rate, SitePlan};
use crate::route::Terrain;
use crate::thin::{self, Thin};
use geo::{Coord, Line as Straight, Polygon};

/// What a node of the graph is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NodeKind {
    /// Fixture of this index in the plan.
    Fixture(usize),
    /// Site of this index in the plan.
    Site(usize),
    /// End of the sleeve that is the line of this index.
    Mouth(usize),
    /// A bend, a border or a fork.
    Turn,
}

/// A node of the graph.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// What it is.
    pub kind: NodeKind,
    /// Position, m.
    pub at: Coord<f64>,
}

/// A possible trench, bore, sleeve or run along a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// Nodes.
    pub ends: [usize; 2],
    /// Surface in the catalogue.
    pub surface: String,
    /// Length, m.
    pub length_m: f64,
    /// Most cables.
    pub most_cables: Option<u32>,
    /// Cost of opening it and laying one cable, money.
    pub cost: f64,
    /// Declared utility that it crosses.
    pub utility: Option<String>,
    /// Whether it is bored.
    pub bored: bool,
}

/// The graph.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Graph {
    /// Nodes: fixtures, sites and mouths of sleeves first.
    pub nodes: Vec<Node>,
    /// Segments.
    pub segments: Vec<Segment>,
}

/// Most fixtures, sites and sleeves together: what the job folder's limit of rows allows.
pub const MOST_TERMINALS: usize = 2_000;

/// Where every path must lead.
struct Terminal {
    kind: NodeKind,
    at: Coord<f64>,
}

/// Derives the graph of a plan. `rates`: every surface the plan names, the first `usize` of
/// them in any order. Deterministic. Time grows with terminals times the complexity of the plan.
///
/// # Errors
/// [`Faults`] for fixtures or sites that nothing reaches.
pub(crate) fn derive(
    plan: &SitePlan,
    rates: &[Rate],
    ledger: &mut Ledger,
) -> Result<Graph, Faults> {
    let overlay = Overlay::new(&plan.areas, plan.ground.as_deref(), rates);
    let terminals = terminals(plan);
    let points: Vec<Coord<f64>> = terminals.iter().map(|terminal| terminal.at).collect();
    closed_in(plan, &overlay, ledger);
    ledger.check()?;
    let mut edges = Edges::of(&plan.areas, &plan.lines);
    let bores = bore::candidates(&plan.areas, &edges, &overlay, &points);
    let crossings = bore::crossings(&plan.areas, &edges, &overlay, &points);
    edges.meet();
    for &point in &points {
        edges.divide_all(point);
    }
    for bore in bores.iter().chain(&crossings) {
        edges.divide(bore.edges[0], bore.from);
        edges.divide(bore.edges[1], bore.to);
    }
    let mouths = bores
        .iter()
        .chain(&crossings)
        .flat_map(|bore| [bore.from, bore.to]);
    let vertices: Vec<Coord<f64>> = points.iter().copied().chain(mouths).collect();
    let mesh = Mesh::new(&edges, &vertices, &overlay);
    let money = Money::of(plan, rates, &bores);
    let passages = passages(plan, &mesh, &bores, &money);
    let net = Net::new(&mesh, &money.prices, &passages);
    let terrain = Terrain {
        mesh: &mesh,
        prices: &money.prices,
        bores: &money.bores,
        sleeves: &money.sleeves,
    };
    let at_mesh: Vec<usize> = points
        .iter()
        .filter_map(|&point| mesh.vertex(point))
        .collect();
    let roomy = |medium| match medium {
        Medium::Sleeve(line) => plan.lines[line].most_cables.is_none(),
        Medium::Ground(_) | Medium::Line(_) | Medium::Bore(_) => true,
    };
    let (thinned, ways) = thin::thin(terrain, &net, &at_mesh, &roomy);
    let reached = |one: usize, two: usize| ways[one].cost[at_mesh[two]].is_finite();
    unreached(plan, &terminals, &overlay, &reached, ledger);
    ledger.check()?;
    Ok(named(plan, rates, &terminals, &bores, &thinned))
}

/// Writes down every fixture or site inside a no-trench area; on its edge is fine.
fn closed_in(plan: &SitePlan, overlay: &Overlay<'_>, ledger: &mut Ledger) {
    let fixtures = plan
        .fixtures
        .iter()
        .map(|item| (&item.tag, &item.place, item.at));
    let sites = plan
        .sites
        .iter()
        .map(|item| (&item.tag, &item.place, item.at));
    for (tag, place, at) in fixtures.chain(sites) {
        if let Some((area, barrier)) = overlay.barrier_at(at) {
            let area = &plan.areas[area].id;
            ledger.add(
                Fault::new(
                    Code::InNoTrench,
                    place,
                    format!("`{tag}` stands inside the {} `{area}`", barrier.word()),
                )
                .help("move it to the edge, or out"),
            );
        }
    }
}

/// Costs of everything a path may use.
struct Money {
    prices: Prices,
    bores: Vec<f64>,
    sleeves: Vec<f64>,
}

impl Money {
    fn of(plan: &SitePlan, rates: &[Rate], bores: &[Bore]) -> Self {
        let rate = |surface: &str| rates.iter().find(|rate| rate.surface == surface);
        let line = |line: &Line, kind: LineKind| match rate(&line.surface) {
            Some(rate) if line.kind == kind => Some(rate),
            _ => None,
        };
        let whole = |rate: &Rate, length: f64| rate.fixed + rate.per_m * length;
        let bored = |bore: &Bore| match &plan.areas[bore.area].kind {
            AreaKind::BoreOnly(surface) => rate(surface).map_or(f64::INFINITY, |rate| {
                whole(rate, distance(bore.from, bore.to))
            }),
            _ => f64::INFINITY,
        };
        Self {
            prices: Prices {
                ground: rates.iter().map(|rate| rate.per_m).collect(),
                line: plan
                    .lines
                    .iter()
                    .map(|item| {
                        line(item, LineKind::Follow).map_or(f64::INFINITY, |rate| rate.per_m)
                    })
                    .collect(),
            },
            bores: bores.iter().map(bored).collect(),
            sleeves: plan
                .lines
                .iter()
                .map(|item| {
                    line(item, LineKind::Sleeve)
                        .map_or(f64::INFINITY, |rate| whole(rate, length(item)))
                })
                .collect(),
        }
    }
}

/// Length of a line, m.
fn length(line: &Line) -> f64 {
    line.course
        .lines()
        .map(|part| distance(part.start, part.end))
        .sum()
}

/// The two ends of a line, on the grid.
fn ends(line: &Line) -> Option<[Coord<f64>; 2]> {
    let (first, last) = (line.course.0.first()?, line.course.0.last()?);
    Some([rounded(*first), rounded(*last)])
}

fn terminals(plan: &SitePlan) -> Vec<Terminal> {
    let mut all: Vec<Terminal> = Vec::new();
    let mut add = |kind: NodeKind, at: Coord<f64>| {
        // A sleeve may end, or a site stand, where something stands already.
        if !all.iter().any(|known| known.at == at) {
            all.push(Terminal { kind, at });
        }
    };
    for (number, fixture) in plan.fixtures.iter().enumerate() {
        add(NodeKind::Fixture(number), rounded(fixture.at));
    }
    for (number, site) in plan.sites.iter().enumerate() {
        add(NodeKind::Site(number), rounded(site.at));
    }
    for (number, line) in plan.lines.iter().enumerate() {
        if line.kind == LineKind::Sleeve {
            for at in ends(line).into_iter().flatten() {
                add(NodeKind::Mouth(number), at);
            }
        }
    }
    all
}

fn passages(plan: &SitePlan, mesh: &Mesh, bores: &[Bore], money: &Money) -> Vec<Passage> {
    let bored = bores.iter().enumerate().filter_map(|(number, bore)| {
        Some(Passage {
            mouths: [mesh.vertex(bore.from)?, mesh.vertex(bore.to)?],
            medium: Medium::Bore(number),
            cost: money.bores[number],
        })
    });
    let sleeves = plan.lines.iter().enumerate().filter_map(|(number, line)| {
        let [from, to] = (line.kind == LineKind::Sleeve)
            .then(|| ends(line))
            .flatten()?;
        Some(Passage {
            mouths: [mesh.vertex(from)?, mesh.vertex(to)?],
            medium: Medium::Sleeve(number),
            cost: money.sleeves[number],
        })
    });
    bored.chain(sleeves).collect()
}

/// Writes down every fixture or site that no site reaches.
fn unreached(
    plan: &SitePlan,
    terminals: &[Terminal],
    overlay: &Overlay<'_>,
    reached: &impl Fn(usize, usize) -> bool,
    ledger: &mut Ledger,
) {
    let sites: Vec<usize> = (0..terminals.len())
        .filter(|&number| matches!(terminals[number].kind, NodeKind::Site(_)))
        .collect();
    for (number, terminal) in terminals.iter().enumerate() {
        let (tag, place, what) = match terminal.kind {
            NodeKind::Fixture(index) => {
                let fixture = &plan.fixtures[index];
                (&fixture.tag, &fixture.place, "fixture")
            }
            NodeKind::Site(index) => {
                let site = &plan.sites[index];
                (&site.tag, &site.place, "site")
            }
            NodeKind::Mouth(_) | NodeKind::Turn => continue,
        };
        let others = sites.iter().filter(|&&site| site != number);
        let alone = what == "site" && sites.len() == 1;
        // Sites that no other site reaches may each have fixtures of their own.
        let served = if what == "site" {
            (0..terminals.len()).any(|other| {
                other != number
                    && matches!(terminals[other].kind, NodeKind::Fixture(_))
                    && reached(number, other)
            })
        } else {
            others.into_iter().any(|&site| reached(number, site))
                || (sites.is_empty() && number == 0)
        };
        if served || (alone && plan.fixtures.is_empty()) {
            continue;
        }
        let help = match overlay.at(terminal.at) {
            Region::Bore(_) => {
                "it stands in a bore-only area; move it to the edge, or draw a sleeve or trench to it"
            }
            Region::Blocked | Region::Ground(_) => {
                "no-trench or bore-only areas close it in; draw a sleeve, trench or wall that leads out"
            }
        };
        ledger.add(
            Fault::new(
                Code::Unreachable,
                place,
                format!("no trench can reach {what} `{tag}`"),
            )
            .help(help),
        );
    }
}

/// Puts the thinned graph in words.
fn named(
    plan: &SitePlan,
    rates: &[Rate],
    terminals: &[Terminal],
    bores: &[Bore],
    thinned: &Thin,
) -> Graph {
    let nodes: Vec<Node> = thinned
        .nodes
        .iter()
        .enumerate()
        .map(|(number, node)| Node {
            kind: terminals
                .get(number)
                .map_or(NodeKind::Turn, |terminal| terminal.kind.clone()),
            at: node.point.at,
        })
        .collect();
    let mut segments: Vec<Segment> = thinned
        .segments
        .iter()
        .map(|segment| {
            let [a, b] = segment.ends.map(|end| nodes[end].at);
            let straight = distance(a, b);
            let (surface, length_m, most_cables) = match segment.medium {
                Medium::Ground(rate) => (rates[rate].surface.clone(), straight, None),
                Medium::Bore(bore) => (bore_surface(&plan.areas[bores[bore].area]), straight, None),
                Medium::Line(line) => {
                    let line = &plan.lines[line];
                    (line.surface.clone(), straight, line.most_cables)
                }
                Medium::Sleeve(line) => {
                    let line = &plan.lines[line];
                    (line.surface.clone(), length(line), line.most_cables)
                }
            };
            let in_ground = matches!(segment.medium, Medium::Ground(_) | Medium::Bore(_));
            Segment {
                ends: segment.ends,
                surface,
                length_m,
                most_cables,
                cost: segment.cost,
                utility: in_ground.then(|| crossed(&plan.areas, a, b)).flatten(),
                bored: matches!(segment.medium, Medium::Bore(_)),
            }
        })
        .collect();
    segments.sort_by(|one, two| one.ends.cmp(&two.ends).then(one.surface.cmp(&two.surface)));
    Graph { nodes, segments }
}

fn bore_surface(area: &Area) -> String {
    match &area.kind {
        AreaKind::BoreOnly(surface) => surface.clone(),
        _ => String::new(),
    }
}

/// The declared utility whose inside a segment enters.
fn crossed(areas: &[Area], a: Coord<f64>, b: Coord<f64>) -> Option<String> {
    let straight = Straight::new(a, b);
    areas
        .iter()
        .filter(|area| matches!(area.kind, AreaKind::Utility(_)))
        .find(|area| enters(&area.outline, straight))
        .map(|area| area.id.clone())
}

/// Whether a straight segment has points inside a polygon, not only on its edge.
fn enters(outline: &Polygon<f64>, straight: Straight<f64>) -> bool {
    use geo::{Contains, Intersects};
    if !outline.intersects(&straight) {
        return false;
    }
    const STEPS: u32 = 64;
    (0..STEPS).any(|step| {
        let share = (f64::from(step) + 0.5) / f64::from(STEPS);
        outline.contains(&geo::Point::from(straight.start + straight.delta() * share))
    })
}
