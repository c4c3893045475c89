//! Batches: jobs a minute, parallel efficiency, peak memory, growth, shards.
//!
//! Job folders are made from the sample garden: its first 40 fixtures (`FIXTURES`), the site
//! stretched east and north by up to 15 % either way (seeded), all papers written. The command
//! itself is run as a child, so that what is measured is what a user runs.
//! Environment: `SIZES` (numbers of jobs, default `10`), `EFFORT` (default
//! `quick`), `SINGLE` (jobs planned on one thread too, default the first size),
//! `SHARDS` (parts that the first size is split into and merged again, default 4; 0: none).

use duskwright_benches::processor;
use rand::{RngExt as _, SeedableRng as _};
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Fixtures of each job, unless `FIXTURES` says otherwise.
const FIXTURES: &str = "40";
/// Most by which a site is longer or shorter than the sample, each way.
const SPREAD: f64 = 0.15;
/// How often the child is looked at; the system keeps the peak of its memory.
const LOOK: Duration = Duration::from_millis(20);

/// What one run of the command took.
struct Run {
    seconds: f64,
    /// Processor seconds of all its threads, where the system tells them.
    processor_s: Option<f64>,
    /// Peak resident memory, MB, where the system tells it.
    peak_mb: Option<f64>,
    code: Option<i32>,
}

fn main() -> Outcome<()> {
    let sizes = numbers("SIZES", "10")?;
    let single = numbers("SINGLE", &sizes[0].to_string())?[0];
    let shards = numbers("SHARDS", "4")?[0];
    let fixtures = numbers("FIXTURES", FIXTURES)?[0];
    let home = home()?;
    let most = sizes.iter().copied().max().unwrap_or(0).max(single);
    make_jobs(&home, most, fixtures)?;
    let threads = std::thread::available_parallelism()?.get();
    println!(
        "{fixtures} fixtures a job, effort {}, {threads} threads\n",
        effort()
    );
    println!("| jobs | s | processor s | jobs a minute | peak MB | again, all kept, s |");
    println!("|---:|---:|---:|---:|---:|---:|");
    for &size in &sizes {
        let list = list(&home, size)?;
        let out = home.join(format!("out-{size}"));
        let run = batch(&list, &out, threads, None)?;
        let again = batch(&list, &out, threads, None)?;
        println!(
            "| {size} | {:.1} | {} | {:.1} | {} | {:.2} |{}",
            run.seconds,
            known(run.processor_s),
            60.0 * size as f64 / run.seconds,
            known(run.peak_mb),
            again.seconds,
            if run.code == Some(0) {
                ""
            } else {
                " some failed"
            },
        );
    }
    efficiency(&home, single, threads)?;
    if shards > 0 {
        split(&home, sizes[0], shards, threads)?;
    }
    fs::remove_dir_all(&home)?;
    Ok(())
}

/// The same jobs on one thread and on all.
fn efficiency(home: &Path, jobs: usize, threads: usize) -> Outcome<()> {
    let list = list(home, jobs)?;
    let (one, all) = (home.join("one"), home.join("all"));
    let alone = batch(&list, &one, 1, None)?;
    let together = batch(&list, &all, threads, None)?;
    let efficiency = alone.seconds / (threads as f64 * together.seconds);
    println!(
        "\n{jobs} jobs: {:.1} s on 1 thread ({} processor s), {:.1} s on {threads} ({}): parallel efficiency {:.0} %; results {}",
        alone.seconds,
        known(alone.processor_s),
        together.seconds,
        known(together.processor_s),
        100.0 * efficiency,
        alike(&one, &all)?,
    );
    Ok(())
}

/// A figure that the system may not tell.
fn known(figure: Option<f64>) -> String {
    figure.map_or_else(|| "?".to_owned(), |figure| format!("{figure:.0}"))
}

/// A batch in parts, merged, against the batch in one.
fn split(home: &Path, jobs: usize, shards: usize, threads: usize) -> Outcome<()> {
    let list = list(home, jobs)?;
    let mut merge = command();
    merge.args(["batch", "--merge"]);
    for part in 1..=shards {
        let out = home.join(format!("part-{part}"));
        batch(&list, &out, threads, Some(&format!("{part}/{shards}")))?;
        merge.arg(out);
    }
    let merged = home.join("merged");
    let run = watched(merge.arg("--out").arg(&merged).spawn()?)?;
    println!(
        "{jobs} jobs in {shards} parts, merged in {:.2} s: results {}",
        run.seconds,
        alike(&merged, &home.join(format!("out-{jobs}")))?,
    );
    Ok(())
}

fn numbers(name: &str, otherwise: &str) -> Outcome<Vec<usize>> {
    let text = std::env::var(name).unwrap_or_else(|_| otherwise.to_owned());
    let numbers: Result<Vec<usize>, _> = text.split(',').map(|word| word.trim().parse()).collect();
    numbers.map_err(|error| format!("{name}={text}: {error}").into())
}

fn effort() -> String {
    std::env::var("EFFORT").unwrap_or_else(|_| "quick".to_owned())
}

