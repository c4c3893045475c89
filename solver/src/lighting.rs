//! Every zone of a job with its year: settings, hours, energy, and where it is switched.

use crate::calendar::devices::{keeps, needs};
use crate::calendar::{LightingError, Settings, Year, hours_on};
use crate::electrical::switching::secondary_zones;
use crate::ids::{PlacedId, ZoneId};
use crate::job::lighting::{Control, Rule};
use crate::job::{Job, Objective, Switched};
use crate::plan::Plan;
use crate::schedule::labels::Labels;
use crate::service::circuitry::Circuitry;
use crate::service::flow::solve;
use crate::units::{Hours, KilowattHours};

/// One zone, or all fixtures without one.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ZoneYear {
    /// Name; `None` for fixtures without a zone.
    pub zone: Option<String>,
    /// Its times, as a job writes them.
    pub times: String,
    /// What keeps such times.
    pub needs: &'static str,
    /// Settings and simulation; `None` when the job does not say where it is.
    pub settings: Option<Settings>,
    /// Hours on a year: simulated, or the stated number of a job without place.
    pub hours: Option<Hours>,
    /// Power while on, W: with a plan drawn from the mains, else of the lamps alone.
    pub watts: f64,
    /// Power drawn all year besides, W: no-load loss of transformers that stay on.
    pub idle_watts: f64,
    /// Energy a year.
    pub energy: Option<KilowattHours>,
    /// Cost of energy a year, in the job's currency.
    pub cost: Option<f64>,
    /// Where it is switched, one sentence each.
    pub switched: Vec<String>,
    /// What to mind, one sentence each.
    pub remarks: Vec<String>,
}

/// Works out every zone that has fixtures.
///
/// `plan`: when given, losses are counted and each switch is named.
///
/// # Errors
/// [`LightingError`].
/// # Panics
/// When the ids of the plan were made for another job.
pub fn zones(job: &Job, plan: Option<&Plan>, year: i32) -> Result<Vec<ZoneYear>, LightingError> {
    let calendar = match &job.lighting.place {
        Some(place) => Some(Year::of(place, year)?),
        None => None,
    };
    let ids = (0..job.zones.len()).map(|index| Some(ZoneId::new(index)));
    let drawn = plan.map(|plan| drawn(job, plan));
    Ok(ids
        .chain([None])
        .filter(|&zone| job.fixtures.iter().any(|fixture| fixture.zone == zone))
        .map(|zone| zone_year(job, calendar.as_ref(), drawn.as_deref(), zone))
        .collect())
}

/// The rule of a zone, or of fixtures without one.
///
/// # Panics
/// When the id was made for another job.
#[must_use]
pub fn rule_of(job: &Job, zone: Option<ZoneId>) -> Rule {
    let known = zone.and_then(|zone| job.lighting.zones.get(zone.index()));
    known.copied().unwrap_or(job.lighting.usual)
}

fn zone_year(
    job: &Job,
    calendar: Option<&Year>,
    drawn: Option<&[Drawn]>,
    zone: Option<ZoneId>,
) -> ZoneYear {
    let rule = rule_of(job, zone);
    let settings = calendar.map(|year| Settings::of(year, &rule));
    let hours = settings.as_ref().map(hours_on).or(stated_hours(job));
    let own: Vec<&Drawn> = drawn
        .unwrap_or_default()
        .iter()
        .filter(|drawn| drawn.zone == zone)
        .collect();
    let (watts, idle_watts) = if drawn.is_some() {
        (
            own.iter().map(|drawn| drawn.watts).sum(),
            own.iter().map(|drawn| drawn.idle_watts).sum(),
        )
    } else {
        (lamp_watts(job, zone), 0.0)
    };
    let year_hours = calendar.map_or(8760.0, |year| year.minutes() as f64 / 60.0);
    let energy = hours.map(|hours| (watts * hours.value() + idle_watts * year_hours) / 1000.0);
    let price = job.lighting.energy_price.map(|price| price.cost().value());
    ZoneYear {
        zone: zone.map(|zone| job.zone(zone).tag.clone()),
        times: rule.times.to_string(),
        needs: needs(&rule.times),
        remarks: remarks(&rule, settings.as_ref()),
        settings,
        hours,
        watts,
        idle_watts,
        energy: energy.map(KilowattHours::new),
        cost: energy.zip(price).map(|(energy, price)| energy * price),
        switched: own.iter().map(|drawn| drawn.switched.clone()).collect(),
    }
}

/// Hours a year that the job states where it says no place.
fn stated_hours(job: &Job) -> Option<Hours> {
    match job.objective {
        Objective::WithLosses(terms) => Some(terms.hours_per_year),
        Objective::Installed | Objective::WholeSpools => None,
    }
}

