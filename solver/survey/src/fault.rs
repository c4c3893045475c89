//! What is wrong or odd in a site plan, and where.
//!
//! Every mistake of a plan is collected before it is refused. A [`Fault`] refuses the plan; a
//! note beside an accepted plan has the same shape and a code from 901 on.

use std::fmt;

/// Declares the codes with their number and title.
macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $number:literal, $title:literal;)*) => {
        /// Kind of a mistake or note. A code never changes its meaning.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Code { $($(#[$doc])* $name,)* }

        impl Code {
            /// Every code, by number.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// The code as printed, such as `G101`.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$name => $number,)* }
            }
            /// Title on the page of codes.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)* }
            }
        }
    };
}

codes! {
    /// The file exceeds the limit.
    TooLarge = "G101", "plan too large";
    /// The file is not what its name says.
    Unreadable = "G102", "plan cannot be parsed";
    /// The settings of the survey are wrong.
    Settings = "G103", "survey settings refused";
    /// A layer that should mean something has nothing on it.
    EmptyLayer = "G104", "layer empty or absent";
    /// The unit of the coordinates is unknown or contradicts itself.
    Units = "G105", "units unknown or mixed";
    /// A feature says nothing about what it is.
    KindUnknown = "G110", "kind of feature unknown";
    /// The geometry does not suit the kind.
    WrongGeometry = "G111", "wrong geometry for its kind";
    /// A property is missing or unusable.
    Property = "G112", "property missing or unusable";
    /// A surface that the catalogue does not list.
    SurfaceUnknown = "G113", "surface unknown";
    /// Two features claim one name.
    TagTwice = "G114", "name given twice";
    /// A coordinate is not finite or out of range.
    Coordinate = "G120", "coordinate unusable";
    /// A feature lies far from the rest.
    FarAway = "G121", "feature far away from the rest";
    /// A ring that is not closed and too far open to close.
    RingOpen = "G122", "outline not closed";
    /// A ring that crosses itself.
    RingCrosses = "G123", "outline crosses itself";
    /// A ring without area.
    RingFlat = "G124", "outline without area";
    /// Two fixtures at one place.
    SamePlace = "G125", "two fixtures at one place";
    /// A fixture or site where nothing can be dug.
    InNoTrench = "G130", "fixture or site where no trench can go";
    /// A fixture or site that no path reaches.
    Unreachable = "G131", "fixture or site cannot be reached";
    /// There are no fixtures or no sites.
    NothingToConnect = "G132", "no fixtures or no sites";
    /// The table of hand edits is wrong.
    Overrides = "G140", "hand edits refused";
    /// Repaired: a ring was closed.
    ClosedRing = "G901", "outline closed";
    /// Repaired: repeated points were left out.
    RepeatedPoints = "G902", "repeated points left out";
    /// A feature was left unread.
    LeftOut = "G905", "feature left out";
    /// A hand edit of what is not there.
    IdleOverride = "G906", "hand edit without effect";
    /// Fixtures or sites near water.
    NearWater = "G907", "near a pool, spa or fountain";
    /// Possible trenches across utilities.
    CrossesUtility = "G908", "buried utility crossed";
}

/// Where in the plan something is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// File, as it should be shown.
    pub file: String,
    /// Number of the feature in the file, from 1.
    pub feature: Option<usize>,
    /// Its own id or name.
    pub id: Option<String>,
    /// Layer of a drawing.
    pub layer: Option<String>,
    /// Line of a text file, from 1.
    pub line: Option<usize>,
    /// Character of that line, from 1.
    pub column: Option<usize>,
    /// Key of a settings file or member of a plan, variable of a drawing.
    pub field: Option<String>,
    /// Coordinates as the file states them.
    pub at: Option<[f64; 2]>,
}

