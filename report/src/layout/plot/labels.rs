//! Placing labels so that none covers another: greedy first, then threshold
//! accepting (Dueck and Scheuer 1990), a kind of annealing without exponentials,
//! so that every machine places them alike.

use super::super::frame::{Colour, Frame, Stroke};
use super::super::geometry::{Area, Place};
use super::super::text::{Setter, Style};
use super::super::typeface::{ABOVE, BELOW};

/// Directions tried around a node: east first, then the others by how well a label reads there.
const DIRECTIONS: [(f64, f64); 16] = [
    (1.0, 0.0),
    (0.707, -0.707),
    (0.707, 0.707),
    (-1.0, 0.0),
    (-0.707, -0.707),
    (-0.707, 0.707),
    (0.0, -1.0),
    (0.0, 1.0),
    (0.924, -0.383),
    (0.924, 0.383),
    (0.383, -0.924),
    (0.383, 0.924),
    (-0.924, -0.383),
    (-0.924, 0.383),
    (-0.383, -0.924),
    (-0.383, 0.924),
];
/// Distances from the mark tried in turn, pt; from the second on a thin leader ties label and mark.
const RINGS: [f64; 9] = [1.8, 6.5, 12.0, 19.0, 30.0, 46.0, 64.0, 86.0, 112.0];
/// Distance of a candidate above which a leader is drawn, pt.
const LEADER_FROM: f64 = 5.0;
/// Distance of a candidate above which it is far, pt.
const FAR_FROM: f64 = 15.0;
/// Widest line of a label, pt; longer tags are broken.
const WIDTH: f64 = 60.0;
/// Blank kept between labels, pt.
const CLEAR: f64 = 0.5;
/// Cost of covering a mark.
const ON_MARK: f64 = 300.0;
/// Cost of covering a cable.
const ON_STROKE: f64 = 6.0;
/// Cost of a leader that runs over a mark.
const LEADER_ON_MARK: f64 = 20.0;
/// Cost of each further ring.
const PER_RING: f64 = 5.0;
/// Cost of two labels covering each other: above all else together.
const COLLISION: f64 = 1000.0;
/// Proposals for each label.
const PROPOSALS: usize = 160;

/// A label that wants a place.
#[derive(Clone, Debug)]
pub struct Label {
    /// What it says.
    pub text: String,
    lines: Vec<String>,
    style: Style,
    width: f64,
    height: f64,
    anchor: Place,
    reach: f64,
}

impl Label {
    /// A label for the mark of radius `reach` at `anchor`.
    pub fn new(setter: Setter<'_>, text: &str, style: Style, anchor: Place, reach: f64) -> Self {
        let lines = setter.lines(text, style, WIDTH);
        let width = lines
            .iter()
            .map(|line| setter.width(line, style))
            .fold(0.0, f64::max);
        let height =
            (ABOVE + BELOW) * style.size + style.leading() * (lines.len().max(1) - 1) as f64;
        Self {
            text: text.to_owned(),
            lines,
            style,
            width,
            height,
            anchor,
            reach,
        }
    }

    fn candidates(&self) -> Vec<Candidate> {
        let mut candidates = Vec::with_capacity(RINGS.len() * DIRECTIONS.len());
        for (ring, gap) in RINGS.iter().enumerate() {
            for (rank, (dx, dy)) in DIRECTIONS.iter().enumerate() {
                let away = self.reach + gap;
                // The label's nearest edge or corner lies `away` from the anchor.
                let x = self.anchor.x + dx * away + 0.5 * self.width * (dx - 1.0);
                let y = self.anchor.y + dy * away + 0.5 * self.height * (dy - 1.0);
                candidates.push(Candidate {
                    area: Area::new(x, y, self.width, self.height),
                    leader: *gap > LEADER_FROM,
                    far: *gap > FAR_FROM,
                    cost: ring as f64 * PER_RING + 0.12 * rank as f64,
                });
            }
        }
        candidates
    }
}

/// A place that a label could take.
#[derive(Clone, Copy, Debug)]
pub struct Candidate {
    /// Area covered.
    pub area: Area,
    leader: bool,
    /// So far from its mark that its leader must be followed.
    pub far: bool,
    cost: f64,
}

