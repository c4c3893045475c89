//! The textbook formulation: circuits as trees over the arcs of the site graph, a gauge for
//! each arc, currents at the tap's volts, linear voltage drop, trenches opened once.

use duskwright_solver::ids::{
    CableId, FixtureId, JointId, JointKindId, NodeId, PlacedId, SegmentId, SiteId,
    TransformerModelId,
};
use duskwright_solver::job::Job;
use duskwright_solver::plan::{
    Circuit, Incoming, Joint, JointHardware, LeadRun, PlacedTransformer, Plan, Route,
    TransformerSource,
};
use good_lp::solvers::highs::highs;
use good_lp::{
    Expression, ProblemVariables, Solution, SolutionStatus, SolverModel, Variable, WithTimeLimit,
    constraint, variable, variables,
};

/// What HiGHS found within its time.
pub struct Proposal {
    pub value: f64,
    pub proved: bool,
    pub plan: Plan,
}

/// An arc of one circuit: cables of each gauge, and the current in each.
struct Arc {
    from: usize,
    to: usize,
    segment: usize,
    cable: Vec<Variable>,
    amperes: Vec<Variable>,
}

struct Tree {
    arcs: Vec<Arc>,
    /// Whether it feeds each fixture.
    feeds: Vec<Variable>,
    volts: Vec<Variable>,
}

/// The best plan found in `seconds`; `None` when there is none.
pub fn solve(job: &Job, seconds: f64) -> Option<Proposal> {
    let secondary = &job.transformers[0].secondaries[0];
    let (source, limit) = (
        secondary.taps[0].volts.value(),
        secondary.continuous_limit().value(),
    );
    let amperes: Vec<f64> = job
        .fixture_ids()
        .map(|id| job.model_of(id).apparent.value() / source)
        .collect();
    let circuits = ((amperes.iter().sum::<f64>() / limit).ceil() as usize).max(1) + 1;
    let mut all = variables!();
    let open: Vec<Variable> = (0..job.segments.len())
        .map(|_| all.add(variable().binary()))
        .collect();
    let trees: Vec<Tree> = (0..circuits).map(|_| tree(job, source, &mut all)).collect();
    let metres = |segment: usize| job.segments[segment].length.value();
    let mut aim = Expression::default();
    for (segment, &open) in open.iter().enumerate() {
        let surface = job.surface(job.segments[segment].surface);
        aim += surface.open.money_per_unit.cost().value() * metres(segment) * open;
    }
    for arc in trees.iter().flat_map(|tree| &tree.arcs) {
        for (cable, &laid) in job.cables.iter().zip(&arc.cable) {
            let price = cable
                .price
                .map_or(0.0, |price| price.per_unit.cost().value());
            aim += price * metres(arc.segment) * laid;
        }
    }
    let mut problem = all
        .minimise(aim.clone())
        .using(highs)
        .set_option("threads", 1)
        .set_option("random_seed", 1)
        .set_option("output_flag", false)
        .with_time_limit(seconds.max(1.0));
    for f in 0..amperes.len() {
        let fed: Expression = trees.iter().map(|tree| tree.feeds[f]).sum();
        problem.add_constraint(constraint!(fed == 1.0));
    }
    for tree in &trees {
        for (n, &volts) in tree.volts.iter().enumerate() {
            let entering = || tree.arcs.iter().filter(|arc| arc.to == n);
            let leaving = || tree.arcs.iter().filter(|arc| arc.from == n);
            let sum = |arcs: &mut dyn Iterator<Item = &Arc>, of: fn(&Arc) -> &Vec<Variable>| {
                arcs.flat_map(of).copied().sum::<Expression>()
            };
            let out = sum(&mut leaving(), |arc| &arc.amperes);
            if n == 0 {
                problem.add_constraint(constraint!(volts == source));
                problem.add_constraint(constraint!(out <= limit));
                continue;
            }
            let drawn: Expression = job
                .fixtures
                .iter()
                .zip(&tree.feeds)
                .zip(&amperes)
                .filter(|((fixture, _), _)| fixture.node.index() == n)
                .map(|((_, &feeds), &amperes)| feeds * amperes)
                .sum();
            let inward = sum(&mut entering(), |arc| &arc.amperes);
            problem.add_constraint(constraint!(inward == out + drawn));
            let cables = sum(&mut entering(), |arc| &arc.cable);
            problem.add_constraint(constraint!(cables <= 1.0));
        }
        for arc in &tree.arcs {
            let laid: Expression = arc.cable.iter().copied().sum();
            let mut drop = Expression::default();
            for ((cable, &laid), &amperes) in job.cables.iter().zip(&arc.cable).zip(&arc.amperes) {
                let most = limit.min(cable.ampacity.value());
                problem.add_constraint(constraint!(amperes <= most * laid));
                let ohms = 2.0 * cable.conductor.resistance.value() * metres(arc.segment);
                drop += ohms * amperes;
            }
            let (near, far) = (tree.volts[arc.from], tree.volts[arc.to]);
            problem.add_constraint(constraint!(far <= near - drop + source - source * laid));
        }
        for (e, &open) in open.iter().enumerate() {
            let along = tree.arcs.iter().filter(|arc| arc.segment == e);
            let laid: Expression = along.flat_map(|arc| &arc.cable).copied().sum();
            problem.add_constraint(constraint!(laid <= open));
        }
        for (id, &feeds) in job.fixture_ids().zip(&tree.feeds) {
            let least = job.model_of(id).window.min().value();
            let volts = tree.volts[job.fixture(id).node.index()];
            problem.add_constraint(constraint!(volts >= least * feeds));
        }
    }
    let found = problem.solve().ok()?;
    Some(Proposal {
        value: found.eval(aim),
        proved: matches!(found.status(), SolutionStatus::Optimal),
        plan: plan(job, &trees, &|variable| found.value(variable) > 0.5)?,
    })
}

