//! The site drawings, as much of them as their reader needs.

use super::block::{Block, Orientation, Section};
use super::drawing::{Drawing, Mark, Spot, Trench};
use duskwright_solver::schedule::{Dossier, DrawnSegment};
use rust_decimal::prelude::ToPrimitive;

/// Who reads a drawing, and so what it shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detail {
    /// Lights and ground work; one kind of cable.
    Client,
    /// Circuits apart from each other.
    Report,
    /// The same, and every node that the lists speak of.
    Crew,
}

/// The drawing of the whole site, and for the crew of several transformers one of each.
pub fn sections(dossier: &Dossier, detail: Detail) -> Vec<Section> {
    let mut sheets = vec![sheet(
        "Site drawing",
        drawing(dossier, None, detail),
        detail,
    )];
    if detail == Detail::Crew && dossier.transformers.len() > 1 {
        let each = dossier.transformers.iter().map(|row| {
            let title = format!("Site drawing, transformer {}", row.label);
            sheet(&title, drawing(dossier, Some(&row.label), detail), detail)
        });
        sheets.extend(each);
    }
    sheets
}

fn sheet(title: &str, drawing: Drawing, detail: Detail) -> Section {
    let placed = drawing.spots.iter().all(|spot| spot.at.is_some());
    let mut said = if placed {
        "To scale. Cables that share a trench are drawn side by side; the distance between them has no meaning."
    } else {
        "Schematic, not to scale: lengths were measured without coordinates, so places are only arranged by length."
    }
    .to_owned();
    said.push_str(match detail {
        Detail::Client => " Exact places of lights are settled on site.",
        Detail::Report => {
            " Tell circuits apart by label, line pattern and colour. Currents and voltages are in the schedules, with their cases and \
             conductor temperatures."
        }
        Detail::Crew => {
            " Tell circuits apart by label, line pattern and colour. A node that the lists call otherwise than its fixture has its name in \
             brackets."
        }
    });
    Section {
        title: title.to_owned(),
        orientation: Orientation::Sheet,
        new_page: true,
        blocks: vec![Block::Note(said), Block::Drawing(drawing)],
    }
}

/// The whole site, or what one transformer feeds.
fn drawing(dossier: &Dossier, transformer: Option<&str>, detail: Detail) -> Drawing {
    let given = &dossier.drawing;
    let shown: Vec<bool> = dossier
        .circuits
        .iter()
        .map(|row| transformer.is_none_or(|label| row.transformer == label))
        .collect();
    let trenches = trenches(dossier, &shown);
    let whole = Drawing {
        spots: spots(dossier, &shown, transformer, &trenches, detail),
        trenches,
        circuits: dossier
            .circuits
            .iter()
            .map(|row| row.label.clone())
            .collect(),
        in_key: (0..shown.len()).filter(|&at| shown[at]).collect(),
        names: true,
        splits: true,
        surfaces: surfaces(given),
        length_unit: dossier.header.length_unit.clone(),
    };
    match (transformer, detail) {
        (Some(_), _) => cropped(&whole),
        (None, Detail::Client) => one_cable(whole),
        (None, _) => whole,
    }
}

/// Surfaces of the ground opened, in the order in which they are met.
fn surfaces(given: &duskwright_solver::schedule::Drawing) -> Vec<String> {
    let mut surfaces: Vec<String> = Vec::new();
    for segment in given.segments.iter().filter(|segment| segment.opened) {
        if !surfaces.contains(&segment.surface) {
            surfaces.push(segment.surface.clone());
        }
    }
    surfaces
}

fn trenches(dossier: &Dossier, shown: &[bool]) -> Vec<Trench> {
    let given = &dossier.drawing;
    let surfaces = surfaces(given);
    let trench = |segment: &DrawnSegment| {
        let known = surfaces.iter().position(|one| *one == segment.surface);
        let circuits = segment.circuits.iter().copied();
        Trench {
            a: segment.a,
            b: segment.b,
            length: segment.length.to_f64().unwrap_or(0.0),
            surface: known.unwrap_or(0),
            circuits: circuits.filter(|&circuit| shown[circuit]).collect(),
        }
    };
    given.segments.iter().map(trench).collect()
}

