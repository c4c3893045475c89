//! The small job with every section, table and most optional columns filled in:
//! the job that the page of codes takes its examples from. Prices are invented.

use crate::small_job::small_job;
use duskwright_solver::job::JobText;

/// `job.toml` of [`full_job`].
pub const FULL_JOB_TOML: &str = r#"schema = 1
name = "Elm Court"
currency = "USD"
units = "us"

[catalogue]
folder = "../catalogue"

[line]
low_percent = 95
high_percent = 105

[rates]
labour_per_hour = 68.00
waste_percent = 5
slack_transformer_ft = 3

[bid]
markup_percent = 25
permit = 90.00

[bid.tax]
material_percent = 7.5

[[bid.lumps]]
name = "Core drilling"
amount = 240.00

[[bid.controls]]
name = "Astronomic timer"
amount = 85.00

[rules]
loading_percent = 80
most_fixtures_per_circuit = 12
home_run_cable = "10-2"
common_home_run = true
layouts = ["chain", "hub", "mixed"]
temperature_low_case_c = 30
highest_tap_v = 15

[[rules.smallest_behind_breaker]]
breaker_a = 25
size_awg = 14

[objective]
minimise = "with losses"
years = 10
discount_percent = 4
energy_price_per_kwh = 0.16
lighting_hours_per_year = 2000

[place]
latitude_deg = 39.74
longitude_deg = -105.18
time_zone = "America/Denver"
"#;

/// The valid job with everything in it.
#[must_use]
pub fn full_job() -> JobText {
    small_job()
        .with("job.toml", FULL_JOB_TOML)
        .with(
            "paths.csv",
            "from,to,length_ft,surface,most_cables,most_fill_in2\n\
             garage,n1,20,lawn,,\n\
             n1,n2,15,bed,,\n\
             n2,n3,,bed,4,\n\
             n1,n3,30,drive,2,0.5\n",
        )
        .with(
            "existing.csv",
            "tag,site,model,zone,present_va,tap_lugs_used,common_lugs_used\n\
             old,garage wall,T150,front,40,12=1,C=1\n",
        )
        .with(
            "../catalogue/stock.csv",
            "cable,length_ft,count\n12-2,60,2\n",
        )
        .with(
            "../catalogue/spools.csv",
            "cable,length_ft,price\n12-2,250,140\n12-2,500,265\n",
        )
}
