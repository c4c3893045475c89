//! `duskwright batch`: small jobs, for each is planned several times.

use crate::desk::{Desk, Said};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A courtyard with few fixtures in `jobs/NAME` for each name, each job of its own name.
fn desk(names: &[&str]) -> Desk {
    let desk = Desk::with_courtyard();
    desk.copy_folder("catalogue-metric", "jobs/catalogue-metric");
    for (at, name) in names.iter().enumerate() {
        let job = format!("jobs/{name}");
        desk.copy_folder("courtyard", &job);
        desk.edit(
            &format!("{job}/job.toml"),
            "Mill courtyard",
            &format!("Court {name}"),
        );
        let fixtures = format!("{job}/fixtures.csv");
        let few: Vec<String> = desk
            .text(&fixtures)
            .lines()
            .take(4 + at % 2)
            .map(str::to_owned)
            .collect();
        fs::write(desk.path(&fixtures), few.join("\n") + "\n").expect("written");
    }
    desk
}

const OPTIONS: [&str; 4] = ["--effort", "quick", "--date", "2026-03-28"];

fn batch(desk: &Desk, words: &[&str]) -> Said {
    let all: Vec<&str> = ["batch"]
        .iter()
        .chain(words)
        .copied()
        .chain(OPTIONS)
        .collect();
    desk.run(&all)
}

/// Every file under a folder by its path there, sorted.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(next).expect("a folder") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("inside");
                found.push((name.display().to_string(), fs::read(&path).expect("read")));
            }
        }
    }
    found.sort();
    found
}

#[track_caller]
fn same(one: &Path, other: &Path) {
    let (one, other) = (files(one), files(other));
    let names =
        |files: &[(String, Vec<u8>)]| files.iter().map(|file| file.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(&one), names(&other));
    for (one, other) in one.iter().zip(&other) {
        assert!(one.1 == other.1, "{} differs", one.0);
    }
}

#[test]
fn a_batch_writes_what_planning_one_at_a_time_writes() {
    let desk = desk(&["a", "b"]);
    let said = batch(&desk, &["jobs", "--out", "week", "--threads", "2"]);
    said.ended_with(0);
    assert!(
        said.out.starts_with("2 jobs: 2 planned, 0 without a plan"),
        "{}",
        said.out
    );
    // No terminal: nothing is shown meanwhile.
    assert_eq!(said.err, "");
    assert_eq!(
        desk.names("week"),
        [
            "batch.json",
            "batch.lock",
            "jobs",
            "portfolio.csv",
            "portfolio.pdf",
            "records"
        ]
    );
    for name in ["a", "b"] {
        let (job, out) = (format!("jobs/{name}"), format!("alone/{name}"));
        let words: Vec<&str> = ["plan", &job, "--out", &out]
            .into_iter()
            .chain(OPTIONS)
            .collect();
        desk.run(&words).ended_with(0);
    }
    same(&desk.path("week/jobs"), &desk.path("alone"));
    let csv = desk.text("week/portfolio.csv");
    // Heading, two jobs, their sum, and how it was made: version, input, search.
    assert_eq!(csv.lines().count(), 7, "{csv}");
    assert!(
        fs::read(desk.path("week/portfolio.pdf"))
            .expect("there")
            .starts_with(b"%PDF-")
    );
}

#[test]
fn bad_jobs_stop_no_other_and_are_told_with_their_reasons() {
    let desk = desk(&["bad-model", "good", "no-way"]);
    desk.edit("jobs/bad-model/fixtures.csv", "spot", "spoot");
    desk.edit(
        "jobs/no-way/job.toml",
        "margin_low_v              = 0.4",
        "margin_low_v = 40",
    );
    fs::write(
        desk.path("week.txt"),
        "jobs/bad-model\njobs/gone\n# not today\njobs/good\njobs/no-way\n",
    )
    .expect("written");
    let said = batch(&desk, &["week.txt", "--out", "week"]);
    said.ended_with(6);
    assert!(
        said.out.starts_with("4 jobs: 1 planned, 3 without a plan"),
        "{}",
        said.out
    );
    let csv = desk.text("week/portfolio.csv");
    let row = |job: &str| {
        let start = format!("job,{job},");
        csv.lines()
            .find(|line| line.starts_with(&start))
            .unwrap_or_else(|| panic!("no {job} in\n{csv}"))
    };
    assert!(
        row("bad-model").contains(",refused,") && row("bad-model").contains("spoot"),
        "{csv}"
    );
    assert!(
        row("gone").contains(",unreachable,") && row("gone").contains("cannot read"),
        "{csv}"
    );
    assert!(row("good").contains(",feasible,EUR,"), "{csv}");
    assert!(row("no-way").contains(",infeasible,"), "{csv}");
    assert_eq!(desk.names("week/jobs"), ["good"]);
    // The same again: what is known is not worked out anew, and is told alike.
    let again = batch(&desk, &["week.txt", "--out", "week", "--json"]);
    again.ended_with(6);
    let json: serde_json::Value = serde_json::from_str(&again.out).expect("one JSON value");
    assert_eq!((&json["planned"], &json["failed"]), (&1.into(), &3.into()));
    assert_eq!(json["result"], "some failed");
    assert_eq!(desk.text("week/portfolio.csv"), csv);
}

