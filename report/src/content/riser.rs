//! Risers: the tree of one circuit from its terminals to its last joint, one row a
//! joint, with what the crew needs at each.

use super::block::{Column, Table};
use crate::format;
use duskwright_solver::schedule::{CircuitRow, Dossier, JointRow};

/// Where a joint stands in the drawn tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stem {
    /// Column of its sign, from 0.
    pub column: usize,
    /// Row of the joint that feeds it; `None` for the first, which the home run feeds.
    pub from: Option<usize>,
    /// Drawn as a hub.
    pub hub: bool,
}

/// The tree of one circuit with a table beside it, row by row.
#[derive(Clone, Debug, PartialEq)]
pub struct Riser {
    /// The circuit (position in the dossier): picks colour and pattern.
    pub circuit: usize,
    /// Terminals, breaker, current.
    pub heading: String,
    /// One for each row of the table.
    pub stems: Vec<Stem>,
    /// What stands beside the tree.
    pub table: Table,
}

/// The risers of one transformer.
pub fn of(dossier: &Dossier, transformer: &str) -> Vec<Riser> {
    dossier
        .circuits
        .iter()
        .enumerate()
        .filter(|(_, row)| row.transformer == transformer)
        .map(|(circuit, row)| riser(dossier, circuit, row))
        .collect()
}

fn riser(dossier: &Dossier, circuit: usize, row: &CircuitRow) -> Riser {
    let joints: Vec<&JointRow> = dossier
        .joints
        .iter()
        .filter(|joint| joint.circuit == row.label)
        .collect();
    let order = drawn_order(&joints);
    let unit = &dossier.header.length_unit;
    let mut table = Table::new(vec![
        Column::words("Joint"),
        Column::words("At"),
        Column::words("Made with"),
        Column::words("Fed by"),
        Column::words("Gauge"),
        Column::figures(&format!("Length {unit}")),
        Column::figures(&format!("From terminals {unit}")),
        Column::figures("Expected V"),
        Column::figures("Low case V"),
        Column::words("Fixtures, expected V"),
    ]);
    for &(index, _) in &order {
        table.row(cells(dossier, joints[index]));
    }
    Riser {
        circuit,
        heading: heading(row),
        stems: order.into_iter().map(|(_, stem)| stem).collect(),
        table,
    }
}

fn heading(row: &CircuitRow) -> String {
    format!(
        "{}: {}, secondary {}, tap {} and common {}, breaker {}\u{a0}A; {}\u{a0}V at the terminals, {}\u{a0}A expected",
        row.label,
        row.transformer,
        row.secondary,
        row.tap,
        row.common,
        format::trimmed(row.breaker.value(), 1),
        format::fixed(row.source_volts.value(), 2),
        format::fixed(row.expected_amps.value(), 2),
    )
}

fn cells(dossier: &Dossier, joint: &JointRow) -> [String; 10] {
    let fixtures = dossier
        .fixtures
        .iter()
        .filter(|fixture| fixture.joint == joint.id);
    let fixtures: Vec<String> = fixtures
        .map(|fixture| {
            let volts = format::fixed(fixture.expected.value(), 2);
            format!("{}\u{a0}{volts}", fixture.tag)
        })
        .collect();
    [
        joint.id.clone(),
        joint.node.clone(),
        joint.hardware.clone(),
        joint.piece.clone(),
        joint.incoming.clone(),
        format::length(joint.length),
        format::length(joint.along),
        format::fixed(joint.expected.value(), 2),
        format::fixed(joint.low.value(), 2),
        fixtures.join(", "),
    ]
}

/// The joints from the terminals outwards, side branches first, so that the longest
/// branch of each joint goes straight on below it.
fn drawn_order(joints: &[&JointRow]) -> Vec<(usize, Stem)> {
    let feeds = |index: usize| joints.iter().position(|one| one.id == joints[index].from);
    let from: Vec<Option<usize>> = (0..joints.len()).map(feeds).collect();
    let mut below = vec![1_usize; joints.len()];
    // A joint always comes after the one that feeds it.
    for index in (0..joints.len()).rev() {
        if let Some(parent) = from[index].filter(|&parent| parent < index) {
            below[parent] += below[index];
        }
    }
    let mut order: Vec<(usize, Stem)> = Vec::with_capacity(joints.len());
    let mut stack: Vec<(usize, usize, Option<usize>)> = Vec::new();
    for root in (0..joints.len()).filter(|&index| from[index].is_none()) {
        stack.push((root, 0, None));
        while let Some((index, column, parent)) = stack.pop() {
            let row = order.len();
            let stem = Stem {
                column,
                from: parent,
                hub: joints[index].hub,
            };
            order.push((index, stem));
            let mut children: Vec<usize> = (index + 1..joints.len())
                .filter(|&child| from[child] == Some(index))
                .collect();
            children.sort_by_key(|&child| (below[child], child));
            // The last one drawn, and so the first one pushed, goes straight on.
            if let Some(main) = children.pop() {
                stack.push((main, column, Some(row)));
                let sides = children.into_iter().rev();
                stack.extend(sides.map(|child| (child, column + 1, Some(row))));
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use duskwright_solver::units::Volts;
    use rust_decimal::Decimal;

    fn joint(id: &str, from: &str) -> JointRow {
        JointRow {
            id: id.to_owned(),
            circuit: "C1".to_owned(),
            node: id.to_owned(),
            hardware: "gel".to_owned(),
            hub: false,
            piece: String::new(),
            from: from.to_owned(),
            length: Decimal::ONE,
            along: Decimal::ONE,
            expected: Volts::new(12.0),
            low: Volts::new(11.0),
            high: Volts::new(13.0),
            incoming: String::new(),
            outgoing: Vec::new(),
            fixtures: Vec::new(),
        }
    }

    /// J1 feeds J2 (alone) and J3, which goes on to J4: J2 branches off, J3 goes on.
    #[test]
    fn the_longest_branch_goes_straight_on_and_side_branches_come_first() {
        let joints = [
            joint("J1", "T1"),
            joint("J2", "J1"),
            joint("J3", "J1"),
            joint("J4", "J3"),
        ];
        let order = drawn_order(&joints.iter().collect::<Vec<_>>());
        let drawn: Vec<(usize, usize, Option<usize>)> = order
            .iter()
            .map(|(index, stem)| (*index, stem.column, stem.from))
            .collect();
        assert_eq!(
            drawn,
            [
                (0, 0, None),
                (1, 1, Some(0)),
                (2, 0, Some(0)),
                (3, 0, Some(2))
            ]
        );
    }
}
