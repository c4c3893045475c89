//! The bid, the crew packet and the buy list: each says what its reader needs, adds
//! up, and says nothing that is not for them.

use crate::made_up::{self, Recipe};
use crate::{PARK, options, presentation};
use duskwright_report::{
    Alternative, Colour, Item, Logo, Pages, Paper, PaperOptions, PaperSize, Presentation, Step,
    drawings, paper_pages, write_paper,
};
use duskwright_solver::schedule::Dossier;
use duskwright_solver::units::Money;
use rust_decimal::Decimal;
use std::io::Write as _;
use std::process::Command;

fn laid(paper: Paper, dossier: &Dossier) -> Pages {
    paper_pages(paper, dossier, &options(PaperSize::Letter), &presentation()).unwrap()
}

/// Every text of the pages, joined by blanks: a broken line reads on.
fn words(pages: &Pages) -> String {
    let runs = pages.frames.iter().flat_map(|frame| frame.texts());
    let texts: Vec<&str> = runs.map(|run| run.text.as_str()).collect();
    texts.join(" ").replace('\u{a0}', " ")
}

fn shown(amount: Money) -> String {
    let plain = amount.cents().to_string();
    let (whole, cents) = plain.split_once('.').unwrap();
    let mut grouped = String::new();
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{grouped}.{cents}")
}

#[test]
fn a_bid_shows_the_price_by_section_and_no_cost_behind_it() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let bid = words(&laid(Paper::Bid, &dossier));
    for amount in [dossier.bill.price, dossier.bill.total] {
        assert!(bid.contains(&shown(amount)), "{}", shown(amount));
    }
    for share in &dossier.offer.sections {
        assert!(bid.contains(&shown(share.price)));
    }
    for wanted in [
        "Evening Garden Lighting José & Łukasz",
        "7 Orchard Lane",
        "Scope",
        "Valid for 30 days",
        "Acceptance",
        "What the price pays for",
    ] {
        assert!(bid.contains(wanted), "{wanted}");
    }
    for noise in ["Overhead", "Markup", "Low case", " V ", "C1", "lower bound"] {
        assert!(!bid.contains(noise), "{noise}");
    }
    for hidden in [
        dossier.bill.overhead,
        dossier.bill.markup,
        dossier.bill.cost,
    ] {
        assert!(!bid.contains(&shown(hidden)), "{}", shown(hidden));
    }
}

#[test]
fn a_bid_speaks_of_options_only_when_there_are_some() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    assert!(!words(&laid(Paper::Bid, &dossier)).contains("Options"));
    let presentation = Presentation {
        alternatives: vec![Alternative {
            name: "Hubs only".to_owned(),
            difference: "Each light from a hub.".to_owned(),
            transformers: 3,
            ground: Decimal::new(4_321, 1),
            price: Money::new(Decimal::new(987_650, 2)),
        }],
        ..presentation()
    };
    let options = options(PaperSize::Letter);
    let pages = paper_pages(Paper::Bid, &dossier, &options, &presentation).unwrap();
    let bid = words(&pages);
    for wanted in ["Hubs only", "Each light from a hub.", "432.1", "9,876.50"] {
        assert!(bid.contains(wanted), "{wanted}");
    }
}

#[test]
fn without_a_firm_the_bid_leaves_room_for_its_terms() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let options = options(PaperSize::A4);
    let pages = paper_pages(Paper::Bid, &dossier, &options, &Presentation::default()).unwrap();
    assert!(words(&pages).contains("to be stated by the contractor"));
}

/// The mark of the sample firm.
const MARK: &[u8] = include_bytes!("../../samples/logo.svg");

