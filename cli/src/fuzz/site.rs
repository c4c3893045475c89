//! What a survey left, read by the next one.

use super::put;
use crate::failure::Failure;
use crate::papers::NamedFile;
use crate::survey::earlier::{self, Earlier};
use crate::survey::{RECORD, tables};
use duskwright_solver::units::UnitSystem;
use duskwright_survey::plan::Rate;
use duskwright_survey::{Faults, Known, Overrides, PlanText, Survey, Terms, read};
use duskwright_tests::fuzz::{Sound, said};
use std::fs;
use std::path::{Path, PathBuf};

/// A plan in degrees: a house between a fixture and a site, so that bends have names.
const PLAN: &str = r#"{"type": "FeatureCollection", "survey": {"ground": "lawn"}, "features": [
{"type": "Feature", "id": "F1", "properties": {"is": "fixture", "model": "path-low"}, "geometry": {"type": "Point", "coordinates": [8.5006, 47.25]}},
{"type": "Feature", "id": "S1", "properties": {"is": "site", "mains_va": 1200, "outlets": 2}, "geometry": {"type": "Point", "coordinates": [8.5, 47.25]}},
{"type": "Feature", "id": "house", "properties": {"is": "building"}, "geometry": {"type": "Polygon", "coordinates": [[[8.5002, 47.2499], [8.5004, 47.2499], [8.5004, 47.2502], [8.5002, 47.2502], [8.5002, 47.2499]]]}}
]}"#;

/// Table of the nodes.
const NODES: &str = "nodes.csv";

/// Two folders with the same survey: in one its record is broken, in the other its nodes are.
pub(super) struct Site {
    by_record: PathBuf,
    by_nodes: PathBuf,
}

impl Site {
    pub(super) fn new(home: &Path) -> Self {
        let files = survey(&Earlier::default()).expect("a sound plan");
        let folders = ["by-record", "by-nodes"].map(|name| home.join(name));
        for folder in &folders {
            for (name, bytes) in &files {
                put(&folder.join(name), bytes);
            }
        }
        let [by_record, by_nodes] = folders;
        Self {
            by_record,
            by_nodes,
        }
    }

    pub(super) fn sound_record(&self) -> Sound {
        Sound::one(fs::read(self.by_record.join(RECORD)).expect("written"))
    }

    pub(super) fn sound_nodes(&self) -> Sound {
        let nodes = fs::read(self.by_nodes.join(NODES)).expect("written");
        let bends = String::from_utf8_lossy(&nodes).matches("\nn").count();
        assert!(bends > 0, "a bend round the house has a name");
        Sound::one(nodes)
    }

    pub(super) fn record(&self, bytes: &[u8]) -> String {
        again(&self.by_record, RECORD, bytes)
    }

    pub(super) fn nodes(&self, bytes: &[u8]) -> String {
        again(&self.by_nodes, NODES, bytes)
    }
}

/// The survey made again in a folder where one file is broken.
fn again(folder: &Path, name: &str, bytes: &[u8]) -> String {
    put(&folder.join(name), bytes);
    let shown = Path::new("job");
    let surveyed = || {
        let earlier = earlier::look(folder, shown, false)?;
        let files = survey(&earlier)?;
        earlier.spare_edits(shown, &files)
    };
    said(surveyed())
}

/// Tables and record of the survey.
fn survey(earlier: &Earlier) -> Result<Vec<NamedFile>, Failure> {
    let refused = |faults: Faults| Failure::SitePlan(Box::new(faults));
    let known = Known {
        surfaces: &["lawn".to_owned()],
        models: &["path-low".to_owned()],
        zones: &[],
        site_needs: &tables::SITE_NEEDS,
        origin: earlier.origin(),
    };
    let (plan, _) = read(
        "plan",
        PlanText::GeoJson(PLAN.as_bytes()),
        None,
        None,
        known,
    )
    .map_err(refused)?;
    let rates = [Rate {
        surface: "lawn".to_owned(),
        per_m: 7.0,
        fixed: 0.0,
    }];
    let terms = Terms {
        rates: &rates,
        water_m: 3.0,
        unit: (1.0, "m"),
        file: "plan",
    };
    let units = UnitSystem::Metric;
    let (made, _) =
        Survey::of(&plan, terms, &earlier.nodes(units), &Overrides::default()).map_err(refused)?;
    let mut files = tables::all(&plan, &made, units);
    files.push(earlier::record(&files, made.numbered, plan.origin)?);
    Ok(files)
}
