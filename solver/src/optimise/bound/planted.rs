//! Known ways to get a lower bound wrong, kept so that the judge in the tests
//! can prove it would notice each of them.

/// An error planted on purpose. The public entry points always use [`Planted::Nothing`].
#[doc(hidden)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Planted {
    /// The honest bound.
    Nothing,
    /// Voltage budgets start from the tap's rated volts instead of its no-load volts.
    TapVoltage,
    /// Loads are taken at rated voltage instead of their least inside the window.
    RatedLoads,
    /// Currents are rated VA over the tap's volts instead of the least current inside the window.
    TapCurrents,
    /// The trench flow of a fixture must enter at the site that feeds it.
    TrenchTiedToFeedingSite,
    /// Every cable on a segment at a site pays the fixed cost of a home run.
    CablesLeavingTheSiteCounted,
    /// Every fixture pays a joint of its own.
    JointsNotShared,
    /// Fixtures without a zone are rounded up as a zone of their own.
    UnzonedAsOwnZone,
    /// Cable on hand is paid for.
    StockHasAPrice,
    /// The cable must reach the fixture's own node; its lead saves nothing.
    CableToTheFixture,
    /// The trench bound alone is added to the bound of the whole.
    SumOfBounds,
    /// The margin above the window's low end is counted twice in the voltage budget.
    MarginTwice,
    /// Pieces lose twice what their currents make them lose.
    LossesTwice,
    /// Sources fall by twice their regulation under load.
    RegulationTwice,
    /// Every joint has one wire less than its connector holds.
    PortsTooFew,
    /// Cables of one circuit meet nowhere but in joints, so a loop is charged for twice.
    CablesMeetNowhere,
    /// Every cable begins in a joint, home runs as well.
    CablesBeginInJoints,
    /// No piece begins in a joint where leads land.
    JointsPassNothingOn,
    /// All transformers of a zone stand at one site.
    ZonesAtOneSite,
    /// A joint at the site never has a single piece behind it.
    SiteJointsBranch,
}
