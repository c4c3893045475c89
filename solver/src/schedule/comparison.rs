//! Plans side by side: what an estimator decides by, one column a plan.

use super::model::{Dossier, Status};
use super::tables::number;
use crate::bill::DirectPart;
use crate::cells::{names, table, text};
use crate::units::{Cost, Volts};
use rust_decimal::Decimal;

/// Figures of one plan.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Planned {
    /// Direct cost by kind, unrounded; kinds that are zero are left out.
    pub parts: Vec<(DirectPart, Cost)>,
    /// Direct cost: what was minimised.
    pub direct: Cost,
    /// Price before tax.
    pub price: Decimal,
    /// Labour hours of the bid.
    pub hours: Decimal,
    /// Cable bought by gauge, in catalogue order, in the job's length unit.
    pub cables: Vec<(String, Decimal)>,
    /// Ground opened, in the job's length unit.
    pub opened: Decimal,
    /// Circuits.
    pub circuits: usize,
    /// Transformers in use.
    pub transformers: usize,
    /// Splices.
    pub splices: u32,
    /// Hubs.
    pub hubs: u32,
    /// Lowest and highest voltage expected at any fixture.
    pub expected: (Volts, Volts),
    /// Least distance of any fixture from an end of its window in the worst cases.
    pub margin: Volts,
    /// Load that could be added to the transformers in use, as a share of what they may carry.
    pub spare_share: f64,
    /// Least such share of a single transformer.
    pub least_spare_share: f64,
    /// Lug places on taps of the transformers in use that are free.
    pub free_lugs: u32,
    /// Proven lower bound on the direct cost of any plan under the same terms.
    pub bound: Option<Cost>,
    /// `(cost - bound) / cost`.
    pub gap: Option<f64>,
}

impl Planned {
    /// The figures of a plan's dossier.
    #[must_use]
    pub fn of(dossier: &Dossier) -> Self {
        let expected = dossier.fixtures.iter().map(|row| row.expected);
        let least = |one: Volts, other: Volts| if other < one { other } else { one };
        let most = |one: Volts, other: Volts| if other > one { other } else { one };
        let margins = dossier.fixtures.iter().map(|row| row.margin);
        let share = |load: f64, permitted: f64| (1.0 - load / permitted).max(0.0);
        let units = &dossier.transformers;
        let load: f64 = units.iter().map(|unit| unit.load.value()).sum();
        let permitted: f64 = units.iter().map(|unit| unit.permitted.value()).sum();
        let lugs = units.iter().flat_map(|unit| &unit.secondaries);
        Self {
            parts: dossier
                .bill
                .direct
                .lines
                .iter()
                .map(|line| (line.part, line.cost))
                .collect(),
            direct: dossier.bill.direct.cost,
            price: dossier.bill.price.decimal(),
            hours: dossier.bill.hours,
            cables: by_gauge(dossier),
            opened: dossier.trenches.length,
            circuits: dossier.circuits.len(),
            transformers: units.len(),
            splices: dossier.quantities.joints.iter().map(|row| row.count).sum(),
            hubs: dossier.quantities.hubs.iter().map(|row| row.count).sum(),
            expected: (
                expected.clone().reduce(least).unwrap_or(Volts::ZERO),
                expected.reduce(most).unwrap_or(Volts::ZERO),
            ),
            margin: margins.reduce(least).unwrap_or(Volts::ZERO),
            spare_share: share(load, permitted),
            least_spare_share: units
                .iter()
                .map(|unit| share(unit.load.value(), unit.permitted.value()))
                .fold(1.0, f64::min),
            free_lugs: lugs
                .map(|secondary| secondary.tap_lugs.saturating_sub(secondary.tap_lugs_used))
                .sum(),
            bound: dossier.header.standing.bound,
            gap: match dossier.header.standing.status {
                Status::Optimal => Some(0.0),
                _ => dossier.header.standing.gap,
            },
        }
    }

    fn part(&self, wanted: DirectPart) -> f64 {
        let found = self.parts.iter().find(|(part, _)| *part == wanted);
        found.map_or(0.0, |(_, cost)| cost.value())
    }

    fn gauge(&self, wanted: &str) -> Decimal {
        let found = self.cables.iter().find(|(gauge, _)| gauge == wanted);
        found.map_or(Decimal::ZERO, |(_, length)| *length)
    }
}

/// Cable types of one gauge count together.
fn by_gauge(dossier: &Dossier) -> Vec<(String, Decimal)> {
    let mut gauges: Vec<(String, Decimal)> = Vec::new();
    for row in &dossier.quantities.cables {
        match gauges.iter_mut().find(|(gauge, _)| *gauge == row.gauge) {
            Some((_, length)) => *length += row.length,
            None => gauges.push((row.gauge.clone(), row.length)),
        }
    }
    gauges
}

/// What planning one column led to.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Compared {
    /// A checked plan.
    Planned(Box<Planned>),
    /// None, and why, in a few words.
    None(String),
}

/// Plans side by side.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Comparison {
    /// Name of the job.
    pub job: String,
    /// Currency printed beside money.
    pub currency: String,
    /// `ft` or `m`.
    pub length_unit: String,
    /// What each column was asked for and what came of it.
    pub columns: Vec<(String, Compared)>,
}

/// What a fact is about; facts of a group stand together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FactGroup {
    /// Money.
    Cost,
    /// Things and work.
    Work,
    /// Volts and capacity.
    Service,
}

/// One fact of all columns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// Which group.
    pub group: FactGroup,
    /// What it is.
    pub name: String,
    /// Its unit; empty for counts.
    pub unit: String,
    /// Its value in each column, a point as decimal mark; empty where there is no plan.
    pub values: Vec<String>,
}

