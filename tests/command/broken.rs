//! Broken inputs of the commands, one list a reader: the whole message of each is kept, the
//! exit code is that of a refusal, the file is named, and nothing is written.

use crate::desk::{Desk, PLAN_COURTYARD, REBUILD_COURTYARD, planned};
use std::fmt::Write as _;
use std::fs;

/// Runs `words` on every broken text put into `file`, and collects what is said.
fn refused(desk: &Desk, file: &str, words: &[&str], texts: &[&[u8]]) -> String {
    let mut said = String::new();
    let before = desk.names(".");
    for text in texts {
        fs::write(desk.path(file), text).expect("written");
        let shown: String = String::from_utf8_lossy(text).chars().take(300).collect();
        let end = desk.run(words);
        assert_eq!(end.code, 2, "{shown}\n{}{}", end.out, end.err);
        assert!(end.err.contains(file), "{file} is not named:\n{}", end.err);
        let remedy = [
            "accepted",
            "the job has",
            "needed",
            "expected",
            "keep one",
            "decided",
            "has ",
        ]
        .iter()
        .any(|word| end.err.contains(word));
        assert!(
            remedy,
            "{shown}\nsays nothing of what is accepted:\n{}",
            end.err
        );
        write!(said, "## {}\n{}\n", shown.escape_debug(), end.err).expect("writing to a string");
    }
    fs::remove_file(desk.path(file)).expect("removed");
    let after = desk.names(".");
    assert!(after.iter().all(|name| before.contains(name)), "{after:?}");
    said
}

/// A desk of one's own with the courtyard planned into `out`.
fn desk() -> Desk {
    let (shared, said) = planned();
    said.ended_with(0);
    let desk = Desk::with_courtyard();
    desk.lay(&shared.path("out"), "out");
    desk
}

#[test]
fn decisions() {
    let desk = desk();
    let words = [
        "plan",
        "courtyard",
        "--out",
        "new",
        "--decisions",
        "decisions.csv",
    ];
    let said = refused(
        &desk,
        "decisions.csv",
        &words,
        &[
            b"",
            b"decision,subject\n",
            b"decision;subject;object\nsite;Well;barn-wall\n",
            b"decision,subject,object\nsame,Well,Fig\n",
            b"decision,subject,object\nsame_circuit,Wel,Fig\n",
            b"decision,subject,object\nsame_circuit,Well,Well\n",
            b"decision,subject,object\nsame_circuit,Well\n",
            b"decision,subject,object\nsame_circuit,Well,Fig,Bench\n",
            b"decision,subject,object\nsite,Well,barn-wal\n",
            b"decision,subject,object\nsite,Well,barn-wall\nsite,Well,kitchen-wall\n",
            b"decision,subject,object\ntransformer,tr-250,barn-wall\n",
            b"decision,subject,object\ncircuit,Well,C1\n",
            b"decision,subject,object\nsame_circuit,Well,Fig\nother_circuit,Fig,Well\n",
            b"decision,subject,object\n\"same_circuit,Well,Fig\n",
            b"decision,subject,object\nsame_circuit,W\xe9ll,Fig\n",
        ],
    );
    insta::assert_snapshot!(said);
}

#[test]
fn alternatives() {
    let desk = desk();
    let words = ["compare", "courtyard", "--alternatives", "others.toml"];
    let deep = format!("[[alternative]]\nname = {}", "[".repeat(5000));
    let said = refused(
        &desk,
        "others.toml",
        &words,
        &[
            b"[alternative]\nname = \"one\"\n",
            b"[[alternativ]]\nname = \"one\"\n",
            b"[[alternative]]\nlayout = \"chain\"\n",
            b"[[alternative]]\nname = \"one\"\nlayout = \"chian\"\n",
            b"[[alternative]]\nname = \"one\"\ncable = [\"2x4\"]\n",
            b"[[alternative]]\nname = \"one\"\ncables = [\"2x44\"]\n",
            b"[[alternative]]\nname = \"one\"\ncables = []\n",
            b"[[alternative]]\nname = \"one\"\nsites = [\"barn\"]\n",
            b"[[alternative]]\nname = \"one\"\ntransformers = [\"tr-1000\"]\n",
            b"[[alternative]]\nname = \"one\"\nmost_fixtures_per_circuit = 0\n",
            b"[[alternative]]\nname = \"one\"\nmost_fixtures_per_circuit = -3\n",
            b"[[alternative]]\nname = \"one\"\nlabour_rate = \"high\"\n",
            b"[[alternative]]\nname = \"one\"\nlabour_rate = -1\n",
            b"[[alternative]]\nname = \"one\"\ndigging_factor = nan\n",
            b"[[alternative]]\nname = \"one\"\ncable_price_factor = 1e300\n",
            b"[[alternative]]\nname = \"one\"\n[[alternative]]\nname = \"one\"\n",
            b"[[alternative]]\nname = \"one\n",
            b"[[alternative]]\nname = \"\xe9\"\n",
            deep.as_bytes(),
        ],
    );
    insta::assert_snapshot!(said);
}

