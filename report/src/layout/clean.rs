//! Makes every text of a report settable before anything is measured.

use super::page::Foot;
use super::typeface::Typeface;
use crate::content::{Bar, Bars, Block, Drawing, OneLine, Profile, Riser, Section, Table};
use crate::presentation::Firm;

/// The sections with clean text throughout.
pub fn sections(typeface: &Typeface, sections: &[Section]) -> Vec<Section> {
    sections
        .iter()
        .map(|section| Section {
            title: typeface.clean(&section.title),
            blocks: section
                .blocks
                .iter()
                .map(|block| clean_block(typeface, block))
                .collect(),
            ..section.clone()
        })
        .collect()
}

/// The foot with clean text.
pub fn foot(typeface: &Typeface, foot: &Foot) -> Foot {
    Foot {
        job: typeface.clean(&foot.job),
        made: typeface.clean(&foot.made),
        input: typeface.clean(&foot.input),
    }
}

fn clean_block(typeface: &Typeface, block: &Block) -> Block {
    let clean = |text: &String| typeface.clean(text);
    match block {
        Block::Title(text) => Block::Title(clean(text)),
        Block::Heading(text) => Block::Heading(clean(text)),
        Block::Paragraph(text) => Block::Paragraph(clean(text)),
        Block::Note(text) => Block::Note(clean(text)),
        Block::Cautions { heading, items } => Block::Cautions {
            heading: clean(heading),
            items: items.iter().map(clean).collect(),
        },
        Block::Facts(facts) => Block::Facts(
            facts
                .iter()
                .map(|(name, value)| (clean(name), clean(value)))
                .collect(),
        ),
        Block::Table(table) => Block::Table(clean_table(typeface, table)),
        Block::OneLine(diagram) => Block::OneLine(clean_one_line(typeface, diagram)),
        Block::Riser(riser) => Block::Riser(Riser {
            heading: clean(&riser.heading),
            table: clean_table(typeface, &riser.table),
            ..riser.clone()
        }),
        Block::Profiles(profiles) => Block::Profiles(
            profiles
                .iter()
                .map(|profile| Profile {
                    title: clean(&profile.title),
                    ..profile.clone()
                })
                .collect(),
        ),
        Block::Bars(bars) => Block::Bars(Bars {
            bars: bars
                .bars
                .iter()
                .map(|bar| Bar {
                    name: clean(&bar.name),
                    amount: clean(&bar.amount),
                    share: bar.share,
                })
                .collect(),
        }),
        Block::Letterhead(firm) => Block::Letterhead(Firm {
            name: clean(&firm.name),
            address: firm.address.iter().map(clean).collect(),
            contact: firm.contact.iter().map(clean).collect(),
            logo: firm.logo.clone(),
            terms: Vec::new(),
        }),
        Block::WriteOn(names) => Block::WriteOn(names.iter().map(clean).collect()),
        Block::Drawing(drawing) => Block::Drawing(clean_drawing(typeface, drawing)),
    }
}

fn clean_table(typeface: &Typeface, table: &Table) -> Table {
    let mut table = table.clone();
    for column in &mut table.columns {
        column.heading = typeface.clean(&column.heading);
    }
    for cell in table.rows.iter_mut().flat_map(|row| &mut row.cells) {
        *cell = typeface.clean(cell);
    }
    table
}

fn clean_drawing(typeface: &Typeface, drawing: &Drawing) -> Drawing {
    let mut drawing = drawing.clone();
    for spot in &mut drawing.spots {
        spot.label = typeface.clean(&spot.label);
    }
    for circuit in &mut drawing.circuits {
        *circuit = typeface.clean(circuit);
    }
    for surface in &mut drawing.surfaces {
        *surface = typeface.clean(surface);
    }
    drawing.length_unit = typeface.clean(&drawing.length_unit);
    drawing
}

fn clean_one_line(typeface: &Typeface, diagram: &OneLine) -> OneLine {
    let mut diagram = diagram.clone();
    diagram.heading = typeface.clean(&diagram.heading);
    for bus in &mut diagram.buses {
        bus.name = typeface.clean(&bus.name);
        bus.breaker = typeface.clean(&bus.breaker);
        for feeder in &mut bus.feeders {
            feeder.cable = typeface.clean(&feeder.cable);
            feeder.end = typeface.clean(&feeder.end);
        }
    }
    diagram
}