/// Parts of the direct cost and what they are called.
const PARTS: [(DirectPart, &str); 9] = [
    (DirectPart::Trench, "ground opened"),
    (DirectPart::CableWork, "laying cable"),
    (DirectPart::Cable, "cable"),
    (DirectPart::Joints, "splices"),
    (DirectPart::Hubs, "hubs"),
    (DirectPart::Transformers, "transformers"),
    (DirectPart::Sites, "sites"),
    (DirectPart::FurtherCircuits, "further mains circuits"),
    (DirectPart::Losses, "energy and losses, present value"),
];

impl Comparison {
    /// All facts, group by group. Parts and gauges that no column has are left out.
    #[must_use]
    pub fn facts(&self) -> Vec<Fact> {
        let mut facts = self.cost_facts();
        facts.extend(self.work_facts());
        facts.extend(self.service_facts());
        facts
    }

    fn planned(&self) -> impl Iterator<Item = &Planned> {
        self.columns.iter().filter_map(|(_, column)| match column {
            Compared::Planned(planned) => Some(&**planned),
            Compared::None(_) => None,
        })
    }

    fn fact(
        &self,
        group: FactGroup,
        name: impl Into<String>,
        unit: &str,
        value: impl Fn(&Planned) -> String,
    ) -> Fact {
        let values = self.columns.iter().map(|(_, column)| match column {
            Compared::Planned(planned) => value(planned),
            Compared::None(_) => String::new(),
        });
        Fact {
            group,
            name: name.into(),
            unit: unit.to_owned(),
            values: values.collect(),
        }
    }

    fn cost_facts(&self) -> Vec<Fact> {
        let money = |name: &str, value: &dyn Fn(&Planned) -> String| {
            self.fact(FactGroup::Cost, name, &self.currency, value)
        };
        let mut facts = vec![
            money("direct cost", &|plan| number(plan.direct.value(), 2)),
            money("proven bound", &|plan| {
                plan.bound
                    .map_or(String::new(), |bound| number(bound.value(), 2))
            }),
            self.fact(FactGroup::Cost, "gap", "%", |plan| {
                plan.gap.map_or(String::new(), |gap| number(100.0 * gap, 1))
            }),
        ];
        for (part, name) in PARTS {
            if self.planned().any(|plan| plan.part(part) > 0.0) {
                facts.push(money(name, &|plan| number(plan.part(part), 2)));
            }
        }
        facts.push(money("price before tax", &|plan| plan.price.to_string()));
        facts
    }

    fn work_facts(&self) -> Vec<Fact> {
        let work = |name: &str, unit: &str, value: &dyn Fn(&Planned) -> String| {
            self.fact(FactGroup::Work, name, unit, value)
        };
        let mut gauges: Vec<&str> = Vec::new();
        for (gauge, _) in self.planned().flat_map(|plan| &plan.cables) {
            if !gauges.contains(&gauge.as_str()) {
                gauges.push(gauge);
            }
        }
        let unit = &self.length_unit;
        let mut facts = vec![
            work("labour", "h", &|plan| plan.hours.to_string()),
            work("ground opened", unit, &|plan| plan.opened.to_string()),
        ];
        for gauge in gauges {
            facts.push(work(&format!("cable {gauge}"), unit, &|plan| {
                plan.gauge(gauge).to_string()
            }));
        }
        facts.extend([
            work("circuits", "", &|plan| plan.circuits.to_string()),
            work("transformers", "", &|plan| plan.transformers.to_string()),
            work("splices", "", &|plan| plan.splices.to_string()),
            work("hubs", "", &|plan| plan.hubs.to_string()),
        ]);
        facts
    }

    fn service_facts(&self) -> Vec<Fact> {
        let service = |name: &str, unit: &str, value: &dyn Fn(&Planned) -> String| {
            self.fact(FactGroup::Service, name, unit, value)
        };
        vec![
            service("lowest expected voltage", "V", &|plan| {
                number(plan.expected.0.value(), 2)
            }),
            service("highest expected voltage", "V", &|plan| {
                number(plan.expected.1.value(), 2)
            }),
            service("voltage spread", "V", &|plan| {
                number((plan.expected.1 - plan.expected.0).value(), 2)
            }),
            service("least distance from a window's end", "V", &|plan| {
                number(plan.margin.value(), 2)
            }),
            service("transformer capacity free", "%", &|plan| {
                number(100.0 * plan.spare_share, 0)
            }),
            service("on the fullest transformer", "%", &|plan| {
                number(100.0 * plan.least_spare_share, 0)
            }),
            service("tap lugs free", "", &|plan| plan.free_lugs.to_string()),
        ]
    }

    /// The comparison as comma-separated text: a row for each fact, a column for each plan;
    /// then a row for each fact of `origin`, which says how all of them were made.
    #[must_use]
    pub fn csv(&self, origin: &[(&'static str, String)]) -> String {
        let mut header = names(["fact", "unit"]);
        header.extend(self.columns.iter().map(|(name, _)| text(name)));
        let outcome = |column: &Compared| match column {
            Compared::Planned(_) => "feasible".to_owned(),
            Compared::None(why) => text(why),
        };
        let outcomes = self.columns.iter().map(|(_, column)| outcome(column));
        let first = names(["outcome", ""]).into_iter().chain(outcomes).collect();
        let rows = self.facts().into_iter().map(|fact| {
            let labels = [text(&fact.name), text(&fact.unit)];
            labels.into_iter().chain(fact.values).collect()
        });
        let made = origin.iter().map(|(fact, told)| {
            let mut row = vec![(*fact).to_owned(), String::new()];
            row.resize(header.len(), text(told));
            row
        });
        table(&header, std::iter::once(first).chain(rows).chain(made))
    }
}
