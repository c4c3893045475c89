//! A tiny valid job as file text: three fixtures, one site, one transformer
//! with two taps, two cables, one joint kind, one hub kind. Prices are invented.

use duskwright_solver::job::JobText;

/// `job.toml` of [`small_job`].
pub const JOB_TOML: &str = r#"schema = 1
name = "Elm Court"
currency = "USD"
units = "us"

[catalogue]
folder = "../catalogue"

[rates]
labour_per_hour = 68.00
slack_transformer_ft = 3
slack_fixture_ft = 1
slack_hub_ft = 1
slack_splice_ft = 0.5
"#;

/// The tables of [`small_job`] by file name.
pub const TABLES: &[(&str, &str)] = &[
    (
        "fixtures.csv",
        "tag,node,model,zone,section,existing\n\
         F1,n1,path-3w,front,Walk,no\n\
         F2,n2,path-3w,front,Walk,no\n\
         F3,n3,spot-6w,,Oak,no\n",
    ),
    (
        "paths.csv",
        "from,to,length_ft,surface,most_cables\n\
         garage,n1,20,lawn,\n\
         n1,n2,15,bed,\n\
         n2,n3,,bed,4\n\
         n1,n3,30,drive,2\n",
    ),
    (
        "nodes.csv",
        "node,x_ft,y_ft,rise_ft,joint\n\
         garage,0,0,4,\n\
         n2,35,0,0,yes\n\
         n3,35,12,,\n",
    ),
    (
        "sites.csv",
        "tag,node,cost,mains_va,outlets,places,further_price,further_va\n\
         garage wall,garage,25.00,1500,1,2,180,1800\n",
    ),
    ("zones.csv", "tag,switched\nfront,transformer\n"),
    (
        "../catalogue/cables.csv",
        "tag,size_awg,price_per_ft,ampacity_a,outer_mm2,home_run,branch,lead\n\
         10-2,10,0.92,30,60,yes,yes,no\n\
         12-2,12,0.61,25,48,yes,yes,no\n\
         lead-18,18,,10,20,no,no,yes\n",
    ),
    (
        "../catalogue/spools.csv",
        "cable,length_ft,price\n10-2,250,210\n12-2,250,140\n12-2,500,265\n",
    ),
    (
        "../catalogue/fixture_models.csv",
        "tag,va,w,rated_v,exponent,window_low_v,window_high_v,lead_cable,lead_length_ft,price,hours\n\
         path-3w,4,3,12,0,9,15,lead-18,3,64,0.4\n\
         spot-6w,8,6,12,0,9,15,lead-18,3,88,0.5\n",
    ),
    (
        "../catalogue/transformers.csv",
        "tag,kind,rated_va,price,hours,no_load_w,efficiency_percent,regulation_percent\n\
         T150,magnetic,150,189,1.5,6,88,5\n",
    ),
    (
        "../catalogue/secondaries.csv",
        "transformer,tag,breaker_a,continuous_percent\nT150,S1,15,80\n",
    ),
    (
        "../catalogue/taps.csv",
        "transformer,secondary,tag,voltage_v,lugs,takes_awg\n\
         T150,S1,12,12,2,18 to 8\n\
         T150,S1,14,14,2,18 to 8\n",
    ),
    (
        "../catalogue/commons.csv",
        "transformer,secondary,tag,lugs,takes_awg\nT150,S1,C,4,18 to 8\n",
    ),
    (
        "../catalogue/hubs.csv",
        "tag,ports_awg,inlet_awg,most_in_use,price,hours,contact_mohm\n\
         hub-6,6 x 18 to 12,12 to 8,5,34,0.3,1\n",
    ),
    (
        "../catalogue/joints.csv",
        "tag,holds_awg,price,hours,contact_mohm\n\
         pair,2x10+2x18 | 3x12,3.10,0.15,0.5\n",
    ),
    (
        "../catalogue/surfaces.csv",
        "tag,open_hours_per_ft,open_price_per_ft,open_price,cable_hours_per_ft,beyond_hours_per_ft,joints\n\
         lawn,0.03,0,0,0.004,0.01,no\n\
         bed,0.02,0,0,0.004,0.01,yes\n\
         drive,0,9.50,120,0.006,,no\n",
    ),
];

/// The valid job, ready to be altered.
#[must_use]
pub fn small_job() -> JobText {
    TABLES.iter().fold(
        JobText::new().with("job.toml", JOB_TOML),
        |text, (name, content)| text.with(*name, *content),
    )
}

/// The job with the first occurrence of `old` in `file` replaced.
///
/// # Panics
/// When the file does not hold `old`: the test would not test what it says.
#[must_use]
pub fn altered(job: JobText, file: &str, old: &str, new: &str) -> JobText {
    let bytes = job.get(file).unwrap_or_default();
    let text = String::from_utf8_lossy(bytes).into_owned();
    assert!(text.contains(old), "{file} does not hold {old:?}");
    let content = text.replacen(old, new, 1);
    job.with(file, content)
}
