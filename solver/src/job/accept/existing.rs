//! Transformers already standing.

use super::names::{Names, asker};
use super::{gather, whole};
use crate::ids::{SiteId, TransformerModelId, ZoneId};
use crate::job::column::Optional;
use crate::job::error::{Code, Ledger, Reported};
use crate::job::nearest::{did_you_mean, listed};
use crate::job::raw::{ExistingRow, RawJob};
use crate::job::value::{Share, Shares};
use crate::job::{Existing, TransformerModel};
use crate::units::VoltAmperes;

/// What a standing transformer refers to.
pub(super) struct Known<'a> {
    /// Sites.
    pub sites: &'a Names<'a>,
    /// Zones.
    pub zones: &'a Names<'a>,
    /// Transformer models by name.
    pub models: &'a Names<'a>,
    /// Transformer models by row.
    pub transformers: &'a [Result<TransformerModel, Reported>],
}

/// All standing transformers.
pub(super) fn existing(
    raw: &RawJob,
    known: &Known<'_>,
    ledger: &mut Ledger,
) -> Result<Vec<Existing>, Reported> {
    Names::of(
        "standing transformer",
        &raw.existing,
        |row| &row.tag,
        ledger,
    );
    let rows = gather(raw.existing.rows.iter().map(|row| one(row, known, ledger)));
    let rows = whole(rows, raw.existing.whole)?;
    check_room(raw, &rows, ledger)?;
    Ok(rows)
}

fn one(row: &ExistingRow, known: &Known<'_>, ledger: &mut Ledger) -> Result<Existing, Reported> {
    let who = asker("standing transformer", &row.tag);
    let site = known.sites.required(&row.site, &who, ledger);
    let zone = known.zones.optional(&row.zone, &who, ledger);
    let model = known.models.required(&row.model, &who, ledger)?;
    let transformer = known.transformers[model]
        .as_ref()
        .map_err(|reported| *reported)?;
    let present_load = present(row, transformer, ledger);
    let taps: Vec<Vec<(&str, u32)>> = transformer
        .secondaries
        .iter()
        .map(|s| {
            s.taps
                .iter()
                .map(|tap| (tap.tag.as_str(), tap.lugs))
                .collect()
        })
        .collect();
    let commons: Vec<Vec<(&str, u32)>> = transformer
        .secondaries
        .iter()
        .map(|s| s.commons.iter().map(|c| (c.tag.as_str(), c.lugs)).collect())
        .collect();
    let tap_lugs_used = lugs(&row.tap_lugs, "tap", transformer, &taps, ledger);
    let common_lugs_used = lugs(&row.common_lugs, "common", transformer, &commons, ledger);
    Ok(Existing {
        tag: row.tag.get()?.0,
        site: SiteId::new(site?),
        model: TransformerModelId::new(model),
        present_load: present_load?,
        tap_lugs_used: tap_lugs_used?,
        common_lugs_used: common_lugs_used?,
        zone: zone?.map(ZoneId::new),
    })
}

/// The position of a name among known ones, or a fault.
fn position(
    name: &str,
    what: &str,
    known: &[&str],
    slot: &Optional<Shares>,
    ledger: &mut Ledger,
) -> Result<usize, Reported> {
    known.iter().position(|k| *k == name).ok_or_else(|| {
        let message = format!(
            "`{}` names {what} `{name}`, which the transformer does not have",
            slot.cell.name
        );
        ledger.fault(
            slot.cell
                .fault(Code::UnknownTag, message)
                .accepted(listed(known.iter().copied()))
                .maybe_help(did_you_mean(name, known.iter().copied())),
        )
    })
}

/// The secondary an entry names, and what is left of its path.
fn secondary<'s>(
    share: &'s Share,
    names_after: usize,
    transformer: &TransformerModel,
    slot: &Optional<Shares>,
    ledger: &mut Ledger,
) -> Result<(usize, &'s [String]), Reported> {
    let tags: Vec<&str> = transformer
        .secondaries
        .iter()
        .map(|s| s.tag.as_str())
        .collect();
    let path = share.path.as_slice();
    if path.len() == names_after && tags.len() == 1 {
        return Ok((0, path));
    }
    match path.split_first() {
        Some((first, rest)) if rest.len() == names_after => {
            position(first, "secondary", &tags, slot, ledger).map(|position| (position, rest))
        }
        _ => {
            let wanted = if names_after == 0 {
                "secondary=number"
            } else {
                "secondary/terminal=number"
            };
            let message = format!("`{}` does not name its parts as {wanted}", slot.cell.name);
            let fault = slot.cell.fault(Code::BadShares, message);
            Err(ledger.fault(fault.accepted(format!("{wanted}; secondaries: {}", listed(tags)))))
        }
    }
}

fn present(
    row: &ExistingRow,
    transformer: &TransformerModel,
    ledger: &mut Ledger,
) -> Result<Vec<VoltAmperes>, Reported> {
    let mut loads = vec![VoltAmperes::ZERO; transformer.secondaries.len()];
    for share in row.present.or(Shares::default())?.0 {
        let (position, _) = secondary(&share, 0, transformer, &row.present, ledger)?;
        loads[position] += VoltAmperes::new(share.amount);
    }
    Ok(loads)
}

/// Lugs in use by secondary and terminal; `terminals` holds tag and lug places.
fn lugs(
    slot: &Optional<Shares>,
    what: &str,
    transformer: &TransformerModel,
    terminals: &[Vec<(&str, u32)>],
    ledger: &mut Ledger,
) -> Result<Vec<Vec<u32>>, Reported> {
    let mut used: Vec<Vec<u32>> = terminals.iter().map(|of| vec![0; of.len()]).collect();
    for share in slot.or(Shares::default())?.0 {
        let (winding, rest) = secondary(&share, 1, transformer, slot, ledger)?;
        let tags: Vec<&str> = terminals[winding].iter().map(|(tag, _)| *tag).collect();
        let name = rest.first().map(String::as_str).unwrap_or_default();
        let terminal = position(name, what, &tags, slot, ledger)?;
        let there = terminals[winding][terminal].1;
        let amount = share.amount;
        if amount.fract() != 0.0 || amount > f64::from(there) {
            let message =
                format!("{what} `{name}` has {there} lug places, {amount} are given as used");
            let fault = slot.cell.fault(Code::TooManyLugsInUse, message);
            return Err(ledger.fault(fault.accepted(format!("a whole number from 0 to {there}"))));
        }
        used[winding][terminal] = amount as u32;
    }
    Ok(used)
}

/// No more transformers stand at a site than it has outlets and places.
fn check_room(raw: &RawJob, existing: &[Existing], ledger: &mut Ledger) -> Result<(), Reported> {
    let mut room = Ok(());
    for (position, site) in raw.sites.rows.iter().enumerate() {
        let standing = existing
            .iter()
            .filter(|e| e.site.index() == position)
            .count();
        let outlets = site.outlets.get()?;
        let places = site.places.or(outlets)?;
        let most = outlets.0.min(places.0);
        if standing > most as usize {
            let message = format!(
                "{standing} transformers of {} stand at {}, which has {} outlets and {} places",
                raw.existing.file,
                asker("site", &site.tag),
                outlets.0,
                places.0
            );
            let fault = site.outlets.cell.fault(Code::SiteCrowded, message);
            room = Err(
                ledger.fault(fault.accepted(format!("at least {standing} outlets and places")))
            );
        }
    }
    room
}
