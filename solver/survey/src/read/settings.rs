//! What the plan itself does not say: units, surface of uncovered ground, meaning of layers.

use super::Named;
use crate::fault::{Code, Fault, Ledger, Place};
use std::collections::BTreeMap;

/// What coordinates are measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Longitude and latitude, degrees (WGS 84).
    Degrees,
    /// Metres on a plane.
    Metres,
    /// Feet on a plane, 0.3048 m.
    Feet,
}

impl Units {
    /// Metres in one unit; 1 for degrees, which are projected first.
    #[must_use]
    pub const fn metres(self) -> f64 {
        match self {
            Self::Feet => 0.3048,
            Self::Degrees | Self::Metres => 1.0,
        }
    }
    pub(crate) fn of(word: &str) -> Option<Self> {
        match word {
            "degrees" => Some(Self::Degrees),
            "m" => Some(Self::Metres),
            "ft" => Some(Self::Feet),
            _ => None,
        }
    }
}

/// Words about a layer of a drawing.
pub(crate) type Words = BTreeMap<String, String>;

/// The settings of a survey.
#[derive(Clone, Debug, Default)]
pub(crate) struct Settings {
    /// Unit of the coordinates, when declared.
    pub(crate) units: Option<Units>,
    /// Surface of ground that no area covers.
    pub(crate) ground: Option<String>,
    /// Surface of bores where an area names none.
    pub(crate) bore: Option<String>,
    /// Surface of hand-dug crossings where a utility names none.
    pub(crate) hand_dig: Option<String>,
    /// Layers by name, in the order of the file.
    pub(crate) layers: Vec<(String, Words)>,
    /// Blocks by name.
    pub(crate) blocks: Vec<(String, Words)>,
}

const ACCEPTED: &str =
    "units (\"degrees\", \"m\" or \"ft\"), ground, bore, hand_dig, [[layers]], [[blocks]]";

/// Reads the TOML file of settings; none gives defaults.
pub(super) fn read(file: Option<Named<'_>>, ledger: &mut Ledger) -> Settings {
    let mut settings = Settings::default();
    let Some((name, bytes)) = file else {
        return settings;
    };
    let place = Place::file(name);
    let text = String::from_utf8_lossy(bytes);
    let table: toml::Table = match toml::from_str(&text) {
        Ok(table) => table,
        Err(error) => {
            let line = error
                .span()
                .map(|span| text[..span.start.min(text.len())].lines().count().max(1));
            let place = Place { line, ..place };
            ledger.add(
                Fault::new(Code::Settings, &place, error.message().to_owned()).accepted(ACCEPTED),
            );
            return settings;
        }
    };
    for (key, value) in &table {
        match (key.as_str(), value) {
            ("layers" | "blocks", toml::Value::Array(entries)) => {
                let into = if key == "layers" {
                    &mut settings.layers
                } else {
                    &mut settings.blocks
                };
                for (number, entry) in entries.iter().enumerate() {
                    match words(entry) {
                        Some((name, words)) => into.push((name, words)),
                        None => ledger.add(
                            Fault::new(Code::Settings, &place, format!("entry {} of `{key}` is not usable", number + 1))
                                .accepted("a table with name, is, and further words as text, numbers, true or false"),
                        ),
                    }
                }
            }
            (_, toml::Value::String(word)) => settings.declare(key, word, &place, ledger),
            _ => ledger.add(unknown(key, &value.to_string(), &place)),
        }
    }
    settings
}

fn unknown(key: &str, value: &str, place: &Place) -> Fault {
    Fault::new(
        Code::Settings,
        place,
        format!("the setting `{key}` is not known or not of this kind"),
    )
    .given(value)
    .accepted(ACCEPTED)
}

impl Settings {
    /// Takes one setting; one that is declared already stays.
    pub(super) fn declare(&mut self, key: &str, word: &str, place: &Place, ledger: &mut Ledger) {
        let slot = match key {
            "units" => {
                match Units::of(word) {
                    Some(units) => self.units = self.units.or(Some(units)),
                    None => ledger.add(
                        Fault::new(Code::Units, place, "this unit of coordinates is not known")
                            .given(word)
                            .accepted("\"degrees\", \"m\" or \"ft\""),
                    ),
                }
                return;
            }
            "ground" => &mut self.ground,
            "bore" => &mut self.bore,
            "hand_dig" => &mut self.hand_dig,
            _ => {
                ledger.add(unknown(key, word, place));
                return;
            }
        };
        if slot.is_none() {
            *slot = Some(word.to_owned());
        }
    }
}

/// Name and words of a layer.
fn words(entry: &toml::Value) -> Option<(String, Words)> {
    let mut words = Words::new();
    for (key, value) in entry.as_table()? {
        let word = match value {
            toml::Value::String(word) => word.clone(),
            toml::Value::Integer(number) => number.to_string(),
            toml::Value::Float(number) => number.to_string(),
            toml::Value::Boolean(truth) => (if *truth { "yes" } else { "no" }).to_owned(),
            _ => return None,
        };
        words.insert(key.clone(), word);
    }
    let name = words.remove("name")?;
    Some((name, words))
}
