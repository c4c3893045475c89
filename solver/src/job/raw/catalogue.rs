//! Tables of the catalogue folder.

use crate::job::SizeRange;
use crate::job::column::{
    Optional, Required, above_zero, any, at_least_zero, between, positive_up_to, record, up_to,
};
use crate::job::value::{
    Gauge, HoursPerLength, Material, MilliOhms, MoneyPerLength, Percent, Ports, Strand, Tag,
    TransformerKind, Whole, WireSets, YesNo,
};
use crate::units::{
    Amperes, Celsius, Hours, Metres, Money, OhmsPerMetre, PerCelsius, SquareMillimetres,
    VoltAmperes, Volts, Watts,
};

record! {
    /// A cable type.
    CableRow in Catalogue "cables.csv", required, "a two-conductor cable";
    tag: Required<Tag> = "tag", any(), "", "name of the cable";
    size: Required<Gauge> = "size", any(), "", "conductor size";
    material: Optional<Material> = "material", any(), "copper", "metal of the conductors";
    strand: Optional<Strand> = "strand", any(), "stranded", "make-up of the conductors";
    resistance: Optional<OhmsPerMetre> = "resistance", above_zero(), "from size, material and strand", "of one conductor, when the maker states it";
    resistance_at: Optional<Celsius> = "resistance_at_c", between(-60.0, 200.0), "required with resistance", "temperature of the stated resistance";
    coefficient: Optional<PerCelsius> = "coefficient_per_c", up_to(0.1), "that of the material", "temperature coefficient referred to that temperature";
    reactance: Optional<OhmsPerMetre> = "reactance", at_least_zero(), "0", "of one conductor";
    price: Optional<MoneyPerLength> = "price", at_least_zero(), "required unless home_run and branch are no", "price by length";
    ampacity: Required<Amperes> = "ampacity_a", above_zero(), "", "most current";
    outer: Optional<SquareMillimetres> = "outer", above_zero(), "required when a path has a most_fill", "cross-section of the whole cable";
    home_run: Optional<YesNo> = "home_run", any(), "yes", "may be used as a home run";
    branch: Optional<YesNo> = "branch", any(), "yes", "may be used behind the first joint";
    lead: Optional<YesNo> = "lead", any(), "yes", "may be used as a fixture lead";
}

record! {
    /// A spool on sale.
    SpoolRow in Catalogue "spools.csv", optional, "a spool on sale";
    cable: Required<Tag> = "cable", any(), "", "tag in cables.csv";
    length: Required<Metres> = "length", above_zero(), "", "length on the spool";
    price: Required<Money> = "price", at_least_zero(), "", "of the whole spool";
}

record! {
    /// Cable on hand.
    StockRow in Catalogue "stock.csv", optional_and_written, "cable on hand";
    cable: Required<Tag> = "cable", any(), "", "tag in cables.csv";
    length: Required<Metres> = "length", above_zero(), "", "length of one remnant";
    count: Optional<Whole> = "count", between(0.0, 100_000.0), "1", "how many of this length";
}

record! {
    /// A fixture model.
    FixtureModelRow in Catalogue "fixture_models.csv", required, "a fixture model";
    tag: Required<Tag> = "tag", any(), "", "name of the model";
    va: Optional<VoltAmperes> = "va", above_zero(), "from w by the default power factor", "apparent power at rated voltage";
    w: Optional<Watts> = "w", above_zero(), "from va by the default power factor", "real power at rated voltage";
    rated: Optional<Volts> = "rated_v", positive_up_to(100.0), "12", "rated voltage";
    exponent: Optional<f64> = "exponent", up_to(10.0), "0", "load exponent: 0 constant power, 1 constant current, 2 constant resistance";
    window_low: Required<Volts> = "window_low_v", positive_up_to(100.0), "", "lowest voltage at which it works as it should";
    window_high: Required<Volts> = "window_high_v", positive_up_to(100.0), "", "highest voltage it bears";
    lead_cable: Optional<Tag> = "lead_cable", any(), "no lead", "tag in cables.csv";
    lead_length: Optional<Metres> = "lead_length", at_least_zero(), "required with lead_cable", "length of the lead as delivered";
    price: Required<Money> = "price", at_least_zero(), "", "of one fixture";
    hours: Optional<Hours> = "hours", at_least_zero(), "0", "to set and aim one";
}

record! {
    /// A transformer model.
    TransformerRow in Catalogue "transformers.csv", required, "a transformer model";
    tag: Required<Tag> = "tag", any(), "", "name of the model";
    kind: Required<TransformerKind> = "kind", any(), "", "magnetic: mains frequency; nothing else is planned with";
    rated: Required<VoltAmperes> = "rated_va", above_zero(), "", "rated apparent power";
    price: Required<Money> = "price", at_least_zero(), "", "of one";
    hours: Optional<Hours> = "hours", at_least_zero(), "0", "to mount and connect one";
    no_load: Optional<Watts> = "no_load_w", at_least_zero(), "0", "no-load loss";
    efficiency: Required<Percent> = "efficiency_percent", positive_up_to(100.0), "", "efficiency at load, no-load loss on top";
    regulation: Required<Percent> = "regulation_percent", up_to(25.0), "", "rise from rated load to no load";
}

