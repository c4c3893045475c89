//! Plans over the row of three lamps that are trees, and otherwise anything:
//! routes need not meet, fixtures may be missing.

use duskwright_solver::ids::{CableId, NodeId, SegmentId, SiteId};
use duskwright_solver::plan::{Circuit, JointHardware, Plan, Route};
use duskwright_tests::build::{HUB, SPLICE, circuit, joint, lead_run, plan};
use proptest::prelude::*;

/// Routes of up to five segments, whether or not they meet: a file carries unlawful plans as well.
fn any_route() -> impl Strategy<Value = Vec<SegmentId>> {
    prop::collection::vec((0_u32..4).prop_map(SegmentId), 0..5)
}

fn any_hardware() -> impl Strategy<Value = JointHardware> {
    prop_oneof![Just(SPLICE), Just(HUB)]
}

prop_compose! {
    fn any_circuit(fixtures: u32)(
        secondary in 0_usize..2,
        joints in prop::collection::vec(
            (0_u32..4, any_hardware(), any::<prop::sample::Index>(), 0_u32..2, any_route()),
            1..6,
        ),
        leads in prop::collection::vec((0..fixtures, any::<prop::sample::Index>(), any_route()), 0..8),
    ) -> Circuit {
        let count = joints.len();
        let joints = joints
            .into_iter()
            .enumerate()
            .map(|(at, (node, hardware, from, cable, route))| {
                let from = (at > 0).then(|| u32::try_from(from.index(at)).expect("few joints"));
                let mut made = joint(NodeId(node), hardware, from, &route);
                made.incoming.cable = CableId(cable);
                made
            })
            .collect();
        let leads = leads
            .into_iter()
            .map(|(fixture, at, route)| {
                let at = u32::try_from(at.index(count)).expect("few joints");
                let mut run = lead_run(fixture, at, &[]);
                run.route = Route { segments: route };
                run
            })
            .collect();
        circuit(secondary, joints, leads)
    }
}

prop_compose! {
    /// Plans of up to three circuits with leads of the first `fixtures` fixtures, any of them several times or not at all.
    pub fn any_plan(fixtures: u32)(
        circuits in prop::collection::vec(any_circuit(fixtures), 0..4),
        further in prop::option::of(0_u32..3),
    ) -> Plan {
        let mut made = plan(circuits);
        made.further_circuits = further.map(|count| (SiteId(0), count)).into_iter().collect();
        made
    }
}
