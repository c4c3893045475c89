//! Test room: papers. Frames are held against rules of the page, their text
//! against a reviewed copy, the written files against outside readers.

mod files;
mod frames;
mod made_up;
mod text;

use duskwright_report::{PaperOptions, PaperSize, ReportDate};
use made_up::Recipe;

/// Options that never change.
fn options(size: PaperSize) -> PaperOptions {
    PaperOptions {
        size,
        date: ReportDate::new(2026, 11, 25).unwrap(),
        version: "0.0.0".to_owned(),
        input_hash: "3f0c9a51d2b47e86".to_owned(),
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
