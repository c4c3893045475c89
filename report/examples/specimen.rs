//! Writes reports of made-up dossiers, to be looked at:
//! `cargo run -p duskwright-report --example specimen -- FOLDER`.

#[path = "../../tests/golden/made_up/mod.rs"]
mod made_up;

use duskwright_report::{
    Firm, Paper, PaperOptions, PaperSize, Presentation, ReportDate, drawings, write_paper,
};
use made_up::Recipe;
use std::error::Error;
use std::path::PathBuf;

/// A made-up firm.
fn presentation() -> Presentation {
    Presentation {
        firm: Firm {
            name: "Evening Garden Lighting".to_owned(),
            address: vec!["7 Orchard Lane".to_owned(), "Millbrook".to_owned()],
            contact: vec!["555 0123".to_owned()],
            logo: None,
            terms: vec!["Valid for 30 days.".to_owned()],
        },
        ..Presentation::default()
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder to write to")?);
    let garden = Recipe::GARDEN;
    let park = Recipe {
        fixtures: 400,
        on_circuit: 12,
        on_transformer: 5,
        metric: true,
        ..garden
    };
    let specimens = [
        ("garden", garden, PaperSize::Letter),
        (
            "wheel-measured",
            Recipe {
                placed: false,
                fixtures: 40,
                ..garden
            },
            PaperSize::A4,
        ),
        ("park", park, PaperSize::A4),
        (
            "long-names",
            Recipe {
                long_names: true,
                fixtures: 60,
                ..park
            },
            PaperSize::Letter,
        ),
    ];
    for (name, recipe, size) in specimens {
        let options = PaperOptions {
            size,
            date: ReportDate::new(2026, 11, 25)?,
            version: "0.1.0".to_owned(),
            input_hash: "3f0c9a51d2b47e86".to_owned(),
            search: "effort quick, seed 1".to_owned(),
        };
        let dossier = made_up::dossier(recipe);
        let presentation = presentation();
        for (paper, word) in [
            (Paper::Report, "report"),
            (Paper::Bid, "bid"),
            (Paper::Crew, "crew"),
            (Paper::Buy, "buy"),
        ] {
            let bytes = write_paper(paper, &dossier, &options, &presentation)?;
            std::fs::write(folder.join(format!("{name}-{word}.pdf")), bytes)?;
        }
        for (drawing, svg) in drawings(&dossier, &options, &presentation)? {
            std::fs::write(folder.join(format!("{name}-{drawing}")), svg)?;
        }
    }
    Ok(())
}
