//! Transformer models with their secondaries, taps and commons.

use super::gather;
use super::names::{Names, asker, duplicate};
use crate::job::column::{Optional, Required};
use crate::job::error::{Code, Fault, Ledger, Notice, Place, Reported};
use crate::job::nearest::{did_you_mean, listed};
use crate::job::raw::{RawJob, SecondaryRow, TransformerRow};
use crate::job::value::{Percent, Tag, Whole};
use crate::job::{Common, Secondary, Tap, TransformerModel};
use crate::units::{Amperes, Hours, Volts, Watts};

/// Highest breaker of an output circuit without a stated reason.
///
/// 25 A per secondary circuit: NEC 411.2 (2005 to 2011); later kept by the
/// product standards for such supplies (from memory).
const HIGHEST_BREAKER: Amperes = Amperes::new(25.0);
/// Share of a breaker that may be carried continuously.
const CONTINUOUS: Percent = Percent(0.8);
/// Highest tap unless the job allows more: wet contact, 15 V ac (NEC 411.1, 2017 and 2020).
pub(super) const HIGHEST_TAP: Volts = Volts::new(15.0);

/// A secondary while its terminals are collected.
struct Winding<'a> {
    row: &'a SecondaryRow,
    taps: Vec<Tap>,
    commons: Vec<Common>,
}

/// The windings of every transformer, by row of `transformers.csv`.
struct Windings<'a> {
    of: Vec<Vec<Winding<'a>>>,
    /// Whether every row found its transformer and secondary.
    secondaries: Result<(), Reported>,
    taps: Result<(), Reported>,
    commons: Result<(), Reported>,
}

/// All transformer models, by row.
pub(super) fn transformers(
    raw: &RawJob,
    names: &Names<'_>,
    ledger: &mut Ledger,
) -> Vec<Result<TransformerModel, Reported>> {
    let mut windings = collect_secondaries(raw, names, ledger);
    collect_taps(raw, names, &mut windings, ledger);
    collect_commons(raw, names, &mut windings, ledger);
    let usable = check_taps(raw, &windings, ledger);
    let (secondaries, taps, commons) = (windings.secondaries, windings.taps, windings.commons);
    let rows = raw.transformers.rows.iter().zip(windings.of);
    rows.map(|(row, windings)| {
        let complete = check_complete(row, &windings, [secondaries, taps, commons], ledger);
        let model = model(row, windings, raw, ledger);
        complete?;
        usable?;
        secondaries.and(taps).and(commons)?;
        model
    })
    .collect()
}

fn collect_secondaries<'a>(
    raw: &'a RawJob,
    names: &Names<'_>,
    ledger: &mut Ledger,
) -> Windings<'a> {
    let mut of: Vec<Vec<Winding<'a>>> = raw.transformers.rows.iter().map(|_| Vec::new()).collect();
    let mut all = raw.secondaries.whole;
    for row in &raw.secondaries.rows {
        let who = asker("secondary", &row.tag);
        let owner = names.required(&row.transformer, &who, ledger);
        let (owner, tag) = match (&owner, &row.tag.value) {
            (Ok(owner), Ok(tag)) => (*owner, tag),
            (Err(reported), _) | (_, Err(reported)) => {
                all = Err(*reported);
                continue;
            }
        };
        let same = |other: &&Winding<'_>| other.row.tag.value.as_ref() == Ok(tag);
        if let Some(first) = of[owner].iter().find(same) {
            ledger.fault(duplicate(
                "secondary",
                &row.tag.cell,
                Some(&first.row.place),
            ));
        }
        of[owner].push(Winding {
            row,
            taps: Vec::new(),
            commons: Vec::new(),
        });
    }
    Windings {
        of,
        secondaries: all,
        taps: raw.taps.whole,
        commons: raw.commons.whole,
    }
}

/// What a tap and a common have in common.
struct Terminal<'r> {
    what: &'static str,
    transformer: &'r Required<Tag>,
    secondary: &'r Optional<Tag>,
    tag: &'r Required<Tag>,
}

