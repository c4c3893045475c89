//! Hardware at the joints of a tree, lengths of its pieces, and its low-case feeder.

use super::Evaluator;
use crate::ids::{FixtureId, JointId, NodeId};
use crate::job::Layout;
use crate::plan::JointHardware;
use crate::run::context::Context;
use crate::run::gauge::{PieceSpan, Tail};
use crate::run::hardware::{Chosen, Demand, Wires, cheapest};
use crate::run::shape::Shape;
use crate::units::Metres;

impl Evaluator {
    /// Cost with the present cables and hardware, before any piece is made thicker.
    pub(super) fn cost_so_far(&self, ctx: &Context<'_>, shape: &Shape) -> f64 {
        let cables = self.cables.iter().zip(&self.chosen);
        let pieces = shape.joints.iter().zip(&self.pieces).zip(cables);
        let keep = ctx.guidance.keep.as_ref();
        let worth = keep.map_or(0.0, |keep| keep.most_worth(shape.joints.len()));
        let cost: f64 = pieces
            .map(|((joint, span), (cable, chosen))| {
                let passes: f64 = joint
                    .incoming
                    .route
                    .segments
                    .iter()
                    .map(|id| ctx.per_pass[id.index()])
                    .sum();
                cable.price_per_m * span.length_m + passes + chosen.cost
            })
            .sum();
        cost - worth
    }

    /// Cheapest hardware at every joint for the present cables.
    pub(super) fn choose_hardware(&mut self, ctx: &Context<'_>, shape: &Shape) -> Option<()> {
        self.chosen.clear();
        let (children, landed) = (shape.children(), shape.landed());
        for (index, joint) in shape.joints.iter().enumerate() {
            let this = Some(JointId::new(index));
            self.outgoing.clear();
            let mut fixtures = landed[index];
            for (other, child) in shape.joints.iter().enumerate().skip(index + 1) {
                if child.incoming.from == this {
                    self.outgoing.push(self.cables[other].size);
                    fixtures += if children[other] == 0 {
                        landed[other]
                    } else {
                        0
                    };
                }
            }
            let leads = shape.leads.iter().filter(|lead| Some(lead.joint) == this);
            self.outgoing
                .extend(leads.filter_map(|lead| ctx.fixtures[lead.fixture.index()].lead_size));
            let mut wires = Wires {
                incoming: self.cables[index].size,
                outgoing: &mut self.outgoing,
                fixtures,
            };
            let demand = demand(ctx, joint.node, index);
            self.chosen.push(cheapest(ctx, demand, &mut wires)?);
        }
        Some(())
    }

    /// Lengths, contacts and the low-case feeder for the present hardware.
    pub(super) fn lay_out(&mut self, ctx: &Context<'_>, shape: &Shape) {
        self.pieces.clear();
        self.tails.clear();
        self.low.clear();
        let grid = ctx.job.units.grid();
        let slack = ctx.job.rates.slack;
        let end_m = |chosen: &Chosen| match chosen.hardware {
            JointHardware::Splice(_) => slack.splice.value(),
            JointHardware::Hub(_) => slack.hub.value(),
        };
        for (index, joint) in shape.joints.iter().enumerate() {
            let parent = joint.incoming.from.map(JointId::index);
            let (near_m, near_ohm) = match parent {
                Some(parent) => (end_m(&self.chosen[parent]), self.chosen[parent].contact_ohm),
                None => (slack.transformer.value(), 0.0),
            };
            let route_m: f64 = joint
                .incoming
                .route
                .segments
                .iter()
                .map(|id| ctx.length_m[id.index()])
                .sum();
            let rise_m = |node: NodeId| ctx.job.node(node).rise.value();
            let ends_m = near_m
                + end_m(&self.chosen[index])
                + rise_m(shape.upstream_node(index))
                + rise_m(joint.node);
            self.pieces.push(PieceSpan {
                parent: parent.map(|parent| parent as u32),
                length_m: grid
                    .metres(grid.ceil(Metres::new(route_m + ends_m)))
                    .value(),
                contact_ohm: 2.0 * (near_ohm + self.chosen[index].contact_ohm),
                home_run: index == 0,
            });
            self.low
                .add_bus(parent.map_or(0, |parent| parent + 1), 0.0, 0.0);
        }
        for lead in &shape.leads {
            let facts = &ctx.fixtures[lead.fixture.index()];
            let ohm = facts.lead_low_ohm + self.lead_contact_ohm(ctx, lead.fixture, lead.joint);
            let bus = self.low.add_bus(lead.joint.index() + 1, ohm, 0.0);
            self.low.set_load(bus, facts.load);
            self.tails.push(Tail {
                piece: lead.joint.0,
                bus: bus as u32,
                least_v: facts.least_v,
                most_v: facts.most_v,
            });
        }
    }

    pub(super) fn lead_contact_ohm(
        &self,
        ctx: &Context<'_>,
        fixture: FixtureId,
        joint: JointId,
    ) -> f64 {
        let has_lead = ctx.fixtures[fixture.index()].lead_size.is_some();
        if has_lead {
            2.0 * self.chosen[joint.index()].contact_ohm
        } else {
            0.0
        }
    }
}

pub(super) fn contact_ohm(ctx: &Context<'_>, hardware: JointHardware) -> f64 {
    match hardware {
        JointHardware::Splice(id) => ctx.job.joint_kind(id).contact.0.value(),
        JointHardware::Hub(id) => ctx.job.hub(id).contact.0.value(),
    }
}

/// What the layout and the joint rule ask of a joint.
pub(super) fn demand(ctx: &Context<'_>, node: NodeId, index: usize) -> Demand {
    match ctx.layout {
        Layout::Hub if index == 0 => Demand::Hub,
        Layout::Hub => Demand::Splice,
        Layout::Chain => Demand::Splice,
        Layout::Mixed => {
            let at_fixture = ctx.fixture_at[node.index()];
            if ctx.job.rules.joints_at_fixtures_and_hubs && !at_fixture {
                Demand::Hub
            } else {
                Demand::Any
            }
        }
    }
}
