//! No allocation while circuits are rebuilt and solved over and over.

use allocation_counter::measure;
use duskwright_solver::electrical::{Feeder, Sweep};
use duskwright_tests::random_trees::{Kind, RandomTree};

/// Rebuilds the feeder of a tree in place.
fn rebuild(feeder: &mut Feeder, tree: &RandomTree) {
    feeder.clear();
    for bus in &tree.buses {
        let added = feeder.add_bus(bus.parent, bus.resistance_ohm, bus.reactance_ohm);
        if let Some(load) = bus.load {
            feeder.set_load(added, load);
        }
    }
}

#[test]
fn a_grown_workspace_allocates_no_more() {
    for kind in [Kind::Falling, Kind::Resistive, Kind::Phasor] {
        let trees: Vec<RandomTree> = (0..20)
            .map(|seed| RandomTree::draw(seed, 10 + seed as usize, kind))
            .collect();
        let floors = vec![1.0; 40];
        let (mut feeder, mut sweep) = (Feeder::new(), Sweep::new());
        let mut all = || {
            let mut served = 0;
            for tree in &trees {
                rebuild(&mut feeder, tree);
                let above = sweep.solve_arithmetic_above(&feeder, tree.source_v, &floors);
                let phasor = sweep.solve_phasor(&feeder, tree.source_v);
                served += u32::from(above.is_ok()) + u32::from(phasor.is_ok());
            }
            served
        };
        assert_eq!(all(), 40, "the trees are lightly loaded");
        let counted = measure(|| {
            all();
        });
        assert_eq!(counted.count_total, 0, "{kind:?}: {counted:?}");
    }
}
