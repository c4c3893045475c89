//! Test room: papers. Frames are held against rules of the page, their text
//! against a reviewed copy, the written files against outside readers.

mod files;
mod frames;
mod made_up;
mod papers;
mod text;

use duskwright_report::{Firm, Logo, PaperOptions, PaperSize, Presentation, ReportDate};
use made_up::Recipe;

/// Options that never change.
fn options(size: PaperSize) -> PaperOptions {
    PaperOptions {
        size,
        date: ReportDate::new(2026, 11, 25).unwrap(),
        version: "0.0.0".to_owned(),
        input_hash: "3f0c9a51d2b47e86".to_owned(),
        search: "effort quick, seed 1".to_owned(),
    }
}

/// A made-up firm with a logo of 3 x 2 pixels.
fn presentation() -> Presentation {
    let mut logo = Vec::new();
    let mut encoder = png::Encoder::new(&mut logo, 3, 2);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[40; 18]).unwrap();
    writer.finish().unwrap();
    Presentation {
        firm: Firm {
            name: "Evening Garden Lighting José & Łukasz".to_owned(),
            address: vec!["7 Orchard Lane".to_owned(), "Millbrook".to_owned()],
            contact: vec!["555 0123".to_owned()],
            logo: Some(Logo::read(&logo).unwrap()),
            terms: vec!["Valid for 30 days from the date above.".to_owned()],
        },
        ..Presentation::default()
    }
}

/// A park with 400 fixtures, metric.
const PARK: Recipe = Recipe {
    fixtures: 400,
    on_circuit: 12,
    on_transformer: 5,
    metric: true,
    ..Recipe::GARDEN
};

/// 400 fixtures with long tags on a wheel-measured graph.
const LONG: Recipe = Recipe {
    long_names: true,
    placed: false,
    ..PARK
};

/// Every kind of job the papers must bear.
fn recipes() -> Vec<(&'static str, Recipe)> {
    let garden = Recipe::GARDEN;
    vec![
        ("garden", garden),
        (
            "wheel-measured garden",
            Recipe {
                placed: false,
                ..garden
            },
        ),
        ("park", PARK),
        ("park with long names", LONG),
        (
            "long names to scale",
            Recipe {
                long_names: true,
                fixtures: 90,
                ..garden
            },
        ),
        (
            "one fixture",
            Recipe {
                fixtures: 1,
                on_circuit: 1,
                on_transformer: 1,
                ..garden
            },
        ),
    ]
}
