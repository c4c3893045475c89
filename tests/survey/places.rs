//! Where a message about settings and units points.

use crate::texts::{BASE, Given, survey};

/// Every fault: code, place and what was given.
fn told(plan: &str, settings: Option<&str>, drawn: bool) -> Vec<String> {
    let given = Given {
        plan: plan.as_bytes(),
        settings,
        overrides: None,
        drawn,
    };
    let faults = survey(given).expect_err("a mistake").0;
    faults
        .iter()
        .map(|fault| {
            let given = fault.given.as_deref().unwrap_or("-");
            format!("{} {} | {given}", fault.code.as_str(), fault.place)
        })
        .collect()
}

/// A plan of a fixture and a site, with further members.
fn geojson(members: &str) -> String {
    format!(
        "{{\"type\": \"FeatureCollection\",{members} \"features\": [{}]}}",
        BASE.join(",\n")
    )
}

/// The text form of a drawing with this header and one point.
fn dxf(header: &str) -> String {
    let text = format!(
        "0 SECTION|2 HEADER|{header}0 ENDSEC|0 SECTION|2 ENTITIES|0 POINT|8 LIGHTS|10 1|20 2|0 ENDSEC|0 EOF|"
    );
    text.replace([' ', '|'], "\n")
}

#[test]
fn a_setting_is_pointed_at_by_line_and_character() {
    let plan = geojson("");
    let said = |settings: &str| told(&plan, Some(settings), false);
    assert_eq!(
        said("# north lawn\nunits   = \"yards\"\nground = \"lawn\"\nlawn = \"ground\"\n"),
        [
            "G105 survey.toml:2:11   units | yards",
            "G103 survey.toml:4:1   lawn | ground"
        ]
    );
    assert_eq!(
        said("ground = \"lawn\"\nbore = 3\n[hand_dig]\nat = \"night\"\n"),
        [
            "G103 survey.toml:2:1   bore | 3",
            "G103 survey.toml:3:2   hand_dig | [hand_dig]"
        ]
    );
    // The parser's own words.
    assert_eq!(
        said("units = \"m\"\nground = lawn\n"),
        ["G103 survey.toml:2:10 | -"]
    );
    // Characters are counted, not bytes.
    assert_eq!(
        said("layers = [{name = \"Ä\", is = [\"bed\"]}, 7]\n"),
        [
            "G103 survey.toml:1:29   layers[1].is | [\"bed\"]",
            "G103 survey.toml:1:39   layers[2] | 7"
        ]
    );
    assert_eq!(
        said(
            "[[blocks]]\nname = \"A\"\nis = \"site\"\n\n[[blocks]]\nis = 99999999999999999999\n\n[[blocks]]\nis = \"site\"\n"
        ),
        [
            "G103 survey.toml:6:6   blocks[2].is | 99999999999999999999",
            "G103 survey.toml:8:1   blocks[3] | [[blocks]]"
        ]
    );
}

#[test]
fn a_setting_in_the_plan_is_pointed_at_by_its_member() {
    let plan = geojson("\n\"survey\": {\"units\": \"yd\", \"lawn\": 3},");
    assert_eq!(
        told(&plan, None, false),
        [
            "G103 plan.geojson   survey.lawn | 3",
            "G105 plan.geojson   survey.units | yd"
        ]
    );
}

#[test]
fn coordinates_like_degrees_are_laid_to_where_the_unit_is_declared() {
    let features: Vec<String> = BASE
        .iter()
        .map(|feature| feature.replace("[10, 0]", "[0.0001, 0]"))
        .chain([BASE[0]
            .replace("F1", "F2")
            .replace("[10, 0]", "[0, 0.0001]")])
        .collect();
    let plan = |members: &str| {
        format!(
            "{{\"type\": \"FeatureCollection\",{members} \"features\": [{}]}}",
            features.join(",")
        )
    };
    let place = |said: Vec<String>| said[0].split(" | ").next().expect("a place").to_owned();
    assert_eq!(
        place(told(
            &plan(""),
            Some("ground = \"lawn\"\nunits = \"ft\"\n"),
            false
        )),
        "G105 survey.toml:2:9   units"
    );
    assert_eq!(
        place(told(&plan("\"survey\": {\"units\": \"m\"},"), None, false)),
        "G105 plan.geojson   survey.units"
    );
}

#[test]
fn units_of_a_drawing_are_pointed_at_by_the_line_of_their_number() {
    let layers = "ground = \"lawn\"\n[[layers]]\nname = \"LIGHTS\"\nis = \"fixture\"\n";
    let said = |header: &str, settings: &str| told(&dxf(header), Some(settings), true);
    assert_eq!(
        said("9 $INSUNITS|70 4|", layers),
        ["G105 plan.dxf:8   $INSUNITS | $INSUNITS 4"]
    );
    assert_eq!(
        said("9 $INSUNITS|70 0|", layers),
        ["G105 plan.dxf:8   $INSUNITS | $INSUNITS 0"]
    );
    assert_eq!(
        said("", layers),
        ["G105 plan.dxf   $INSUNITS | no $INSUNITS"]
    );
    let metres = format!("units = \"m\"\n{layers}");
    assert_eq!(
        said("9 $ACADVER|1 AC1015|9 $INSUNITS|70 2|", &metres),
        ["G105 plan.dxf:12   $INSUNITS | $INSUNITS 2"]
    );
    // Settings without layers are at fault themselves; without settings it is the drawing.
    let drawing = dxf("9 $INSUNITS|70 6|");
    assert_eq!(
        told(&drawing, Some("ground = \"lawn\"\n"), true),
        ["G103 survey.toml | -"]
    );
    assert_eq!(told(&drawing, None, true), ["G103 plan.dxf | -"]);
}
