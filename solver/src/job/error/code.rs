//! Stable codes of everything the readers may say.

/// Declares the codes with their printed form and title, once.
macro_rules! codes {
    ($($(#[$doc:meta])* $variant:ident = $code:literal, $title:literal;)*) => {
        /// Code of a fault (`J0..`) or a notice (`J9..`). Codes are never reused.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $($(#[$doc])* $variant,)*
        }

        impl Code {
            /// All codes, ascending.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];
            /// The printed form, `J001`.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $code,)* }
            }
            /// Title on the page of codes.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$variant => $title,)* }
            }
        }
    };
}

codes! {
    /// A table or `job.toml` is not there.
    FileMissing = "J001", "file missing";
    /// A file is larger than the limit.
    FileTooLarge = "J002", "file too large";
    /// A file is not UTF-8 text.
    NotUtf8 = "J003", "not UTF-8 text";
    /// A table has no heading line.
    NoHeading = "J004", "empty file";
    /// A table has a heading line and nothing below.
    NoRows = "J005", "empty table";
    /// A table has more rows than the limit.
    TooManyRows = "J006", "too many rows";
    /// A quote is opened and never closed.
    QuoteLeftOpen = "J007", "quote left open";
    /// A row has fewer or more cells than the heading line.
    RaggedRow = "J008", "ragged row";
    /// `job.toml` is not TOML.
    TomlSyntax = "J009", "job.toml cannot be parsed";
    /// The version of the format is not one this reader knows.
    SchemaUnknown = "J010", "unknown schema version";
    /// The catalogue folder is not a relative path.
    FolderRefused = "J011", "catalogue folder refused";
    /// A required column is not in the heading line.
    ColumnMissing = "J020", "column missing";
    /// A column stands twice in the heading line.
    ColumnTwice = "J021", "column given twice";
    /// Two unit systems are mixed.
    UnitMix = "J022", "units mixed";
    /// A required key is not in `job.toml`.
    KeyMissing = "J023", "key missing";
    /// A key of `job.toml` holds another kind of value.
    WrongKind = "J024", "wrong kind of value";
    /// A required cell is blank.
    ValueMissing = "J030", "value missing";
    /// Text where a number is expected.
    BadNumber = "J031", "not a number";
    /// A number that is not finite.
    NotFinite = "J032", "number not finite";
    /// A number outside its range.
    OutOfRange = "J033", "number out of range";
    /// A fraction where a count is expected.
    NotWhole = "J034", "not a whole number";
    /// A word that is not one of the accepted words.
    BadWord = "J035", "unknown word";
    /// Not a conductor size.
    BadSize = "J036", "not a conductor size";
    /// Not a range of conductor sizes.
    BadSizeRange = "J037", "not a range of sizes";
    /// Not a list of ports or wire sets.
    BadSizeList = "J038", "not a list of ports or wires";
    /// A tag with characters it may not have.
    BadTag = "J039", "tag not usable";
    /// A cell longer than the limit, or with control characters.
    BadText = "J040", "text not usable";
    /// Not a list of loads or lugs.
    BadShares = "J041", "not a list of loads or lugs";
    /// A tag that the table it refers to does not list.
    UnknownTag = "J050", "unknown tag";
    /// A tag given to two rows.
    DuplicateTag = "J051", "tag given twice";
    /// A tap or common does not say to which of several secondaries it belongs.
    SecondaryNotNamed = "J052", "secondary not named";
    /// A path begins and ends at the same node.
    PathLoop = "J060", "path from a node to itself";
    /// A path has no length and its ends have no coordinates.
    LengthUnknown = "J061", "length unknown";
    /// A node has one coordinate.
    HalfCoordinates = "J062", "one coordinate of two";
    /// A fixture that no path joins to a site.
    Unreachable = "J063", "fixture cannot be reached";
    /// More transformers stand at a site than it has outlets or places.
    SiteCrowded = "J064", "more transformers than outlets or places";
    /// A further mains circuit is given in part.
    FurtherIncomplete = "J065", "further mains circuit incomplete";
    /// A voltage window whose low end is not below its high end.
    WindowUpsideDown = "J070", "voltage window upside down";
    /// A fixture model with neither VA nor W.
    PowerMissing = "J071", "power missing";
    /// Real power above apparent power.
    PowerUpsideDown = "J072", "W above VA";
    /// A lead cable without length, or a length without cable.
    LeadIncomplete = "J073", "lead incomplete";
    /// A cable used where the catalogue does not allow it.
    CableNotAllowed = "J074", "cable not allowed here";
    /// A cable that is bought by length has no price.
    PriceMissing = "J075", "price missing";
    /// No table gives the resistance of this conductor.
    ResistanceUnknown = "J076", "resistance unknown";
    /// A resistance without its temperature, or the other way round.
    ResistanceIncomplete = "J077", "resistance incomplete";
    /// A fill limit needs the outer cross-section of every cable.
    OuterMissing = "J078", "outer cross-section missing";
    /// A transformer that is not mains-frequency magnetic.
    KindRefused = "J079", "kind of transformer refused";
    /// A transformer without secondary, or a secondary without tap or common.
    TransformerIncomplete = "J080", "transformer incomplete";
    /// A breaker above 25 A without a reason.
    BreakerTooLarge = "J081", "breaker above 25 A without a reason";
    /// More ports in use than there are.
    TooManyPortsInUse = "J082", "more ports in use than there are";
    /// More lugs in use than there are.
    TooManyLugsInUse = "J083", "more lugs in use than there are";
    /// Neither a joint kind nor a hub kind.
    NothingJoins = "J084", "nothing to join wires with";
    /// No cable is allowed as a home run.
    NoHomeRunCable = "J085", "no cable for home runs";
    /// Every tap is above the highest allowed.
    NoUsableTap = "J086", "no tap may be used";
    /// The low case is colder than the high case.
    TemperaturesUpsideDown = "J090", "temperatures upside down";
    /// "with losses" without its terms.
    EnergyTermsMissing = "J091", "energy terms missing";
    /// "whole spools" without spools.
    SpoolsMissing = "J092", "spools missing";
    /// No layout is allowed.
    NoLayout = "J093", "no layout allowed";
    /// Some of latitude, longitude and time zone without the others.
    PlaceIncomplete = "J095", "place incomplete";
    /// A column or key nobody reads.
    Unread = "J901", "column or key not read";
    /// A power factor was assumed.
    PowerFactorAssumed = "J902", "power factor assumed";
    /// A tap above the highest allowed is not used.
    TapTooHigh = "J903", "tap not used";
    /// The job allows taps above the wet-contact class.
    HighTapAllowed = "J904", "taps above 15 V allowed";
    /// A breaker above 25 A was accepted for the reason given.
    LargeBreakerAllowed = "J905", "breaker above 25 A allowed";
    /// A zone no fixture belongs to.
    ZoneUnused = "J906", "zone without fixtures";
    /// Energy terms that the objective does not use.
    TermsUnused = "J907", "energy terms not used";
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::Code;

    #[test]
    fn codes_ascend_so_none_is_given_twice() {
        assert!(
            Code::ALL
                .windows(2)
                .all(|pair| pair[0].as_str() < pair[1].as_str())
        );
    }
}