fn spots(
    dossier: &Dossier,
    shown: &[bool],
    transformer: Option<&str>,
    trenches: &[Trench],
    detail: Detail,
) -> Vec<Spot> {
    let given = &dossier.drawing;
    let mut spots: Vec<Spot> = given
        .nodes
        .iter()
        .map(|node| Spot {
            label: String::new(),
            at: node.at,
            mark: Mark::Bend,
        })
        .collect();
    for fixture in given.fixtures.iter().filter(|row| shown[row.circuit]) {
        mark(&mut spots[fixture.node], Mark::Fixture, &fixture.tag);
    }
    for &hub in given.hubs.iter().filter(|_| detail != Detail::Client) {
        let spot = &mut spots[hub];
        spot.mark = spot.mark.max(Mark::Hub);
    }
    for site in &given.sites {
        let labels: Vec<&str> = site
            .transformers
            .iter()
            .map(String::as_str)
            .filter(|placed| transformer.is_none_or(|label| *placed == label))
            .collect();
        if !labels.is_empty() {
            let label = match detail {
                Detail::Client => "Transformer".to_owned(),
                Detail::Report | Detail::Crew => format!("Transformer {}", labels.join(", ")),
            };
            mark(&mut spots[site.node], Mark::Transformer, &label);
        }
    }
    if detail == Detail::Crew {
        name_nodes(given, trenches, &mut spots);
    }
    for &hub in given.hubs.iter().filter(|_| detail == Detail::Report) {
        if spots[hub].label.is_empty() {
            spots[hub].label.clone_from(&given.nodes[hub].tag);
        }
    }
    spots
}

/// Names every node of the opened ground, in brackets where its fixture has another name.
fn name_nodes(
    given: &duskwright_solver::schedule::Drawing,
    trenches: &[Trench],
    spots: &mut [Spot],
) {
    let mut used = vec![false; spots.len()];
    for trench in trenches.iter().filter(|one| !one.circuits.is_empty()) {
        used[trench.a] = true;
        used[trench.b] = true;
    }
    let nodes = given.nodes.iter().zip(spots).zip(used);
    for ((node, spot), _) in nodes.filter(|(_, used)| *used) {
        if spot.label.is_empty() {
            spot.label.clone_from(&node.tag);
        } else if !alike(&spot.label, &node.tag) {
            spot.label = format!("{} ({})", spot.label, node.tag);
        }
    }
}

/// Whether two names differ in nothing but case, blanks and signs.
fn alike(one: &str, other: &str) -> bool {
    let letters = |name: &str| -> String {
        let letters = name.chars().filter(|letter| letter.is_alphanumeric());
        letters.flat_map(char::to_lowercase).collect()
    };
    letters(one) == letters(other)
}

/// The same drawing with all cables alike and unnamed, on one sheet: its reader looks
/// for the place, not for a light by its name.
fn one_cable(mut whole: Drawing) -> Drawing {
    for trench in &mut whole.trenches {
        trench.circuits.truncate(1);
        trench.circuits.fill(0);
    }
    whole.circuits = vec!["cable".to_owned()];
    whole.in_key = vec![0];
    whole.names = false;
    whole.splits = false;
    whole
}

/// Gives a spot a mark (the most telling wins) and adds to its label.
fn mark(spot: &mut Spot, mark: Mark, label: &str) {
    spot.mark = spot.mark.max(mark);
    if !spot.label.is_empty() {
        spot.label.push_str(", ");
    }
    spot.label.push_str(label);
}

/// Only trenches with shown circuits, and the spots on them or marked.
fn cropped(whole: &Drawing) -> Drawing {
    let mut kept: Vec<bool> = whole
        .spots
        .iter()
        .map(|spot| matches!(spot.mark, Mark::Fixture | Mark::Transformer))
        .collect();
    for trench in whole.trenches.iter().filter(|one| !one.circuits.is_empty()) {
        kept[trench.a] = true;
        kept[trench.b] = true;
    }
    let mut renumbered = vec![0; kept.len()];
    let mut spots = Vec::new();
    for (position, spot) in whole.spots.iter().enumerate() {
        if kept[position] {
            renumbered[position] = spots.len();
            spots.push(spot.clone());
        }
    }
    let trenches: Vec<Trench> = whole
        .trenches
        .iter()
        .filter(|trench| !trench.circuits.is_empty())
        .map(|trench| Trench {
            a: renumbered[trench.a],
            b: renumbered[trench.b],
            ..trench.clone()
        })
        .collect();
    Drawing {
        spots,
        trenches,
        ..whole.clone()
    }
}
