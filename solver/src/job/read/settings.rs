//! `job.toml` to declared rows: a section is a row whose headings are its keys.

use super::depth;
use super::headings::{Heading, Located, Policy, locate};
use super::table::Rows;
use crate::job::column::{Cell, Column, Found, Record, RowSource, Unit};
use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use crate::job::value::Kind;
use crate::units::UnitSystem;
use std::ops::Range;
use std::rc::Rc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A parsed `job.toml`; what could be understood of it when it has mistakes.
pub(in crate::job) struct Settings<'a> {
    file: Rc<str>,
    text: &'a str,
    /// Byte at which each line begins.
    lines: Vec<usize>,
    root: Spanned<DeTable<'a>>,
    /// Proof of a syntax fault: keys may be missing for that reason.
    whole: Result<(), Reported>,
}

impl<'a> Settings<'a> {
    /// Parses the text; every mistake of syntax goes into the ledger.
    pub fn parse(file: &Rc<str>, text: &'a str, ledger: &mut Ledger) -> Self {
        let (root, errors) = DeTable::parse_recoverable(text);
        let mut settings = Self {
            file: Rc::clone(file),
            text,
            lines: line_starts(text),
            root,
            whole: Ok(()),
        };
        for error in errors {
            let fault = settings.cannot_be_parsed(&error);
            settings.whole = Err(ledger.fault(fault));
        }
        settings
    }

    fn cannot_be_parsed(&self, error: &toml::de::Error) -> Fault {
        // Of all the parser's words these alone speak of nesting.
        if error.message().contains("recur")
            && let Some(at) = depth::exceeded(self.text)
        {
            let place = self.place(Some(at..at), None);
            let most = depth::MOST;
            return Fault::new(Code::TomlSyntax, &place, "job.toml is nested too deeply").accepted(
                format!("lists, sections and dotted keys at most {most} deep"),
            );
        }
        let message = format!("job.toml cannot be parsed: {}", error.message());
        let help = if error.message() == "duplicate key" {
            "give every key of a section, and every section, once"
        } else {
            "write `key = value`; text in quotes, numbers without, lists in [ ]"
        };
        let place = self.place(error.span(), None);
        Fault::new(Code::TomlSyntax, &place, message).help(help)
    }

    /// Line and character of a byte range.
    fn place(&self, span: Option<Range<usize>>, field: Option<String>) -> Place {
        let start = span.map(|span| span.start);
        // Never 0 lines before a byte: the first begins at 0.
        let line = start.map(|start| self.lines.partition_point(|&begin| begin <= start));
        let before = start.zip(line).and_then(|(start, line)| {
            let begin = self.lines.get(line.checked_sub(1)?)?;
            self.text.get(*begin..start)
        });
        let column = before.map(|text| 1 + text.chars().count());
        let line = before.and(line);
        Place {
            file: Rc::clone(&self.file),
            line: line.and_then(|line| u32::try_from(line).ok()),
            column: column.and_then(|column| u32::try_from(column).ok()),
            field: field.map(Into::into),
        }
    }