impl Place {
    /// A place that is a whole file.
    #[must_use]
    pub fn file(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            ..Self::default()
        }
    }
    /// The same, at a key or member.
    #[must_use]
    pub fn field(&self, field: impl Into<String>) -> Self {
        Self {
            field: Some(field.into()),
            ..self.clone()
        }
    }
    /// The same, at coordinates of the file.
    #[must_use]
    pub fn at(&self, at: [f64; 2]) -> Self {
        Self {
            at: Some(at),
            ..self.clone()
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.file)?;
        if let Some(line) = self.line {
            write!(out, ":{line}")?;
            if let Some(column) = self.column {
                write!(out, ":{column}")?;
            }
        }
        if let Some(feature) = self.feature {
            write!(out, ", feature {feature}")?;
        }
        if let Some(id) = &self.id {
            write!(out, " (`{id}`)")?;
        }
        if let Some(layer) = &self.layer {
            write!(out, ", layer `{layer}`")?;
        }
        if let Some([x, y]) = self.at {
            write!(out, ", at {}, {}", shown(x), shown(y))?;
        }
        if let Some(field) = &self.field {
            write!(out, "   {field}")?;
        }
        Ok(())
    }
}

/// A coordinate without a tail of zeros.
fn shown(value: f64) -> String {
    let text = format!("{value:.7}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A mistake or a note.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Kind.
    pub code: Code,
    /// Where.
    pub place: Place,
    /// What is wrong, or was done.
    pub message: String,
    /// The value that was found.
    pub given: Option<String>,
    /// What would be accepted.
    pub accepted: Option<String>,
    /// What to do.
    pub help: Option<String>,
}

impl Fault {
    /// A mistake of a kind at a place.
    #[must_use]
    pub fn new(code: Code, place: &Place, message: impl Into<String>) -> Self {
        Self {
            code,
            place: place.clone(),
            message: message.into(),
            given: None,
            accepted: None,
            help: None,
        }
    }
    /// Adds the value found.
    #[must_use]
    pub fn given(mut self, given: impl Into<String>) -> Self {
        self.given = Some(given.into());
        self
    }
    /// Adds what would be accepted.
    #[must_use]
    pub fn accepted(mut self, accepted: impl Into<String>) -> Self {
        self.accepted = Some(accepted.into());
        self
    }
    /// Adds what to do.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
    /// Whether it only stands beside an accepted plan.
    #[must_use]
    pub fn is_note(&self) -> bool {
        self.code >= Code::ClosedRing
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = if self.is_note() { "note" } else { "error" };
        write!(out, "{kind}[{}]: {}", self.code.as_str(), self.message)?;
        write!(out, "\n  --> {}", self.place)?;
        let rest = [
            ("given   ", &self.given),
            ("accepted", &self.accepted),
            ("help    ", &self.help),
        ];
        for (word, text) in rest {
            if let Some(text) = text {
                write!(out, "\n  {word}  {text}")?;
            }
        }
        Ok(())
    }
}

/// Most mistakes or notes of one code that are printed in full.
const MOST_SHOWN: usize = 50;

/// Everything wrong with a plan, in the order in which it was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Faults(pub Vec<Fault>);

impl std::error::Error for Faults {}

impl fmt::Display for Faults {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for &code in Code::ALL {
            let of_code = || self.0.iter().filter(|fault| fault.code == code);
            for fault in of_code().take(MOST_SHOWN) {
                writeln!(out, "{fault}\n")?;
            }
            let hidden = of_code().count().saturating_sub(MOST_SHOWN);
            if hidden > 0 {
                writeln!(out, "{} more of {}\n", hidden, code.as_str())?;
            }
        }
        let errors = self.0.iter().filter(|fault| !fault.is_note()).count();
        match errors {
            0 => Ok(()),
            1 => write!(out, "1 mistake"),
            _ => write!(out, "{errors} mistakes"),
        }
    }
}

/// Where mistakes and notes are written down while work goes on.
#[derive(Debug, Default)]
pub(crate) struct Ledger {
    faults: Vec<Fault>,
    notes: Vec<Fault>,
}

impl Ledger {
    /// Writes one down.
    pub(crate) fn add(&mut self, fault: Fault) {
        if fault.is_note() {
            self.notes.push(fault);
        } else {
            self.faults.push(fault);
        }
    }
    /// Ends a stage: notes are kept, any mistake refuses.
    pub(crate) fn check(&self) -> Result<(), Faults> {
        if self.faults.is_empty() {
            return Ok(());
        }
        Err(Faults(self.faults.clone()))
    }
    /// The notes.
    pub(crate) fn into_notes(self) -> Vec<Fault> {
        self.notes
    }
}
