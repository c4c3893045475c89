//! The codes of a site plan against their page: every code is there, in order, and every
//! example is run, its whole message compared.
//!
//! With `DUSKWRIGHT_REWRITE_PAGE` set, the messages on the page are rewritten instead.

use crate::texts::{self, BASE, Given, SETTINGS};
use duskwright_survey::Code;

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../cli/docs/errors.md");
const PART: &str = "\n# Codes of a site plan";

/// Codes whose example cannot be shown as text of a few lines.
const TOLD: [&str; 2] = ["G101", "G104"];

/// Fenced blocks of a section: language and text.
fn blocks(section: &str) -> Vec<(&str, &str)> {
    let mut found = Vec::new();
    let mut rest = section;
    while let Some((_, after)) = rest.split_once("\n```") {
        let (language, after) = after.split_once('\n').expect("a fence ends its line");
        let (body, after) = after.split_once("```").expect("a fence is closed");
        found.push((language, body));
        rest = after;
    }
    found
}

/// What is said of an example: mistakes, or notes.
fn said(language: &str, body: &str) -> Vec<(Code, String)> {
    let features = BASE.join(",\n");
    let with = |more: &str| {
        format!("{{\"type\": \"FeatureCollection\", \"features\": [{features}{more}]}}")
    };
    let (plan, settings, overrides) = match language {
        "geojson" => (body.to_owned(), None, None),
        "json" => (with(&format!(",\n{body}")), Some(SETTINGS), None),
        "toml" => (with(""), Some(body), None),
        "csv" => (with(""), Some(SETTINGS), Some(body)),
        other => panic!("{other} is no language of the page"),
    };
    let given = Given {
        plan: plan.as_bytes(),
        settings,
        overrides,
        drawn: false,
    };
    let faults = match texts::survey(given) {
        Ok((_, notes)) => notes,
        Err(faults) => faults.0,
    };
    let told = faults.iter();
    told.map(|fault| (fault.code, fault.to_string())).collect()
}

#[test]
fn every_code_of_a_site_plan_stands_on_the_page_with_its_message() {
    let page = std::fs::read_to_string(PAGE).expect("the page is part of the project");
    let (before, part) = page.split_once(PART).expect("its part");
    let mut sections: Vec<String> = part.split("\n### ").map(str::to_owned).collect();
    let headings: Vec<&str> = sections[1..]
        .iter()
        .map(|section| section.lines().next().expect("a heading"))
        .collect();
    let codes: Vec<String> = Code::ALL
        .iter()
        .map(|code| format!("{}: {}", code.as_str(), code.title()))
        .collect();
    assert_eq!(headings, codes);
    let rewrite = std::env::var_os("DUSKWRIGHT_REWRITE_PAGE").is_some();
    for section in &mut sections[1..] {
        let code = section[..4].to_owned();
        let own = section.clone();
        let blocks = blocks(&own);
        if TOLD.contains(&code.as_str()) {
            assert!(blocks.is_empty(), "{code}");
            continue;
        }
        let [(language, wrong), (_, right), ("text", message)] = blocks[..] else {
            panic!("{code} needs a wrong example, a right one and a message");
        };
        let earned = said(language, wrong);
        assert!(
            !earned.is_empty() && earned.iter().all(|(own, _)| own.as_str() == code),
            "the example of {code} earns {earned:?}"
        );
        let messages: Vec<&str> = earned.iter().map(|(_, text)| text.as_str()).collect();
        let messages = messages.join("\n\n");
        if rewrite {
            let start = section.find("```text").expect("a message block");
            section.replace_range(start.., &format!("```text\n{messages}\n```\n"));
        } else {
            assert_eq!(message.trim_end(), messages, "{code}");
        }
        let right = said(language, right);
        assert!(
            right
                .iter()
                .all(|(own, _)| own.as_str() > "G9" && own.as_str() != code),
            "the right example of {code} earns {right:?}"
        );
    }
    if rewrite {
        let whole = format!("{before}{PART}{}", sections.join("\n### "));
        std::fs::write(PAGE, whole).expect("the page can be written");
    }
}
