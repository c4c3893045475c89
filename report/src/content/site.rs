//! The site drawings: one of the whole site, and one for each transformer when
//! the site holds too much for one sheet.

use super::block::{Block, Orientation, Section};
use super::drawing::{Drawing, Mark, Spot, Trench};
use duskwright_solver::schedule::Dossier;
use rust_decimal::prelude::ToPrimitive;

/// Most fixtures whose tags are shown on the sheet of the whole site when there are further sheets.
const TAGS_ON_OVERVIEW: usize = 90;

/// One section for each sheet.
pub fn sections(dossier: &Dossier) -> Vec<Section> {
    let crowded = dossier.fixtures.len() > TAGS_ON_OVERVIEW && dossier.transformers.len() > 1;
    let mut sheets = vec![sheet(
        "Site drawing",
        drawing(dossier, None, !crowded),
        crowded.then_some("Fixture tags are on the sheets of the transformers."),
    )];
    if crowded {
        for transformer in &dossier.transformers {
            sheets.push(sheet(
                &format!("Site drawing, transformer {}", transformer.letter),
                drawing(dossier, Some(&transformer.letter), true),
                None,
            ));
        }
    }
    sheets
}

fn sheet(title: &str, drawing: Drawing, note: Option<&str>) -> Section {
    let placed = drawing.spots.iter().all(|spot| spot.at.is_some());
    let mut said = if placed {
        "To scale. Cables that share a trench are drawn side by side; the distance between them has no meaning. Tell circuits apart by label, line pattern and colour."
            .to_owned()
    } else {
        "Schematic, not to scale: the job gives measured lengths and no coordinates, so places are only arranged by length. Tell circuits apart by label, line pattern and colour."
            .to_owned()
    };
    if let Some(note) = note {
        said.push(' ');
        said.push_str(note);
    }
    said.push_str(
        " Currents and voltages are in the schedules, with their cases and conductor temperatures.",
    );
    Section {
        title: title.to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks: vec![Block::Note(said), Block::Drawing(drawing)],
    }
}

/// The whole site, or what one transformer feeds.
fn drawing(dossier: &Dossier, letter: Option<&str>, tags: bool) -> Drawing {
    let given = &dossier.drawing;
    let shown: Vec<bool> = dossier
        .circuits
        .iter()
        .map(|row| letter.is_none_or(|letter| row.transformer == letter))
        .collect();
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
        let spot = &mut spots[fixture.node];
        mark(spot, Mark::Fixture, tags.then_some(fixture.tag.as_str()));
    }
    for &hub in &given.hubs {
        let tag = given.nodes[hub].tag.as_str();
        mark(&mut spots[hub], Mark::Hub, Some(tag));
    }
    for site in &given.sites {
        let letters: Vec<&str> = site
            .transformers
            .iter()
            .map(String::as_str)
            .filter(|placed| letter.is_none_or(|letter| *placed == letter))
            .collect();
        if !letters.is_empty() {
            let label = format!("Transformer {}", letters.join(", "));
            mark(&mut spots[site.node], Mark::Transformer, Some(&label));
        }
    }
    let trenches: Vec<Trench> = given
        .segments
        .iter()
        .map(|segment| Trench {
            a: segment.a,
            b: segment.b,
            length: segment.length.to_f64().unwrap_or(0.0),
            circuits: segment
                .circuits
                .iter()
                .copied()
                .filter(|&circuit| shown[circuit])
                .collect(),
        })
        .collect();
    let whole = Drawing {
        spots,
        trenches,
        circuits: dossier
            .circuits
            .iter()
            .map(|row| row.label.clone())
            .collect(),
        in_key: (0..shown.len()).filter(|&at| shown[at]).collect(),
        length_unit: dossier.header.length_unit.clone(),
    };
    match letter {
        Some(_) => cropped(&whole),
        None => whole,
    }
}

/// Gives a spot a mark (the most telling wins) and adds to its label.
fn mark(spot: &mut Spot, mark: Mark, label: Option<&str>) {
    spot.mark = spot.mark.max(mark);
    if let Some(label) = label {
        if !spot.label.is_empty() {
            spot.label.push_str(", ");
        }
        spot.label.push_str(label);
    }
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
    let trenches = whole
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
