//! Named alternatives of a job, told in a few lines of TOML: other gauges, other
//! sites, other transformers, other rates.
//!
//! ```toml
//! [[alternative]]
//! name = "thick cable only"
//! cables = ["10-2", "8-2"]
//!
//! [[alternative]]
//! name = "from the garage, dear labour"
//! sites = ["garage"]
//! labour_rate = 95
//! ```

use crate::job::{Job, Layout, did_you_mean, in_plain_words};
use crate::units::{Money, Ratio};
use rust_decimal::Decimal;
use serde::Deserialize;

/// A file of alternatives that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AlternativeFault {
    /// Not TOML, or not of this form; the text names line and column.
    #[error(
        "{0}\naccepted: tables [[alternative]] with the keys name (required), layout, cables, sites, transformers, most_fixtures_per_circuit, labour_rate, digging_factor, cable_price_factor"
    )]
    Form(String),
    /// A name that the job does not know.
    #[error("alternative `{alternative}`: {key} names `{given}`; accepted: {known}{meant}")]
    Unknown {
        /// Name of the alternative.
        alternative: String,
        /// Which key.
        key: &'static str,
        /// The name given.
        given: String,
        /// The names that would be accepted.
        known: String,
        /// A guess, or nothing.
        meant: String,
    },
    /// A number out of its range, or a list that leaves nothing.
    #[error("alternative `{alternative}`: {key} {reason}")]
    Value {
        /// Name of the alternative.
        alternative: String,
        /// Which key.
        key: &'static str,
        /// What is wrong, and what would be accepted.
        reason: String,
    },
    /// Two of one name.
    #[error("alternative `{0}` is there twice; accepted: a name of its own for each")]
    Twice(String),
}

/// One alternative. What is left out stays as the job has it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// Its name, printed above its column.
    pub name: String,
    /// What is different, in a sentence for the client; a bid prints it.
    pub difference: Option<String>,
    /// Layout of every circuit.
    pub layout: Option<Layout>,
    /// The only cable types that may be bought.
    pub cables: Option<Vec<String>>,
    /// The only sites where transformers may stand.
    pub sites: Option<Vec<String>>,
    /// The only transformer models that may be bought.
    pub transformers: Option<Vec<String>>,
    /// Most fixtures on one circuit, at least 1.
    pub most_fixtures_per_circuit: Option<u32>,
    /// Loaded labour rate, money per hour, >= 0.
    pub labour_rate: Option<f64>,
    /// Factor on hours and money of opening ground, >= 0.
    pub digging_factor: Option<f64>,
    /// Factor on the price of cable and spools, >= 0.
    pub cable_price_factor: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    alternative: Vec<Alternative>,
}

/// Reads the text of a file of alternatives; names must differ.
///
/// # Errors
/// [`AlternativeFault::Form`] with line and column, or [`AlternativeFault::Twice`].
pub fn read(text: &str) -> Result<Vec<Alternative>, AlternativeFault> {
    let file: File = toml::from_str(text)
        .map_err(|error| AlternativeFault::Form(in_plain_words(&error.to_string())))?;
    for (at, one) in file.alternative.iter().enumerate() {
        if file.alternative[..at]
            .iter()
            .any(|other| other.name == one.name)
        {
            return Err(AlternativeFault::Twice(one.name.clone()));
        }
    }
    Ok(file.alternative)
}

impl Alternative {
    /// The job as this alternative has it.
    ///
    /// # Errors
    /// [`AlternativeFault`] for a name that the job does not know, a number out of
    /// range, or a standing transformer at a site that is left out.
    pub fn of(&self, job: &Job) -> Result<Job, AlternativeFault> {
        let mut job = job.clone();
        if let Some(names) = &self.cables {
            let tags: Vec<&str> = job.cables.iter().map(|cable| cable.tag.as_str()).collect();
            let keep = self.chosen("cables", names, &tags)?;
            for (cable, keep) in job.cables.iter_mut().zip(keep) {
                cable.allowed.home_run &= keep;
                cable.allowed.branch &= keep;
            }
        }
        if let Some(names) = &self.sites {
            self.limit_sites(&mut job, names)?;
        }
        if let Some(names) = &self.transformers {
            self.limit_transformers(&mut job, names)?;
        }
        if let Some(most) = self.most_fixtures_per_circuit {
            if most == 0 {
                return Err(self.wrong("most_fixtures_per_circuit", "is 0; accepted: 1 and more"));
            }
            job.rules.most_fixtures_per_circuit = Some(most);
        }
        self.change_rates(&mut job)?;
        Ok(job)
    }