#[cfg(unix)]
#[test]
fn a_batch_goes_on_where_it_was_killed() {
    use std::os::unix::fs::MetadataExt;
    let names = ["a", "b", "c", "d"];
    let desk = desk(&names);
    // What a killed run leaves: two jobs done, the third half-made, no portfolio.
    let said = batch(&desk, &["jobs", "--out", "whole"]);
    said.ended_with(0);
    let said = batch(&desk, &["jobs", "--out", "week"]);
    said.ended_with(0);
    for gone in [
        "records/c.json",
        "records/d.json",
        "portfolio.csv",
        "portfolio.pdf",
    ] {
        fs::remove_file(desk.path(&format!("week/{gone}"))).expect("removed");
    }
    fs::remove_dir_all(desk.path("week/jobs/d")).expect("removed");
    fs::create_dir_all(desk.path("week/jobs/.duskwright-x1/results")).expect("made");
    fs::write(desk.path("week/jobs/.duskwright-x1/results/plan.json"), "{").expect("written");
    fs::write(desk.path("week/jobs/.duskwright-x1/held"), "d").expect("written");
    let inode = |name: &str| {
        let path = desk.path(&format!("week/jobs/{name}/plan.json"));
        fs::metadata(path).expect("there").ino()
    };
    let before: Vec<u64> = names[..3].iter().map(|name| inode(name)).collect();
    // Without a date: that of the first run holds.
    desk.run(&["batch", "jobs", "--out", "week", "--effort", "quick"])
        .ended_with(0);
    let after: Vec<u64> = names[..3].iter().map(|name| inode(name)).collect();
    assert_eq!(before[..2], after[..2], "a finished job was planned anew");
    assert_ne!(
        before[2], after[2],
        "a job without a record was not planned anew"
    );
    same(&desk.path("week"), &desk.path("whole"));
}

#[test]
fn a_changed_input_or_result_is_planned_anew_and_nothing_else() {
    let desk = desk(&["a", "b", "c"]);
    batch(&desk, &["jobs", "--out", "week"]).ended_with(0);
    let record = |name: &str| desk.text(&format!("week/records/{name}.json"));
    let before: Vec<String> = ["a", "b", "c"].map(record).to_vec();
    desk.edit(
        "jobs/a/job.toml",
        "labour_per_hour     = 52.00",
        "labour_per_hour = 53.00",
    );
    fs::write(desk.path("week/jobs/b/bill.csv"), "scribbled over").expect("written");
    batch(&desk, &["jobs", "--out", "week"]).ended_with(0);
    assert_ne!(record("a"), before[0]);
    assert_ne!(desk.text("week/jobs/b/bill.csv"), "scribbled over");
    assert_eq!(record("b"), before[1]);
    assert_eq!(record("c"), before[2]);
}

