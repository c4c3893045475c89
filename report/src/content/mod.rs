//! What each page says, from the figures given. No figure is made here.

mod bid;
mod bill;
mod block;
mod buy;
mod cases;
mod charts;
mod circuits;
mod comparison;
mod cover;
mod crew;
mod cuts;
mod drawing;
mod fixtures;
mod joints;
mod label;
mod one_line;
pub mod order;
pub mod portfolio;
mod profile;
mod readings;
mod riser;
mod site;
mod trenches;

pub use block::{Align, Block, Orientation, Row, RowKind, Section, Table};
pub use charts::{Bar, Bars, Profile, Reading};
pub use comparison::section as comparison;
pub use drawing::{Drawing, Mark, Trench};
pub use label::{Label, labels};
pub use one_line::{Bus, Feeder, OneLine};
pub use readings::sections as readings;
pub use riser::{Riser, Stem};

use crate::error::ReportError;
use crate::options::{Paper, PaperOptions};
use crate::presentation::Presentation;
use duskwright_solver::schedule::Dossier;

/// The sections of a paper in reading order; where there are several orders, the first
/// of those that take fewest pages is meant.
pub fn of(
    paper: Paper,
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Vec<Vec<Section>> {
    match paper {
        Paper::Report => vec![report(dossier, options)],
        Paper::Bid => bid::orders(dossier, options, presentation),
        Paper::Crew => vec![crew::sections(dossier, options)],
        Paper::Buy => vec![buy::sections(dossier, options, presentation)],
    }
}

/// Sections that hold one drawing or diagram each, for files of their own: name of
/// the file without ending, and the section.
pub fn drawings(dossier: &Dossier) -> Vec<(String, Section)> {
    let section = |title: String, blocks: Vec<Block>| Section {
        title,
        orientation: Orientation::Sheet,
        new_page: true,
        blocks,
    };
    let site = site::sections(dossier, site::Detail::Crew)
        .into_iter()
        .next();
    let mut named: Vec<(String, Section)> = site
        .into_iter()
        .map(|site| ("site".to_owned(), site))
        .collect();
    let diagrams = one_line::diagrams(dossier);
    for row in &dossier.transformers {
        let own = diagrams.iter().filter(|one| one.transformer == row.label);
        let mut blocks: Vec<Block> = own.cloned().map(Block::OneLine).collect();
        blocks.extend(riser::of(dossier, &row.label).into_iter().map(Block::Riser));
        let title = format!("One-line diagram, transformer {}", row.label);
        named.push((format!("one-line-{}", row.label), section(title, blocks)));
        let profiles = profile::of(dossier, |circuit| circuit.transformer == row.label);
        let blocks = vec![
            Block::Note(profile::NOTE.to_owned()),
            Block::Profiles(profiles),
        ];
        let title = format!("Voltage along the cable, transformer {}", row.label);
        named.push((format!("voltage-{}", row.label), section(title, blocks)));
    }
    named
}

/// All sections of the whole report.
fn report(dossier: &Dossier, options: &PaperOptions) -> Vec<Section> {
    let mut sections = vec![cover::section(dossier, options), bill::section(dossier)];
    sections.extend(site::sections(dossier, site::Detail::Report));
    sections.extend([
        circuits::transformers(dossier),
        circuits::circuits(dossier),
        fixtures::section(dossier),
        cuts::section(dossier),
        trenches::section(dossier),
        joints::section(dossier),
    ]);
    sections
}

/// Makes sure that the drawing's references hold.
///
/// # Errors
/// [`ReportError::Dangling`] for the first that does not.
pub fn check(dossier: &Dossier) -> Result<(), ReportError> {
    let drawing = &dossier.drawing;
    let within = |what: &'static str, index: usize, count: usize| {
        if index < count {
            Ok(())
        } else {
            Err(ReportError::Dangling { what, index, count })
        }
    };
    let (nodes, circuits) = (drawing.nodes.len(), dossier.circuits.len());
    for segment in &drawing.segments {
        within("node", segment.a, nodes)?;
        within("node", segment.b, nodes)?;
        for &circuit in &segment.circuits {
            within("circuit", circuit, circuits)?;
        }
    }
    for site in &drawing.sites {
        within("node", site.node, nodes)?;
    }
    for fixture in &drawing.fixtures {
        within("node", fixture.node, nodes)?;
        within("circuit", fixture.circuit, circuits)?;
    }
    for &hub in &drawing.hubs {
        within("node", hub, nodes)?;
    }
    Ok(())
}
