//! Where words go: results to standard output, talk to standard error.

use crate::desk::{Desk, planned};
use std::process::Stdio;

#[test]
fn a_reader_who_leaves_early_ends_the_printing_quietly() {
    let desk = Desk::with_courtyard();
    let mut child = desk
        .command(&["schema"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn no_progress_line_is_drawn_into_a_pipe() {
    let (_, said) = planned();
    said.ended_with(0);
    assert!(!said.err.contains('\u{1b}'), "{:?}", said.err);
    assert!(!said.err.contains('\r'), "{:?}", said.err);
}

#[test]
fn the_help_tells_the_exit_codes() {
    let desk = Desk::with_courtyard();
    let said = desk.run(&["--help"]);
    said.ended_with(0);
    for code in [
        "0  in order",
        "2  the command line",
        "3  proven",
        "5  a plan failed",
    ] {
        assert!(said.out.contains(code), "no `{code}` in\n{}", said.out);
    }
}