record! {
    /// A secondary winding.
    SecondaryRow in Catalogue "secondaries.csv", required, "a secondary winding of a transformer";
    transformer: Required<Tag> = "transformer", any(), "", "tag in transformers.csv";
    tag: Required<Tag> = "tag", any(), "", "name of the winding, unique within the transformer";
    breaker: Required<Amperes> = "breaker_a", above_zero(), "", "breaker";
    continuous: Optional<Percent> = "continuous_percent", positive_up_to(100.0), "80", "share of the breaker for each circuit, each common and the whole secondary";
}

record! {
    /// A tap.
    TapRow in Catalogue "taps.csv", required, "a tap of a secondary";
    transformer: Required<Tag> = "transformer", any(), "", "tag in transformers.csv";
    secondary: Optional<Tag> = "secondary", any(), "the only one", "tag in secondaries.csv";
    tag: Required<Tag> = "tag", any(), "", "printed on the terminal, unique within the secondary";
    voltage: Required<Volts> = "voltage_v", positive_up_to(100.0), "", "volts at rated load";
    lugs: Optional<Whole> = "lugs", between(1.0, 1000.0), "1", "lug places, one home-run conductor each";
    takes: Required<SizeRange> = "takes", any(), "", "conductor sizes a lug takes: 18 to 8";
}

record! {
    /// A common.
    CommonRow in Catalogue "commons.csv", required, "a common of a secondary";
    transformer: Required<Tag> = "transformer", any(), "", "tag in transformers.csv";
    secondary: Optional<Tag> = "secondary", any(), "the only one", "tag in secondaries.csv";
    tag: Required<Tag> = "tag", any(), "", "printed on the terminal, unique within the secondary";
    lugs: Optional<Whole> = "lugs", between(1.0, 1000.0), "1", "lug places, one home-run conductor each";
    takes: Required<SizeRange> = "takes", any(), "", "conductor sizes a lug takes: 18 to 8";
}

record! {
    /// A hub kind.
    HubRow in Catalogue "hubs.csv", optional, "a hub kind";
    tag: Required<Tag> = "tag", any(), "", "name of the hub kind";
    ports: Required<Ports> = "ports", any(), "", "outgoing ports in groups: 6 x 18 to 12 + 2 x 12 to 10";
    inlet: Required<SizeRange> = "inlet", any(), "", "conductor sizes the inlet takes: 12 to 8";
    most_in_use: Optional<Whole> = "most_in_use", between(1.0, 10_000.0), "all", "most outgoing ports in use";
    price: Required<Money> = "price", at_least_zero(), "", "of one";
    hours: Optional<Hours> = "hours", at_least_zero(), "0", "to place one";
    contact: Optional<MilliOhms> = "contact_mohm", at_least_zero(), "0", "contact resistance per wire end";
}

record! {
    /// A joint kind.
    JointRow in Catalogue "joints.csv", optional, "a kind of splice";
    tag: Required<Tag> = "tag", any(), "", "name of the joint kind";
    holds: Required<WireSets> = "holds", any(), "", "wires it holds on each pole: 3x12 | 2x10 + 2x14";
    price: Required<Money> = "price", at_least_zero(), "", "for both poles";
    hours: Optional<Hours> = "hours", at_least_zero(), "0", "to make both poles";
    contact: Optional<MilliOhms> = "contact_mohm", at_least_zero(), "0", "contact resistance per wire end";
}

record! {
    /// A surface.
    SurfaceRow in Catalogue "surfaces.csv", required, "a kind of ground or hard surface";
    tag: Required<Tag> = "tag", any(), "", "name of the surface";
    open_hours: Optional<HoursPerLength> = "open_hours", at_least_zero(), "0", "own labour to open it, once a segment";
    open_price_by_length: Optional<MoneyPerLength> = "open_price", at_least_zero(), "0", "money to have it opened, once a segment";
    open_price: Optional<Money> = "open_price", at_least_zero(), "0", "fixed money for opening one segment";
    cable_hours: Optional<HoursPerLength> = "cable_hours", at_least_zero(), "0", "own labour for each cable laid in it";
    cable_price: Optional<MoneyPerLength> = "cable_price", at_least_zero(), "0", "money for each cable laid in it";
    beyond_hours: Optional<HoursPerLength> = "beyond_hours", at_least_zero(), "limits are hard", "own labour added once a limit is exceeded";
    beyond_price: Optional<MoneyPerLength> = "beyond_price", at_least_zero(), "limits are hard", "money added once a limit is exceeded";
    joints: Optional<YesNo> = "joints", any(), "no", "may joints be made in this ground by default?";
}