/// The winding a terminal belongs to.
fn winding<'w, 'a>(
    terminal: &Terminal<'_>,
    names: &Names<'_>,
    windings: &'w mut Windings<'a>,
    ledger: &mut Ledger,
) -> Result<&'w mut Winding<'a>, Reported> {
    let who = asker(terminal.what, terminal.tag);
    let owner = names.required(terminal.transformer, &who, ledger)?;
    let wanted = terminal.secondary.get()?;
    let known = windings.secondaries;
    let of = &mut windings.of[owner];
    let tags: Vec<String> = of.iter().map(|w| w.row.tag.cell.text.clone()).collect();
    let listed_tags = listed(tags.iter().map(String::as_str));
    let position = match &wanted {
        None if of.len() == 1 => Some(0),
        None => {
            known?;
            let fault = terminal.secondary.cell.fault(
                Code::SecondaryNotNamed,
                format!(
                    "{who} does not say to which secondary of `{}` it belongs",
                    terminal.transformer.cell.text
                ),
            );
            return Err(ledger.fault(fault.accepted(listed_tags)));
        }
        Some(tag) => tags.iter().position(|known| *known == tag.0),
    };
    match (position.and_then(|position| of.get_mut(position)), wanted) {
        (Some(winding), _) => Ok(winding),
        (None, wanted) => {
            known?;
            let wanted = wanted.map(|tag| tag.0).unwrap_or_default();
            let message = format!(
                "{who} asks for secondary `{wanted}`, which transformer model `{}` does not have",
                terminal.transformer.cell.text
            );
            let help = did_you_mean(&wanted, tags.iter().map(String::as_str));
            Err(ledger.fault(
                terminal
                    .secondary
                    .cell
                    .fault(Code::UnknownTag, message)
                    .accepted(listed_tags)
                    .maybe_help(help.or(Some("add it to secondaries.csv".to_owned()))),
            ))
        }
    }
}

/// Reports a terminal tag that the winding has already.
fn check_new(terminal: &Terminal<'_>, tags: &[&str], ledger: &mut Ledger) -> Result<(), Reported> {
    if tags.contains(&terminal.tag.get()?.0.as_str()) {
        return Err(ledger.fault(duplicate(terminal.what, &terminal.tag.cell, None)));
    }
    Ok(())
}

fn collect_taps(raw: &RawJob, names: &Names<'_>, windings: &mut Windings<'_>, ledger: &mut Ledger) {
    let read = gather(raw.taps.rows.iter().map(|row| {
        let terminal = Terminal {
            what: "tap",
            transformer: &row.transformer,
            secondary: &row.secondary,
            tag: &row.tag,
        };
        let winding = winding(&terminal, names, windings, ledger)?;
        let tags: Vec<&str> = winding.taps.iter().map(|tap| tap.tag.as_str()).collect();
        check_new(&terminal, &tags, ledger)?;
        winding.taps.push(Tap {
            tag: row.tag.get()?.0,
            volts: row.voltage.get()?,
            lugs: row.lugs.or(Whole(1))?.0,
            takes: row.takes.get()?,
        });
        Ok(())
    }));
    windings.taps = windings.taps.and(read.map(|_| ()));
}

fn collect_commons(
    raw: &RawJob,
    names: &Names<'_>,
    windings: &mut Windings<'_>,
    ledger: &mut Ledger,
) {
    let read = gather(raw.commons.rows.iter().map(|row| {
        let terminal = Terminal {
            what: "common",
            transformer: &row.transformer,
            secondary: &row.secondary,
            tag: &row.tag,
        };
        let winding = winding(&terminal, names, windings, ledger)?;
        let tags: Vec<&str> = winding.commons.iter().map(|c| c.tag.as_str()).collect();
        check_new(&terminal, &tags, ledger)?;
        winding.commons.push(Common {
            tag: row.tag.get()?.0,
            lugs: row.lugs.or(Whole(1))?.0,
            takes: row.takes.get()?,
        });
        Ok(())
    }));
    windings.commons = windings.commons.and(read.map(|_| ()));
}

