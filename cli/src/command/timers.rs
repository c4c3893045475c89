//! `duskwright timers`: settings, hours, energy.

use crate::args::TimersArguments;
use crate::command::{print, print_json};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::plan_file;
use crate::{reading, settings};
use duskwright_solver::calendar::{MonthRow, Settings};
use duskwright_solver::job::lighting::clock_text;
use duskwright_solver::lighting::{ZoneYear, zones};
use std::fmt::Write;

/// Names of the months.
const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// Works out every zone.
///
/// # Errors
/// [`Failure`] when words, job or plan are refused or cannot be read.
pub(crate) fn run(arguments: &TimersArguments) -> Result<Exit, Failure> {
    let reading = reading::read(&arguments.job)?;
    let job = &reading.job;
    let plan = match &arguments.plan {
        Some(path) => Some(plan_file::read(job, path)?.0.plan),
        None => None,
    };
    let year = match arguments.year {
        Some(year) => year,
        None => i32::from(settings::paper_date(None)?.year()),
    };
    let found =
        zones(job, plan.as_ref(), year).map_err(|error| Failure::Refused(error.to_string()))?;
    if arguments.json {
        print_json(&found)?;
        return Ok(Exit::Feasible);
    }
    let mut out = format!("{}, {year}\n", job.name);
    out.push_str(if job.lighting.place.is_none() {
        "The job does not say where it is: job.toml, [place] with latitude_deg, longitude_deg and time_zone.\n"
    } else {
        "Dusk and dawn are those of civil twilight, the sun 6 degrees below the horizon.\n"
    });
    for zone in &found {
        tell(&mut out, zone, &job.currency);
    }
    print(&out)?;
    Ok(Exit::Feasible)
}

fn tell(out: &mut String, zone: &ZoneYear, currency: &str) {
    let mut line = |text: String| {
        let _infallible = writeln!(out, "{text}");
    };
    line(String::new());
    line(match &zone.zone {
        Some(tag) => format!("Zone {tag}: {}", zone.times),
        None => format!("Fixtures without a zone: {}", zone.times),
    });
    line(format!("  these times need   {}", zone.needs));
    if let Some(hours) = zone.hours {
        line(format!(
            "  on                 {:.0} h a year",
            hours.value()
        ));
    }
    line(format!("  power while on     {:.1} W", zone.watts));
    if zone.idle_watts > 0.0 {
        line(format!(
            "  power all year     {:.1} W (transformers that stay on)",
            zone.idle_watts
        ));
    }
    if let Some(energy) = zone.energy {
        let cost = zone
            .cost
            .map_or_else(String::new, |cost| format!(", {cost:.2} {currency}"));
        line(format!(
            "  energy             {:.1} kWh a year{cost}",
            energy.value()
        ));
    }
    for sentence in zone.switched.iter().chain(&zone.remarks) {
        line(format!("  {sentence}"));
    }
    if let Some(settings) = &zone.settings {
        table(&mut line, settings);
    }
}

fn table(line: &mut impl FnMut(String), settings: &Settings) {
    line("  month   dusk   dawn   wanted h   set".to_owned());
    for row in &settings.months {
        line(row_text(row));
    }
}

fn row_text(row: &MonthRow) -> String {
    let time = |minute: Option<u16>| minute.map_or_else(|| "  -  ".to_owned(), clock_text);
    let set: Vec<String> = row
        .set
        .iter()
        .map(|&(on, off)| format!("on {} off {}", clock_text(on), clock_text(off)))
        .collect();
    let mut text = format!(
        "  {:5}  {}  {}  {:9.1}   {}",
        MONTHS[usize::from(row.month) - 1],
        time(row.dusk),
        time(row.dawn),
        row.wanted_hours,
        set.join(", ")
    );
    if let Some((day, minutes)) = row.clock_change {
        let way = if minutes > 0 { "forward" } else { "back" };
        let _infallible = write!(
            text,
            "  (clocks go {way} {} min on day {day})",
            minutes.abs()
        );
    }
    text.trim_end().to_owned()
}
