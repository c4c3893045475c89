//! The search against published and proved optima, through the engine's own
//! path: instances become jobs, jobs are planned and checked as any other.
//! What takes longer is measured by `make bench-published`.

mod chains;
mod sites;
mod trees;
mod trenches;

use duskwright_solver::optimise::Effort;
use duskwright_tests::optima::Optimum;

/// Values of all instances, printed beside the published ones; bounds never above,
/// values never below a proved optimum. Quick effort saves time where it is within
/// `share` already; elsewhere standard effort, the default, counts.
fn reached(instances: &[Optimum], share: f64) -> Vec<f64> {
    if instances.is_empty() {
        println!("skipped: no instances at hand");
    }
    let values = instances.iter().map(|instance| {
        let mut solution = instance.solve(Effort::Quick, 1);
        if instance.excess(instance.measured(&solution)) > share {
            solution = instance.solve(Effort::Standard, 1);
        }
        let value = instance.measured(&solution);
        let bound = solution.bound.value.value() - instance.added;
        println!(
            "{}: published {}, reached {value:.2}, bound {bound:.2}",
            instance.name, instance.value
        );
        // Pieces are bought by the centimetre, rounded up: 0.01 m each at most above, none below.
        let proved = instance.standing == duskwright_tests::optima::Standing::Optimal;
        assert!(
            !proved
                || (value >= instance.value * (1.0 - 1e-6)
                    && bound <= instance.value * (1.0 + 1e-6)),
            "{}: bound {bound}, published {}, reached {value}",
            instance.name,
            instance.value
        );
        value
    });
    values.collect()
}

/// Requires every instance within a share of its published value.
#[track_caller]
fn within(instances: &[Optimum], share: f64) {
    for (instance, value) in instances.iter().zip(reached(instances, share)) {
        assert!(
            instance.excess(value) <= share,
            "{}: published {}, reached {value}",
            instance.name,
            instance.value
        );
    }
}

/// Room for the rounding of pieces up to the centimetre.
const ROUNDING: f64 = 1e-5;
