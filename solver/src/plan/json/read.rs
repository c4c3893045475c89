//! From the shape of a plan file to a plan: tags and labels looked up, every
//! fault collected.

use super::PlanFile;
use super::fault::{PlanFault, PlanFaults};
use super::raw;
use super::steps::SegmentIndex;
use crate::ids::{
    CableId, ExistingId, FixtureId, HubKindId, JointId, JointKindId, NodeId, PlacedId, SegmentId,
    SiteId, TransformerModelId,
};
use crate::job::{Job, Secondary, did_you_mean, did_you_mean_numbered};
use crate::plan::{
    Circuit, Incoming, Joint, JointHardware, LeadRun, PlacedTransformer, Plan, Route,
    TransformerSource,
};
use std::collections::BTreeMap;

/// Most tags listed in a message.
const MOST_KNOWN_LISTED: usize = 12;

pub(super) fn plan(job: &Job, file: raw::File) -> Result<PlanFile, PlanFaults> {
    if file.job.name != job.name {
        return Err(PlanFaults(vec![PlanFault::OtherJob {
            given: file.job.name,
            accepted: job.name.clone(),
        }]));
    }
    let mut reader = Reader::new(job);
    let plan = reader.plan(&file);
    match plan {
        Some(plan) if reader.faults.is_empty() => {
            reader.lengths(&plan, &file);
            if reader.faults.is_empty() {
                return Ok(PlanFile {
                    plan,
                    header: file.header,
                    results: file.results,
                });
            }
            Err(PlanFaults(reader.faults))
        }
        _ => Err(PlanFaults(reader.faults)),
    }
}

/// A table of tags with what it is called.
struct Tags {
    table: &'static str,
    rows: BTreeMap<String, usize>,
    listed: String,
}

impl Tags {
    fn new<'t>(table: &'static str, tags: impl Iterator<Item = &'t String>) -> Self {
        let tags: Vec<&String> = tags.collect();
        let mut listed = tags
            .iter()
            .take(MOST_KNOWN_LISTED)
            .map(|tag| format!("`{tag}`"))
            .collect::<Vec<_>>()
            .join(", ");
        if tags.len() > MOST_KNOWN_LISTED {
            listed.push_str(&format!(" and {} more", tags.len() - MOST_KNOWN_LISTED));
        }
        let rows = tags.iter().enumerate();
        Self {
            table,
            rows: rows.map(|(row, tag)| ((*tag).clone(), row)).collect(),
            listed,
        }
    }

    /// The known tags, and the one that was probably meant.
    fn near(&self, given: &str) -> String {
        self.with_guess(did_you_mean(given, self.rows.keys().map(String::as_str)))
    }

    /// The known labels, which the program numbered: of those another number is no guess.
    fn near_label(&self, given: &str) -> String {
        let names = self.rows.keys().map(String::as_str);
        self.with_guess(did_you_mean_numbered(given, names))
    }

    fn with_guess(&self, meant: Option<String>) -> String {
        match meant {
            Some(meant) => format!("{}; {meant}", self.listed),
            None => self.listed.clone(),
        }
    }
}

struct Reader<'a> {
    job: &'a Job,
    segments: SegmentIndex,
    nodes: Tags,
    sites: Tags,
    models: Tags,
    standing: Tags,
    cables: Tags,
    splices: Tags,
    hubs: Tags,
    fixtures: Tags,
    faults: Vec<PlanFault>,
}

impl<'a> Reader<'a> {
    fn new(job: &'a Job) -> Self {
        Self {
            job,
            segments: SegmentIndex::of(job),
            nodes: Tags::new("node", job.nodes.iter().map(|row| &row.tag)),
            sites: Tags::new("site", job.sites.iter().map(|row| &row.tag)),
            models: Tags::new(
                "transformer model",
                job.transformers.iter().map(|row| &row.tag),
            ),
            standing: Tags::new(
                "existing transformer",
                job.existing.iter().map(|row| &row.tag),
            ),
            cables: Tags::new("cable", job.cables.iter().map(|row| &row.tag)),
            splices: Tags::new("joint kind", job.joints.iter().map(|row| &row.tag)),
            hubs: Tags::new("hub kind", job.hubs.iter().map(|row| &row.tag)),
            fixtures: Tags::new("fixture", job.fixtures.iter().map(|row| &row.tag)),
            faults: Vec::new(),
        }
    }

    fn plan(&mut self, file: &raw::File) -> Option<Plan> {
        let labels = file.transformers.iter().map(|placed| &placed.label);
        let placed_labels = self.labels("transformer", "transformers", labels);
        let transformers: Vec<_> = file
            .transformers
            .iter()
            .enumerate()
            .map(|(at, placed)| self.transformer(&format!("transformers[{at}]"), placed))
            .collect();
        let further: Vec<_> = file
            .further_circuits
            .iter()
            .enumerate()
            .map(|(at, further)| {
                let field = format!("further_circuits[{at}].site");
                let site = look(&mut self.faults, &self.sites, field, &further.site)?;
                Some((SiteId::new(site), further.count))
            })
            .collect();
        let circuit_labels = file.circuits.iter().map(|circuit| &circuit.label);
        self.labels("circuit", "circuits", circuit_labels);
        let circuits: Vec<_> = file
            .circuits
            .iter()
            .enumerate()
            .map(|(at, circuit)| {
                let field = format!("circuits[{at}]");
                self.circuit(&field, circuit, &placed_labels, &transformers)
            })
            .collect();
        Some(Plan {
            transformers: transformers.into_iter().collect::<Option<_>>()?,
            further_circuits: further.into_iter().collect::<Option<_>>()?,
            circuits: circuits.into_iter().collect::<Option<_>>()?,
        })
    }

