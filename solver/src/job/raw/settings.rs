//! Sections of `job.toml`.

use crate::job::column::{
    Optional, Required, above_zero, any, at_least_zero, between, positive_up_to, record, up_to,
};
use crate::job::lighting::{Control, Times};
use crate::job::value::{Gauge, Goal, LayoutList, Percent, Tag, Text, Whole, YesNo};
use crate::units::{Amperes, Celsius, Hours, Metres, Money, Ratio, UnitSystem, VoltAmperes, Volts};
use chrono_tz::Tz;

record! {
    /// Top of the file.
    TopSection in Settings "", required, "the job itself",
        with &["catalogue", "line", "rates", "bid", "rules", "place", "objective"];
    schema: Required<Whole> = "schema", any(), "", "version of this format: 1";
    name: Required<Text> = "name", any(), "", "name of the job";
    currency: Required<Text> = "currency", any(), "", "symbol or code printed beside money";
    units: Required<UnitSystem> = "units", any(), "", "us: feet and AWG; metric: metres and mm²";
}

record! {
    /// `[catalogue]`.
    CatalogueSection in Settings "catalogue", optional, "where the catalogue lies";
    folder: Optional<Text> = "folder", any(), "../catalogue", "catalogue folder, relative to job.toml, forward slashes";
}

record! {
    /// `[line]`.
    LineSection in Settings "line", optional, "the mains voltage band";
    low: Optional<Percent> = "low_percent", between(50.0, 100.0), "100", "low end of the mains voltage, share of nominal";
    high: Optional<Percent> = "high_percent", between(100.0, 150.0), "100", "high end of the mains voltage, share of nominal";
}

record! {
    /// `[rates]`.
    RatesSection in Settings "rates", required, "labour, waste and slack";
    labour: Required<Money> = "labour_per_hour", at_least_zero(), "", "loaded labour rate";
    waste: Optional<Ratio> = "waste_percent", up_to(100.0), "0", "cable waste, price only; left out where a cutting plan prices the spools";
    slack_transformer: Optional<Metres> = "slack_transformer", at_least_zero(), "0", "slack of a cable end at a transformer";
    slack_fixture: Optional<Metres> = "slack_fixture", at_least_zero(), "0", "slack of a cable end at a fixture";
    slack_hub: Optional<Metres> = "slack_hub", at_least_zero(), "0", "slack of a cable end at a hub";
    slack_splice: Optional<Metres> = "slack_splice", at_least_zero(), "0", "slack of a cable end at a splice";
    shortest_useful: Optional<Metres> = "shortest_useful", at_least_zero(), "3 m or 10 ft", "shortest length left of a spool that is worth keeping; below it, waste";
}

record! {
    /// `[bid]`.
    BidSection in Settings "bid", optional, "commercial terms", with &["tax", "lumps", "controls"];
    sundries: Optional<Ratio> = "sundries_percent", up_to(1000.0), "0", "small material, on material";
    overhead: Optional<Ratio> = "overhead_percent", up_to(1000.0), "0", "overhead on material, labour and subcontract";
    markup: Optional<Ratio> = "markup_percent", up_to(1000.0), "0", "markup on cost with overhead";
    permit: Optional<Money> = "permit", at_least_zero(), "0", "permit fees";
    mobilisation: Optional<Money> = "mobilisation", at_least_zero(), "0", "mobilisation";
    minimum_charge: Optional<Money> = "minimum_charge", at_least_zero(), "0", "least price of a job before tax";
    night_visit: Optional<Hours> = "night_visit_hours", up_to(10_000.0), "0", "hours of the night visit in which fixtures are adjusted";
}

record! {
    /// `[bid.tax]`.
    TaxSection in Settings "bid.tax", optional, "tax by class; classes not named are not taxed";
    material: Optional<Ratio> = "material_percent", up_to(1000.0), "not taxed", "tax on things bought";
    labour: Optional<Ratio> = "labour_percent", up_to(1000.0), "not taxed", "tax on own labour";
    subcontract: Optional<Ratio> = "subcontract_percent", up_to(1000.0), "not taxed", "tax on work of others";
}

record! {
    /// `[[bid.lumps]]`.
    LumpSection in Entries "bid.lumps", optional, "a subcontract lump";
    name: Required<Text> = "name", any(), "", "what it is for";
    amount: Required<Money> = "amount", at_least_zero(), "", "how much";
}

record! {
    /// `[[bid.controls]]`.
    ControlSection in Entries "bid.controls", optional, "a timer, sensor or switch: material";
    name: Required<Text> = "name", any(), "", "what it is";
    amount: Required<Money> = "amount", at_least_zero(), "", "how much";
}

