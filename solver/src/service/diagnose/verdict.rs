//! A diagnosis as it is told: causes in words, how well each fits, what to do, what to read next.

use super::evidence::Reading;
use super::library::Library;
use super::rank::{Ranking, rank};
use super::{next, pairs};
use crate::service::fault::{Fault, Words};
use crate::service::point::{Measurement, Names};

/// Causes told at most.
const TOLD: usize = 5;
/// Share below which a cause that is not first is left out.
const LEAST: f64 = 0.01;
/// What stands before every suggestion.
pub const SAFETY: &str = "Switch the transformer off and unplug it, and make sure that no voltage is left before a joint is opened or a conductor touched.";
/// What stands beside every suggestion that reaches the mains side.
pub const MAINS: &str = "Work on the mains side is for a licensed electrician.";

/// One or two faults in words.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Cause {
    /// What is wrong, a clause for each fault.
    pub what: Vec<String>,
    /// What to do, a sentence for each fault; making the circuit safe comes first.
    pub remedy: Vec<String>,
    /// Kinds of the faults.
    pub kinds: Vec<&'static str>,
    /// The faults.
    #[serde(skip)]
    pub faults: Vec<(Fault, f64)>,
}

/// Causes that the readings cannot tell apart.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Answer {
    /// The causes; empty for a sound installation.
    pub causes: Vec<Cause>,
    /// Whether a sound installation is among them.
    pub sound: bool,
    /// Probability, 0..1, among all explanations tried.
    pub share: f64,
    /// Squared distance from the readings over their number: about 1 for what is true.
    pub misfit_per_reading: f64,
}

/// The reading to take next.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct NextReading {
    /// Where.
    pub place: String,
    /// What.
    pub quantity: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Answer (counted from 1) and what it predicts.
    pub predictions: Vec<(usize, f64)>,
    /// The measurement.
    #[serde(skip)]
    pub measurement: Measurement,
}

/// What the readings of one transformer say.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Diagnosis {
    /// Letter of the transformer.
    pub transformer: String,
    /// Readings used.
    pub readings: usize,
    /// Answers, best first.
    pub answers: Vec<Answer>,
    /// True when nothing tried explains the readings.
    pub unexplained: bool,
    /// What to read next, when anything would help.
    pub next: Option<NextReading>,
}

impl Diagnosis {
    /// Whether a sound installation explains the readings best.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.answers.first().is_none_or(|answer| answer.sound)
    }
}

/// Ranks single faults, and pairs where no single fault explains the readings.
#[must_use]
pub fn explain(library: &Library<'_>, readings: &[Reading]) -> Ranking {
    let mut ranking = rank(library, readings);
    if ranking.is_unexplained() {
        pairs::add(library, readings, &mut ranking);
    }
    ranking
}

/// Diagnoses one transformer.
#[must_use]
pub fn diagnose(library: &Library<'_>, readings: &[Reading]) -> Diagnosis {
    let ranking = explain(library, readings);
    let circuitry = &library.healthy.circuitry;
    let names = Names::of(library.job, library.plan, library.transformer, circuitry);
    let words = Words {
        job: library.job,
        names: &names,
    };
    let shares = ranking.shares();
    let groups = ranking.groups();
    let weight = |group: &[usize]| group.iter().map(|&index| shares[index]).sum::<f64>();
    let mut ordered: Vec<(usize, f64)> = groups
        .iter()
        .enumerate()
        .map(|(position, group)| (position, weight(group)))
        .collect();
    ordered.retain(|&(position, share)| position == 0 || share >= LEAST);
    ordered.truncate(TOLD);
    let answers = ordered
        .iter()
        .map(|&(position, share)| answer(&ranking, &words, &groups[position], share))
        .collect();
    let next = next::next(library, &ranking).map(|next| {
        let measurement = library.measurements[next.measurement];
        let told = next.predictions.into_iter();
        NextReading {
            place: names.point(measurement.point),
            quantity: measurement.quantity.word(),
            unit: measurement.quantity.unit(),
            predictions: told
                .filter_map(|(group, value)| {
                    let position = ordered.iter().position(|&(known, _)| known == group)?;
                    Some((position + 1, value))
                })
                .collect(),
            measurement,
        }
    });
    Diagnosis {
        transformer: names.transformer().to_owned(),
        readings: readings.len(),
        answers,
        unexplained: ranking.is_unexplained(),
        next,
    }
}

fn answer(ranking: &Ranking, words: &Words<'_>, group: &[usize], share: f64) -> Answer {
    let members = group.iter().map(|&index| &ranking.explanations[index]);
    let readings = ranking.evidence.positions.len().max(1) as f64;
    Answer {
        causes: members
            .clone()
            .filter(|explanation| !explanation.faults.is_empty())
            .map(|explanation| cause(words, &explanation.faults))
            .collect(),
        sound: members
            .clone()
            .any(|explanation| explanation.faults.is_empty()),
        share,
        misfit_per_reading: ranking.explanations[group[0]].misfit / readings,
    }
}

fn cause(words: &Words<'_>, faults: &[(Fault, f64)]) -> Cause {
    let mains = faults.iter().any(|(fault, _)| fault.kind().is_mains());
    let mut remedy = vec![SAFETY.to_owned()];
    remedy.extend(
        faults
            .iter()
            .map(|&(fault, _)| words.remedy(fault).to_owned()),
    );
    if mains {
        remedy.push(MAINS.to_owned());
    }
    Cause {
        what: faults
            .iter()
            .map(|&(fault, size)| words.cause(fault, size))
            .collect(),
        remedy,
        kinds: faults
            .iter()
            .map(|(fault, _)| fault.kind().words())
            .collect(),
        faults: faults.to_vec(),
    }
}