#[test]
fn a_logo_in_lines_stands_on_the_letterhead_as_lines() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let mut presentation = presentation();
    presentation.firm.logo = Some(Logo::read(MARK).unwrap());
    let options = options(PaperSize::Letter);
    let pages = paper_pages(Paper::Bid, &dossier, &options, &presentation).unwrap();
    let first = &pages.frames[0];
    let regions = first.items.iter().filter_map(|item| match item {
        Item::Region(region) => Some(region),
        _ => None,
    });
    let fills: Vec<Colour> = regions.map(|region| region.fill).collect();
    assert_eq!(fills.len(), 6);
    assert_eq!(fills[0], Colour(0x26, 0x3e, 0x62));
    let name = first.texts().next().unwrap();
    assert!(name.text.starts_with("Evening Garden"));
    let places = first.items.iter().filter_map(|item| match item {
        Item::Region(region) => Some(region.outline.iter().flat_map(Step::places)),
        _ => None,
    });
    let right = places.flatten().map(|at| at.x).fold(0.0, f64::max);
    assert!(
        right < name.at.x,
        "the name stands at the right of the logo"
    );
    let bytes = write_paper(Paper::Bid, &dossier, &options, &presentation).unwrap();
    let again = write_paper(Paper::Bid, &dossier, &options, &presentation).unwrap();
    assert!(bytes == again);
    // No picture in the file: what is drawn in lines stays so.
    let image = b"/Subtype/Image";
    assert!(!bytes.windows(image.len()).any(|part| part == image));
}

#[test]
fn a_crew_packet_has_a_part_for_each_transformer_and_room_for_every_reading() {
    let dossier = made_up::dossier(PARK);
    let pages = laid(Paper::Crew, &dossier);
    for row in &dossier.transformers {
        let title = format!("Transformer {}", row.label);
        assert!(
            pages.bookmarks.iter().any(|mark| mark.title == title),
            "{title}"
        );
    }
    let crew = words(&pages);
    for joint in &dossier.joints {
        assert!(crew.contains(&joint.id), "{}", joint.id);
        assert!(crew.contains(&joint.piece), "{}", joint.piece);
    }
    let readings = pages
        .bookmarks
        .iter()
        .find(|mark| mark.title == "Readings")
        .unwrap();
    let after: Vec<&str> = pages.frames[readings.page..]
        .iter()
        .flat_map(|frame| frame.texts())
        .map(|run| run.text.as_str())
        .collect();
    for fixture in &dossier.fixtures {
        assert!(after.contains(&fixture.tag.as_str()), "{}", fixture.tag);
    }
    assert!(!crew.contains("Markup"));
}

#[test]
fn every_fixture_tag_is_on_some_sheet_of_the_drawing() {
    let dossier = made_up::dossier(PARK);
    let pages = laid(Paper::Report, &dossier);
    let first = pages
        .bookmarks
        .iter()
        .find(|mark| mark.title == "Site drawing")
        .unwrap();
    let next = pages
        .bookmarks
        .iter()
        .find(|mark| mark.title == "Transformers")
        .unwrap();
    let drawn: Vec<&str> = pages.frames[first.page..next.page]
        .iter()
        .flat_map(|frame| frame.texts())
        .map(|run| run.text.as_str())
        .collect();
    assert!(next.page - first.page > 1, "400 tags need several sheets");
    for fixture in &dossier.fixtures {
        assert!(drawn.contains(&fixture.tag.as_str()), "{}", fixture.tag);
    }
    assert!(drawn.iter().any(|text| text.starts_with("Key plan")));
}

#[test]
fn a_buy_list_adds_up_to_its_articles() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let buy = words(&laid(Paper::Buy, &dossier));
    let sum: Money = dossier.buying.rows.iter().map(|row| row.cost).sum();
    assert_eq!(sum, dossier.buying.cost);
    assert!(buy.contains(&shown(sum)));
    for row in &dossier.buying.rows {
        assert!(buy.contains(&row.article), "{}", row.article);
        assert!(buy.contains(&shown(row.cost)), "{}", shown(row.cost));
    }
    assert!(!buy.contains("Set and aim"));
}

/// Text of a written paper as an outside reader extracts it; `None` when there is none.
fn extracted(paper: Paper, dossier: &Dossier) -> Option<String> {
    let bytes = write_paper(paper, dossier, &options(PaperSize::Letter), &presentation()).unwrap();
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(&bytes).unwrap();
    let read = Command::new("pdftotext")
        .args(["-layout", file.path().to_str().unwrap(), "-"])
        .output();
    match read {
        Ok(output) => Some(String::from_utf8_lossy(&output.stdout).replace('\u{a0}', " ")),
        Err(_) => {
            eprintln!("skipped: pdftotext is not installed");
            None
        }
    }
}

