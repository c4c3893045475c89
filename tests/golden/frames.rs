//! Nothing leaves the page, nothing covers other text, nothing is cut off.

use crate::made_up::{self, Recipe};
use crate::{LONG, options, recipes};
use duskwright_report::{
    Area, Frame, Item, Pages, Paper, PaperSize, Presentation, Step, TextRun, pages, paper_pages,
};
use duskwright_solver::schedule::Dossier;
use duskwright_solver::units::Money;
use rust_decimal::Decimal;
use std::sync::OnceLock;

/// Every paper of every kind of job, laid out once for all tests.
fn all_pages() -> &'static [(String, Pages)] {
    static ALL: OnceLock<Vec<(String, Pages)>> = OnceLock::new();
    ALL.get_or_init(lay_out_all)
}

/// A tag of thirty letters, of which the font lacks two.
const ODD_TAG: &str = "東京-lantern-at-the-north-gate-1";

/// A garden with names in several scripts, a very long place, lines that cost nothing
/// and quantities of five digits.
fn odd() -> Dossier {
    let mut dossier = made_up::dossier(Recipe::GARDEN);
    dossier.header.job = "José’s garden in Łódź, 東京 corner".to_owned();
    ODD_TAG.clone_into(&mut dossier.fixtures[0].tag);
    ODD_TAG.clone_into(&mut dossier.drawing.fixtures[0].tag);
    dossier.transformers[0].site =
        "in the plant room behind the north gate, at the left of the meter ".repeat(4);
    for line in &mut dossier.bill.lines {
        line.quantity.amount = Decimal::new(987_654, 1);
        line.unit_price = Money::ZERO;
        line.extension = Money::ZERO;
    }
    dossier
}

fn lay_out_all() -> Vec<(String, Pages)> {
    let mut all = Vec::new();
    let made = recipes().into_iter();
    let made = made.map(|(name, recipe)| (name, recipe.fixtures, made_up::dossier(recipe)));
    let odd = ("a garden of odd names", Recipe::GARDEN.fixtures, odd());
    for (name, fixtures, dossier) in made.chain([odd]) {
        for (paper, size, sheets) in [
            (Paper::Report, PaperSize::Letter, None),
            (Paper::Report, PaperSize::A4, Some(PaperSize::A3)),
            (Paper::Bid, PaperSize::A4, None),
            (Paper::Crew, PaperSize::Letter, Some(PaperSize::Tabloid)),
            (Paper::Crew, PaperSize::A4, None),
            (Paper::Buy, PaperSize::Letter, None),
        ] {
            // Hundreds of fixtures take seconds a paper: one size of each shows what can go wrong.
            if fixtures > 300 && size == PaperSize::A4 && paper != Paper::Bid {
                continue;
            }
            let presentation = Presentation {
                sheets,
                ..crate::presentation()
            };
            let pages = paper_pages(paper, &dossier, &options(size), &presentation).unwrap();
            all.push((format!("{paper:?} of {name}, {size:?}"), pages));
        }
    }
    all
}

#[test]
fn odd_names_and_amounts_are_shown_or_clearly_replaced() {
    assert_eq!(ODD_TAG.chars().count(), 30);
    let pages = pages(&odd(), &options(PaperSize::Letter)).unwrap();
    let printed = printed_on(&pages);
    let tag = ODD_TAG.replace(['東', '京'], "\u{fffd}");
    for wanted in ["José’sgardeninŁódź", &tag, "98,765.4", "0.00"] {
        assert!(printed.contains(wanted), "{wanted}");
    }
    assert!(!printed.contains('京'));
    for frame in &pages.frames {
        let told = frame.texts().any(|run| run.text.contains("lacks"));
        let replaced = frame
            .texts()
            .any(|run| run.text.contains("\u{fffd} corner"));
        assert!(told || !replaced, "a page does not say what was replaced");
    }
}

fn texts(frame: &Frame) -> Vec<&TextRun> {
    frame.texts().collect()
}

