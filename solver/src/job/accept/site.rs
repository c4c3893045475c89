//! The site graph: nodes, segments, transformer sites.

use super::names::{Names, asker, duplicate};
use super::{gather, whole};
use crate::ids::{NodeId, SurfaceId};
use crate::job::column::{Optional, Required};
use crate::job::error::{Code, Ledger, Reported};
use crate::job::nearest::{did_you_mean, listed};
use crate::job::raw::{NodeRow, PathRow, RawJob, SiteRow};
use crate::job::value::{Tag, Whole, YesNo};
use crate::job::{FurtherCircuit, Job, Node, Point, Segment, SegmentLimit, Site};
use crate::units::{Metres, Money};
use std::collections::BTreeMap;

/// Every node named by `nodes.csv` (first) or `paths.csv`, in order of appearance.
pub(super) struct NodeNames<'a> {
    ids: BTreeMap<&'a str, NodeId>,
    in_order: Vec<&'a str>,
    /// Rows of `nodes.csv` by node.
    rows: BTreeMap<NodeId, &'a NodeRow>,
    /// Their positions, each checked once.
    points: BTreeMap<NodeId, Result<Option<Point>, Reported>>,
    whole: Result<(), Reported>,
}

impl<'a> NodeNames<'a> {
    /// Collects the names and reports nodes given twice.
    pub fn of(raw: &'a RawJob, ledger: &mut Ledger) -> Self {
        let mut names = Self {
            ids: BTreeMap::new(),
            in_order: Vec::new(),
            rows: BTreeMap::new(),
            points: BTreeMap::new(),
            whole: raw.nodes.whole.and(raw.paths.whole),
        };
        for row in &raw.nodes.rows {
            let Some(id) = names.add(&row.node) else {
                continue;
            };
            if let Some(first) = names.rows.get(&id) {
                ledger.fault(duplicate("node", &row.node.cell, Some(&first.place)));
            } else {
                names.rows.insert(id, row);
                names.points.insert(id, point(row, ledger));
            }
        }
        for row in &raw.paths.rows {
            names.add(&row.from);
            names.add(&row.to);
        }
        names
    }

    fn add(&mut self, slot: &'a Required<Tag>) -> Option<NodeId> {
        match &slot.value {
            Err(reported) => {
                self.whole = Err(*reported);
                None
            }
            Ok(tag) => {
                let next = NodeId::new(self.in_order.len());
                let id = *self.ids.entry(&tag.0).or_insert(next);
                if id == next {
                    self.in_order.push(&tag.0);
                }
                Some(id)
            }
        }
    }

    /// Position of a node, when known.
    fn point(&self, id: NodeId) -> Result<Option<Point>, Reported> {
        self.points.get(&id).copied().unwrap_or(Ok(None))
    }

    fn id(&self, slot: &Required<Tag>) -> Result<NodeId, Reported> {
        let tag = slot.get()?;
        Ok(*self
            .ids
            .get(tag.0.as_str())
            .expect("every node of paths.csv was added"))
    }

    /// The node of a row: the one it names, or the one named like the row.
    pub fn of_row(
        &self,
        node: &Optional<Tag>,
        own: &Required<Tag>,
        who: &str,
        ledger: &mut Ledger,
    ) -> Result<NodeId, Reported> {
        let (tag, cell) = match node.get()? {
            Some(tag) => (tag, &node.cell),
            None => (own.get()?, &own.cell),
        };
        if let Some(id) = self.ids.get(tag.0.as_str()) {
            return Ok(*id);
        }
        self.whole?;
        let known = || self.in_order.iter().copied();
        let message = format!(
            "{who} stands on node `{}`, which neither paths.csv nor nodes.csv names",
            tag.0
        );
        let help = did_you_mean(&tag.0, known())
            .unwrap_or_else(|| "add a path from it to paths.csv".to_owned());
        Err(ledger.fault(
            cell.fault(Code::UnknownTag, message)
                .accepted(listed(known()))
                .help(help),
        ))
    }
}

/// Position of a node row.
fn point(row: &NodeRow, ledger: &mut Ledger) -> Result<Option<Point>, Reported> {
    let (x, y) = (row.x.get(), row.y.get());
    match (x?, y?) {
        (Some(x), Some(y)) => Ok(Some(Point { x, y })),
        (None, None) => Ok(None),
        (x, _) => {
            let missing = if x.is_none() { &row.x } else { &row.y };
            let fault = missing.cell.fault(
                Code::HalfCoordinates,
                format!("{} has one coordinate of two", asker("node", &row.node)),
            );
            Err(ledger.fault(fault.accepted("both coordinates, or neither")))
        }
    }
}

/// All nodes; joints are as stated or, until [`default_joints`], refused.
pub(super) fn nodes(raw: &RawJob, names: &NodeNames<'_>) -> Result<Vec<Node>, Reported> {
    let nodes = gather(names.in_order.iter().enumerate().map(|(position, tag)| {
        let id = NodeId::new(position);
        let row = names.rows.get(&id);
        let rise = row.map(|row| row.rise.or(Metres::ZERO));
        let water = row.map(|row| row.water.get());
        Ok(Node {
            tag: (*tag).to_owned(),
            at: names.point(id)?,
            rise: rise.unwrap_or(Ok(Metres::ZERO))?,
            joint_allowed: false,
            water: water.unwrap_or(Ok(None))?,
        })
    }));
    let joints = gather(raw.nodes.rows.iter().map(|row| row.joint.get()));
    whole(nodes, names.whole.and(joints.map(|_| ())))
}

