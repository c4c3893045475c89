//! Hub kinds and joint kinds.

use super::names::{Names, asker};
use super::{gather, whole};
use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use crate::job::raw::{HubRow, JointRow, RawJob};
use crate::job::value::MilliOhms;
use crate::job::{ContactResistance, HubKind, JointKind};
use crate::units::{Hours, Ohms};

const NO_CONTACT: MilliOhms = MilliOhms(Ohms::ZERO);

/// All hub kinds.
pub(super) fn hubs(raw: &RawJob, ledger: &mut Ledger) -> Result<Vec<HubKind>, Reported> {
    Names::of("hub kind", &raw.hubs, |row| &row.tag, ledger);
    let hubs = gather(raw.hubs.rows.iter().map(|row| hub(row, ledger)));
    whole(hubs, raw.hubs.whole)
}

fn hub(row: &HubRow, ledger: &mut Ledger) -> Result<HubKind, Reported> {
    let most_in_use = most_in_use(row, ledger);
    Ok(HubKind {
        tag: row.tag.get()?.0,
        ports: row.ports.get()?.0,
        inlet: row.inlet.get()?,
        most_in_use: most_in_use?,
        price: row.price.get()?,
        hours: row.hours.or(Hours::ZERO)?,
        contact: ContactResistance(row.contact.or(NO_CONTACT)?.0),
    })
}

fn most_in_use(row: &HubRow, ledger: &mut Ledger) -> Result<u32, Reported> {
    let there: u32 = row.ports.get()?.0.iter().map(|group| group.count).sum();
    match row.most_in_use.get()? {
        None => Ok(there),
        Some(most) if most.0 <= there => Ok(most.0),
        Some(most) => {
            let who = asker("hub kind", &row.tag);
            let message = format!("{who} uses {} of its {there} ports", most.0);
            let fault = row.most_in_use.cell.fault(Code::TooManyPortsInUse, message);
            Err(ledger.fault(fault.accepted(format!("a whole number from 1 to {there}"))))
        }
    }
}

/// All joint kinds; at least one of them or a hub kind is needed.
pub(super) fn joints(raw: &RawJob, ledger: &mut Ledger) -> Result<Vec<JointKind>, Reported> {
    Names::of("joint kind", &raw.joints, |row| &row.tag, ledger);
    let joints = gather(raw.joints.rows.iter().map(joint));
    let joints = whole(joints, raw.joints.whole)?;
    if joints.is_empty() && raw.hubs.whole.is_ok() && raw.hubs.rows.is_empty() {
        let fault = Fault::new(
            Code::NothingJoins,
            &Place::file(&raw.joints.file),
            "there is neither a joint kind nor a hub kind",
        );
        let accepted = "at least one row in joints.csv or hubs.csv";
        return Err(ledger.fault(fault.accepted(accepted)));
    }
    Ok(joints)
}

fn joint(row: &JointRow) -> Result<JointKind, Reported> {
    Ok(JointKind {
        tag: row.tag.get()?.0,
        holds: row.holds.get()?.0,
        price: row.price.get()?,
        hours: row.hours.or(Hours::ZERO)?,
        contact: ContactResistance(row.contact.or(NO_CONTACT)?.0),
    })
}