    /// The value at a path of keys.
    fn value(&self, path: &[&str]) -> Option<&Spanned<DeValue<'a>>> {
        let (first, rest) = path.split_first()?;
        let start = self.root.get_ref().get(*first)?;
        rest.iter()
            .try_fold(start, |value, key| match value.get_ref() {
                DeValue::Table(table) => table.get(*key),
                _ => None,
            })
    }

    /// The top of the file as a section.
    pub fn top(&self) -> Section<'_> {
        self.keys(self.root.get_ref(), String::new(), Place::file(&self.file))
    }

    /// The section of a record; an absent one is empty.
    pub fn section<R: Record>(&self, ledger: &mut Ledger) -> Section<'_> {
        let name = R::TABLE.name;
        let path: Vec<&str> = name.split('.').collect();
        match self.value(&path) {
            None => self.no_keys(name, self.whole),
            Some(value) => match value.get_ref() {
                DeValue::Table(table) => {
                    let place = self.place(Some(value.span()), None);
                    self.keys(table, name.to_owned(), place)
                }
                _ => {
                    let fault = self.not_a_section(value, name, &format!("[{name}]"));
                    self.no_keys(name, Err(ledger.fault(fault)))
                }
            },
        }
    }

    /// The entries of a list of sections, `[[name]]`.
    pub fn list<R: Record>(&self, system: UnitSystem, ledger: &mut Ledger) -> Rows<R> {
        let name = R::TABLE.name;
        let path: Vec<&str> = name.split('.').collect();
        let mut read = Rows::none(&self.file);
        read.whole = self.whole;
        let Some(value) = self.value(&path) else {
            return read;
        };
        let header = format!("[[{name}]]");
        let DeValue::Array(entries) = value.get_ref() else {
            read.whole = Err(ledger.fault(self.not_a_section(value, name, &header)));
            return read;
        };
        for (position, entry) in entries.iter().enumerate() {
            let DeValue::Table(table) = entry.get_ref() else {
                read.whole = Err(ledger.fault(self.not_a_section(entry, name, &header)));
                continue;
            };
            let place = self.place(Some(entry.span()), None);
            let section = self.keys(table, format!("{name}[{}]", position + 1), place);
            read.rows.push(section.read::<R>(system, ledger));
        }
        read
    }

    fn not_a_section(&self, value: &Spanned<DeValue<'a>>, name: &str, header: &str) -> Fault {
        let place = self.place(Some(value.span()), Some(name.to_owned()));
        Fault::new(
            Code::WrongKind,
            &place,
            format!("`{name}` is not a section"),
        )
        .given(self.slice(value.span()))
        .accepted(format!("a section, {header}, with its keys below"))
    }

    fn slice(&self, span: Range<usize>) -> &'a str {
        self.text.get(span).unwrap_or_default()
    }

    fn no_keys(&self, path: &str, whole: Result<(), Reported>) -> Section<'_> {
        Section {
            settings: self,
            path: path.to_owned(),
            place: Place::file(&self.file),
            keys: Vec::new(),
            whole,
        }
    }

    /// The keys of a table in the order of the file.
    fn keys<'s>(&'s self, table: &'s DeTable<'a>, path: String, place: Place) -> Section<'s> {
        let mut keys: Vec<_> = table.iter().collect();
        keys.sort_by_key(|(key, _)| key.span().start);
        let keys = keys
            .into_iter()
            .map(|(key, value)| {
                let name: Rc<str> = key.get_ref().as_ref().into();
                let field = if path.is_empty() {
                    name.to_string()
                } else {
                    format!("{path}.{name}")
                };
                let heading = Heading {
                    place: self.place(Some(key.span()), Some(field)),
                    name,
                };
                (heading, value)
            })
            .collect();
        Section {
            settings: self,
            path,
            place,
            keys,
            whole: self.whole,
        }
    }
}

/// Byte at which each line of a text begins; the first at 0. `O(n)`, so that a place takes no
/// walk through the text before it.
fn line_starts(text: &str) -> Vec<usize> {
    let ends = text.match_indices('\n').map(|(at, _)| at + 1);
    std::iter::once(0).chain(ends).collect()
}

/// One section with its keys.
pub(in crate::job) struct Section<'s> {
    settings: &'s Settings<'s>,
    path: String,
    place: Place,
    keys: Vec<(Heading, &'s Spanned<DeValue<'s>>)>,
    whole: Result<(), Reported>,
}

impl Section<'_> {
    /// Reads the section as its declared row; its lengths must be in the units of the job.
    pub fn read<R: Record>(self, system: UnitSystem, ledger: &mut Ledger) -> R {
        let headings: Vec<Heading> = self.keys.iter().map(|(key, _)| key.clone()).collect();
        let columns = locate(&R::TABLE, &headings, Policy::JobUnits(system), ledger);
        let mut row = SectionRow {
            section: self,
            columns,
            system,
        };
        R::read(&mut row, ledger)
    }
}

