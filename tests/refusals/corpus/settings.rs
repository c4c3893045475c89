//! `job.toml` of the full job: every line broken in seven ways, and shapes that are no
//! settings at all.

use super::{Case, Corpus};
use duskwright_tests::{FULL_JOB_TOML, full_job};

/// How a key and its value are spoilt.
type Way = fn(&str, &str) -> String;

/// Ways to break `key = value`.
const WAYS: [(&str, Way); 7] = [
    ("gone", |_, _| String::new()),
    ("last letter of the key lost", |key, value| {
        format!("{} = {value}", &key[..key.len() - 1])
    }),
    ("a strange word", |key, _| format!("{key} = \"qqq\"")),
    ("below zero", |key, _| format!("{key} = -7")),
    ("huge", |key, _| format!("{key} = 1e300")),
    ("true", |key, _| format!("{key} = true")),
    ("a list of lists", |key, _| {
        format!("{key} = [[1], [\"a\"]]")
    }),
];

fn case(name: impl Into<String>, text: impl Into<Vec<u8>>) -> Case {
    Case {
        name: name.into(),
        job: full_job().with("job.toml", text),
    }
}

#[test]
fn every_broken_key_is_refused_with_place_and_remedy() {
    let lines: Vec<&str> = FULL_JOB_TOML.lines().collect();
    let mut section = String::new();
    let mut cases = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        if line.starts_with('[') {
            section = line.trim_matches(['[', ']']).to_owned() + ".";
        }
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        for (way, breaks) in WAYS {
            let mut lines = lines.clone();
            let broken = breaks(key, value);
            lines[at] = &broken;
            cases.push(case(format!("{section}{key}: {way}"), lines.join("\n")));
        }
    }
    let corpus = Corpus::read("job.toml", &cases);
    assert!(
        corpus.refused >= 100,
        "only {} were refused",
        corpus.refused
    );
    insta::assert_snapshot!("settings_key_by_key", corpus.text());
}

#[test]
fn what_is_no_settings_file_is_refused_with_place_and_remedy() {
    let whole = FULL_JOB_TOML;
    let deep = format!("{whole}\nx = {}{}\n", "[".repeat(5000), "]".repeat(5000));
    let deep_keys = format!("{whole}\n{} = 1\n", vec!["a"; 5000].join("."));
    let deep_tables = format!("{whole}\nx = {}1{}\n", "{a=".repeat(5000), "}".repeat(5000));
    let far = whole.replace("../catalogue", "/etc");
    let cases = [
        case("empty", ""),
        case("another kind of file", "%PDF-1.7\n"),
        case("a table of a spreadsheet", "tag,node\nF1,n1\n"),
        case("cut in the middle of a line", &whole[..whole.len() / 2]),
        case(
            "a quote left open",
            whole.replace("\"Elm Court\"", "\"Elm Court"),
        ),
        case(
            "a key given twice",
            whole.replace("units =", "name = \"again\"\nunits ="),
        ),
        case("a section given twice", format!("{whole}\n[rates]\n")),
        case("an equals sign lost", whole.replace("units =", "units")),
        case("lists 5000 deep", deep),
        case("keys 5000 deep", deep_keys),
        case("inline tables 5000 deep", deep_tables),
        case("an absolute catalogue", far),
        case(
            "a section of another name",
            whole.replace("[rates]", "[rate]"),
        ),
        case(
            "a list where a section stands",
            whole.replace("[bid.tax]", "[[bid.tax]]"),
        ),
        case(
            "a section where a list stands",
            whole.replace("[[bid.lumps]]", "[bid.lumps]"),
        ),
        case("not UTF-8", [whole.as_bytes(), b"\n# caf\xe9\n"].concat()),
        case("a null byte", [whole.as_bytes(), b"\0"].concat()),
        case("a newer version", whole.replace("schema = 1", "schema = 2")),
    ];
    let corpus = Corpus::read("job.toml", &cases);
    insta::assert_snapshot!("settings_as_a_whole", corpus.text());
}
