//! The cheapest splice or hub that holds the wires of a joint.

use super::context::Context;
use crate::ids::{HubKindId, JointKindId};
use crate::job::{HubKind, JointKind, Layout, SizeRange};
use crate::plan::JointHardware;
use crate::units::SquareMillimetres;

/// Wires that meet in a joint.
pub(super) struct Wires<'w> {
    /// Conductor size of the feeding piece.
    pub incoming: SquareMillimetres,
    /// Conductor sizes of the pieces and leads going out; any order, is sorted in place.
    pub outgoing: &'w mut Vec<SquareMillimetres>,
    /// Fixtures fed straight from here, by lead or by a piece of their own.
    pub fixtures: u32,
}

/// What a joint may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Demand {
    /// Splice or hub.
    Any,
    /// A hub only.
    Hub,
    /// A splice only.
    Splice,
}

/// Hardware chosen for a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Chosen {
    pub hardware: JointHardware,
    pub cost: f64,
    /// Contact resistance of one wire end, ohm.
    pub contact_ohm: f64,
}

/// Cheapest hardware for the wires; `None` when nothing in the catalogue holds them.
/// Ties go to splices, then to catalogue order.
pub(super) fn cheapest(ctx: &Context<'_>, demand: Demand, wires: &mut Wires<'_>) -> Option<Chosen> {
    let mut best: Option<Chosen> = None;
    let mut offer = |chosen: Chosen| {
        if best.is_none_or(|kept| chosen.cost < kept.cost) {
            best = Some(chosen);
        }
    };
    wires
        .outgoing
        .sort_by(|x, y| y.value().total_cmp(&x.value()));
    if demand != Demand::Hub {
        for (index, kind) in ctx.job.joints.iter().enumerate() {
            if splice_holds(kind, wires) {
                let hardware = JointHardware::Splice(JointKindId::new(index));
                let cost = ctx.tariff.hardware(hardware).value();
                offer(Chosen {
                    hardware,
                    cost,
                    contact_ohm: kind.contact.0.value(),
                });
            }
        }
    }
    if demand != Demand::Splice && ctx.layout != Layout::Chain {
        for (index, kind) in ctx.job.hubs.iter().enumerate() {
            if hub_holds(ctx, kind, wires) {
                let hardware = JointHardware::Hub(HubKindId::new(index));
                let cost = ctx.tariff.hardware(hardware).value();
                offer(Chosen {
                    hardware,
                    cost,
                    contact_ohm: kind.contact.0.value(),
                });
            }
        }
    }
    best
}

fn splice_holds(kind: &JointKind, wires: &Wires<'_>) -> bool {
    kind.holds.iter().any(|set| {
        // Both lists run from large to small; the incoming wire takes its place by size.
        let mut incoming = Some(wires.incoming);
        let mut outgoing = wires.outgoing.iter().copied().peekable();
        let next = std::iter::from_fn(|| match (incoming, outgoing.peek()) {
            (Some(size), Some(&other)) if other.value() > size.value() => outgoing.next(),
            (Some(_), _) => incoming.take(),
            (None, _) => outgoing.next(),
        });
        let mut slots = set.slots.iter();
        let smallest = SquareMillimetres::ZERO;
        next.into_iter().all(|size| {
            slots
                .next()
                .is_some_and(|&largest| SizeRange { smallest, largest }.fits(size))
        })
    })
}

fn hub_holds(ctx: &Context<'_>, kind: &HubKind, wires: &Wires<'_>) -> bool {
    let rules = &ctx.job.rules;
    let usable = kind.most_in_use.saturating_sub(rules.spare.ports);
    let crowded = rules
        .most_fixtures_per_hub
        .is_some_and(|most| wires.fixtures > most);
    if wires.outgoing.len() > usable as usize || crowded || !kind.inlet.fits(wires.incoming) {
        return false;
    }
    // Small wires first, each into the port group with the smallest upper end
    // that takes it: optimal, since the groups' size ranges are intervals.
    let mut free: Vec<u32> = kind.ports.iter().map(|group| group.count).collect();
    wires.outgoing.iter().rev().all(|&size| {
        let group = (0..free.len())
            .filter(|&group| free[group] > 0 && kind.ports[group].takes.fits(size))
            .min_by(|&x, &y| {
                kind.ports[x]
                    .takes
                    .largest
                    .value()
                    .total_cmp(&kind.ports[y].takes.largest.value())
            });
        group.map(|group| free[group] -= 1).is_some()
    })
}