    /// Labels of one list; a label used twice is a fault.
    fn labels<'t>(
        &mut self,
        table: &'static str,
        list: &str,
        labels: impl Iterator<Item = &'t String> + Clone,
    ) -> Tags {
        let tags = Tags::new(table, labels.clone());
        for (at, label) in labels.enumerate() {
            if tags.rows[label] != at {
                self.faults.push(PlanFault::LabelTwice {
                    field: format!("{list}[{at}].label"),
                    given: label.clone(),
                });
            }
        }
        tags
    }

    fn transformer(&mut self, field: &str, placed: &raw::Transformer) -> Option<PlacedTransformer> {
        let site = format!("{field}.site");
        let site = look(&mut self.faults, &self.sites, site, &placed.site);
        let source = match &placed.source {
            raw::Source::New { model } => {
                let field = format!("{field}.source.new.model");
                look(&mut self.faults, &self.models, field, model)
                    .map(|row| TransformerSource::New(TransformerModelId::new(row)))
            }
            raw::Source::Existing { transformer, .. } => {
                let field = format!("{field}.source.existing.transformer");
                look(&mut self.faults, &self.standing, field, transformer)
                    .map(|row| TransformerSource::Existing(ExistingId::new(row)))
            }
        };
        Some(PlacedTransformer {
            site: SiteId::new(site?),
            source: source?,
        })
    }

    fn circuit(
        &mut self,
        field: &str,
        circuit: &raw::Circuit,
        placed_labels: &Tags,
        transformers: &[Option<PlacedTransformer>],
    ) -> Option<Circuit> {
        let at = format!("{field}.transformer");
        let placed = look_label(&mut self.faults, placed_labels, at, &circuit.transformer);
        let terminals = placed
            .and_then(|row| transformers[row].as_ref())
            .map(|placed| placed.model(self.job))
            .and_then(|model| {
                self.terminals(field, circuit, &self.job.transformer(model).secondaries)
            });
        let joint_labels = circuit.joints.iter().map(|joint| &joint.label);
        let joint_labels = self.labels("joint", &format!("{field}.joints"), joint_labels);
        let joints = self.joints(field, circuit, &joint_labels);
        let leads: Vec<_> = circuit
            .leads
            .iter()
            .enumerate()
            .map(|(at, lead)| self.lead(&format!("{field}.leads[{at}]"), lead, &joint_labels))
            .collect();
        let (secondary, tap, common) = terminals?;
        Some(Circuit {
            transformer: PlacedId::new(placed?),
            secondary,
            tap,
            common,
            joints: joints?,
            leads: leads.into_iter().collect::<Option<_>>()?,
        })
    }

    fn terminals(
        &mut self,
        field: &str,
        circuit: &raw::Circuit,
        secondaries: &[Secondary],
    ) -> Option<(usize, usize, usize)> {
        let tags = Tags::new("secondary", secondaries.iter().map(|row| &row.tag));
        let at = format!("{field}.secondary");
        let secondary = look(&mut self.faults, &tags, at, &circuit.secondary)?;
        let taps = Tags::new(
            "tap",
            secondaries[secondary].taps.iter().map(|row| &row.tag),
        );
        let tap = look(
            &mut self.faults,
            &taps,
            format!("{field}.tap"),
            &circuit.tap,
        );
        let commons = secondaries[secondary].commons.iter().map(|row| &row.tag);
        let commons = Tags::new("common", commons);
        let at = format!("{field}.common");
        let common = look(&mut self.faults, &commons, at, &circuit.common);
        Some((secondary, tap?, common?))
    }

    fn joints(&mut self, field: &str, circuit: &raw::Circuit, labels: &Tags) -> Option<Vec<Joint>> {
        let mut incoming: Vec<Vec<Option<Incoming>>> =
            circuit.joints.iter().map(|_| Vec::new()).collect();
        for (at, piece) in circuit.pieces.iter().enumerate() {
            let field = format!("{field}.pieces[{at}]");
            let to = look_label(&mut self.faults, labels, format!("{field}.to"), &piece.to);
            let fed = self.piece(&field, &circuit.transformer, piece, labels);
            if let Some(to) = to {
                incoming[to].push(fed);
            }
        }
        let mut joints = Vec::new();
        for (at, (joint, mut pieces)) in circuit.joints.iter().zip(incoming).enumerate() {
            let field = format!("{field}.joints[{at}]");
            if pieces.len() != 1 {
                self.faults.push(PlanFault::Feeds {
                    field: field.clone(),
                    joint: joint.label.clone(),
                    pieces: pieces.len(),
                });
            }
            joints.push(self.joint(&field, joint, pieces.pop().flatten()));
        }
        joints.into_iter().collect()
    }

    fn joint(
        &mut self,
        field: &str,
        joint: &raw::Joint,
        incoming: Option<Incoming>,
    ) -> Option<Joint> {
        let node = look(
            &mut self.faults,
            &self.nodes,
            format!("{field}.node"),
            &joint.node,
        );
        let hardware = match &joint.hardware {
            raw::Hardware::Splice(kind) => {
                let field = format!("{field}.hardware.splice");
                look(&mut self.faults, &self.splices, field, kind)
                    .map(|row| JointHardware::Splice(JointKindId::new(row)))
            }
            raw::Hardware::Hub(kind) => {
                let field = format!("{field}.hardware.hub");
                look(&mut self.faults, &self.hubs, field, kind)
                    .map(|row| JointHardware::Hub(HubKindId::new(row)))
            }
        };
        Some(Joint {
            node: NodeId::new(node?),
            hardware: hardware?,
            incoming: incoming?,
        })
    }

    fn piece(
        &mut self,
        field: &str,
        transformer: &str,
        piece: &raw::Piece,
        labels: &Tags,
    ) -> Option<Incoming> {
        let from = if piece.from == transformer {
            Some(None)
        } else {
            let field = format!("{field}.from");
            look_label(&mut self.faults, labels, field, &piece.from)
                .map(|row| Some(JointId::new(row)))
        };
        let at = format!("{field}.cable");
        let cable = look(&mut self.faults, &self.cables, at, &piece.cable);
        let route = self.route(field, &piece.route);
        Some(Incoming {
            from: from?,
            cable: CableId::new(cable?),
            route: route?,
        })
    }

    fn lead(&mut self, field: &str, lead: &raw::Lead, labels: &Tags) -> Option<LeadRun> {
        let at = format!("{field}.fixture");
        let fixture = look(&mut self.faults, &self.fixtures, at, &lead.fixture);
        let at = format!("{field}.joint");
        let joint = look_label(&mut self.faults, labels, at, &lead.joint);
        let route = self.route(field, &lead.route);
        Some(LeadRun {
            fixture: FixtureId::new(fixture?),
            joint: JointId::new(joint?),
            route: route?,
        })
    }

    fn route(&mut self, field: &str, steps: &[raw::Step]) -> Option<Route> {
        let segments: Vec<_> = steps
            .iter()
            .enumerate()
            .map(|(at, step)| self.step(&format!("{field}.route[{at}]"), step))
            .collect();
        Some(Route {
            segments: segments.into_iter().collect::<Option<_>>()?,
        })
    }

    fn step(&mut self, field: &str, step: &raw::Step) -> Option<SegmentId> {
        let from = look(
            &mut self.faults,
            &self.nodes,
            format!("{field}.from"),
            &step.from,
        );
        let to = look(
            &mut self.faults,
            &self.nodes,
            format!("{field}.to"),
            &step.to,
        );
        let parallels = self.segments.between(NodeId::new(from?), NodeId::new(to?));
        let found = (step.parallel as usize)
            .checked_sub(1)
            .and_then(|at| parallels.get(at));
        if found.is_none() {
            self.faults.push(PlanFault::UnknownSegment {
                field: field.to_owned(),
                from: step.from.clone(),
                to: step.to.clone(),
                given: step.parallel,
                parallels: parallels.len(),
            });
        }
        found.copied()
    }

    /// Holds the stated lengths against the job.
    fn lengths(&mut self, plan: &Plan, file: &raw::File) {
        for (index, (circuit, raw)) in plan.circuits.iter().zip(&file.circuits).enumerate() {
            for (at, piece) in raw.pieces.iter().enumerate() {
                let joint = raw.joints.iter().position(|joint| joint.label == piece.to);
                let Some(joint) = joint else { continue };
                let found = circuit.piece_length(self.job, plan, JointId::new(joint));
                if found.bought.0 != piece.length_grid_steps {
                    self.faults.push(PlanFault::Length {
                        field: format!("circuits[{index}].pieces[{at}].length_grid_steps"),
                        given: piece.length_grid_steps,
                        found: found.bought.0,
                    });
                }
            }
        }
    }
}

/// Row of a tag of the job.
fn look(faults: &mut Vec<PlanFault>, tags: &Tags, field: String, given: &str) -> Option<usize> {
    let row = tags.rows.get(given).copied();
    if row.is_none() {
        faults.push(PlanFault::UnknownTag {
            field,
            table: tags.table,
            given: given.to_owned(),
            known: tags.near(given),
        });
    }
    row
}

/// Row of a label of the plan.
fn look_label(
    faults: &mut Vec<PlanFault>,
    tags: &Tags,
    field: String,
    given: &str,
) -> Option<usize> {
    let row = tags.rows.get(given).copied();
    if row.is_none() {
        faults.push(PlanFault::UnknownLabel {
            field,
            table: tags.table,
            given: given.to_owned(),
            known: tags.near_label(given),
        });
    }
    row
}