fn lamp_watts(job: &Job, zone: Option<ZoneId>) -> f64 {
    job.fixture_ids()
        .filter(|&id| job.fixture(id).zone == zone)
        .map(|id| job.model_of(id).real.value())
        .sum()
}

fn remarks(rule: &Rule, settings: Option<&Settings>) -> Vec<String> {
    let mut found = Vec::new();
    let Some(control) = rule.control else {
        found.push("The job does not say what switches it (control).".to_owned());
        return found;
    };
    if !keeps(control, &rule.times) {
        let words = match control {
            Control::Sensor => "A light sensor alone knows no times of the clock",
            _ => {
                "A clock with set times does not follow the sun: set it anew each month, as the table shows"
            }
        };
        found.push(format!(
            "{words}; what keeps these times by itself is {}.",
            needs(&rule.times)
        ));
    }
    let Some(settings) = settings else {
        return found;
    };
    if let Some(outcome) = &settings.outcome
        && !outcome.days_never_on.is_empty()
    {
        found.push(format!(
            "On {} days of the year the lights would not come on at all though the times ask for it: the clock's times lie outside darkness.",
            outcome.days_never_on.len()
        ));
    }
    if let Some(ahead) = &settings.sensor_ahead {
        found.push(format!(
            "Feed the clock from the mains and put the sensor behind it. With the sensor ahead of a motor clock the clock stands by day: it would be {:.1} h behind after one day and light {:.0} h a year at wrong times.",
            ahead.behind_after_a_day_hours, ahead.outcome.astray_hours
        ));
    }
    if settings.months.iter().any(|row| row.clock_change.is_some())
        && matches!(control, Control::Clock | Control::SensorAndClock)
    {
        found.push("A clock that does not know daylight saving is put forward and back by hand on the days shown.".to_owned());
    }
    found
}

/// What one switch interrupts, and what that draws.
struct Drawn {
    zone: Option<ZoneId>,
    watts: f64,
    idle_watts: f64,
    switched: String,
}

/// Every secondary of every transformer, or whole transformers where a zone switches them.
fn drawn(job: &Job, plan: &Plan) -> Vec<Drawn> {
    let labels = Labels::of(plan);
    let mut found = Vec::new();
    for (index, placed) in plan.transformers.iter().enumerate() {
        let id = PlacedId::new(index);
        let model = job.transformer(placed.model(job));
        let wiring = Circuitry::of(job, plan, id);
        let state = solve(&wiring);
        let zones = secondary_zones(job, plan, id, model.secondaries.len());
        let whole = zones
            .iter()
            .flatten()
            .find(|&&zone| job.zone(zone).switched == Switched::Transformer);
        let letter = &labels.transformers[index];
        let real = |secondary: usize| -> (f64, f64) {
            let runs = wiring.runs.iter().filter(|run| run.secondary == secondary);
            runs.map(|run| {
                (
                    state.run_watts(&wiring, run),
                    state.wire_amps(&wiring, run.pieces[0].hot),
                )
            })
            .fold((0.0, 0.0), |sum, (watts, amps)| {
                (sum.0 + watts, sum.1 + amps)
            })
        };
        let no_load = model.no_load_loss.value();
        if let Some(&zone) = whole {
            let watts: f64 = (0..zones.len()).map(|secondary| real(secondary).0).sum();
            found.push(Drawn {
                zone: Some(zone),
                watts: watts / model.efficiency + no_load,
                idle_watts: 0.0,
                switched: format!(
                    "On the mains side of transformer {letter}: the control must carry {:.0} VA; fitting it is for a licensed electrician.",
                    state.apparent_va / model.efficiency + no_load
                ),
            });
            continue;
        }
        let used: Vec<usize> = (0..zones.len())
            .filter(|&secondary| wiring.runs.iter().any(|run| run.secondary == secondary))
            .collect();
        for &secondary in &used {
            let (watts, amps) = real(secondary);
            let zone = zones[secondary];
            let on_mains = zone.is_none();
            found.push(Drawn {
                zone,
                watts: watts / model.efficiency + if on_mains { no_load / used.len() as f64 } else { 0.0 },
                idle_watts: if on_mains { 0.0 } else { no_load / used.len() as f64 },
                switched: if on_mains {
                    format!("Transformer {letter}, secondary {}: switched with the whole transformer on the mains side, by a licensed electrician.", model.secondaries[secondary].tag)
                } else {
                    format!(
                        "At secondary {} of transformer {letter}, on the low-voltage side: the control must carry {amps:.1} A; the transformer stays on.",
                        model.secondaries[secondary].tag
                    )
                },
            });
        }
    }
    found
}
