//! The process killed at random moments, folders that cannot be written, a full disk:
//! under a final name there is the earlier result or the whole new one, never a part.

use crate::desk::{Desk, PLAN_COURTYARD, REBUILD_COURTYARD};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Kills of each command with the other tests; `make faults` asks for more by KILLS.
const KILLS: u64 = 6;

fn kills() -> u64 {
    let asked = std::env::var("KILLS")
        .ok()
        .and_then(|text| text.parse().ok());
    asked.unwrap_or(KILLS)
}

/// Every file below a folder, without what is prepared in hidden folders.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).into_iter().flatten().flatten() {
            let path = entry.path();
            if entry
                .file_name()
                .to_string_lossy()
                .starts_with(".duskwright-")
            {
                continue;
            }
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("inside").to_path_buf();
                found.insert(name, fs::read(&path).unwrap_or_default());
            }
        }
    }
    found
}

/// Folders below this one in which results were prepared.
fn workshops(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).into_iter().flatten().flatten() {
            let name = entry.file_name();
            if name.to_string_lossy().starts_with(".duskwright-") {
                found.push(entry.path());
            } else if entry.path().is_dir() {
                open.push(entry.path());
            }
        }
    }
    found
}

/// Starts a command and kills it after a share of the time that it takes, in 1/64.
fn killed(mut command: Command, whole: Duration, share: u32) {
    let mut child = command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the binary runs");
    std::thread::sleep(whole * share / 64);
    // It may have ended by itself: then there is nothing to kill.
    let _ = child.kill();
    child.wait().expect("it ends");
}

/// Moments spread over the run without rhythm, the last ones after most of it.
fn share(turn: u64) -> u32 {
    u32::try_from(turn.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 58).expect("six bits") + 1
}

/// A lock says who was at work, not what came out.
fn is_lock(name: &Path) -> bool {
    name.to_string_lossy().contains("lock")
}

/// Kills `words` again and again, then lets it finish: what is under a final name at any time
/// is what a run left alone writes there.
fn withstands(desk: &Desk, words: &[&str], out: &str, reset: bool) {
    let start = Instant::now();
    desk.run(words).ended_with(0);
    let whole = start.elapsed();
    let wanted = files(&desk.path(out));
    assert!(!wanted.is_empty());
    fs::remove_dir_all(desk.path(out)).expect("removed");
    for turn in 0..kills() {
        if reset && desk.path(out).exists() {
            fs::remove_dir_all(desk.path(out)).expect("removed");
        }
        killed(desk.command(words), whole, share(turn));
        for (name, bytes) in files(&desk.path(out)) {
            // Locks and records say who was at work and when; results must be whole.
            let Some(right) = wanted.get(&name) else {
                assert!(is_lock(&name), "{} is left over", name.display());
                continue;
            };
            assert!(
                is_lock(&name) || *right == bytes,
                "{} is not whole, turn {turn}",
                name.display()
            );
        }
    }
    if reset && desk.path(out).exists() {
        fs::remove_dir_all(desk.path(out)).expect("removed");
    }
    desk.run(words).ended_with(0);
    let ended = files(&desk.path(out));
    assert_eq!(
        ended.keys().collect::<Vec<_>>(),
        wanted.keys().collect::<Vec<_>>()
    );
    assert_eq!(
        workshops(&desk.path(".")),
        Vec::<PathBuf>::new(),
        "killed runs left them behind"
    );
    for (name, bytes) in &wanted {
        assert!(
            is_lock(name) || ended[name] == *bytes,
            "{} differs",
            name.display()
        );
    }
}

fn few_fixtures(desk: &Desk, job: &str, count: usize) {
    let name = format!("{job}/fixtures.csv");
    let text = desk.text(&name);
    let few: Vec<&str> = text.lines().take(count + 1).collect();
    fs::write(desk.path(&name), few.join("\n") + "\n").expect("written");
}