#[test]
fn every_item_lies_inside_its_page() {
    for (name, pages) in all_pages() {
        for (number, frame) in pages.frames.iter().enumerate() {
            let page = Area::new(0.0, 0.0, frame.width, frame.height).grown(-20.0);
            for item in &frame.items {
                match item {
                    Item::Text(run) => assert!(
                        page.contains(&run.area, 0.0),
                        "{name}, page {}: `{}` at {:?}",
                        number + 1,
                        run.text,
                        run.area
                    ),
                    Item::Tile(tile) => assert!(page.contains(&tile.area, 0.0), "{name}"),
                    Item::Region(region) => {
                        for place in region.outline.iter().flat_map(Step::places) {
                            let dot = Area::new(place.x, place.y, 0.0, 0.0);
                            assert!(page.contains(&dot, 0.0), "{name}: {place:?}");
                        }
                    }
                    Item::Path(path) => {
                        for point in &path.points {
                            let dot = Area::new(point.x, point.y, 0.0, 0.0);
                            assert!(page.contains(&dot, 0.0), "{name}: {point:?}");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn no_text_covers_other_text() {
    for (name, pages) in all_pages() {
        for (number, frame) in pages.frames.iter().enumerate() {
            let runs = texts(frame);
            for one in 0..runs.len() {
                for other in 0..one {
                    let common = runs[one].area.common(&runs[other].area);
                    // A hundredth of a square point: coordinates are rounded to that when written.
                    assert!(
                        common < 0.01,
                        "{name}, page {}: `{}` {:?} covers `{}` {:?}",
                        number + 1,
                        runs[one].text,
                        runs[one].area,
                        runs[other].text,
                        runs[other].area
                    );
                }
            }
        }
    }
}

/// All text of some pages, without blanks.
fn printed_on(pages: &Pages) -> String {
    let runs = pages.frames.iter().flat_map(Frame::texts);
    squeezed(runs.map(|run| run.text.clone()))
}

/// All letters of the pages in order, blanks dropped: a broken word reads whole again
/// when nothing stands between its parts.
fn squeezed(runs: impl Iterator<Item = String>) -> String {
    runs.flat_map(|text| {
        text.chars()
            .filter(|c| !c.is_whitespace())
            .collect::<Vec<_>>()
    })
    .collect()
}

#[test]
fn long_tags_and_names_are_printed_whole() {
    let dossier = made_up::dossier(LONG);
    let pages = pages(&dossier, &options(PaperSize::Letter)).unwrap();
    let printed = printed_on(&pages);
    for fixture in &dossier.fixtures {
        assert!(printed.contains(&fixture.tag), "{}", fixture.tag);
    }
    let name = squeezed(std::iter::once(dossier.header.job.clone()));
    assert!(printed.contains(&name));
    let item = squeezed(std::iter::once(dossier.bill.lines[0].description.clone()));
    assert!(printed.contains(&item));
}

#[test]
fn every_page_says_which_job_it_belongs_to_and_where_it_stands() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let pages = pages(&dossier, &options(PaperSize::A4)).unwrap();
    let count = pages.frames.len();
    for (number, frame) in pages.frames.iter().enumerate() {
        let has = |wanted: &str| frame.texts().any(|run| run.text.contains(wanted));
        assert!(has(&format!("Page {} of {count}", number + 1)));
        assert!(has("Garden at the old mill"));
        assert!(has("3f0c9a51d2b47e86"));
        assert!(has("2026-11-25"));
    }
}

#[test]
fn every_schedule_of_currents_or_voltages_states_a_conductor_temperature() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let pages = pages(&dossier, &options(PaperSize::Letter)).unwrap();
    for title in [
        "Transformers",
        "Circuit schedule",
        "Fixture schedule",
        "Cut list",
        "Trench schedule",
        "Joints and hubs",
    ] {
        let mark = pages
            .bookmarks
            .iter()
            .find(|mark| mark.title == title)
            .unwrap();
        let frame = &pages.frames[mark.page];
        assert!(
            frame.texts().any(|run| run.text.contains("°C")),
            "{title} on page {}",
            mark.page + 1
        );
    }
}

#[test]
fn characters_beyond_the_font_are_replaced_and_the_page_says_so() {
    let mut dossier = made_up::dossier(Recipe::GARDEN);
    dossier.fixtures[0].tag = "灯 José e\u{301} Łódź".to_owned();
    let pages = pages(&dossier, &options(PaperSize::Letter)).unwrap();
    let frame = pages
        .frames
        .iter()
        .find(|frame| {
            frame
                .texts()
                .any(|run| run.text.contains("\u{fffd} José é Łódź"))
        })
        .expect("the tag is printed with a substitute for the sign that the font lacks");
    let note = "a character that the font of this report lacks";
    assert!(frame.texts().any(|run| run.text.contains(note)));
    assert!(!pages.frames[0].texts().any(|run| run.text.contains(note)));
}

#[test]
fn table_headings_stand_again_on_each_page() {
    let dossier = made_up::dossier(crate::PARK);
    let pages = pages(&dossier, &options(PaperSize::A4)).unwrap();
    let continued: Vec<&Frame> = pages
        .frames
        .iter()
        .filter(|frame| {
            frame
                .texts()
                .any(|run| run.text == "Fixture schedule, continued")
        })
        .collect();
    assert!(continued.len() > 5);
    for frame in continued {
        assert!(frame.texts().any(|run| run.text == "Window V"));
    }
}

#[test]
fn sums_shown_are_sums_of_lines_shown() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let pages = pages(&dossier, &options(PaperSize::Letter)).unwrap();
    let printed: Vec<String> = pages
        .frames
        .iter()
        .flat_map(Frame::texts)
        .map(|run| run.text.clone())
        .collect();
    // 18 fixtures at 78.00; the total of the bill to the cent.
    assert!(printed.iter().any(|text| text == "1,404.00"));
    let total = dossier.bill.total.cents().decimal();
    let cost = dossier.bill.cost + dossier.bill.overhead + dossier.bill.markup;
    assert_eq!(cost, dossier.bill.price);
    assert!(
        printed
            .iter()
            .any(|text| text.replace(',', "") == format!("${total}")),
        "{total}"
    );
}

#[test]
fn a_dossier_whose_drawing_points_nowhere_is_refused() {
    let mut dossier = made_up::dossier(Recipe::GARDEN);
    dossier.drawing.fixtures[2].circuit = 99;
    let refusal = pages(&dossier, &options(PaperSize::Letter)).unwrap_err();
    assert_eq!(
        refusal.to_string(),
        "R004: the drawing refers to circuit 99, but there are only 3"
    );
}