#[test]
fn readings() {
    let desk = desk();
    let words = ["diagnose", "courtyard", "out/plan.json", "readings.csv"];
    let said = refused(
        &desk,
        "readings.csv",
        &words,
        &[
            b"",
            b"place,quantity\nC1,amps\n",
            b"place,quantity,reading\n",
            b"place,quantity,reading\nC1,amps,\n",
            b"place;quantity;reading\nC1;amps;3\n",
            b"place,quantity,reading\nC11,amps,3\n",
            b"place,quantity,reading\nWel,V,11\n",
            b"place,quantity,reading\nWell,amps,1\n",
            b"place,quantity,reading\njoint C9-J1,volts,11\n",
            b"place,quantity,reading\nC1 home run,watts,1\n",
            b"place,quantity,reading\nC1 home run,volts,bright\n",
            b"place,quantity,reading\nC1 home run,volts,-4\n",
            b"place,quantity,reading\nC1 home run,volts,nan\n",
            b"place,quantity,reading\nC1 home run,amps,1e300\n",
            b"place,quantity,reading\nC1 home run,volts,\"11,5\"\n",
            b"place,quantity,reading\nC1 home run,volts,11\nC1 home run,volts,11.2\n",
            b"stage,place,quantity,reading\nhome run,Well,V,11\n",
            b"place,quantity,reading\nW\xe9ll,V,11\n",
        ],
    );
    insta::assert_snapshot!(said);
}

#[test]
fn changes() {
    let desk = desk();
    let said = refused(
        &desk,
        "changes.csv",
        &REBUILD_COURTYARD,
        &[
            b"",
            b"what,name\npath,well/trough\n",
            b"what,name,to\n",
            b"what;name;to\npath;well/trough;4\n",
            b"what,name,to\npth,well/trough,4\n",
            b"what,name,to\npath,well,4\n",
            b"what,name,to\npath,well/trogh,4\n",
            b"what,name,to\npath,gate-right/gate-left,4\n",
            b"what,name,to\nfixture,Wel,well\n",
            b"what,name,to\ntap,C11,13\n",
            b"what,name,to\ntap,C1,99\n",
            b"what,name,to\npath,well/trough\n",
            b"what,name,to\npath,well/trough,4,5\n",
            b"what,name,to\npath,w\xe9ll/trough,4\n",
        ],
    );
    insta::assert_snapshot!(said);
}

#[test]
fn the_firm() {
    let desk = desk();
    let words = [&PLAN_COURTYARD[..3], &["new", "--firm", "firm.toml"]].concat();
    let said = refused(
        &desk,
        "firm.toml",
        &words,
        &[
            b"",
            b"name = 7\n",
            b"nam = \"A\"\n",
            b"name = \"A\"\naddress = \"7 Lane\"\n",
            b"name = \"A\"\nterms = [1]\n",
            b"name = \"A\"\nlogo = 3\n",
            b"name = \"A\"\nlogo = \"firm.toml\"\n",
            b"name = \"A\"\nname = \"B\"\n",
            b"name = \"A\n",
            b"name = \"\xe9\"\n",
        ],
    );
    insta::assert_snapshot!(said);
}

#[test]
fn a_list_of_jobs() {
    let desk = desk();
    let said = refused(
        &desk,
        "week.txt",
        &["batch", "week.txt", "--out", "week"],
        &[
            b"",
            b"# nothing\n",
            b"../../../..\n",
            b"/\n",
            b"courtyard\n./courtyard\n",
            b"court\xe9\n",
        ],
    );
    insta::assert_snapshot!(said);
}

#[test]
fn a_file_that_is_too_large_is_refused_with_the_limit() {
    let desk = desk();
    let large = vec![b' '; 20_000_001];
    for (file, words) in [
        ("large.json", &["verify", "courtyard", "large.json"][..]),
        (
            "large.csv",
            &["diagnose", "courtyard", "out/plan.json", "large.csv"],
        ),
        ("large.txt", &["batch", "large.txt", "--out", "week"]),
    ] {
        fs::write(desk.path(file), &large).expect("written");
        let said = desk.run(words);
        said.ended_with(2);
        assert!(
            said.err.contains(file) && said.err.contains("20 MB"),
            "{}",
            said.err
        );
    }
}