/// Two small jobs and their catalogue, in `jobs`.
fn jobs() -> Desk {
    let desk = Desk::with_courtyard();
    desk.copy_folder("catalogue-metric", "jobs/catalogue-metric");
    for (name, count) in [("a", 3), ("b", 4)] {
        let job = format!("jobs/{name}");
        desk.copy_folder("courtyard", &job);
        desk.edit(
            &format!("{job}/job.toml"),
            "Mill courtyard",
            &format!("Court {name}"),
        );
        few_fixtures(&desk, &job, count);
    }
    desk
}

const BATCH: [&str; 8] = [
    "batch",
    "jobs",
    "--out",
    "week",
    "--effort",
    "quick",
    "--date",
    "2026-03-28",
];

#[test]
fn a_batch_killed_at_any_moment_leaves_whole_results_and_goes_on() {
    withstands(&jobs(), &BATCH, "week", false);
}

#[test]
fn an_order_killed_at_any_moment_is_there_whole_or_not_at_all() {
    let desk = jobs();
    desk.run(&BATCH).ended_with(0);
    let words = [
        "order",
        "jobs/a",
        "jobs/b",
        "--plans",
        "week/jobs",
        "--out",
        "order",
        "--date",
        "2026-03-28",
    ];
    withstands(&desk, &words, "order", false);
}

#[test]
fn a_rebuild_killed_at_any_moment_is_there_whole_or_not_at_all() {
    let desk = Desk::with_courtyard();
    few_fixtures(&desk, "courtyard", 4);
    desk.run(&PLAN_COURTYARD).ended_with(0);
    fs::write(
        desk.path("changes.csv"),
        "what,name,to\npath,well/trough,3.9\n",
    )
    .expect("written");
    withstands(&desk, &REBUILD_COURTYARD, "built", true);
}

/// Whether this user is bound by what a folder allows (root is not).
#[cfg(unix)]
fn bound_by_permissions(desk: &Desk) -> bool {
    use std::os::unix::fs::PermissionsExt;
    let folder = desk.path("locked");
    fs::create_dir(&folder).expect("made");
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o555)).expect("changed");
    fs::write(folder.join("probe"), "").is_err()
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_said_with_its_name() {
    let desk = Desk::with_courtyard();
    few_fixtures(&desk, "courtyard", 3);
    if !bound_by_permissions(&desk) {
        eprintln!("skipped: this user may write everywhere");
        return;
    }
    let said = desk.run(&[
        "plan",
        "courtyard",
        "--out",
        "locked/out",
        "--effort",
        "quick",
    ]);
    said.ended_with(1);
    assert!(
        said.err.contains("cannot write") && said.err.contains("locked"),
        "{}",
        said.err
    );
    assert!(desk.names("locked").is_empty());
}

/// A file system of a few kB, where this user may mount one.
#[cfg(target_os = "linux")]
struct SmallDisk(PathBuf);

#[cfg(target_os = "linux")]
impl SmallDisk {
    fn at(path: PathBuf) -> Option<Self> {
        fs::create_dir(&path).expect("made");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=64k", "tmpfs"])
            .arg(&path)
            .stderr(Stdio::null())
            .status();
        mounted
            .is_ok_and(|status| status.success())
            .then_some(Self(path))
    }
}

#[cfg(target_os = "linux")]
impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_and_leaves_nothing_half_written() {
    let desk = Desk::with_courtyard();
    few_fixtures(&desk, "courtyard", 3);
    let Some(disk) = SmallDisk::at(desk.path("disk")) else {
        eprintln!("skipped: this user may not mount a small file system");
        return;
    };
    let said = desk.run(&[
        "plan",
        "courtyard",
        "--out",
        "disk/out",
        "--effort",
        "quick",
    ]);
    said.ended_with(1);
    assert!(
        said.err.contains("cannot write") && said.err.contains("disk"),
        "{}",
        said.err
    );
    assert!(desk.names("disk").is_empty(), "{:?}", desk.names("disk"));
    drop(disk);
}