impl Candidate {
    /// Where the leader from the mark at `anchor` meets the label.
    fn leader_end(&self, anchor: Place) -> Place {
        Place::new(
            anchor.x.clamp(self.area.x, self.area.right()),
            anchor.y.clamp(self.area.y, self.area.bottom()),
        )
    }
}

/// What labels must keep off.
pub struct Obstacles {
    /// Labels stay inside.
    pub border: Area,
    /// Marks.
    pub marks: Vec<Area>,
    /// Cables.
    pub strokes: Vec<(Place, Place)>,
}

impl Obstacles {
    fn cost(&self, area: &Area) -> f64 {
        let tight = area.grown(-0.4);
        let marks = self
            .marks
            .iter()
            .filter(|mark| mark.common(&tight) > 0.0)
            .count();
        let strokes = self
            .strokes
            .iter()
            .filter(|(from, to)| tight.meets_stroke(*from, *to))
            .count();
        ON_MARK * marks as f64 + ON_STROKE * strokes as f64
    }

    fn leader_cost(&self, anchor: Place, end: Place) -> f64 {
        let over = self.marks.iter().filter(|mark| {
            let own = mark.contains(&Area::new(anchor.x, anchor.y, 0.0, 0.0), 0.0);
            !own && mark.meets_stroke(anchor, end)
        });
        LEADER_ON_MARK * over.count() as f64
    }
}

/// Places for all labels that can be placed without covering another; `None` for the rest.
pub fn place(labels: &[Label], obstacles: &Obstacles) -> Vec<Option<Candidate>> {
    let options: Vec<Vec<Candidate>> = labels
        .iter()
        .map(|label| {
            let mut options = label.candidates();
            options.retain(|one| obstacles.border.contains(&one.area, 0.0));
            for one in &mut options {
                one.cost += obstacles.cost(&one.area);
                if one.leader {
                    let end = one.leader_end(label.anchor);
                    one.cost += obstacles.leader_cost(label.anchor, end);
                }
            }
            options.sort_by(|one, other| one.cost.total_cmp(&other.cost));
            options
        })
        .collect();
    let mut chosen = greedy(&options);
    improve(&options, &mut chosen);
    settle(&options, chosen)
}

fn collide(one: &Area, other: &Area) -> bool {
    one.grown(CLEAR).common(other) > 0.0
}

/// The cheapest free place for each label, the most hemmed in first; else the cheapest at all.
fn greedy(options: &[Vec<Candidate>]) -> Vec<Option<usize>> {
    let mut order: Vec<usize> = (0..options.len()).collect();
    order.sort_by_key(|&label| {
        let good = options[label].iter().filter(|one| one.cost < ON_STROKE);
        (good.count(), label)
    });
    let mut chosen: Vec<Option<usize>> = vec![None; options.len()];
    for &label in &order {
        let free = options[label].iter().position(|one| {
            taken(options, &chosen, label).all(|other| !collide(&one.area, &other.area))
        });
        chosen[label] = free.or(if options[label].is_empty() {
            None
        } else {
            Some(0)
        });
    }
    chosen
}

/// Places of the other labels.
fn taken<'a>(
    options: &'a [Vec<Candidate>],
    chosen: &'a [Option<usize>],
    except: usize,
) -> impl Iterator<Item = &'a Candidate> {
    chosen
        .iter()
        .enumerate()
        .filter(move |(label, _)| *label != except)
        .filter_map(|(label, choice)| choice.map(|choice| &options[label][choice]))
}

fn cost(options: &[Vec<Candidate>], chosen: &[Option<usize>], label: usize, choice: usize) -> f64 {
    let one = &options[label][choice];
    let hits = taken(options, chosen, label)
        .filter(|other| collide(&one.area, &other.area))
        .count();
    one.cost + COLLISION * hits as f64
}

/// Numbers for proposals: Marsaglia's xorshift (2003) from a fixed start.
struct Draws(u64);

impl Draws {
    fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % count.max(1) as u64) as usize
    }
}

