//! What a batch goes on from, and what the merging of parts takes from other machines.

use super::put;
use crate::batch::place::Place;
use crate::batch::record::{Asked, Card, Record, Written};
use crate::batch::shard::Shard;
use duskwright_solver::portfolio::{
    CableLength, Fate, JobFigures, ModelCount, Portfolio, PortfolioRow,
};
use duskwright_solver::units::Money;
use duskwright_tests::fuzz::Sound;
use rust_decimal::dec;
use std::fs;
use std::path::{Path, PathBuf};

/// The job of the records.
const JOB: &str = "elm";

/// The folder of a batch, held.
pub(super) struct Batch {
    place: Place,
    card: PathBuf,
    record: PathBuf,
}

impl Batch {
    pub(super) fn new(folder: &Path) -> Self {
        Self {
            place: Place::open(folder).expect("a folder of its own"),
            card: folder.join("batch.json"),
            record: folder.join(format!("records/{JOB}.json")),
        }
    }

    /// Cards of a whole batch and of a part, as they are written.
    pub(super) fn sound_cards(&self) -> Sound {
        let asked = Asked {
            effort: "quick".to_owned(),
            seed: 7,
            layout: Some("hub".to_owned()),
            paper: None,
            date: "2026-03-28".to_owned(),
        };
        let jobs = [JOB, "oak"].map(str::to_owned).to_vec();
        let shards = [None, Shard::read("2/4").ok()];
        let cards = shards.map(|shard| {
            let card = Card::new(asked.clone(), shard, jobs.clone());
            self.place.put_card(&card).expect("written");
            fs::read(&self.card).expect("readable")
        });
        Sound::several(cards)
    }

    /// Records of a job with a plan and of one without.
    pub(super) fn sound_records(&self) -> Sound {
        let failed = Record::failed(JOB, "refused", "no such fixture");
        let planned = Record {
            fingerprint: Some("ab".to_owned()),
            input_hash: Some("cd".to_owned()),
            files: vec![Written {
                name: "bill.csv".to_owned(),
                digest: "ef".to_owned(),
            }],
            row: PortfolioRow {
                job: JOB.to_owned(),
                fate: Fate::Planned(Box::new(figures())),
            },
            ..failed.clone()
        };
        let records = [planned, failed].map(|record| {
            self.place.put_record(&record).expect("written");
            fs::read(&self.record).expect("readable")
        });
        Sound::several(records)
    }

    /// The card, and which of its jobs are its own.
    pub(super) fn card(&self, bytes: &[u8]) -> String {
        put(&self.card, bytes);
        match self.place.card() {
            Ok(Some(card)) => {
                let own = |position: &usize| card.shard.is_none_or(|shard| shard.has(*position));
                let own = (0..card.jobs.len()).filter(own).count();
                format!("read, {own} of {} jobs", card.jobs.len())
            }
            Ok(None) => "no card".to_owned(),
            Err(failure) => failure.to_string(),
        }
    }

    /// The record, whether its results are there, and the portfolio of two such jobs.
    pub(super) fn record(&self, bytes: &[u8]) -> String {
        put(&self.record, bytes);
        let Some(record) = self.place.record(JOB) else {
            return "not on record".to_owned();
        };
        let intact = self.place.intact(&record).is_some();
        let rows = vec![record.row.clone(), record.row];
        format!("read, {intact}\n{}", Portfolio::of(rows).csv())
    }
}

fn figures() -> JobFigures {
    JobFigures {
        name: "Elm Court".to_owned(),
        currency: "EUR".to_owned(),
        length_unit: "m".to_owned(),
        fixtures: 12,
        circuits: 2,
        price: Money::new(dec!(1000.50)),
        total: Money::new(dec!(1200.60)),
        direct_cost: 800.25,
        bound: Some(760.0),
        optimal: false,
        hours: dec!(17.70),
        cable: vec![CableLength {
            gauge: "4 mm²".to_owned(),
            length: dec!(40.00),
        }],
        trench: dec!(30.00),
        transformers: vec![ModelCount {
            model: "tr-200".to_owned(),
            count: 1,
        }],
        standing: 0,
        exceptions: vec!["near water: F1".to_owned()],
    }
}
