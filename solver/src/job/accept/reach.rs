//! Whether cable can get from a site to every fixture.

use crate::ids::NodeId;
use crate::job::Job;
use crate::job::error::{Code, Ledger, Reported};
use crate::job::nearest::listed;
use crate::job::raw::RawJob;

/// Nodes that some path joins to a site, `O(nodes + segments)`.
fn reached(job: &Job) -> Vec<bool> {
    let mut neighbours: Vec<Vec<NodeId>> = vec![Vec::new(); job.nodes.len()];
    for segment in &job.segments {
        neighbours[segment.a.index()].push(segment.b);
        neighbours[segment.b.index()].push(segment.a);
    }
    let mut reached = vec![false; job.nodes.len()];
    let mut open: Vec<NodeId> = job.sites.iter().map(|site| site.node).collect();
    while let Some(node) = open.pop() {
        if !std::mem::replace(&mut reached[node.index()], true) {
            open.extend(&neighbours[node.index()]);
        }
    }
    reached
}

/// Reports every fixture that no path joins to a site.
pub(super) fn check(raw: &RawJob, job: &Job, ledger: &mut Ledger) -> Result<(), Reported> {
    let reached = reached(job);
    let mut all = Ok(());
    for (fixture, row) in job.fixtures.iter().zip(&raw.fixtures.rows) {
        if reached[fixture.node.index()] {
            continue;
        }
        let node = &job.node(fixture.node).tag;
        let cell = if row.node.cell.text.is_empty() {
            &row.tag.cell
        } else {
            &row.node.cell
        };
        let message = format!(
            "no path leads from fixture `{}` on node `{node}` to a transformer site",
            fixture.tag
        );
        let sites = job
            .sites
            .iter()
            .map(|site| job.node(site.node).tag.as_str());
        all = Err(ledger.fault(
            cell.fault(Code::Unreachable, message)
                .accepted(format!(
                    "a node joined by paths to one of {}",
                    listed(sites)
                ))
                .help("add the missing path to paths.csv, or correct a misspelt node there"),
        ));
    }
    all
}
