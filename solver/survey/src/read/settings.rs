//! What the plan itself does not say: units, surface of uncovered ground, meaning of layers.

use super::Named;
use crate::fault::{Code, Fault, Ledger, Place};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

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
    /// The file, when there is one.
    pub(super) file: Option<Place>,
    /// Unit of the coordinates and where it is declared, when it is.
    pub(super) units: Option<(Units, Place)>,
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

/// Keys of a settings file with a word each.
const KEYS: [&str; 4] = ["units", "ground", "bore", "hand_dig"];
const ACCEPTED: &str =
    "units (\"degrees\", \"m\" or \"ft\"), ground, bore, hand_dig, [[layers]], [[blocks]]";

/// Longest stretch of a file that a message repeats, characters.
const LONGEST_GIVEN: usize = 60;

/// The text of a settings file, for places in it.
struct Source<'a> {
    place: Place,
    text: &'a str,
    /// Byte at which each line begins.
    lines: Vec<usize>,
}

impl<'a> Source<'a> {
    fn new(name: &str, text: &'a str) -> Self {
        let ends = text.match_indices('\n').map(|(at, _)| at + 1);
        Self {
            place: Place::file(name),
            text,
            lines: std::iter::once(0).chain(ends).collect(),
        }
    }
    /// Line and character of a byte.
    fn at(&self, byte: usize) -> Place {
        let line = self.lines.partition_point(|&begin| begin <= byte);
        let before = self.text.get(self.lines[line - 1]..byte);
        Place {
            line: Some(line),
            column: before.map(|before| 1 + before.chars().count()),
            ..self.place.clone()
        }
    }
    /// What stands in a range of bytes, no more than its first line.
    fn given(&self, span: Range<usize>) -> String {
        let text = self.text.get(span).unwrap_or_default();
        let line = text.lines().next().unwrap_or_default();
        let cut: String = line.chars().take(LONGEST_GIVEN).collect();
        if cut.len() < text.len() {
            format!("{cut}…")
        } else {
            cut
        }
    }
}

/// Reads the TOML file of settings; none gives defaults.
pub(super) fn read(file: Option<Named<'_>>, ledger: &mut Ledger) -> Settings {
    let mut settings = Settings::default();
    let Some((name, bytes)) = file else {
        return settings;
    };
    let text = String::from_utf8_lossy(bytes);
    let source = Source::new(name, &text);
    settings.file = Some(source.place.clone());
    let root = match DeTable::parse(&text) {
        Ok(root) => root,
        Err(error) => {
            let place = error
                .span()
                .map_or_else(|| source.place.clone(), |span| source.at(span.start));
            ledger.add(
                Fault::new(Code::Settings, &place, error.message().to_owned()).accepted(ACCEPTED),
            );
            return settings;
        }
    };
    let mut keys: Vec<_> = root.get_ref().iter().collect();
    keys.sort_by_key(|(key, _)| key.span().start);
    for (key, value) in keys {
        let name = key.get_ref().as_ref();
        match (name, value.get_ref()) {
            ("layers" | "blocks", DeValue::Array(entries)) => {
                let into = if name == "layers" {
                    &mut settings.layers
                } else {
                    &mut settings.blocks
                };
                for (number, entry) in entries.iter().enumerate() {
                    match words(entry) {
                        Ok(words) => into.push(words),
                        Err(unusable) => {
                            let field = format!("{name}[{}]", number + 1);
                            ledger.add(unusable.fault(&source, &field));
                        }
                    }
                }
            }
            (_, DeValue::String(word)) => {
                let at = if KEYS.contains(&name) {
                    value.span()
                } else {
                    key.span()
                };
                let place = source.at(at.start).field(name);
                settings.declare(name, word, &place, ledger);
            }
            _ => {
                let place = source.at(key.span().start).field(name);
                ledger.add(unknown(name, &source.given(value.span()), &place));
            }
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
    /// Unit of the coordinates, when declared.
    pub(crate) fn units(&self) -> Option<Units> {
        self.units.as_ref().map(|stated| stated.0)
    }
    /// Takes a unit of the coordinates, stated there; one that is declared already stays.
    pub(super) fn state(&mut self, units: Units, place: &Place) {
        self.units.get_or_insert_with(|| (units, place.clone()));
    }
    /// Takes one setting; one that is declared already stays.
    pub(super) fn declare(&mut self, key: &str, word: &str, place: &Place, ledger: &mut Ledger) {
        let slot = match key {
            "units" => {
                match Units::of(word) {
                    Some(units) => self.state(units, place),
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

/// What is wrong with an entry, and where in it.
struct Unusable {
    message: &'static str,
    span: Range<usize>,
    /// Key in the entry, when it is about one.
    key: Option<String>,
}

impl Unusable {
    /// `entry`: which, such as `layers[2]`.
    fn fault(&self, source: &Source<'_>, entry: &str) -> Fault {
        let field = match &self.key {
            Some(key) => format!("{entry}.{key}"),
            None => entry.to_owned(),
        };
        let place = source.at(self.span.start).field(field);
        Fault::new(Code::Settings, &place, self.message)
            .given(source.given(self.span.clone()))
            .accepted("a table with name, is, and further words as text, numbers, true or false")
    }
}

/// Name and words of a layer or block.
fn words(entry: &Spanned<DeValue<'_>>) -> Result<(String, Words), Unusable> {
    let unusable = |message, span, key: Option<&str>| Unusable {
        message,
        span,
        key: key.map(str::to_owned),
    };
    let Some(table) = entry.get_ref().as_table() else {
        let message = "an entry is not a table";
        return Err(unusable(message, entry.span(), None));
    };
    let mut words = Words::new();
    for (key, value) in table {
        let word = match value.get_ref() {
            DeValue::String(word) => Some(word.clone().into_owned()),
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .map(|number| number.to_string()),
            DeValue::Float(number) => {
                let number: Option<f64> = number.as_str().parse().ok();
                number.map(|number| number.to_string())
            }
            DeValue::Boolean(truth) => Some((if *truth { "yes" } else { "no" }).to_owned()),
            _ => None,
        };
        let key = key.get_ref().as_ref();
        let Some(word) = word else {
            let message = "a word of an entry is not usable";
            return Err(unusable(message, value.span(), Some(key)));
        };
        words.insert(key.to_owned(), word);
    }
    let name = words.remove("name");
    let name = name.ok_or_else(|| unusable("an entry has no name", entry.span(), None))?;
    Ok((name, words))
}
