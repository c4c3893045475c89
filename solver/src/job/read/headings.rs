//! Which heading or key belongs to which declared column.

use crate::job::column::{Column, Table, Unit};
use crate::job::error::{Code, Fault, Ledger, MOST_OF_A_KIND, Notice, Place, Reported};
use crate::job::nearest::{listed, nearest};
use crate::units::UnitSystem;
use std::rc::Rc;

/// A heading of a table, or a key of a section.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    /// As written.
    pub name: Rc<str>,
    /// Where it stands.
    pub place: Place,
}

/// Which units a table may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Policy {
    /// Only those of the job.
    JobUnits(UnitSystem),
    /// Either, one for each column.
    Either,
}

/// Where a column was found.
#[derive(Clone, Copy, Debug)]
pub(super) enum Located {
    /// Under the heading of this position, in this unit.
    At(usize, Unit),
    /// Nowhere.
    Absent,
    /// Unusable, and reported.
    Reported(Reported),
}

/// Finds every column of `table` among `headings`, in the order of the columns.
///
/// Reports headings given twice, units mixed or of the other system; says
/// which headings are not read. A missing required column is the caller's to report.
pub(super) fn locate(
    table: &Table,
    headings: &[Heading],
    policy: Policy,
    ledger: &mut Ledger,
) -> Vec<Located> {
    let mut read = vec![false; headings.len()];
    let located = table
        .columns
        .iter()
        .map(|column| locate_one(column, headings, policy, &mut read, ledger))
        .collect();
    let unheard = headings.iter().zip(&read).filter(|(heading, read)| {
        let inner = table.inner.contains(&&*heading.name);
        !**read && !inner && !heading.name.is_empty()
    });
    // The ledger keeps no more of them; a near name for each of thousands would take long.
    for (heading, _) in unheard.take(MOST_OF_A_KIND) {
        ledger.notice(unread(table, heading));
    }
    located
}

fn locate_one(
    column: &Column,
    headings: &[Heading],
    policy: Policy,
    read: &mut [bool],
    ledger: &mut Ledger,
) -> Located {
    let mut found: Vec<(usize, Unit)> = Vec::new();
    for (unit, name) in column.headings() {
        for (position, heading) in headings.iter().enumerate() {
            if heading.name.eq_ignore_ascii_case(&name) {
                read[position] = true;
                found.push((position, unit));
            }
        }
    }
    match found.as_slice() {
        [] => Located::Absent,
        &[(position, unit)] => match other_system(unit, policy) {
            None => Located::At(position, unit),
            Some(system) => {
                Located::Reported(ledger.fault(wrong_system(column, &headings[position], system)))
            }
        },
        &[(first, unit), (second, other), ..] => {
            let (first, second) = (&headings[first], &headings[second]);
            let fault = if unit == other {
                twice(first, second)
            } else {
                two_units(column, first, second)
            };
            Located::Reported(ledger.fault(fault))
        }
    }
}

/// The job's units, when `unit` belongs to the other system and that is refused.
fn other_system(unit: Unit, policy: Policy) -> Option<UnitSystem> {
    match (policy, unit.system()) {
        (Policy::JobUnits(job), Some(system)) if job != system => Some(job),
        _ => None,
    }
}

fn wrong_system(column: &Column, heading: &Heading, job: UnitSystem) -> Fault {
    let wanted = column
        .headings()
        .find(|(unit, _)| unit.system() == Some(job))
        .map(|(_, name)| name)
        .unwrap_or_default();
    let units = match job {
        UnitSystem::Us => "us",
        UnitSystem::Metric => "metric",
    };
    let message = format!(
        "`{}` is not in the units of the job (units = \"{units}\")",
        heading.name
    );
    Fault::new(Code::UnitMix, &heading.place, message)
        .given(&*heading.name)
        .accepted(format!("\"{wanted}\""))
        .help("convert the figures and rename the column, or correct `units` in job.toml")
}

fn two_units(column: &Column, first: &Heading, second: &Heading) -> Fault {
    let names: Vec<String> = column
        .headings()
        .map(|(_, name)| format!("\"{name}\""))
        .collect();
    let message = format!(
        "`{}` and `{}` state the same thing twice",
        first.name, second.name
    );
    Fault::new(Code::UnitMix, &second.place, message)
        .given(&*second.name)
        .accepted(format!("one of {}", names.join(" and ")))
        .help("keep one of the two columns")
}

fn twice(first: &Heading, second: &Heading) -> Fault {
    let message = format!("the column `{}` is given twice", first.name);
    Fault::new(Code::ColumnTwice, &second.place, message)
        .given(&*second.name)
        .accepted("each column once")
        .help("keep one of the two columns")
}

/// The documented headings of a table.
fn documented(table: &Table) -> Vec<String> {
    let own = table
        .columns
        .iter()
        .flat_map(|column| column.headings().map(|(_, name)| name));
    own.chain(table.inner.iter().map(|name| (*name).to_owned()))
        .collect()
}

fn unread(table: &Table, heading: &Heading) -> Notice {
    let known = documented(table);
    let near = nearest(&heading.name, known.iter().map(String::as_str));
    let help = near.map(|name| format!("did you mean `{name}`?"));
    Notice::new(
        Code::Unread,
        &heading.place,
        format!("`{}` is not read", heading.name),
    )
    .maybe_help(help)
}

/// Fault for a required column that no heading names.
pub(super) fn column_missing(
    table: &Table,
    column: &Column,
    place: &Place,
    headings: &[Heading],
) -> Fault {
    let names: Vec<String> = column.headings().map(|(_, name)| name).collect();
    let near = headings
        .iter()
        .map(|heading| &*heading.name)
        .find(|heading| {
            nearest(heading, names.iter().map(String::as_str)).is_some()
                || column.headings().count() > 1 && heading.eq_ignore_ascii_case(column.name)
        })
        .map(|heading| format!("rename the column `{heading}`"));
    let message = format!("{} has no column `{}`", table.name, column.documented());
    Fault::new(Code::ColumnMissing, place, message)
        .accepted(listed(names.iter().map(String::as_str)))
        .help(near.unwrap_or_else(|| format!("it holds: {}", column.what)))
}