/// Says where joints are allowed: as stated, else at fixtures and sites and
/// where a segment lies in ground that allows them.
pub(super) fn default_joints(names: &NodeNames<'_>, job: &mut Job) {
    let mut allowed = vec![false; job.nodes.len()];
    for fixture in &job.fixtures {
        allowed[fixture.node.index()] = true;
    }
    for site in &job.sites {
        allowed[site.node.index()] = true;
    }
    for segment in &job.segments {
        if job.surfaces[segment.surface.index()].joints {
            allowed[segment.a.index()] = true;
            allowed[segment.b.index()] = true;
        }
    }
    for (node, row) in &names.rows {
        if let Ok(Some(YesNo(stated))) = row.joint.value {
            allowed[node.index()] = stated;
        }
    }
    for (node, allowed) in job.nodes.iter_mut().zip(allowed) {
        node.joint_allowed = allowed;
    }
}

/// All segments.
pub(super) fn segments(
    raw: &RawJob,
    nodes: &NodeNames<'_>,
    surfaces: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Vec<Segment>, Reported> {
    let rows = raw.paths.rows.iter();
    whole(
        gather(rows.map(|row| segment(row, nodes, surfaces, ledger))),
        raw.paths.whole,
    )
}

fn segment(
    row: &PathRow,
    nodes: &NodeNames<'_>,
    surfaces: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Segment, Reported> {
    let surface = surfaces.required(&row.surface, "the path", ledger);
    let (a, b) = (nodes.id(&row.from), nodes.id(&row.to));
    let looped = a.is_ok() && a == b;
    let distinct = if looped {
        let message = format!("the path from `{}` leads to itself", row.from.cell.text);
        let fault = row.to.cell.fault(Code::PathLoop, message);
        Err(ledger.fault(fault.accepted("another node")))
    } else {
        Ok(())
    };
    let length = if looped {
        row.length.or(Metres::ZERO)
    } else {
        length(row, nodes, ledger)
    };
    distinct?;
    Ok(Segment {
        a: a?,
        b: b?,
        length: length?,
        surface: SurfaceId::new(surface?),
        utility: row.utility.get()?.map(|name| name.0),
        limit: SegmentLimit {
            cables: row.most_cables.get()?.map(|most| most.0),
            fill: row.most_fill.get()?,
        },
    })
}

/// The measured length, or the straight line between coordinates.
fn length(row: &PathRow, nodes: &NodeNames<'_>, ledger: &mut Ledger) -> Result<Metres, Reported> {
    if let Some(length) = row.length.get()? {
        return Ok(length);
    }
    let (a, b) = (nodes.id(&row.from)?, nodes.id(&row.to)?);
    let (at_a, at_b) = (nodes.point(a)?, nodes.point(b)?);
    if let (Some(a), Some(b)) = (at_a, at_b) {
        let (dx, dy) = ((b.x - a.x).value(), (b.y - a.y).value());
        return Ok(Metres::new((dx * dx + dy * dy).sqrt()));
    }
    let unknown: Vec<String> = [(at_a, &row.from), (at_b, &row.to)]
        .iter()
        .filter(|(at, _)| at.is_none())
        .map(|(_, slot)| format!("`{}`", slot.cell.text))
        .collect();
    nodes.whole?;
    let message = format!(
        "the path from `{}` to `{}` has no length, and there are no coordinates for {}",
        row.from.cell.text,
        row.to.cell.text,
        unknown.join(" and ")
    );
    let fault = row.length.cell.fault(Code::LengthUnknown, message);
    Err(ledger.fault(
        fault
            .accepted("a number, 0 or more")
            .help("measure it, or give both nodes coordinates in nodes.csv"),
    ))
}

/// All sites.
pub(super) fn sites(
    raw: &RawJob,
    nodes: &NodeNames<'_>,
    ledger: &mut Ledger,
) -> Result<Vec<Site>, Reported> {
    let rows = raw.sites.rows.iter();
    whole(
        gather(rows.map(|row| site(row, nodes, ledger))),
        raw.sites.whole,
    )
}

fn site(row: &SiteRow, nodes: &NodeNames<'_>, ledger: &mut Ledger) -> Result<Site, Reported> {
    let node = nodes.of_row(&row.node, &row.tag, &asker("site", &row.tag), ledger);
    let further = further(row, ledger);
    let outlets = row.outlets.get()?;
    Ok(Site {
        tag: row.tag.get()?.0,
        node: node?,
        cost: row.cost.or(Money::ZERO)?,
        mains: row.mains.get()?,
        outlets: outlets.0,
        places: row.places.or(outlets)?.0,
        further: further?,
    })
}

fn further(row: &SiteRow, ledger: &mut Ledger) -> Result<Option<FurtherCircuit>, Reported> {
    let (price, mains) = (row.further_price.get(), row.further_va.get());
    let outlets = row.further_outlets.or(Whole(1));
    let most = row.further_most.or(Whole(1));
    match (price?, mains?) {
        (None, None) => Ok(None),
        (Some(price), Some(mains)) => Ok(Some(FurtherCircuit {
            price,
            mains,
            outlets: outlets?.0,
            most: most?.0,
        })),
        (price, _) => {
            let (there, missing) = if price.is_some() {
                ("further_price", &row.further_va.cell)
            } else {
                ("further_va", &row.further_price.cell)
            };
            let message = format!(
                "{} gives {there} without `{}`",
                asker("site", &row.tag),
                missing.name
            );
            let fault = missing.fault(Code::FurtherIncomplete, message);
            Err(ledger.fault(fault.accepted("both further_price and further_va, or neither")))
        }
    }
}