/// An empty folder of one's own.
fn home() -> Outcome<PathBuf> {
    let home = std::env::temp_dir().join(format!("duskwright-bench-{}", std::process::id()));
    fs::create_dir(&home)?;
    Ok(home)
}

fn make_jobs(home: &Path, count: usize, fixtures: usize) -> Outcome<()> {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
    copy(
        &samples.join("catalogue-metric"),
        &home.join("catalogue-metric"),
    )?;
    let garden = samples.join("garden");
    for job in 1..=count {
        let folder = home.join(format!("garden-{job:04}"));
        copy(&garden, &folder)?;
        alter(&folder, job as u64, fixtures)?;
    }
    Ok(())
}

fn copy(from: &Path, to: &Path) -> Outcome<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        fs::copy(entry.path(), to.join(entry.file_name()))?;
    }
    Ok(())
}

/// Makes a copy of the garden a job of its own.
fn alter(folder: &Path, seed: u64, fixtures: usize) -> Outcome<()> {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(seed);
    let settings = fs::read_to_string(folder.join("job.toml"))?;
    let name = "name     = \"Garden with a terrace and a pool";
    if !settings.contains(name) {
        return Err("the sample garden has another name".into());
    }
    fs::write(
        folder.join("job.toml"),
        settings.replace(name, &format!("{name} {seed}")),
    )?;
    let table = fs::read_to_string(folder.join("fixtures.csv"))?;
    let kept: Vec<&str> = table.lines().take(fixtures + 1).collect();
    fs::write(folder.join("fixtures.csv"), kept.join("\n") + "\n")?;
    // The lengths of the ways follow from the positions.
    let nodes = fs::read_to_string(folder.join("nodes.csv"))?;
    let mut lines = nodes.lines();
    let heading = lines.next().unwrap_or_default();
    let column = |name: &str| heading.split(',').position(|column| column == name);
    let (x, y) = (column("x_m"), column("y_m"));
    let (Some(x), Some(y)) = (x, y) else {
        return Err("the sample garden has no coordinates".into());
    };
    let stretch = [x, y].map(|at| (at, random.random_range(1.0 - SPREAD..1.0 + SPREAD)));
    let mut altered = vec![heading.to_owned()];
    for line in lines {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        for (at, factor) in stretch {
            if let Some(cell) = cells.get_mut(at)
                && let Ok(value) = cell.parse::<f64>()
            {
                *cell = format!("{:.2}", value * factor);
            }
        }
        altered.push(cells.join(","));
    }
    fs::write(folder.join("nodes.csv"), altered.join("\n") + "\n")?;
    Ok(())
}

fn list(home: &Path, jobs: usize) -> Outcome<PathBuf> {
    let path = home.join(format!("list-{jobs}.txt"));
    let names: Vec<String> = (1..=jobs).map(|job| format!("garden-{job:04}\n")).collect();
    fs::write(&path, names.concat())?;
    Ok(path)
}

/// The command built beside this program.
fn command() -> Command {
    let beside = std::env::current_exe().map(|path| path.with_file_name("duskwright"));
    let mut command = Command::new(beside.unwrap_or_else(|_| "duskwright".into()));
    command.stdout(Stdio::null());
    command
}

fn batch(list: &Path, out: &Path, threads: usize, shard: Option<&str>) -> Outcome<Run> {
    let mut command = command();
    command
        .arg("batch")
        .arg(list)
        .arg("--out")
        .arg(out)
        .args(["--threads", &threads.to_string()])
        .args(["--effort", &effort(), "--date", "2026-03-28"]);
    if let Some(shard) = shard {
        command.args(["--shard", shard]);
    }
    watched(command.spawn()?)
}

/// Waits for a child and keeps its peak memory and its processor time.
fn watched(mut child: Child) -> Outcome<Run> {
    let start = Instant::now();
    let (mut peak_mb, mut processor_s) = (None, None);
    let status = loop {
        peak_mb = peak(child.id()).or(peak_mb);
        processor_s = processor::seconds(child.id()).or(processor_s);
        if let Some(status) = child.try_wait()? {
            break status;
        }
        std::thread::sleep(LOOK);
    };
    Ok(Run {
        seconds: start.elapsed().as_secs_f64(),
        processor_s,
        peak_mb,
        code: status.code(),
    })
}

/// Peak resident memory of a process so far, MB (`VmHWM` of Linux, in kB).
fn peak(process: u32) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kilobytes / 1000.0)
}

/// Whether two folders hold the same files.
fn alike(one: &Path, other: &Path) -> Outcome<&'static str> {
    let same = files(one, one)? == files(other, other)?;
    Ok(if same { "byte-identical" } else { "DIFFERENT" })
}

fn files(root: &Path, folder: &Path) -> Outcome<Vec<(PathBuf, Vec<u8>)>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(files(root, &path)?);
        } else {
            found.push((path.strip_prefix(root)?.to_path_buf(), fs::read(&path)?));
        }
    }
    found.sort();
    Ok(found)
}