/// Moves single labels; a move may cost a little more at first, less and less later.
fn improve(options: &[Vec<Candidate>], chosen: &mut [Option<usize>]) {
    let movable: Vec<usize> = (0..options.len())
        .filter(|&label| options[label].len() > 1)
        .collect();
    if movable.len() < 2 {
        return;
    }
    let mut draws = Draws(0x9e37_79b9_7f4a_7c15);
    let rounds = PROPOSALS * movable.len();
    for round in 0..rounds {
        let threshold = 8.0 * (1.0 - round as f64 / rounds as f64).powi(2);
        let label = movable[draws.below(movable.len())];
        let proposal = draws.below(options[label].len());
        let Some(now) = chosen[label] else { continue };
        if proposal == now {
            continue;
        }
        // A dear place is not worth weighing against all others.
        if options[label][proposal].cost > options[label][now].cost + COLLISION {
            continue;
        }
        let change = cost(options, chosen, label, proposal) - cost(options, chosen, label, now);
        if change < threshold {
            chosen[label] = Some(proposal);
        }
    }
}

/// Ends with the cheapest free move of each label, then drops labels that still collide.
fn settle(options: &[Vec<Candidate>], mut chosen: Vec<Option<usize>>) -> Vec<Option<Candidate>> {
    for _ in 0..4 {
        let mut moved = false;
        for label in 0..options.len() {
            let best = (0..options[label].len()).min_by(|&one, &other| {
                cost(options, &chosen, label, one).total_cmp(&cost(options, &chosen, label, other))
            });
            if best.is_some() && best != chosen[label] {
                chosen[label] = best;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    for label in 0..options.len() {
        if let Some(choice) = chosen[label] {
            let area = options[label][choice].area;
            if taken(options, &chosen, label).any(|other| collide(&area, &other.area)) {
                chosen[label] = None;
            }
        }
    }
    chosen
        .iter()
        .enumerate()
        .map(|(label, choice)| choice.map(|choice| options[label][choice]))
        .collect()
}

/// Ties a label to its mark when it stands off it.
pub fn put_leader(frame: &mut Frame, label: &Label, at: &Candidate) {
    if at.leader {
        frame.line(
            vec![label.anchor, at.leader_end(label.anchor)],
            Stroke::solid(Colour::MUTED, 0.35),
        );
    }
}

/// Clears the ground of a label.
pub fn put_ground(frame: &mut Frame, at: &Candidate) {
    frame.rectangle(at.area.grown(-0.3), None, Some(Colour::PAPER));
}

/// Draws the text of a label at its place.
pub fn put_text(setter: Setter<'_>, frame: &mut Frame, label: &Label, at: &Candidate) {
    for (line, text) in label.lines.iter().enumerate() {
        let baseline = at.area.y + ABOVE * label.style.size + line as f64 * label.style.leading();
        setter.put(frame, Place::new(at.area.x, baseline), text, label.style);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(x: f64, y: f64) -> Label {
        Label {
            text: "F1".to_owned(),
            lines: vec!["F1".to_owned()],
            style: Style {
                size: 6.0,
                weight: super::super::Weight::Regular,
                colour: Colour::INK,
            },
            width: 24.0,
            height: 7.0,
            anchor: Place::new(x, y),
            reach: 2.0,
        }
    }

    #[test]
    fn labels_of_a_dense_grid_never_cover_each_other() {
        let labels: Vec<Label> = (0..144)
            .map(|at| {
                label(
                    60.0 + 28.0 * f64::from(at % 12),
                    60.0 + 16.0 * f64::from(at / 12),
                )
            })
            .collect();
        let obstacles = Obstacles {
            border: Area::new(0.0, 0.0, 460.0, 320.0),
            marks: labels
                .iter()
                .map(|one| Area::new(one.anchor.x - 2.0, one.anchor.y - 2.0, 4.0, 4.0))
                .collect(),
            strokes: Vec::new(),
        };
        let placed = place(&labels, &obstacles);
        let areas: Vec<Area> = placed.iter().flatten().map(|one| one.area).collect();
        assert_eq!(areas.len(), labels.len(), "every label finds a place");
        for one in 0..areas.len() {
            for other in 0..one {
                assert_eq!(areas[one].common(&areas[other]), 0.0);
            }
        }
    }

    #[test]
    fn what_cannot_be_placed_is_left_out_and_told() {
        let labels: Vec<Label> = (0..40).map(|_| label(15.0, 10.0)).collect();
        let obstacles = Obstacles {
            border: Area::new(0.0, 0.0, 60.0, 30.0),
            marks: Vec::new(),
            strokes: Vec::new(),
        };
        let placed = place(&labels, &obstacles);
        let kept = placed.iter().flatten().count();
        assert!((1..40).contains(&kept), "{kept}");
    }
}
