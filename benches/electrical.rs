//! Speed of the electrical core on one core, as solutions a second and as ratios
//! taken in one run. `peer FILE` instead solves the networks of a text file and
//! prints voltages and time per solution, for a comparison with another program.

use duskwright_solver::electrical::{BusLoad, Feeder, Sweep};
use std::hint::black_box;
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// Time that this program has spent on a processor, or on the clock where the system
/// does not say: on a busy machine only the first is a property of the program.
struct Stopwatch {
    clock: Instant,
    processor_ns: Option<u64>,
}

impl Stopwatch {
    fn start() -> Self {
        Self {
            clock: Instant::now(),
            processor_ns: processor_ns(),
        }
    }
    fn elapsed(&self) -> Duration {
        match (self.processor_ns, processor_ns()) {
            (Some(before), Some(now)) => Duration::from_nanos(now - before),
            _ => self.clock.elapsed(),
        }
    }
}

/// Nanoseconds on a processor since the program began, from the Linux scheduler.
fn processor_ns() -> Option<u64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split_whitespace().next()?.parse().ok()
}

/// Shortest time that a figure is taken over.
const LEAST: Duration = Duration::from_millis(400);
/// Tap that the circuits hang on, V.
const SOURCE_V: f64 = 15.0;
/// Low end of the windows, margin included, V.
const FLOOR_V: f64 = 9.5;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [mode, path] if mode == "peer" => peer(path),
        _ => {
            measure();
            ExitCode::SUCCESS
        }
    }
}

/// A circuit as planned on site: a run with a joint at every fixture, a lead at every joint.
///
/// 12 gauge between joints, 18 gauge leads, 30 °C; spread so that the last fixture stands
/// well inside its window whatever the count.
fn circuit(fixtures: usize, exponents: &[f64]) -> (Feeder, Vec<f64>) {
    let spread = 10.0 / fixtures as f64;
    let (mut feeder, mut floors) = (Feeder::new(), vec![0.0]);
    for fixture in 0..fixtures {
        let from = if fixture == 0 { 0 } else { 2 * fixture - 1 };
        let joint = feeder.add_bus(from, 0.05 * spread, 0.0);
        let terminal = feeder.add_bus(joint, 0.03, 0.0);
        let load = BusLoad {
            real_w: 6.0 * spread,
            reactive_var: 2.0 * spread,
            rated_v: 12.0,
            exponent: exponents[fixture % exponents.len()],
        };
        feeder.set_load(terminal, load);
        floors.extend([0.0, FLOOR_V]);
    }
    (feeder, floors)
}

/// Runs of `work` a second: the best of three spans, so that other work on the machine counts less.
fn per_second(mut work: impl FnMut()) -> f64 {
    (0..3)
        .map(|_| {
            let (start, mut runs, mut batch) = (Stopwatch::start(), 0_u64, 64_u64);
            loop {
                for _ in 0..batch {
                    work();
                }
                runs += batch;
                let taken = start.elapsed();
                if taken >= LEAST {
                    return runs as f64 / taken.as_secs_f64();
                }
                batch = (batch * 2).min(1 << 12);
            }
        })
        .fold(0.0, f64::max)
}

fn measure() {
    println!("processor time of one core; best of three spans\n");
    println!("full low-case checks a second (windows judged, figures kept)");
    println!(
        "{:>9} {:>10} {:>14} {:>8} {:>14}",
        "fixtures", "exponents", "checks/s", "passes", "phasor/s"
    );
    let kinds: [(&str, &[f64]); 5] = [
        ("0", &[0.0]),
        ("1", &[1.0]),
        ("2", &[2.0]),
        ("0, 1, 2", &[0.0, 1.0, 2.0]),
        ("0, 1.6", &[0.0, 1.6]),
    ];
    for fixtures in [10, 50, 200] {
        for (name, exponents) in kinds {
            let (feeder, floors) = circuit(fixtures, exponents);
            let mut sweep = Sweep::new();
            let checks = per_second(|| {
                let outcome = sweep.solve_arithmetic_above(black_box(&feeder), SOURCE_V, &floors);
                black_box(outcome).expect("the circuit is feasible");
            });
            let passes = sweep.passes();
            let phasors = per_second(|| {
                let outcome = sweep.solve_phasor(black_box(&feeder), SOURCE_V);
                black_box(outcome).expect("the circuit is feasible");
            });
            println!("{fixtures:>9} {name:>10} {checks:>14.0} {passes:>8} {phasors:>14.0}");
        }
    }
    println!(
        "\none fixture moved between two circuits and back, both rebuilt and checked: moves a second"
    );
    for fixtures in [10, 50] {
        println!("{fixtures:>9} {:>14.0}", moves_per_second(fixtures));
    }
    println!("\nearly rejection: checks a second of a circuit 30 % beyond its window");
    println!("{:>9} {:>14.0}", 10, rejections_per_second(10));
    linear_growth();
}

fn moves_per_second(fixtures: usize) -> f64 {
    let mut sweeps = [Sweep::new(), Sweep::new()];
    let mut feeders = [Feeder::new(), Feeder::new()];
    let mut floors = [Vec::new(), Vec::new()];
    let mut more = 1;
    per_second(|| {
        more = 1 - more;
        for (side, count) in [(0, fixtures + more), (1, fixtures + 1 - more)] {
            rebuild(&mut feeders[side], &mut floors[side], count, fixtures);
            let outcome =
                sweeps[side].solve_arithmetic_above(&feeders[side], SOURCE_V, &floors[side]);
            black_box(outcome).expect("the circuit is feasible");
        }
    })
}

