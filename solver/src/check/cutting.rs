//! What is cut from which spool, held against the plan and the tables.

use super::findings::Findings;
use super::measure::{piece_m, step_m};
use super::violation::{Excess, Place, Rule, Violation};
use crate::bill::CableCutting;
use crate::cut::CutSource;
use crate::ids::{CircuitId, JointId};
use crate::job::Job;
use crate::plan::{Plan, piece_label};
use std::collections::BTreeMap;

/// Steps this close are equal: lengths are whole steps.
const SAME_STEP: f64 = 1e-3;

/// Every fault of a cutting plan: pieces left out, cut twice or at another length than the
/// plan's, spools that hold less than is cut from them or that no table has, more remnants
/// drawn than lie on hand, and a price that is not the sum of the spools bought.
///
/// Cables that neither spool nor remnant supplies are bought by length and not looked at.
#[must_use]
pub fn cutting(job: &Job, plan: &Plan, cuttings: &[CableCutting]) -> Vec<Violation> {
    let mut findings = Findings::new(job, plan);
    for cutting in cuttings {
        one(&mut findings, cutting);
    }
    findings.violations
}

/// The plan's pieces of one cable by label, in grid steps.
fn wanted(job: &Job, plan: &Plan, cutting: &CableCutting) -> BTreeMap<String, f64> {
    let mut wanted = BTreeMap::new();
    for (index, circuit) in plan.circuits.iter().enumerate() {
        for (at, joint) in circuit.joints.iter().enumerate() {
            let (id, joint_id) = (CircuitId::new(index), JointId::new(at));
            let steps = piece_m(job, plan, circuit, joint_id) / step_m(job.units);
            if joint.incoming.cable == cutting.cable && steps > SAME_STEP {
                wanted.insert(piece_label(id, joint_id), steps);
            }
        }
    }
    wanted
}

fn one(findings: &mut Findings<'_>, cutting: &CableCutting) {
    let (job, plan) = (findings.job, findings.plan);
    let Some(cable) = job.cables.get(cutting.cable.index()) else {
        findings.fact(
            Rule::Cutting,
            Place::Plan,
            "a cable not in the table".to_owned(),
        );
        return;
    };
    let said = |text: String| format!("{}: {text}", cable.tag);
    let mut wanted = wanted(job, plan, cutting);
    let mut drawn = vec![0_u32; cable.stock.len()];
    let mut price = 0.0;
    for spool in &cutting.plan.spools {
        let length = match spool.source {
            CutSource::Bought(kind) => cable.spools.get(kind).map(|kind| {
                price += kind.price.cost().value();
                kind.length
            }),
            CutSource::Stock(kind) => cable.stock.get(kind).map(|remnant| {
                drawn[kind] += 1;
                remnant.length
            }),
        };
        if length != Some(spool.length) {
            let detail = said(format!(
                "a spool of {} steps is in no table",
                spool.length.0
            ));
            findings.fact(Rule::Cutting, Place::Plan, detail);
        }
        let mut used = 0.0;
        for at in spool.cuts.iter().flat_map(|cut| cut.pieces.clone()) {
            let Some(piece) = cutting.problem.pieces.get(at) else {
                findings.fact(Rule::Cutting, Place::Plan, said(format!("no piece {at}")));
                continue;
            };
            used += piece.length.0 as f64;
            match wanted.remove(&piece.id) {
                Some(steps) if (steps - piece.length.0 as f64).abs() <= SAME_STEP => {}
                Some(steps) => {
                    let detail = said(format!(
                        "piece {} is cut at {} steps, the plan has {steps:.0}",
                        piece.id, piece.length.0
                    ));
                    findings.fact(Rule::Cutting, Place::Plan, detail);
                }
                None => {
                    let detail = said(format!(
                        "piece {} is cut twice, or the plan has none",
                        piece.id
                    ));
                    findings.fact(Rule::Cutting, Place::Plan, detail);
                }
            }
        }
        let excess = Excess {
            found: used,
            limit: spool.length.0 as f64,
            unit: "steps of length",
        };
        findings.at_most(Rule::Cutting, Place::Plan, excess, SAME_STEP);
    }
    for (count, remnant) in drawn.into_iter().zip(&cable.stock) {
        findings.count(Rule::Cutting, Place::Plan, count as usize, remnant.count);
    }
    for (label, _) in wanted {
        let detail = said(format!("piece {label} is cut from no spool"));
        findings.fact(Rule::Cutting, Place::Plan, detail);
    }
    let stated = cutting.plan.cost.cost().value();
    if (stated - price).abs() > 1e-6 * price.max(1.0) {
        let excess = Excess {
            found: stated,
            limit: price,
            unit: "(currency)",
        };
        findings.stated(
            Place::Plan,
            &said("price of the spools".to_owned()),
            Some(excess),
        );
    }
}
