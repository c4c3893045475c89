//! Tables of the job folder.

use crate::job::Switched;
use crate::job::column::{Optional, Required, any, at_least_zero, between, record};
use crate::job::lighting::{Control, Times};
use crate::job::value::{Shares, Tag, Text, Whole, YesNo};
use crate::units::{Metres, Money, SquareMillimetres, VoltAmperes};

record! {
    /// A fixture.
    FixtureRow in JobFolder "fixtures.csv", required, "a fixture to light";
    tag: Required<Tag> = "tag", any(), "", "name of the fixture";
    node: Optional<Tag> = "node", any(), "the node named like the fixture", "node it stands on";
    model: Required<Tag> = "model", any(), "", "tag in fixture_models.csv";
    zone: Optional<Tag> = "zone", any(), "none: may share with any", "tag in zones.csv";
    section: Optional<Text> = "section", any(), "none", "section of the bid";
    existing: Optional<YesNo> = "existing", any(), "no", "already on site: neither bought nor set";
}

record! {
    /// A possible segment.
    PathRow in JobFolder "paths.csv", required, "a possible trench, bore, sleeve or fence run between two nodes";
    from: Required<Tag> = "from", any(), "", "node at one end";
    to: Required<Tag> = "to", any(), "", "node at the other end";
    length: Optional<Metres> = "length", at_least_zero(), "straight line between coordinates", "measured length";
    surface: Required<Tag> = "surface", any(), "", "tag in surfaces.csv";
    most_cables: Optional<Whole> = "most_cables", at_least_zero(), "no limit", "most cables in it";
    most_fill: Optional<SquareMillimetres> = "most_fill", at_least_zero(), "no limit", "most sum of outer cross-sections";
    utility: Optional<Text> = "utility", any(), "none", "declared buried utility that it crosses";
}

record! {
    /// A node with more to say than its name.
    NodeRow in JobFolder "nodes.csv", optional, "a node with coordinates, rise or a joint rule";
    node: Required<Tag> = "node", any(), "", "name of the node";
    x: Optional<Metres> = "x", any(), "unknown", "position east";
    y: Optional<Metres> = "y", any(), "unknown", "position north";
    rise: Optional<Metres> = "rise", at_least_zero(), "0", "vertical length added to every piece end here";
    joint: Optional<YesNo> = "joint", any(), "by fixture, site and surface", "may conductors be joined here?";
    water: Optional<Metres> = "water", at_least_zero(), "not known", "distance to the nearest pool, spa or fountain";
}

record! {
    /// A transformer site.
    SiteRow in JobFolder "sites.csv", required, "a place where transformers may stand";
    tag: Required<Tag> = "tag", any(), "", "name of the place";
    node: Optional<Tag> = "node", any(), "the node named like the site", "its node";
    cost: Optional<Money> = "cost", at_least_zero(), "0", "for using the site at all, once";
    mains: Required<VoltAmperes> = "mains_va", at_least_zero(), "", "mains VA available";
    outlets: Required<Whole> = "outlets", between(0.0, 1000.0), "", "receptacles, one transformer each";
    places: Optional<Whole> = "places", between(0.0, 1000.0), "as many as outlets", "wall places, one transformer each";
    further_price: Optional<Money> = "further_price", at_least_zero(), "none can be had", "for one further mains circuit";
    further_va: Optional<VoltAmperes> = "further_va", at_least_zero(), "required with further_price", "mains VA that one brings";
    further_outlets: Optional<Whole> = "further_outlets", between(0.0, 1000.0), "1", "outlets that one brings";
    further_most: Optional<Whole> = "further_most", between(1.0, 1000.0), "1", "most that can be bought";
}

record! {
    /// A zone.
    ZoneRow in JobFolder "zones.csv", optional, "what one switch, timer or sensor controls";
    tag: Required<Tag> = "tag", any(), "", "name of the zone";
    switched: Required<Switched> = "switched", any(), "", "what the switch interrupts";
    times: Optional<Times> = "times", any(), "as [place] says", "when it is on";
    control: Optional<Control> = "control", any(), "as [place] says", "what switches it";
}

record! {
    /// A standing transformer.
    ExistingRow in JobFolder "existing.csv", optional, "a transformer already standing";
    tag: Required<Tag> = "tag", any(), "", "name of it";
    site: Required<Tag> = "site", any(), "", "tag in sites.csv";
    model: Required<Tag> = "model", any(), "", "tag in transformers.csv";
    zone: Optional<Tag> = "zone", any(), "none", "zone that switches it already";
    present: Optional<Shares> = "present_va", at_least_zero(), "0", "present load of each secondary: S1=120 + S2=40";
    tap_lugs: Optional<Shares> = "tap_lugs_used", between(0.0, 1000.0), "0", "lugs in use on taps: S1/12=1 + S2/13=2";
    common_lugs: Optional<Shares> = "common_lugs_used", between(0.0, 1000.0), "0", "lugs in use on commons: S1/C=2";
}
