use super::{Table, splits};
use crate::bill::specimen;
use crate::optimise::bound::climb::Climb;
use crate::optimise::bound::copper::{self, Stock};
use crate::optimise::bound::planted::Planted;
use crate::optimise::bound::prices::Prices;
use crate::optimise::bound::relaxation::Relaxation;
use crate::optimise::bound::{ascent, lagrangian};

fn relaxation() -> Relaxation {
    let job = specimen::job();
    let gauges = copper::gauges(&job, Stock::Free, Planted::Nothing);
    Relaxation::new(&job, &gauges, Planted::Nothing)
}

#[test]
fn a_set_is_split_in_two_once_each_way() {
    for set in 1_usize..64 {
        let first = set & set.wrapping_neg();
        let found: Vec<(usize, usize)> = splits(set).collect();
        assert_eq!(found.len(), (1 << (set.count_ones() - 1)) - 1, "{set:b}");
        for (at, (part, rest)) in found.iter().enumerate() {
            assert!(part & first != 0 && part & rest == 0 && part | rest == set);
            assert!(*rest != 0 && !found[..at].contains(&(*part, *rest)));
        }
    }
}

/// The specimen with free trenches and transformers, worked by hand. From the shed: 3 + 10 +
/// 1 ft to a splice at F2; from there 1 + 25.5 + 1 ft, with work on the lawn, to a splice at F1
/// where F1, F4 and the long lead of F3 land. The cheaper gauge is 0.415 a foot and 5 % waste, a
/// splice 3.25 and 0.125 h at 72, work on a cable in the lawn 0.005 h a foot.
#[test]
fn the_cheapest_circuit_of_the_specimen_is_that_worked_by_hand() {
    let relaxation = relaxation();
    let makings = relaxation.makings.as_deref().expect("few fixtures");
    let prices = Prices::zero(&relaxation);
    let table = Table::new(makings, &relaxation, &prices);
    let splice = 3.25 + 0.125 * 72.0;
    let foot = 0.415 * 1.05;
    let by_hand = (14.0 + 27.5) * foot + 25.5 * 0.005 * 72.0 + 2.0 * splice;
    assert!((table.value() - by_hand).abs() < 1e-9, "{}", table.value());
    let traced = table.trace();
    let segments = |f: usize| {
        let mut edges = traced[f].edges.clone();
        edges.sort_unstable();
        edges
    };
    assert!(traced.iter().all(|one| one.site == 1));
    assert_eq!(
        [0, 1, 2, 3].map(segments),
        [vec![1, 3], vec![3], vec![1, 3], vec![1, 3]]
    );
}

/// At the same prices nothing is relaxed that was not before, whatever the prices.
#[test]
fn whole_circuits_bound_no_lower_than_single_paths_at_the_same_prices() {
    let mut paths = relaxation();
    let mut climb = Climb::new(&paths, ascent::dual_ascent(&paths));
    let mut higher = 0;
    for _ in 0..40 {
        for _ in 0..5 {
            climb.step(&mut paths, None);
        }
        let prices = climb.best_prices();
        let apart = lagrangian::evaluate(&paths, prices).value;
        let mut whole = paths.clone();
        whole.whole = true;
        let whole = lagrangian::evaluate(&whole, prices).value;
        assert!(whole >= apart - 1e-6, "{whole} below {apart}");
        higher += usize::from(whole > apart + 1e-3);
    }
    assert!(higher > 0, "never higher");
}