#[test]
fn an_outside_reader_finds_every_line_of_the_bill_with_its_amount() {
    let dossier = made_up::dossier(PARK);
    let Some(text) = extracted(Paper::Report, &dossier) else {
        return;
    };
    for line in &dossier.bill.lines {
        let amount = shown(line.extension);
        assert!(
            text.lines()
                .any(|row| row.contains(&line.description) && row.contains(&amount)),
            "{} {amount}",
            line.description
        );
    }
    let total = shown(dossier.bill.total);
    assert!(
        text.lines()
            .any(|row| row.contains("Total") && row.contains(&total))
    );
}

#[test]
fn outside_checkers_find_no_fault_in_any_paper() {
    let dossier = made_up::dossier(PARK);
    for paper in [Paper::Bid, Paper::Crew, Paper::Buy] {
        let options = options(PaperSize::A4);
        let bytes = write_paper(paper, &dossier, &options, &presentation()).unwrap();
        let again = write_paper(paper, &dossier, &options, &presentation()).unwrap();
        assert!(bytes == again, "{paper:?} is not the same twice");
        assert!(bytes.len() < 2_000_000, "{paper:?}: {} bytes", bytes.len());
        let mut file = tempfile::NamedTempFile::new().unwrap();
        file.write_all(&bytes).unwrap();
        match Command::new("qpdf")
            .arg("--check")
            .arg(file.path())
            .output()
        {
            Ok(output) => {
                let said = String::from_utf8_lossy(&output.stdout);
                assert!(output.status.success(), "{paper:?}: {said}");
            }
            Err(_) => eprintln!("skipped: qpdf is not installed"),
        }
    }
}

#[test]
fn the_number_of_pages_stays() {
    let counts: Vec<(&str, [usize; 4])> = [("garden", Recipe::GARDEN), ("park", PARK)]
        .into_iter()
        .map(|(name, recipe)| {
            let dossier = made_up::dossier(recipe);
            let papers = [Paper::Report, Paper::Bid, Paper::Crew, Paper::Buy];
            (name, papers.map(|paper| laid(paper, &dossier).frames.len()))
        })
        .collect();
    insta::assert_debug_snapshot!("page_counts", counts);
}

/// Tags in pairs, texts escaped: what a plain XML reader asks for.
fn assert_well_formed(name: &str, svg: &str) {
    assert!(
        svg.starts_with("<svg ") && svg.trim_end().ends_with("</svg>"),
        "{name}"
    );
    for line in svg.lines() {
        let opened = line.matches('<').count();
        assert_eq!(opened, line.matches('>').count(), "{name}: {line}");
    }
    assert_eq!(
        svg.matches("<text ").count(),
        svg.matches("</text>").count(),
        "{name}"
    );
}

#[test]
fn drawings_are_svg_files_of_the_same_names_every_time() {
    let mut dossier = made_up::dossier(Recipe::GARDEN);
    dossier.fixtures[0].tag = "A<B & C".to_owned();
    dossier.drawing.fixtures[0].tag = "A<B & C".to_owned();
    let options = PaperOptions {
        search: "effort <quick> & seed 1".to_owned(),
        ..options(PaperSize::Letter)
    };
    let files = drawings(&dossier, &options, &presentation()).unwrap();
    let again = drawings(&dossier, &options, &presentation()).unwrap();
    assert_eq!(files, again);
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    for wanted in ["site-1.svg", "one-line-T1-1.svg", "voltage-T1-1.svg"] {
        assert!(names.contains(&wanted), "{names:?}");
    }
    for (name, svg) in &files {
        assert_well_formed(name, svg);
        let made = format!(
            "<metadata>Duskwright {}, input {}, effort &lt;quick&gt; &amp; seed 1</metadata>",
            options.version, options.input_hash
        );
        assert_eq!(svg.matches(&made).count(), 1, "{name}");
    }
    assert!(files[0].1.contains("A&lt;B &amp; C"));
}
