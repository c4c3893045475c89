//! What the papers warn of.

use super::*;

fn about(dossier: &Dossier, code: &str) -> Vec<String> {
    let found = dossier.cautions.iter().find(|caution| caution.code == code);
    found
        .map(|caution| caution.about.clone())
        .unwrap_or_default()
}

#[test]
fn cautions_follow_from_the_figures() {
    let dossier = dossier();
    let general = dossier
        .cautions
        .iter()
        .filter(|caution| caution.about.is_empty());
    assert_eq!(general.count(), 7);
    assert_eq!(about(&dossier, "bored"), ["drive"]);
    assert_eq!(about(&dossier, "existing_load"), ["OLD"]);
    assert_eq!(about(&dossier, "assumed_power_factor"), ["path"]);
    assert_eq!(about(&dossier, "no_tap_above"), ["C1"]);
    assert!(about(&dossier, "near_water").is_empty());
    assert!(about(&dossier, "close_to_limit").is_empty());
    assert!(about(&dossier, "high_tap").is_empty());
    let far: Vec<String> = dossier
        .circuits
        .iter()
        .filter(|row| row.may_not_trip)
        .map(|row| row.label.clone())
        .collect();
    assert_eq!(about(&dossier, "far_short"), far);
}

#[test]
fn names_of_water_and_a_small_ampacity_are_called_out() {
    let mut job = specimen::job();
    job.nodes[2].tag = "Pond edge".to_owned();
    let amps = dossier().circuits[0].amps;
    job.cables[0].ampacity = amps * 1.05;
    let dossier = dossier_of(&job, &specimen::plan());
    assert_eq!(about(&dossier, "near_water"), ["Pond edge"]);
    assert_eq!(about(&dossier, "close_to_limit"), ["C1"]);
}

#[test]
fn distances_to_water_and_crossed_utilities_are_called_out() {
    let mut job = specimen::job();
    job.rules.water_distance = Metres::new(3.0);
    let dry = dossier_of(&job, &specimen::plan());
    assert!(about(&dry, "water_distance").is_empty());
    assert!(about(&dry, "crosses_utility").is_empty());
    for node in &mut job.nodes {
        node.water = Some(Metres::new(3.0));
    }
    let at_the_distance = dossier_of(&job, &specimen::plan());
    assert!(about(&at_the_distance, "water_distance").is_empty());
    let fixture = job.fixtures[0].clone();
    let site = job.sites[0].clone();
    for node in [fixture.node, site.node] {
        job.nodes[node.index()].water = Some(Metres::new(2.99));
    }
    for segment in &mut job.segments {
        segment.utility = Some("gas line".to_owned());
    }
    let dossier = dossier_of(&job, &specimen::plan());
    let near = job.fixtures.iter();
    let mut expected: Vec<String> = near
        .filter(|other| [fixture.node, site.node].contains(&other.node))
        .map(|other| other.tag.clone())
        .collect();
    expected.push(site.tag);
    assert_eq!(about(&dossier, "water_distance"), expected);
    assert_eq!(about(&dossier, "crosses_utility"), ["gas line"]);
}

#[test]
fn a_tap_above_15_volts_that_the_job_allows_is_called_out() {
    let mut job = specimen::job();
    job.rules.highest_tap = Volts::new(16.0);
    job.transformers[0].secondaries[0].taps[0].volts = Volts::new(15.5);
    for model in &mut job.models {
        let window = crate::job::Window::new(Volts::new(9.0), Volts::new(17.0));
        model.window = window.expect("lawful");
    }
    assert_eq!(
        about(&dossier_of(&job, &specimen::plan()), "high_tap"),
        ["C1", "C2"]
    );
}
