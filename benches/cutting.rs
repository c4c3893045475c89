//! Cutting: published bin-packing instances, then a season's order.
//!
//! Prints for each instance the price of the plan (bins), the published best
//! value, the proven bound and the seconds; then the same for made-up orders in
//! four gauges with three spool lengths each, the gauges planned in parallel as the program does.
//! Arguments: parts of instance names (`order` for the orders). `--lists`
//! prints the problems instead, one JSON object a line, for an outside comparison.

use duskwright_solver::cut::{CutEffort, CutJob, CutPlan, cut};
use duskwright_tests::bin_packing::falkenauer;
use duskwright_tests::cut_lists::{assert_cuts, season_list};
use rayon::prelude::*;
use serde_json::json;
use std::time::Instant;

/// Gauges of an order.
const GAUGES: u32 = 4;
/// Pieces of the orders, over all gauges. 500 is the promised size.
const ORDERS: [usize; 4] = [100, 500, 1000, 2000];

fn main() {
    let (options, wanted): (Vec<String>, Vec<String>) = std::env::args()
        .skip(1)
        .partition(|word| word.starts_with("--"));
    let chosen =
        |name: &str| wanted.is_empty() || wanted.iter().any(|part| name.contains(part.as_str()));
    if options.iter().any(|option| option == "--lists") {
        print_lists(chosen);
        return;
    }
    println!("| instance | price | published | bound | proved | s |");
    println!("|---|---|---|---|---|---|");
    let (mut reached, mut proved, mut run) = (0, 0, 0);
    for instance in falkenauer()
        .iter()
        .filter(|instance| chosen(&instance.name))
    {
        let start = Instant::now();
        let plan = planned(&instance.job);
        let seconds = start.elapsed().as_secs_f64();
        println!(
            "| {} | {} | {} | {} | {} | {seconds:.3} |",
            instance.name, plan.cost, instance.best, plan.bound, plan.proved
        );
        run += 1;
        reached += u32::from(plan.cost.decimal() == instance.best.into());
        proved += u32::from(plan.proved);
    }
    println!("\n{reached} of {run} reach the published value, {proved} proved\n");
    if chosen("order") {
        orders();
    }
}

fn planned(job: &CutJob) -> CutPlan {
    let plan = cut(job, &CutEffort::default()).expect("every piece fits a spool");
    assert_cuts(job, &plan);
    plan
}

fn order(pieces: usize) -> Vec<CutJob> {
    let each = pieces / GAUGES as usize;
    (0..GAUGES)
        .map(|gauge| season_list(each, gauge, 1))
        .collect()
}

fn orders() {
    println!("| order of | price | bound | proved | pulls parted | s |");
    println!("|---|---|---|---|---|---|");
    for pieces in ORDERS {
        let jobs = order(pieces);
        let start = Instant::now();
        let plans: Vec<CutPlan> = jobs.par_iter().map(planned).collect();
        let seconds = start.elapsed().as_secs_f64();
        let price: rust_decimal::Decimal = plans.iter().map(|plan| plan.cost.decimal()).sum();
        let bound: rust_decimal::Decimal = plans.iter().map(|plan| plan.bound.decimal()).sum();
        let proved = plans.iter().filter(|plan| plan.proved).count();
        let parted: usize = plans.iter().map(|plan| plan.partings).sum();
        println!(
            "| {pieces} pieces | {price} | {bound} | {proved} of {GAUGES} | {parted} | {seconds:.3} |"
        );
    }
}

/// The problems as `{name, pieces, spools: [[length, price]], stock: [[length, count]]}`, lengths in grid steps.
fn print_lists(chosen: impl Fn(&str) -> bool) {
    for instance in falkenauer()
        .iter()
        .filter(|instance| chosen(&instance.name))
    {
        print_list(&instance.name, &instance.job);
    }
    for pieces in ORDERS {
        for (gauge, job) in order(pieces).iter().enumerate() {
            let name = format!("order-{pieces}-{gauge}");
            if chosen(&name) {
                print_list(&name, job);
            }
        }
    }
}

fn print_list(name: &str, job: &CutJob) {
    let start = Instant::now();
    let plan = planned(job);
    let seconds = start.elapsed().as_secs_f64();
    let lengths: Vec<i64> = job.pieces.iter().map(|piece| piece.length.0).collect();
    let spools = job
        .spools
        .iter()
        .map(|spool| json!([spool.length.0, spool.price.to_string()]));
    let stock = job
        .stock
        .iter()
        .map(|remnant| json!([remnant.length.0, remnant.count]));
    let line = json!({
        "name": name,
        "pieces": lengths,
        "spools": spools.collect::<Vec<_>>(),
        "stock": stock.collect::<Vec<_>>(),
        "price": plan.cost.to_string(),
        "bound": plan.bound.to_string(),
        "seconds": seconds,
    });
    println!("{line}");
}