record! {
    /// `[rules]`.
    RulesSection in Settings "rules", optional, "engineering rules", with &["smallest_behind_breaker"];
    loading: Optional<Percent> = "loading_percent", positive_up_to(100.0), "80", "share of a transformer's VA that may be loaded";
    mains: Optional<Percent> = "mains_percent", positive_up_to(100.0), "80", "share of a site's mains VA that may be used";
    spare: Optional<Percent> = "spare_percent", up_to(99.0), "0", "share of the permitted VA kept free";
    spare_va: Optional<VoltAmperes> = "spare_va", at_least_zero(), "0", "VA kept free on each transformer";
    spare_a: Optional<Amperes> = "spare_a", at_least_zero(), "0", "A kept free on each secondary";
    spare_ports: Optional<Whole> = "spare_ports", at_least_zero(), "0", "ports kept free on each hub";
    spare_lugs: Optional<Whole> = "spare_lugs", at_least_zero(), "0", "lug places kept free on each transformer";
    most_per_circuit: Optional<Whole> = "most_fixtures_per_circuit", between(1.0, 1e6), "no limit", "most fixtures on one circuit";
    most_per_hub: Optional<Whole> = "most_fixtures_per_hub", between(1.0, 1e6), "no limit", "most fixtures on one hub";
    home_run_cable: Optional<Tag> = "home_run_cable", any(), "free", "every home run uses this cable";
    common_home_run: Optional<YesNo> = "common_home_run", any(), "false", "all home runs share one gauge, whichever is cheapest";
    joints_restricted: Optional<YesNo> = "joints_only_at_fixtures_and_hubs", any(), "false", "no bare tees";
    layouts: Optional<LayoutList> = "layouts", any(), "all three", "layouts allowed";
    margin_low: Optional<Volts> = "margin_low_v", up_to(50.0), "0.5", "kept above the low end of each window, low case";
    margin_high: Optional<Volts> = "margin_high_v", up_to(50.0), "0", "kept below the high end of each window, high case";
    length_growth: Optional<Percent> = "length_growth_percent", up_to(100.0), "5", "on every length in the low case";
    low_case: Optional<Celsius> = "temperature_low_case_c", between(-60.0, 120.0), "30", "conductor temperature, low case";
    high_case: Optional<Celsius> = "temperature_high_case_c", between(-60.0, 120.0), "5", "conductor temperature, high case";
    expected: Optional<Celsius> = "temperature_expected_c", between(-60.0, 120.0), "15", "conductor temperature, expected case";
    highest_tap: Optional<Volts> = "highest_tap_v", positive_up_to(30.0), "15", "taps above it are not used (15 V: wet-contact class)";
    water_distance: Optional<Metres> = "water_distance", at_least_zero(), "3 m or 10 ft", "a fixture or transformer nearer to a pool, spa or fountain is cautioned about";
    power_factor: Optional<f64> = "default_power_factor", positive_up_to(1.0), "0.8", "makes VA from W, or W from VA, where a model gives only one";
    breaker_reason: Optional<Text> = "breaker_above_25_reason", any(), "none", "who says that a secondary's breaker may be above 25 A";
}

record! {
    /// `[[rules.smallest_behind_breaker]]`.
    BreakerRuleSection in Entries "rules.smallest_behind_breaker", optional, "a smallest conductor behind a breaker";
    breaker: Required<Amperes> = "breaker_a", above_zero(), "", "behind a breaker of at least this";
    size: Required<Gauge> = "size", any(), "", "no conductor thinner than this";
}

record! {
    /// `[place]`.
    PlaceSection in Settings "place", optional, "where the job is, and when its lights are on";
    latitude: Optional<f64> = "latitude_deg", between(-90.0, 90.0), "not known", "degrees north";
    longitude: Optional<f64> = "longitude_deg", between(-180.0, 180.0), "not known", "degrees east";
    time_zone: Optional<Tz> = "time_zone", any(), "not known", "name in the IANA time zone database";
    energy_price: Optional<Money> = "energy_price_per_kwh", at_least_zero(), "not known", "price of energy";
    times: Optional<Times> = "times", any(), "dusk to dawn", "when fixtures without a zone are on";
    control: Optional<Control> = "control", any(), "not known", "what switches fixtures without a zone";
}

record! {
    /// `[objective]`.
    ObjectiveSection in Settings "objective", optional, "what to minimise";
    minimise: Optional<Goal> = "minimise", any(), "installed", "what to minimise";
    years: Optional<f64> = "years", positive_up_to(100.0), "required with losses", "years counted";
    discount: Optional<Ratio> = "discount_percent", up_to(100.0), "required with losses", "discount rate a year";
    energy_price: Optional<Money> = "energy_price_per_kwh", at_least_zero(), "that of [place]; required with losses", "price of energy";
    lighting_hours: Optional<f64> = "lighting_hours_per_year", up_to(8784.0), "from place, times and control; required with losses without a place", "lighting hours a year";
}