/// Every transformer has a secondary, every secondary a tap and a common.
fn check_complete(
    row: &TransformerRow,
    windings: &[Winding<'_>],
    [secondaries, taps, commons]: [Result<(), Reported>; 3],
    ledger: &mut Ledger,
) -> Result<(), Reported> {
    let mut missing: Vec<(&Place, String, &str)> = Vec::new();
    let who = asker("transformer model", &row.tag);
    if windings.is_empty() && secondaries.is_ok() {
        missing.push((
            &row.place,
            format!("{who} has no secondary"),
            "secondaries.csv",
        ));
    }
    for winding in windings {
        let of = asker("secondary", &winding.row.tag);
        let place = &winding.row.place;
        if winding.taps.is_empty() && taps.is_ok() {
            missing.push((place, format!("{of} of {who} has no tap"), "taps.csv"));
        }
        if winding.commons.is_empty() && commons.is_ok() {
            missing.push((place, format!("{of} of {who} has no common"), "commons.csv"));
        }
    }
    let mut complete = Ok(());
    for (place, message, table) in missing {
        let fault = Fault::new(Code::TransformerIncomplete, place, message);
        let accepted = format!("at least one row for it in {table}");
        complete = Err(ledger.fault(fault.accepted(accepted)));
    }
    complete
}

fn model(
    row: &TransformerRow,
    windings: Vec<Winding<'_>>,
    raw: &RawJob,
    ledger: &mut Ledger,
) -> Result<TransformerModel, Reported> {
    let secondaries = gather(windings.into_iter().map(|winding| {
        let breaker = breaker(winding.row, raw, ledger);
        Ok(Secondary {
            tag: winding.row.tag.get()?.0,
            taps: winding.taps,
            commons: winding.commons,
            breaker: breaker?,
            continuous_fraction: winding.row.continuous.or(CONTINUOUS)?.0,
        })
    }));
    row.kind.get()?;
    Ok(TransformerModel {
        tag: row.tag.get()?.0,
        rated: row.rated.get()?,
        price: row.price.get()?,
        hours: row.hours.or(Hours::ZERO)?,
        no_load_loss: row.no_load.or(Watts::ZERO)?,
        efficiency: row.efficiency.get()?.0,
        regulation: row.regulation.get()?.0,
        secondaries: secondaries?,
    })
}

/// The breaker; above 25 A only with the reason that the job states.
fn breaker(row: &SecondaryRow, raw: &RawJob, ledger: &mut Ledger) -> Result<Amperes, Reported> {
    let breaker = row.breaker.get()?;
    if breaker.value() <= HIGHEST_BREAKER.value() {
        return Ok(breaker);
    }
    let who = format!(
        "{} of transformer model `{}`",
        asker("secondary", &row.tag),
        row.transformer.cell.text
    );
    match raw.rules.breaker_reason.get()? {
        Some(reason) => {
            let message = format!(
                "{who} has a breaker above 25 A; the job says why: {}",
                reason.0
            );
            ledger.notice(Notice::new(
                Code::LargeBreakerAllowed,
                &row.breaker.cell.place,
                message,
            ));
            Ok(breaker)
        }
        None => {
            let message = format!("{who} has a breaker above 25 A");
            Err(ledger.fault(
                row.breaker
                    .cell
                    .fault(Code::BreakerTooLarge, message)
                    .accepted("a number above 0, at most 25")
                    .help("if code and listing permit it, say so in job.toml: [rules] breaker_above_25_reason = \"…\""),
            ))
        }
    }
}

/// Says which taps are above the highest allowed; reports when none is left.
fn check_taps(raw: &RawJob, windings: &Windings<'_>, ledger: &mut Ledger) -> Result<(), Reported> {
    let highest = raw.rules.highest_tap.or(HIGHEST_TAP)?;
    let mut usable = windings.taps.is_err();
    for (row, windings) in raw.transformers.rows.iter().zip(&windings.of) {
        let taps = || windings.iter().flat_map(|winding| &winding.taps);
        usable |= taps().any(|tap| tap.volts.value() <= highest.value());
        let above: Vec<&str> = taps()
            .filter(|tap| tap.volts.value() > highest.value())
            .map(|tap| tap.tag.as_str())
            .collect();
        if !above.is_empty() {
            let message = format!(
                "{}: above the highest allowed {highest} and not used: {}",
                asker("transformer model", &row.tag),
                listed(above)
            );
            ledger.notice(Notice::new(Code::TapTooHigh, &row.place, message));
        }
    }
    if usable || raw.taps.rows.is_empty() {
        return Ok(());
    }
    let fault = Fault::new(
        Code::NoUsableTap,
        &Place::file(&raw.taps.file),
        format!("every tap is above the highest allowed {highest}"),
    );
    Err(ledger.fault(
        fault.accepted(format!("a tap of at most {highest}")).help(
            "or raise highest_tap_v under [rules] in job.toml, where wet contact is excluded",
        ),
    ))
}
