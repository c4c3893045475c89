//! Texts broken at random: refused or surveyed, never a panic.

use crate::texts::{BASE, Given, SETTINGS, survey};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;

/// Texts tried of each kind.
const TRIES: u64 = 400;

/// A small plan with one of everything.
fn plan() -> String {
    let further = [
        r#"{"type": "Feature", "id": "house", "properties": {"is": "building"}, "geometry": {"type": "Polygon", "coordinates": [[[2, 1], [8, 1], [8, 6], [2, 6], [2, 1]]]}}"#,
        r#"{"type": "Feature", "id": "pool", "properties": {"is": "pool", "priority": 2}, "geometry": {"type": "Polygon", "coordinates": [[[11, 1], [15, 1], [15, 4], [11, 1]]]}}"#,
        r#"{"type": "Feature", "id": "drive", "properties": {"is": "drive"}, "geometry": {"type": "Polygon", "coordinates": [[[-5, 8], [25, 8], [25, 11], [-5, 11], [-5, 8]]]}}"#,
        r#"{"type": "Feature", "id": "gas", "properties": {"is": "utility"}, "geometry": {"type": "Polygon", "coordinates": [[[5, -9], [6, -9], [6, 1], [5, 1], [5, -9]]]}}"#,
        r#"{"type": "Feature", "id": "tube", "properties": {"is": "sleeve", "most_cables": 2}, "geometry": {"type": "LineString", "coordinates": [[3, 7], [3, 12]]}}"#,
        r#"{"type": "Feature", "id": "fence", "properties": {"is": "wall"}, "geometry": {"type": "LineString", "coordinates": [[0, 0], [9, 0], [9, 9]]}}"#,
        r#"{"type": "Feature", "id": "F2", "properties": {"is": "fixture", "model": "path-low", "zone": "front"}, "geometry": {"type": "Point", "coordinates": [4, 14.5]}}"#,
    ];
    let features = BASE.iter().chain(&further).copied().collect::<Vec<_>>();
    format!(
        "{{\"type\": \"FeatureCollection\", \"features\": [{}]}}",
        features.join(",\n")
    )
}

/// Numbers that are put in the place of others.
const NUMBERS: [&str; 9] = [
    "0", "-0.0", "1e9", "-1e-9", "9", "0.001", "1e308", "5", "8.0005",
];

/// The same text with a few bytes, numbers or stretches changed.
fn spoilt(text: &str, draw: &mut Pcg64Mcg, numbers_only: bool) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..draw.random_range(1..4) {
        let at = draw.random_range(0..bytes.len());
        match draw.random_range(0..4) {
            _ if numbers_only => number(&mut bytes, at, draw),
            0 => bytes[at] = draw.random_range(0..=255),
            1 => {
                let end = (at + draw.random_range(1..40)).min(bytes.len());
                bytes.drain(at..end);
            }
            2 => {
                let end = (at + draw.random_range(1..80)).min(bytes.len());
                let part = bytes[at..end].to_vec();
                bytes.splice(at..at, part);
            }
            _ => number(&mut bytes, at, draw),
        }
        if bytes.is_empty() {
            bytes.push(b' ');
        }
    }
    bytes
}

/// Replaces the first number behind a place.
fn number(bytes: &mut Vec<u8>, at: usize, draw: &mut Pcg64Mcg) {
    let digit = |byte: &u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'-');
    let Some(start) = bytes[at..].iter().position(digit).map(|far| at + far) else {
        return;
    };
    let end = bytes[start..].iter().position(|byte| !digit(byte));
    let end = end.map_or(bytes.len(), |far| start + far);
    let by = NUMBERS[draw.random_range(0..NUMBERS.len())];
    bytes.splice(start..end, by.bytes());
}

fn given<'a>(plan: &'a [u8], settings: &'a str, overrides: Option<&'a str>) -> Given<'a> {
    Given {
        plan,
        settings: Some(settings),
        overrides,
        drawn: false,
    }
}

#[test]
fn a_plan_broken_at_random_is_refused_or_surveyed() {
    let (text, mut draw) = (plan(), Pcg64Mcg::seed_from_u64(8));
    survey(given(text.as_bytes(), SETTINGS, None)).unwrap_or_else(|faults| panic!("{faults}"));
    let mut surveyed = 0;
    for number in 0..TRIES {
        let broken = spoilt(&text, &mut draw, number % 2 == 0);
        match survey(given(&broken, SETTINGS, None)) {
            Ok(_) => surveyed += 1,
            Err(faults) => assert!(!faults.0.is_empty()),
        }
    }
    // Numbers that moved a corner leave a plan, most other changes do not.
    assert!(
        (40..360).contains(&surveyed),
        "{surveyed} of {TRIES} surveyed"
    );
}

#[test]
fn settings_and_hand_edits_broken_at_random_are_refused_or_read() {
    let (text, mut draw) = (plan(), Pcg64Mcg::seed_from_u64(9));
    let edits =
        "what,from,to,length_m,surface,most_cables\nmeasured,F1,S1,11,,\nadded,F1,F2,,lawn,3\n";
    for _ in 0..TRIES / 4 {
        let broken = spoilt(edits, &mut draw, false);
        let broken = String::from_utf8_lossy(&broken);
        let _either = survey(given(text.as_bytes(), SETTINGS, Some(&broken)));
        let broken = spoilt(SETTINGS, &mut draw, false);
        let broken = String::from_utf8_lossy(&broken);
        let _either = survey(given(text.as_bytes(), &broken, None));
    }
}
