//! One mistake, all mistakes of a job, and what is worth saying though nothing is wrong.

use super::code::Code;
use std::fmt;
use std::rc::Rc;

/// Where something stands in the files of a job.
#[derive(Clone, Debug, Default)]
pub(in crate::job) struct Place {
    /// File as `job.toml` names it.
    pub file: Rc<str>,
    /// Line, from 1.
    pub line: Option<u32>,
    /// Character in the line, from 1.
    pub column: Option<u32>,
    /// Column or key in words.
    pub field: Option<Rc<str>>,
}

impl Place {
    /// A whole file.
    pub fn file(name: &Rc<str>) -> Self {
        Self {
            file: Rc::clone(name),
            ..Self::default()
        }
    }
    /// A line of a file.
    pub fn line(name: &Rc<str>, line: u32) -> Self {
        Self {
            line: Some(line),
            ..Self::file(name)
        }
    }
}

/// One mistake in the files of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Stable code.
    pub code: Code,
    /// What is wrong, one sentence.
    pub message: String,
    /// File as `job.toml` names it; relative to the job folder.
    pub file: String,
    /// Line, from 1; `None` when the mistake belongs to the whole file.
    pub line: Option<u32>,
    /// Character in the line, from 1.
    pub column: Option<u32>,
    /// Column of the table with its spreadsheet letter, or key of `job.toml`.
    pub field: Option<String>,
    /// The value as given.
    pub given: Option<String>,
    /// What would be accepted.
    pub accepted: Option<String>,
    /// What to do.
    pub help: Option<String>,
}

impl Fault {
    /// A fault of `code` at `place`.
    pub(in crate::job) fn new(code: Code, place: &Place, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            file: place.file.to_string(),
            line: place.line,
            column: place.column,
            field: place.field.as_deref().map(str::to_owned),
            given: None,
            accepted: None,
            help: None,
        }
    }
    pub(in crate::job) fn given(mut self, text: impl Into<String>) -> Self {
        self.given = Some(shortened(text.into()));
        self
    }
    pub(in crate::job) fn accepted(mut self, text: impl Into<String>) -> Self {
        self.accepted = Some(text.into());
        self
    }
    pub(in crate::job) fn help(mut self, text: impl Into<String>) -> Self {
        self.help = Some(text.into());
        self
    }
    /// Help when there is some.
    pub(in crate::job) fn maybe_help(mut self, text: Option<String>) -> Self {
        self.help = text.or(self.help);
        self
    }
}

/// Longest stretch of a given value that a message repeats, characters.
const LONGEST_GIVEN: usize = 80;

/// A value as a message repeats it: control characters escaped, cut when long.
fn shortened(text: String) -> String {
    let mut shown: String = text
        .chars()
        .take(LONGEST_GIVEN)
        .flat_map(|c| {
            let plain = (!c.is_control()).then_some(c);
            let escaped = c.is_control().then(|| c.escape_default());
            plain.into_iter().chain(escaped.into_iter().flatten())
        })
        .collect();
    if text.chars().nth(LONGEST_GIVEN).is_some() {
        shown.push('…');
    }
    shown
}

/// Writes `  --> file:line:column   field`.
fn write_place(
    f: &mut fmt::Formatter<'_>,
    file: &str,
    line: Option<u32>,
    column: Option<u32>,
    field: Option<&str>,
) -> fmt::Result {
    write!(f, "\n  --> {file}")?;
    if let Some(line) = line {
        write!(f, ":{line}")?;
        if let Some(column) = column {
            write!(f, ":{column}")?;
        }
    }
    match field {
        Some(field) => write!(f, "   {field}"),
        None => Ok(()),
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "error[{}]: {}", self.code, self.message)?;
        write_place(f, &self.file, self.line, self.column, self.field.as_deref())?;
        if let Some(given) = &self.given {
            write!(f, "\n  given     \"{given}\"")?;
        }
        if let Some(accepted) = &self.accepted {
            write!(f, "\n  accepted  {accepted}")?;
        }
        if let Some(help) = &self.help {
            write!(f, "\n  help      {help}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Fault {}

/// Something worth saying that does not stop the job: an unread column, an assumption, a caution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Stable code, `J9..`.
    pub code: Code,
    /// One sentence.
    pub message: String,
    /// File as `job.toml` names it.
    pub file: String,
    /// Line, from 1.
    pub line: Option<u32>,
    /// Character in the line, from 1.
    pub column: Option<u32>,
    /// Column of the table with its spreadsheet letter, or key of `job.toml`.
    pub field: Option<String>,
    /// What to do, if anything.
    pub help: Option<String>,
}

impl Notice {
    pub(in crate::job) fn new(code: Code, place: &Place, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            file: place.file.to_string(),
            line: place.line,
            column: place.column,
            field: place.field.as_deref().map(str::to_owned),
            help: None,
        }
    }
    pub(in crate::job) fn maybe_help(mut self, text: Option<String>) -> Self {
        self.help = text;
        self
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "note[{}]: {}", self.code, self.message)?;
        write_place(f, &self.file, self.line, self.column, self.field.as_deref())?;
        match &self.help {
            Some(help) => write!(f, "\n  help      {help}"),
            None => Ok(()),
        }
    }
}

/// Everything wrong with a job: at least one fault, in the order of the files
/// and lines; and the notices, which often explain a fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults {
    /// The faults.
    pub faults: Vec<Fault>,
    /// The notices made on the way.
    pub notices: Vec<Notice>,
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in &self.faults {
            write!(f, "{fault}\n\n")?;
        }
        let count = self.faults.len();
        let mistakes = if count == 1 { "mistake" } else { "mistakes" };
        write!(f, "{count} {mistakes}; nothing was planned")
    }
}

impl std::error::Error for Faults {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.faults.first().map(|fault| fault as _)
    }
}
