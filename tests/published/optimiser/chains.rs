//! Open chains of a few points, beside the cheapest found by trying every set of points.
//! Larger ones beside other libraries: `make peer-layout`.

use duskwright_solver::job::Layout;
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::solve::{self, Outcome};
use duskwright_tests::optima::{chains, straight, walked};

type Place = (f64, f64);

/// Most points on a chain.
const MOST: u32 = 3;

/// Least length of an open walk from the site through each set of at most `MOST`
/// points, then of a division of all points into such sets.
fn cheapest(site: Place, points: &[Place]) -> f64 {
    let count = points.len();
    let all = (1_usize << count) - 1;
    let mut ending = vec![vec![f64::INFINITY; count]; all + 1];
    for (point, &place) in points.iter().enumerate() {
        ending[1 << point][point] = straight(site, place);
    }
    for set in 1..=all {
        for last in 0..count {
            for next in (0..count).filter(|&next| set & (1 << next) == 0) {
                let longer = ending[set][last] + straight(points[last], points[next]);
                let kept = &mut ending[set | (1 << next)][next];
                *kept = kept.min(longer);
            }
        }
    }
    let walk = |set: usize| ending[set].iter().copied().fold(f64::INFINITY, f64::min);
    let mut divided = vec![f64::INFINITY; all + 1];
    divided[0] = 0.0;
    for set in 1..=all {
        let parts = (1..=set).filter(|part| part & !set == 0 && part.count_ones() <= MOST);
        divided[set] = parts
            .map(|part| divided[set & !part] + walk(part))
            .fold(f64::INFINITY, f64::min);
    }
    divided[all]
}

/// Points spread by the multiples of two irrational numbers, m.
fn spread(count: usize, turn: usize) -> Vec<Place> {
    let share = |index: usize, step: f64| 100.0 * ((index as f64 * step).fract());
    (0..count)
        .map(|index| 1 + index + turn * count)
        .map(|index| {
            (
                share(index, std::f64::consts::SQRT_2),
                share(index, 5_f64.sqrt()),
            )
        })
        .collect()
}

#[test]
fn chains_of_few_points_are_the_cheapest() {
    for turn in 0..6 {
        let places = spread(8, turn);
        let (site, points) = (places[0], &places[1..]);
        let settings = Settings {
            effort: Effort::Quick,
            layout: Layout::Chain,
            seed: 1,
        };
        let job = chains(site, points, MOST);
        let Outcome::Feasible(solution) = solve::plan(&job, &settings, &Silent) else {
            panic!("turn {turn}: no lawful plan");
        };
        let length: f64 = walked(&solution.plan)
            .iter()
            .map(|chain| {
                let stops = std::iter::once(site).chain(chain.iter().map(|&point| points[point]));
                let stops: Vec<Place> = stops.collect();
                stops
                    .windows(2)
                    .map(|pair| straight(pair[0], pair[1]))
                    .sum::<f64>()
            })
            .sum();
        let least = cheapest(site, points);
        let cost = solution.cost.total().value();
        let rounding = 0.01 * points.len() as f64;
        assert!(
            length >= least - 1e-9 && length <= least + rounding,
            "turn {turn}: chains of {length} m, the cheapest {least} m"
        );
        assert!(
            cost >= length - 1e-9 && cost <= length + rounding,
            "turn {turn}: {cost} paid for chains of {length} m"
        );
        let bound = solution.bound.value.value();
        assert!(
            bound <= least + rounding,
            "turn {turn}: bound {bound}, the cheapest {least} m"
        );
    }
}