/// What a value is, in words.
const fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text in quotes",
        DeValue::Integer(_) | DeValue::Float(_) => "a number without quotes",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}

struct SectionRow<'s> {
    section: Section<'s>,
    columns: Vec<Located>,
    system: UnitSystem,
}

impl SectionRow<'_> {
    fn nowhere(&self, column: &Column) -> Cell {
        let names: Vec<String> = column.headings().map(|(_, name)| name).collect();
        let wanted = column
            .headings()
            .find(|(unit, _)| unit.system().is_none_or(|system| system == self.system));
        let name = wanted.map_or_else(|| names.join(" or "), |(_, name)| name);
        let field = if self.section.path.is_empty() {
            name.clone()
        } else {
            format!("{}.{name}", self.section.path)
        };
        Cell {
            place: Place {
                field: Some(field.into()),
                ..self.section.place.clone()
            },
            name: name.into(),
            text: String::new(),
        }
    }

    /// The text of a value, when it is of the kind wanted.
    fn text_of(value: &DeValue<'_>, kind: Kind) -> Option<String> {
        match (value, kind) {
            (DeValue::Integer(number), Kind::Number | Kind::Size) => Some(number.to_string()),
            (DeValue::Float(number), Kind::Number | Kind::Size) => Some(number.as_str().to_owned()),
            (DeValue::String(text), Kind::Text | Kind::Size) => Some(text.trim().to_owned()),
            (DeValue::Boolean(value), Kind::YesNo) => Some(value.to_string()),
            (DeValue::Array(entries), Kind::List) => {
                let words: Option<Vec<&str>> = entries
                    .iter()
                    .map(|entry| entry.get_ref().as_str())
                    .collect();
                words.map(|words| words.join(", "))
            }
            _ => None,
        }
    }

    fn value(&self, key: usize, unit: Unit, kind: Kind, ledger: &mut Ledger) -> Found {
        let (heading, value) = &self.section.keys[key];
        let place = Place {
            field: heading.place.field.clone(),
            ..self.section.settings.place(Some(value.span()), None)
        };
        let cell = |text: String| Cell {
            place: place.clone(),
            name: Rc::clone(&heading.name),
            text,
        };
        match Self::text_of(value.get_ref(), kind) {
            Some(text) if text.is_empty() && kind != Kind::List => Found::Blank(cell(text)),
            Some(text) => Found::Text(cell(text), unit),
            None => {
                let cell = cell(self.section.settings.slice(value.span()).to_owned());
                if let Err(reported) = self.section.whole {
                    return Found::Reported(cell, reported);
                }
                let message = match (value.get_ref(), kind) {
                    (DeValue::Array(_), Kind::List) => {
                        format!("`{}` lists something other than texts", cell.name)
                    }
                    (value, _) => format!("`{}` is {}", cell.name, kind_of(value)),
                };
                let fault = cell
                    .fault(Code::WrongKind, message)
                    .given(cell.text.trim_matches('"'))
                    .accepted(kind.in_words());
                let reported = ledger.fault(fault);
                Found::Reported(cell, reported)
            }
        }
    }
}

impl RowSource for SectionRow<'_> {
    fn find(&mut self, position: usize, column: &Column, kind: Kind, ledger: &mut Ledger) -> Found {
        match (self.columns.get(position).copied(), self.section.whole) {
            (Some(Located::At(key, unit)), _) => self.value(key, unit, kind, ledger),
            (Some(Located::Reported(reported)), _) => {
                Found::Reported(self.nowhere(column), reported)
            }
            (Some(Located::Absent) | None, Err(reported)) if column.required => {
                Found::Reported(self.nowhere(column), reported)
            }
            (Some(Located::Absent) | None, _) => Found::Blank(self.nowhere(column)),
        }
    }
    fn row_place(&self) -> Place {
        self.section.place.clone()
    }
    fn decimal_comma(&self) -> bool {
        false
    }
    fn system(&self) -> UnitSystem {
        self.system
    }
    fn missing(&self) -> Code {
        Code::KeyMissing
    }
}
