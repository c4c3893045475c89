//! The page of codes against the program: every code is there, in order, and
//! every example of the page is run, its whole message compared.
//!
//! With `DUSKWRIGHT_REWRITE_PAGE` set, the messages on the page are rewritten instead.

use duskwright_solver::job::{self, Code, JobText};
use duskwright_tests::{altered, full_job};
use std::fmt::Write as _;

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../cli/docs/errors.md");

/// Begins what the page says of tables of readings, which are not this test's.
const READINGS: &str = "\n# Codes of a table of readings";

/// One section of the page.
struct Section<'a> {
    code: &'a str,
    title: &'a str,
    /// File, wrong lines, right lines.
    edits: Vec<(&'a str, String, String)>,
    message: String,
}

/// Splits off the next fenced block: its language, its text, what follows.
fn block(text: &str) -> Option<(&str, &str, &str)> {
    let (_, rest) = text.split_once("\n```")?;
    let (language, rest) = rest.split_once('\n')?;
    let (body, rest) = if rest.starts_with("```") {
        ("", rest)
    } else {
        let end = rest.find("\n```")? + 1;
        rest.split_at(end)
    };
    Some((language, body, &rest[3..]))
}

fn section(text: &str) -> Section<'_> {
    let (heading, mut rest) = text.split_once('\n').expect("a heading line");
    let (code, title) = heading.split_once(": ").expect("code and title");
    let mut edits = Vec::new();
    let mut message = String::new();
    let mut wrong: Option<(&str, String)> = None;
    while let Some((language, body, after)) = block(rest) {
        match (language, wrong.take()) {
            ("text", _) => message = body.trim_end().to_owned(),
            (_, Some((file, bad))) => edits.push((file, bad, body.to_owned())),
            (_, None) => {
                let before = &rest[..rest.len() - after.len() - body.len()];
                let place = before.rfind("In `").expect("the file is named") + 4;
                let file = before[place..].split('`').next().expect("a name");
                wrong = Some((file, body.to_owned()));
            }
        }
        rest = after;
    }
    Section {
        code,
        title,
        edits,
        message,
    }
}

/// Codes whose example cannot be shown as text.
fn built(code: &str) -> Option<JobText> {
    let job = full_job();
    Some(match code {
        "J001" => job.without("paths.csv"),
        "J002" => job.with("fixtures.csv", vec![b' '; 20_000_001]),
        "J003" => job.with("zones.csv", b"tag,switched\nCaf\xe9,transformer\n".to_vec()),
        "J004" => job.with("zones.csv", "\n\n"),
        "J006" => {
            let rows = "12-2,60,2\n".repeat(20_001);
            job.with(
                "../catalogue/stock.csv",
                format!("cable,length_ft,count\n{rows}"),
            )
        }
        "J084" => job
            .without("../catalogue/joints.csv")
            .without("../catalogue/hubs.csv"),
        _ => return None,
    })
}

/// What the program says about the example of a section.
fn said(section: &Section<'_>) -> Result<String, String> {
    let job = built(section.code).unwrap_or_else(|| {
        assert!(!section.edits.is_empty(), "{} has no example", section.code);
        section
            .edits
            .iter()
            .fold(full_job(), |job, (file, wrong, right)| {
                altered(job, file, right.trim_end(), wrong.trim_end())
            })
    });
    let (faults, notices) = match job::read(&job) {
        Ok((_, notices)) => (Vec::new(), notices),
        Err(faults) => (faults.faults, faults.notices),
    };
    let mut said = String::new();
    let mut codes = Vec::new();
    if section.code < "J9" {
        for fault in faults {
            codes.push(fault.code);
            write!(said, "{fault}\n\n").expect("writing to a string");
        }
    } else {
        codes.extend(faults.iter().map(|fault| fault.code));
        for notice in notices {
            codes.push(notice.code);
            write!(said, "{notice}\n\n").expect("writing to a string");
        }
    }
    let only = !codes.is_empty() && codes.iter().all(|code| code.as_str() == section.code);
    if only {
        Ok(said.trim_end().to_owned())
    } else {
        Err(format!(
            "the example of {} earns {codes:?}\n{said}",
            section.code
        ))
    }
}

/// What the page says of job folders, and the rest.
fn parts(page: &str) -> (&str, &str) {
    let end = page.find(READINGS).expect("readings have their part");
    page.split_at(end)
}

fn rewrite(page: &str, messages: &[String]) {
    let (folders, readings) = parts(page);
    let mut parts: Vec<String> = folders.split("\n## ").map(str::to_owned).collect();
    for (part, message) in parts.iter_mut().skip(1).zip(messages) {
        let start = part.find("```text").expect("a message block");
        part.replace_range(start.., &format!("```text\n{message}\n```\n"));
    }
    let folders = parts.join("\n## ");
    std::fs::write(PAGE, folders + readings).expect("the page can be written");
}

#[test]
fn the_page_lists_every_code_and_each_example_gets_its_message() {
    let page = std::fs::read_to_string(PAGE).expect("the page of codes is part of the project");
    let (folders, _) = parts(&page);
    let sections: Vec<Section<'_>> = folders.split("\n## ").skip(1).map(section).collect();
    let listed: Vec<(&str, &str)> = sections.iter().map(|s| (s.code, s.title)).collect();
    let known: Vec<(&str, &str)> = Code::ALL
        .iter()
        .map(|code| (code.as_str(), code.title()))
        .collect();
    assert_eq!(listed, known);
    let (messages, strays): (Vec<_>, Vec<_>) = sections.iter().map(said).partition(Result::is_ok);
    let strays: Vec<String> = strays.into_iter().filter_map(Result::err).collect();
    assert!(strays.is_empty(), "{}", strays.join("\n"));
    let messages: Vec<String> = messages.into_iter().filter_map(Result::ok).collect();
    if std::env::var_os("DUSKWRIGHT_REWRITE_PAGE").is_some() {
        rewrite(&page, &messages);
        return;
    }
    for (section, message) in sections.iter().zip(&messages) {
        assert_eq!(*message, section.message, "{}", section.code);
    }
}

#[test]
fn the_job_of_the_page_is_accepted_in_silence() {
    let (_, notices) = job::read(&full_job()).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(notices, []);
}
