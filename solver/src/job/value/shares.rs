//! Loads and lugs already taken on a standing transformer: `S1=120 + S2=40`.

use super::{Kind, Refusal, Typed, Value};
use crate::job::column::Range;
use crate::job::error::Code;

const ACCEPTED: &str =
    "one number, or names with numbers joined by +: S1=120 + S2=40 (for lugs: S1/12=1 + S2/13=2)";

/// One entry.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::job) struct Share {
    /// Names from outer to inner, `S1/12` as two; empty for a bare number.
    pub path: Vec<String>,
    /// The number, >= 0.
    pub amount: f64,
}

/// All entries of a cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::job) struct Shares(pub Vec<Share>);

impl Value for Shares {
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "name=number + name=number";
    fn accepted(_range: Range) -> String {
        ACCEPTED.to_owned()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let entries: Result<Vec<Share>, Refusal> =
            text.split('+').map(|entry| share(entry, typed)).collect();
        let entries = entries?;
        if entries.len() > 1 && entries.iter().any(|entry| entry.path.is_empty()) {
            return Err(Refusal::new(
                Code::BadShares,
                "has a number without a name",
                ACCEPTED,
            ));
        }
        Ok(Self(entries))
    }
}

fn share(entry: &str, typed: &Typed) -> Result<Share, Refusal> {
    let (names, amount) = match entry.split_once('=') {
        Some((names, amount)) => (Some(names), amount),
        None => (None, entry),
    };
    let path: Vec<String> = names
        .iter()
        .flat_map(|names| names.split('/'))
        .map(|name| name.trim().to_owned())
        .collect();
    if path.iter().any(String::is_empty) || amount.trim().is_empty() {
        return Err(Refusal::new(
            Code::BadShares,
            "is not a list of names with numbers",
            ACCEPTED,
        ));
    }
    let amount = f64::read(amount.trim(), typed)?;
    Ok(Share { path, amount })
}
