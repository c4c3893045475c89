//! The guide, run: every table is put where the guide puts it, every command is run in
//! order, and what it prints must be what stands on the page. The example of the README too.
//!
//! With `DUSKWRIGHT_REWRITE_PAGE` set the pages are rewritten instead.

use crate::desk::Desk;
use std::fmt::Write as _;
use std::fs;

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/guide.md");

const README: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../README.md");

/// Words of a command line; a stretch in double quotes is one word.
fn words(line: &str) -> Vec<String> {
    let parts = line.split('"').enumerate();
    parts
        .flat_map(|(at, part)| {
            if at % 2 == 1 {
                vec![part.to_owned()]
            } else {
                part.split_whitespace().map(str::to_owned).collect()
            }
        })
        .collect()
}

/// What a command of the guide prints: results, or where it refuses, the refusal.
fn printed(desk: &Desk, command: &str) -> String {
    if let Some(file) = command.strip_prefix("cat ") {
        return desk.text(file);
    }
    let words = words(command);
    assert_eq!(words[0], "duskwright", "{command}");
    let rest: Vec<&str> = words[1..].iter().map(String::as_str).collect();
    let said = desk.run(&rest);
    if said.out.is_empty() {
        said.err
    } else {
        said.out
    }
}

#[test]
fn every_command_of_the_guide_prints_what_the_page_says() {
    let page = fs::read_to_string(PAGE).expect("the guide is part of the project");
    let desk = Desk::with_courtyard();
    let mut rewritten = String::new();
    let mut rest = page.as_str();
    let mut run = 0;
    while let Some((before, after)) = rest.split_once("\n```") {
        let (language, after) = after.split_once('\n').expect("a fence ends its line");
        let (body, after) = after.split_once("```").expect("a fence is closed");
        write!(rewritten, "{before}\n```{language}\n").expect("writing to a string");
        match language {
            "csv" => {
                let named = before.rfind("In `").max(before.rfind("in `"));
                let named = named.expect("a file is named") + 4;
                let name = before[named..].split('`').next().expect("a name");
                fs::write(desk.path(name), body).expect("written");
                rewritten.push_str(body);
            }
            "console" => {
                let command = body.lines().next().and_then(|line| line.strip_prefix("$ "));
                let command = command.expect("a command comes first");
                run += 1;
                writeln!(rewritten, "$ {command}").expect("writing to a string");
                for line in printed(&desk, command).lines() {
                    rewritten.push_str(line.trim_end());
                    rewritten.push('\n');
                }
            }
            other => panic!("the guide has a block of {other}"),
        }
        rewritten.push_str("```");
        rest = after;
    }
    rewritten.push_str(rest);
    assert!(run >= 8, "only {run} commands");
    hold(PAGE, &page, &rewritten);
}

/// Holds a page to what it should say, or writes that.
fn hold(path: &str, page: &str, rewritten: &str) {
    if std::env::var_os("DUSKWRIGHT_REWRITE_PAGE").is_some() {
        fs::write(path, rewritten).expect("the page can be written");
    } else {
        assert!(page == rewritten, "{path} should say:\n{rewritten}");
    }
}

#[test]
fn the_example_of_the_readme_is_what_its_command_prints() {
    let page = fs::read_to_string(README).expect("the README is part of the project");
    let desk = Desk::with_courtyard();
    for folder in ["courtyard", "catalogue-metric"] {
        desk.copy_folder(folder, &format!("samples/{folder}"));
    }
    let (before, after) = (page.split_once("```text\n$ ")).expect("an example");
    let (command, after) = after.split_once('\n').expect("a command ends its line");
    let (_, after) = after.split_once("```").expect("a fence is closed");
    let mut rewritten = format!("{before}```text\n$ {command}\n");
    for line in printed(&desk, command).lines() {
        rewritten.push_str(line.trim_end());
        rewritten.push('\n');
    }
    rewritten.push_str("```");
    rewritten.push_str(after);
    hold(README, &page, &rewritten);
}