/// The circuit of `count` fixtures with the sections and loads of one of `spread_over`, in place.
fn rebuild(feeder: &mut Feeder, floors: &mut Vec<f64>, count: usize, spread_over: usize) {
    let spread = 10.0 / spread_over as f64;
    feeder.clear();
    floors.clear();
    floors.push(0.0);
    for fixture in 0..count {
        let from = if fixture == 0 { 0 } else { 2 * fixture - 1 };
        let joint = feeder.add_bus(from, 0.05 * spread, 0.0);
        let terminal = feeder.add_bus(joint, 0.03, 0.0);
        let load = BusLoad {
            real_w: 6.0 * spread,
            reactive_var: 2.0 * spread,
            rated_v: 12.0,
            exponent: [0.0, 1.0, 2.0][fixture % 3],
        };
        feeder.set_load(terminal, load);
        floors.extend([0.0, FLOOR_V]);
    }
}

fn rejections_per_second(fixtures: usize) -> f64 {
    let (feeder, mut floors) = circuit(fixtures, &[0.0]);
    let mut sweep = Sweep::new();
    sweep
        .solve_arithmetic(&feeder, SOURCE_V)
        .expect("the circuit has an operating point");
    let end = feeder.bus_count() - 1;
    floors[end] = SOURCE_V - (SOURCE_V - sweep.volts(end)) / 1.3;
    per_second(|| {
        let outcome = sweep.solve_arithmetic_above(black_box(&feeder), SOURCE_V, &floors);
        black_box(outcome).expect_err("the circuit is infeasible");
    })
}

fn linear_growth() {
    println!("\ncost per bus and solution as feeders grow (constant power, equal end voltages)");
    println!(
        "{:>9} {:>12} {:>8} {:>16}",
        "buses", "ns per bus", "passes", "against 10 buses"
    );
    let mut first = None;
    for buses in [10, 30, 100, 300, 1_000, 3_000, 10_000] {
        let (feeder, _) = circuit(buses / 2, &[0.0]);
        let mut sweep = Sweep::new();
        let solutions = per_second(|| {
            let outcome = sweep.solve_arithmetic(black_box(&feeder), SOURCE_V);
            black_box(outcome).expect("the circuit has an operating point");
        });
        let per_bus_ns = 1e9 / solutions / buses as f64;
        let against = per_bus_ns / *first.get_or_insert(per_bus_ns);
        println!(
            "{buses:>9} {per_bus_ns:>12.2} {:>8} {against:>16.2}",
            sweep.passes()
        );
    }
}

/// Solves each network of the file with phasors and prints `time NS` and `volts V1 V2 ...`.
///
/// A network is a line `source VOLTS` followed by lines
/// `bus PARENT R_OHM X_OHM WATTS VARS RATED_V EXPONENT`, in an order in which parents come first.
fn peer(path: &str) -> ExitCode {
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(reason) => {
            eprintln!("{path}: {reason}");
            return ExitCode::FAILURE;
        }
    };
    let Some(networks) = read_networks(&text) else {
        eprintln!("{path}: not a list of networks");
        return ExitCode::FAILURE;
    };
    for (feeder, source_v) in &networks {
        let mut sweep = Sweep::new();
        if let Err(reason) = sweep.solve_phasor(feeder, *source_v) {
            println!("none {reason}");
            continue;
        }
        let solutions = per_second_within(Duration::from_millis(50), || {
            black_box(sweep.solve_phasor(black_box(feeder), *source_v)).expect("solved above");
        });
        let volts: Vec<String> = (1..feeder.bus_count())
            .map(|bus| format!("{:.12}", sweep.volts(bus)))
            .collect();
        println!("time {:.1}", 1e9 / solutions);
        println!("volts {}", volts.join(" "));
    }
    ExitCode::SUCCESS
}

fn per_second_within(least: Duration, mut work: impl FnMut()) -> f64 {
    let (start, mut runs) = (Stopwatch::start(), 0_u64);
    loop {
        for _ in 0..256 {
            work();
        }
        runs += 256;
        let taken = start.elapsed();
        if taken >= least {
            return runs as f64 / taken.as_secs_f64();
        }
    }
}

fn read_networks(text: &str) -> Option<Vec<(Feeder, f64)>> {
    let mut networks: Vec<(Feeder, f64)> = Vec::new();
    for line in text.lines() {
        let mut words = line.split_whitespace();
        let word = words.next()?;
        let numbers: Vec<f64> = words.map(str::parse).collect::<Result<_, _>>().ok()?;
        match (word, numbers.as_slice()) {
            ("source", &[volts]) => networks.push((Feeder::new(), volts)),
            ("bus", &[parent, r, x, real_w, reactive_var, rated_v, exponent]) => {
                let feeder = &mut networks.last_mut()?.0;
                let parent = parent as usize;
                if parent >= feeder.bus_count() {
                    return None;
                }
                let bus = feeder.add_bus(parent, r, x);
                let load = BusLoad {
                    real_w,
                    reactive_var,
                    rated_v,
                    exponent,
                };
                feeder.set_load(bus, load);
            }
            _ => return None,
        }
    }
    Some(networks)
}
