//! `duskwright compare`.

use crate::desk::Desk;
use std::fs;

const ALTERNATIVES: &str = r#"
[[alternative]]
name = "dear digging"
digging_factor = 2

[[alternative]]
name = "cheap labour"
labour_rate = 10
"#;

#[test]
fn plans_stand_side_by_side_in_the_terminal_in_csv_and_on_a_page() {
    let desk = Desk::with_courtyard();
    fs::write(desk.path("others.toml"), ALTERNATIVES).expect("written");
    let said = desk.run(&[
        "compare",
        "courtyard",
        "--alternatives",
        "others.toml",
        "--csv",
        "compared.csv",
        "--pdf",
        "compared.pdf",
        "--date",
        "2026-03-28",
    ]);
    said.ended_with(0);
    for name in [
        "mixed",
        "chain only",
        "hub only",
        "dear digging",
        "cheap labour",
    ] {
        assert!(said.out.contains(name), "{}", said.out);
    }
    let csv = desk.text("compared.csv");
    let row = |name: &str| -> Vec<f64> {
        let line = csv.lines().find(|line| line.starts_with(name)).expect(name);
        let cells = line.split(',').skip(2);
        cells.map(|cell| cell.parse().expect("a number")).collect()
    };
    let direct = row("direct cost,");
    assert_eq!(direct.len(), 5);
    // Freedom is worth something, digging for twice the money costs, cheap hours save.
    let mixed = direct[2];
    assert!(mixed <= direct[0] && mixed <= direct[1], "{direct:?}");
    assert!(direct[3] > mixed && direct[4] < mixed, "{direct:?}");
    for (cost, bound) in direct.iter().zip(row("proven bound,")) {
        assert!(bound <= *cost);
    }
    let bytes = fs::read(desk.path("compared.pdf")).expect("written");
    assert!(bytes.starts_with(b"%PDF-"));
}

#[test]
fn an_alternative_that_names_what_the_job_does_not_know_is_refused_with_what_it_knows() {
    let desk = Desk::with_courtyard();
    let text = "[[alternative]]\nname = \"one\"\nsites = [\"attic\"]\n";
    fs::write(desk.path("others.toml"), text).expect("written");
    let said = desk.run(&["compare", "courtyard", "--alternatives", "others.toml"]);
    said.ended_with(2);
    assert!(said.err.contains("others.toml"), "{}", said.err);
    assert!(
        said.err.contains("attic") && said.err.contains("accepted: "),
        "{}",
        said.err
    );
    let text = "[[alternative]]\nname = \"one\"\ncolour = 3\n";
    fs::write(desk.path("others.toml"), text).expect("written");
    let said = desk.run(&["compare", "courtyard", "--alternatives", "others.toml"]);
    said.ended_with(2);
    assert!(
        said.err.contains("colour") && said.err.contains("line 3"),
        "{}",
        said.err
    );
}