fn tree(job: &Job, source: f64, all: &mut ProblemVariables) -> Tree {
    let mut arcs = Vec::new();
    for (e, segment) in job.segments.iter().enumerate() {
        let (a, b) = (segment.a.index(), segment.b.index());
        for (from, to) in [(a, b), (b, a)] {
            if to != 0 {
                arcs.push(Arc {
                    from,
                    to,
                    segment: e,
                    cable: job
                        .cables
                        .iter()
                        .map(|_| all.add(variable().binary()))
                        .collect(),
                    amperes: job
                        .cables
                        .iter()
                        .map(|_| all.add(variable().min(0.0)))
                        .collect(),
                });
            }
        }
    }
    Tree {
        arcs,
        feeds: job
            .fixtures
            .iter()
            .map(|_| all.add(variable().binary()))
            .collect(),
        volts: job
            .nodes
            .iter()
            .map(|_| all.add(variable().min(0.0).max(source)))
            .collect(),
    }
}

/// The plan that the variables say; `None` when they are no trees.
fn plan(job: &Job, trees: &[Tree], set: &dyn Fn(Variable) -> bool) -> Option<Plan> {
    let circuits: Option<Vec<Circuit>> = trees
        .iter()
        .filter(|tree| tree.feeds.iter().any(|&feeds| set(feeds)))
        .map(|tree| circuit(job, tree, set))
        .collect();
    Some(Plan {
        transformers: vec![PlacedTransformer {
            site: SiteId(0),
            source: TransformerSource::New(TransformerModelId(0)),
        }],
        further_circuits: Vec::new(),
        circuits: circuits?,
    })
}

/// One step of a tree: from, to, segment, gauge.
type Step = (usize, usize, usize, usize);

/// Where a piece under way stands: joint it left, node, segments so far, gauge.
type UnderWay = (Option<JointId>, usize, Vec<SegmentId>, Option<usize>);

fn circuit(job: &Job, tree: &Tree, set: &dyn Fn(Variable) -> bool) -> Option<Circuit> {
    let steps: Vec<Step> = tree
        .arcs
        .iter()
        .filter_map(|arc| {
            let gauge = arc.cable.iter().position(|&laid| set(laid))?;
            Some((arc.from, arc.to, arc.segment, gauge))
        })
        .collect();
    let fed: Vec<FixtureId> = job
        .fixture_ids()
        .zip(&tree.feeds)
        .filter(|(_, feeds)| set(**feeds))
        .map(|(id, _)| id)
        .collect();
    let is_fed = |node: usize| fed.iter().any(|&id| job.fixture(id).node.index() == node);
    let out = |node: usize| steps.iter().filter(move |step| step.0 == node);
    let mut joints: Vec<Joint> = Vec::new();
    let mut under_way: Vec<UnderWay> = vec![(None, 0, Vec::new(), None)];
    let mut walked = 0;
    while let Some((from, node, segments, gauge)) = under_way.pop() {
        let mut next = out(node);
        let (first, second) = (next.next(), next.next());
        let same = first.is_some_and(|step| gauge.is_none_or(|gauge| gauge == step.3));
        let through = !is_fed(node) && second.is_none() && same;
        let from = if through {
            from
        } else {
            let thickest = out(node).map(|step| step.3).max();
            joints.push(Joint {
                node: NodeId::new(node),
                hardware: JointHardware::Splice(JointKindId(0)),
                incoming: Incoming {
                    from,
                    cable: CableId::new(gauge.or(thickest)?),
                    route: Route {
                        segments: segments.clone(),
                    },
                },
            });
            Some(JointId::new(joints.len() - 1))
        };
        for &(_, to, segment, laid) in out(node) {
            let mut on = if through {
                segments.clone()
            } else {
                Vec::new()
            };
            on.push(SegmentId::new(segment));
            under_way.push((from, to, on, Some(laid)));
        }
        walked += 1;
        if walked > job.nodes.len() {
            return None;
        }
    }
    let leads: Option<Vec<LeadRun>> = fed
        .iter()
        .map(|&fixture| {
            let node = job.fixture(fixture).node;
            let at = joints.iter().position(|joint| joint.node == node)?;
            Some(LeadRun {
                fixture,
                joint: JointId::new(at),
                route: Route::default(),
            })
        })
        .collect();
    Some(Circuit {
        transformer: PlacedId(0),
        secondary: 0,
        tap: 0,
        common: 0,
        joints,
        leads: leads?,
    })
}
