//! The schedules of the specimen plan, worked by hand; voltages are those of
//! the electrical model, which has its own tests.

mod cautions;
mod rows;
mod sums;
mod tables;

use super::*;
use crate::bill::specimen;
use crate::bill::{CableCutting, LineKind, Unit};
use crate::cut::{CutEffort, cut, cut_jobs};
use crate::electrical::cases::figures;
use crate::job::Job;
use crate::plan::Plan;
use crate::units::{Cost, GridSteps, Metres, Money, Volts};
use proptest::prelude::*;
use rust_decimal::{Decimal, dec};

fn standing() -> Standing {
    Standing {
        status: Status::Bounded,
        bound: Some(Cost::new(900.0)),
        gap: Some(0.0017),
        remarks: Vec::new(),
    }
}

fn dossier_of(job: &Job, plan: &Plan) -> Dossier {
    let findings = Findings::of(job, plan, Vec::new(), None, standing());
    Dossier::of(job, plan, &findings.expect("the specimen works"))
}

fn dossier() -> Dossier {
    dossier_of(&specimen::job(), &specimen::plan())
}