    /// Which of `known` are named; every name must be among them.
    fn chosen(
        &self,
        key: &'static str,
        names: &[String],
        known: &[&str],
    ) -> Result<Vec<bool>, AlternativeFault> {
        if let Some(given) = names.iter().find(|name| !known.contains(&name.as_str())) {
            return Err(AlternativeFault::Unknown {
                alternative: self.name.clone(),
                key,
                given: given.clone(),
                known: known.join(", "),
                meant: did_you_mean(given, known.iter().copied())
                    .map_or_else(String::new, |meant| format!("; {meant}")),
            });
        }
        if names.is_empty() {
            return Err(self.wrong(
                key,
                "is an empty list; accepted: one name or more, or no such key",
            ));
        }
        let named = |tag: &&str| names.iter().any(|name| name == tag);
        Ok(known.iter().map(named).collect())
    }

    fn wrong(&self, key: &'static str, reason: &str) -> AlternativeFault {
        AlternativeFault::Value {
            alternative: self.name.clone(),
            key,
            reason: reason.to_owned(),
        }
    }

    fn limit_sites(&self, job: &mut Job, names: &[String]) -> Result<(), AlternativeFault> {
        let tags: Vec<&str> = job.sites.iter().map(|site| site.tag.as_str()).collect();
        let keep = self.chosen("sites", names, &tags)?;
        let standing = job.existing.iter().find(|one| !keep[one.site.index()]);
        if let Some(standing) = standing {
            let site = &job.site(standing.site).tag;
            let reason = format!(
                "leave out `{site}`, where transformer `{}` stands; name that site too",
                standing.tag
            );
            return Err(self.wrong("sites", &reason));
        }
        for (site, keep) in job.sites.iter_mut().zip(keep) {
            if !keep {
                site.outlets = 0;
                site.places = 0;
                site.further = None;
            }
        }
        Ok(())
    }

    /// Models left out are taken off the catalogue; those that stand on site must stay.
    fn limit_transformers(&self, job: &mut Job, names: &[String]) -> Result<(), AlternativeFault> {
        let tags: Vec<&str> = job
            .transformers
            .iter()
            .map(|model| model.tag.as_str())
            .collect();
        let keep = self.chosen("transformers", names, &tags)?;
        let mut number = vec![None; keep.len()];
        let mut kept = Vec::new();
        let standing = |index: usize| job.existing.iter().any(|one| one.model.index() == index);
        for (index, model) in job.transformers.iter().enumerate() {
            if keep[index] {
                number[index] = Some(crate::ids::TransformerModelId::new(kept.len()));
                kept.push(model.clone());
            } else if standing(index) {
                let reason = format!(
                    "leave out `{}`, which stands on site already; name that model too",
                    model.tag
                );
                return Err(self.wrong("transformers", &reason));
            }
        }
        for existing in &mut job.existing {
            existing.model = number[existing.model.index()].expect("standing models were kept");
        }
        job.transformers = kept;
        Ok(())
    }

    fn change_rates(&self, job: &mut Job) -> Result<(), AlternativeFault> {
        if let Some(rate) = self.labour_rate {
            job.rates.labour = Money::new(self.decimal("labour_rate", rate)?);
        }
        if let Some(factor) = self.digging_factor {
            let exact = Ratio::new(self.decimal("digging_factor", factor)?);
            for surface in &mut job.surfaces {
                let works = std::iter::once(&mut surface.open).chain(&mut surface.beyond_limit);
                for work in works {
                    work.hours_per_unit *= factor;
                    work.money_per_unit = scaled(work.money_per_unit, exact);
                }
                surface.open_fixed = scaled(surface.open_fixed, exact);
            }
        }
        if let Some(factor) = self.cable_price_factor {
            let exact = Ratio::new(self.decimal("cable_price_factor", factor)?);
            for cable in &mut job.cables {
                if let Some(price) = &mut cable.price {
                    price.per_unit = scaled(price.per_unit, exact);
                }
                for spool in &mut cable.spools {
                    spool.price = scaled(spool.price, exact);
                }
            }
        }
        Ok(())
    }

    fn decimal(&self, key: &'static str, value: f64) -> Result<Decimal, AlternativeFault> {
        const LARGEST: f64 = 1e6;
        let lawful = (0.0..=LARGEST).contains(&value);
        let decimal = Decimal::try_from(value).ok().filter(|_| lawful);
        decimal.ok_or_else(|| self.wrong(key, &format!("is {value:?}; accepted: 0 to 1000000")))
    }
}

fn scaled(money: Money, factor: Ratio) -> Money {
    Money::new(money.decimal() * factor.decimal())
}
