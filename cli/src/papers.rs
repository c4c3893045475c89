//! The files that a plan leaves, as bytes.

use crate::failure::Failure;
use crate::origin::Origin;
use crate::staging;
use duskwright_report::{Paper, PaperOptions, Presentation};
use duskwright_solver::cells;
use duskwright_solver::schedule::Dossier;

/// A file by name.
pub(crate) type NamedFile = (String, Vec<u8>);

/// Files beside those that every plan leaves.
#[derive(Clone, Debug, Default)]
pub(crate) struct Extras {
    /// Papers besides the report, each once.
    pub(crate) papers: Vec<Paper>,
    /// Drawings as SVG.
    pub(crate) drawings: bool,
    /// Letterhead and paper of the drawings.
    pub(crate) presentation: Presentation,
}

/// Name of the file of a paper.
const fn file_name(paper: Paper) -> &'static str {
    match paper {
        Paper::Report => "report.pdf",
        Paper::Bid => "bid.pdf",
        Paper::Crew => "crew.pdf",
        Paper::Buy => "buy.pdf",
    }
}

/// Makes every file: those of [`staging::PLAN`] in their order, then what else was asked for.
///
/// `plan_json`: the plan as text, with all that is needed to recompute it.
///
/// # Errors
/// [`Failure::Paper`] when a paper cannot be written.
pub(crate) fn papers(
    plan_json: String,
    dossier: &Dossier,
    origin: &Origin,
    options: &PaperOptions,
    extras: &Extras,
) -> Result<Vec<NamedFile>, Failure> {
    let paper = |paper: Paper| {
        duskwright_report::write_paper(paper, dossier, options, &extras.presentation).map_err(
            |error| Failure::Paper {
                paper: file_name(paper),
                reason: error.to_string(),
            },
        )
    };
    let facts = origin.facts();
    let list = |table: String| cells::with_origin(&table, cells::BESIDE, &facts).into_bytes();
    let bytes = [
        plan_json.into_bytes(),
        bill_csv(dossier, origin).into_bytes(),
        list(dossier.circuits_csv()),
        list(dossier.fixtures_csv()),
        list(dossier.pieces_csv()),
        paper(Paper::Report)?,
    ];
    let names = staging::PLAN.files.iter().map(|&name| name.to_owned());
    let mut files: Vec<NamedFile> = names.zip(bytes).collect();
    for &wanted in &extras.papers {
        files.push((file_name(wanted).to_owned(), paper(wanted)?));
    }
    if extras.drawings {
        let drawings = duskwright_report::drawings(dossier, options, &extras.presentation);
        let drawings = drawings.map_err(|error| Failure::Paper {
            paper: "the drawings",
            reason: error.to_string(),
        })?;
        let named = drawings.into_iter();
        files.extend(named.map(|(name, svg)| (format!("drawing-{name}"), svg.into_bytes())));
    }
    Ok(files)
}

/// `bill.csv`, with rows that say how it was made.
pub(crate) fn bill_csv(dossier: &Dossier, origin: &Origin) -> String {
    let [section, description] = [1, 3];
    cells::with_origin(&dossier.bill_csv(), [section, description], &origin.facts())
}
