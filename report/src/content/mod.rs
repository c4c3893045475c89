//! What each page says, from the figures given. No figure is made here.

mod bill;
mod block;
mod cases;
mod circuits;
mod cover;
mod cuts;
mod drawing;
mod fixtures;
mod joints;
mod one_line;
mod readings;
mod site;
mod trenches;

pub use block::{Align, Block, Orientation, Row, RowKind, Section, Table};
pub use drawing::{Drawing, Mark};
pub use one_line::{Bus, Feeder, OneLine};
pub use readings::sections as readings;

use crate::error::ReportError;
use crate::options::PaperOptions;
use duskwright_solver::schedule::Dossier;

/// All sections in reading order.
pub fn report(dossier: &Dossier, options: &PaperOptions) -> Vec<Section> {
    let mut sections = vec![cover::section(dossier, options), bill::section(dossier)];
    sections.extend(site::sections(dossier));
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
