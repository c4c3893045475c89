//! A survey ready to be written down: the graph with names, hand edits made, distances to
//! water, and what was noticed.

use crate::fault::{Code, Fault, Faults, Ledger, Place};
use crate::graph::{self, Graph, NodeKind};
use crate::overrides::{Applied, Overrides};
use crate::plan::{Rate, SitePlan};
use crate::tags::{self, Earlier};
use crate::water;

/// A survey.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// The graph, hand edits made.
    pub graph: Graph,
    /// Name of each node.
    pub tags: Vec<String>,
    /// Highest number in a name so far, those of nodes that are gone among them.
    pub numbered: usize,
    /// Distance of each fixture and site from the nearest pool, spa or fountain, m.
    pub water_m: Vec<Option<f64>>,
    /// Hand edits that had an effect.
    pub applied: Applied,
}

/// What a survey needs beside the plan.
#[derive(Clone, Copy, Debug)]
pub struct Terms<'a> {
    /// What surfaces cost.
    pub rates: &'a [Rate],
    /// Distance from water below which fixtures and sites are cautioned about, m.
    pub water_m: f64,
    /// Metres in the unit in which lengths are said, and its symbol.
    pub unit: (f64, &'a str),
    /// The plan's file, as it should be shown.
    pub file: &'a str,
}

impl Survey {
    /// Derives the graph of a plan, names its nodes and makes the hand edits. Returns notes too.
    ///
    /// # Errors
    /// [`Faults`] for fixtures or sites that nothing reaches, and for edits that mean nothing.
    pub fn of(
        plan: &SitePlan,
        terms: Terms<'_>,
        earlier: &Earlier,
        overrides: &Overrides,
    ) -> Result<(Self, Vec<Fault>), Faults> {
        let mut ledger = Ledger::default();
        let mut graph = graph::derive(plan, terms.rates, &mut ledger)?;
        let mut earlier = earlier.clone();
        earlier.reserved.extend(overrides.nodes());
        let (mut tags, numbered) = tags::tags(&graph, plan, &earlier);
        let applied = overrides.apply(&mut graph, &tags, terms.rates, &mut ledger);
        cut_off(plan, &graph, &mut ledger);
        ledger.check()?;
        leave_out_bare(&mut graph, &mut tags);
        let place = Place::file(terms.file);
        water::say(plan, &graph, terms.water_m, terms.unit, &place, &mut ledger);
        let survey = Self {
            water_m: water::distances(plan, &graph),
            graph,
            tags,
            numbered,
            applied,
        };
        Ok((survey, ledger.into_notes()))
    }
}

/// Writes down every fixture that hand edits cut off from all sites.
fn cut_off(plan: &SitePlan, graph: &Graph, ledger: &mut Ledger) {
    let mut around = vec![Vec::new(); graph.nodes.len()];
    for segment in &graph.segments {
        let [a, b] = segment.ends;
        around[a].push(b);
        around[b].push(a);
    }
    let mut reached = vec![false; graph.nodes.len()];
    let mut open: Vec<usize> = (0..graph.nodes.len())
        .filter(|&node| matches!(graph.nodes[node].kind, NodeKind::Site(_)))
        .collect();
    while let Some(node) = open.pop() {
        if !std::mem::replace(&mut reached[node], true) {
            open.extend(&around[node]);
        }
    }
    for (node, reached) in graph.nodes.iter().zip(reached) {
        if let (NodeKind::Fixture(number), false) = (&node.kind, reached) {
            let fixture = &plan.fixtures[*number];
            ledger.add(
                Fault::new(
                    Code::Unreachable,
                    &fixture.place,
                    format!("forbidden segments cut fixture `{}` off", fixture.tag),
                )
                .help("forbid fewer, or add a segment that leads to it"),
            );
        }
    }
}

/// Leaves out bends and forks without a segment.
fn leave_out_bare(graph: &mut Graph, tags: &mut Vec<String>) {
    let mut used = vec![false; graph.nodes.len()];
    for segment in &graph.segments {
        for end in segment.ends {
            used[end] = true;
        }
    }
    let mut place = vec![0; graph.nodes.len()];
    let mut kept = 0;
    for (node, item) in graph.nodes.iter().enumerate() {
        used[node] |= matches!(item.kind, NodeKind::Fixture(_) | NodeKind::Site(_));
        place[node] = kept;
        kept += usize::from(used[node]);
    }
    for segment in &mut graph.segments {
        segment.ends = segment.ends.map(|end| place[end]);
    }
    let mut keep = used.iter();
    graph.nodes.retain(|_| keep.next() == Some(&true));
    let mut keep = used.iter();
    tags.retain(|_| keep.next() == Some(&true));
}