#[test]
fn the_parts_of_a_batch_merge_into_what_one_machine_would_have_written() {
    let desk = desk(&["a", "b", "c", "d", "e"]);
    desk.edit("jobs/d/fixtures.csv", "spot", "spoot");
    batch(&desk, &["jobs", "--out", "whole"]).ended_with(6);
    let mut parts = Vec::new();
    for part in 1..=4 {
        let out = format!("part-{part}");
        let shard = format!("{part}/4");
        let code = if part == 4 { 6 } else { 0 };
        batch(&desk, &["jobs", "--out", &out, "--shard", &shard]).ended_with(code);
        parts.push(out);
    }
    // Five jobs over four parts.
    assert_eq!(desk.names("part-1/jobs"), ["a", "e"]);
    let all: Vec<&str> = parts.iter().map(String::as_str).collect();
    let merge = |parts: &[&str], out: &str| {
        let words: Vec<&str> = ["batch", "--merge"]
            .iter()
            .chain(parts)
            .copied()
            .chain(["--out", out])
            .collect();
        desk.run(&words)
    };
    merge(&all, "merged").ended_with(6);
    same(&desk.path("merged"), &desk.path("whole"));
    // A part that is missing leaves its jobs open, and is said.
    let said = merge(&all[..3], "some");
    said.ended_with(7);
    assert!(said.err.contains("these are not given: 4"), "{}", said.err);
    assert!(said.out.contains("not planned yet"), "{}", said.out);
    for (words, part) in [
        ("given twice", vec!["part-1", "part-1"]),
        ("a whole batch", vec!["whole"]),
        ("cannot read", vec!["jobs"]),
    ] {
        let said = merge(&part, "none");
        assert!(said.code == 1 || said.code == 2, "{}", said.err);
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
    let said = batch(&desk, &["jobs", "--out", "part-1", "--shard", "2/4"]);
    said.ended_with(2);
    assert!(said.err.contains("it holds part 1/4"), "{}", said.err);
}

#[test]
fn two_batches_in_one_folder_do_not_meet() {
    let desk = desk(&["a"]);
    fs::create_dir(desk.path("week")).expect("made");
    let lock = fs::File::create(desk.path("week/batch.lock")).expect("made");
    lock.lock().expect("free");
    let said = batch(&desk, &["jobs", "--out", "week"]);
    said.ended_with(2);
    assert!(
        said.err.contains("another batch is writing there"),
        "{}",
        said.err
    );
    assert_eq!(desk.names("week"), ["batch.lock"]);
    drop(lock);
    batch(&desk, &["jobs", "--out", "week"]).ended_with(0);
}

#[test]
fn folders_that_cannot_be_a_batch_are_refused() {
    let desk = desk(&["a"]);
    desk.copy_folder("jobs/a", "other/A");
    fs::write(desk.path("twice.txt"), "jobs/a\nother/A\n").expect("written");
    let said = batch(&desk, &["twice.txt", "--out", "week"]);
    said.ended_with(2);
    assert!(
        said.err.contains("folders of the same name"),
        "{}",
        said.err
    );
    let said = batch(&desk, &["nowhere", "--out", "week"]);
    said.ended_with(1);
    let said = batch(&desk, &["catalogue-metric", "--out", "week"]);
    said.ended_with(2);
    assert!(said.err.contains("names no job"), "{}", said.err);
    let said = batch(&desk, &["jobs", "--out", "courtyard"]);
    said.ended_with(2);
    assert!(
        said.err.contains("no part of an earlier batch"),
        "{}",
        said.err
    );
    let said = batch(&desk, &["jobs", "--out", "week", "--shard", "3/2"]);
    said.ended_with(2);
    assert!(said.err.contains("`3/2` is no part"), "{}", said.err);
    assert!(desk.names("week").is_empty());
}

#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_leaves_nothing_half_written() {
    let desk = desk(&["a"]);
    // No file may grow beyond 16 KiB: the report does not fit, as on a full disk.
    let words = ["batch", "jobs", "--out", "week"];
    let limited = Command::new("bash")
        .args(["-c", "trap '' XFSZ; ulimit -f 16; exec \"$0\" \"$@\""])
        .arg(env!("CARGO_BIN_EXE_duskwright"))
        .args(words.iter().chain(&OPTIONS))
        .current_dir(desk.path(""))
        .output()
        .expect("bash runs");
    let err = String::from_utf8_lossy(&limited.stderr).into_owned();
    assert_ne!(limited.status.code(), Some(0), "{err}");
    assert!(
        desk.names("week/jobs").is_empty(),
        "{:?}",
        desk.names("week/jobs")
    );
    // With room again the same command does the rest.
    batch(&desk, &words[1..]).ended_with(0);
    assert_eq!(desk.names("week/jobs"), ["a"]);
}

#[test]
fn what_a_killed_run_left_among_the_results_is_swept_and_what_lives_is_not() {
    let desk = desk(&["a", "b"]);
    batch(&desk, &["jobs", "--out", "week"]).ended_with(0);
    let whole = desk.text("week/jobs/a/bill.csv");
    let left_behind = |name: &str| {
        let folder = desk.path(&format!("week/jobs/.duskwright-{name}"));
        fs::create_dir_all(folder.join("results")).expect("made");
        fs::create_dir_all(folder.join("earlier")).expect("made");
        fs::write(folder.join("results/bill.csv"), "half").expect("written");
        fs::write(folder.join("earlier/bill.csv"), "old").expect("written");
        fs::write(folder.join("held"), "a").expect("written");
        folder
    };
    let (dead, living) = (left_behind("dead"), left_behind("living"));
    let held = fs::File::open(living.join("held")).expect("there");
    held.try_lock().expect("nobody else holds it");
    batch(&desk, &["jobs", "--out", "week"]).ended_with(0);
    assert!(!dead.exists());
    assert!(living.exists());
    assert_eq!(desk.text("week/jobs/a/bill.csv"), whole);
    drop(held);
    batch(&desk, &["jobs", "--out", "week"]).ended_with(0);
    assert_eq!(desk.names("week/jobs"), ["a", "b"]);
}
