//! Changes to a job that let a fixture be served.

use crate::ids::{CableId, NodeId, SiteId};
use crate::units::{Amperes, Metres, OhmsPerMetre, VoltAmperes, Volts};

/// One change to a job.
///
/// Beside a proof that a fixture is out of reach: alone enough for the rule
/// that binds. Beside a fixture that a search left over: likely to help.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remedy {
    /// Allow a cable of the catalogue for pieces.
    AllowCable(CableId),
    /// Add a cable whose conductor has at most this resistance in the low case.
    ThickerGauge(OhmsPerMetre),
    /// Use a tap of at least these rated volts.
    HigherTap(Volts),
    /// Use a tap of at most these rated volts.
    LowerTap(Volts),
    /// Bring a site within this route length of where the lead lands.
    NearerSite(Metres),
    /// Use a fixture whose window begins at these volts or lower.
    WindowFrom(Volts),
    /// Use a fixture whose window reaches up to these volts or higher.
    WindowUpTo(Volts),
    /// Add a path that joins the fixture to a site.
    Path,
    /// Allow a joint at this node.
    JointAt(NodeId),
    /// Use a fixture with a lead of at least this length.
    LongerLead(Metres),
    /// Add a cable that carries at least this current.
    MoreAmpacity(Amperes),
    /// Use a secondary that may carry at least this current continuously.
    LargerCircuit(Amperes),
    /// Use a transformer model of at least this rated load.
    LargerTransformer(VoltAmperes),
    /// Use a transformer with lugs, on a tap that may be used and on a common, for this cable.
    LugFor(CableId),
    /// Allow a cable of the catalogue for home runs.
    AllowHomeRun,
    /// Use transformers with so many lug places more, all together.
    MoreLugs(u32),
    /// Room for one more transformer at a site.
    FurtherPosition {
        /// Where.
        site: SiteId,
        /// An outlet is lacking.
        outlet: bool,
        /// A wall place is lacking.
        place: bool,
    },
    /// A further site.
    FurtherSite,
    /// So much more mains VA at a site.
    MoreMains {
        /// Where.
        site: SiteId,
        /// How much more there must be, before the share that may be used.
        apparent: VoltAmperes,
    },
}
