//! Shutting a stretch of trench: everything that runs through it goes another way.
//!
//! Cables that share a trench hold one another there: the first to leave would pay for a new
//! trench alone, and what stays pays for the old one. Moves of single fixtures and parts
//! find no way out. Here the stretch is shut while all that ran through it is hung anew.

use super::insert::{Manner, Tools};
use super::state::{Placed, State};
use crate::ids::{FixtureId, SegmentId};
use crate::run::{Context, Shape};
use rand::RngExt as _;
use rand::seq::SliceRandom as _;
use std::sync::Arc;

/// Most segments of a stretch.
const LONGEST: usize = 4;

/// Most parts and fixtures that are hung anew at once; a stretch that more run through stays.
const MOST_PARTS: usize = 12;

/// Shuts a stretch of trench at random, hangs the parts of circuits behind it where they cost
/// least elsewhere, and returns the fixtures that are to be served anew, the stretch still
/// shut ([`Tools::open_all`] ends that). `None` where no trench costs anything, or too much hangs on the one chosen.
pub(super) fn shut_a_stretch(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
    manner: Manner,
) -> Option<Vec<FixtureId>> {
    let stretch = choose(ctx, state, tools)?;
    let passes = |route: &[SegmentId]| route.iter().any(|id| stretch.contains(id));
    let slots: Vec<usize> = (state.open())
        .filter(|(_, placed)| {
            let shape = &placed.run.shape;
            let mut pieces = shape.joints.iter().map(|joint| &joint.incoming.route);
            pieces.any(|route| passes(&route.segments))
                || (shape.leads.iter()).any(|lead| passes(&lead.route.segments))
        })
        .map(|(slot, _)| slot)
        .collect();
    let mut parts: Vec<Shape> = Vec::new();
    let mut homeless = Vec::new();
    for slot in slots {
        let Some(placed) = state.take(ctx, slot) else {
            continue;
        };
        let rest = cut_at(ctx, &placed, &passes, &mut parts, &mut homeless);
        if parts.len() + homeless.len() > MOST_PARTS {
            return None;
        }
        let Some(rest) = rest else { continue };
        let rebuilt = (state.supply(ctx, placed.unit, placed.run.secondary, Some(slot)))
            .and_then(|supply| (tools.evaluator).rank(ctx, &rest, &supply, f64::INFINITY, None));
        match rebuilt {
            Some(run) => {
                state.place(ctx, Some(slot), placed.unit, Arc::new(run));
            }
            None => homeless.extend(rest.leads.iter().map(|lead| lead.fixture)),
        }
    }
    tools.shut_all(&stretch);
    parts.shuffle(&mut tools.random);
    // What is still to be hung keeps its own trenches open for the others.
    for part in &parts {
        state.hold_trenches(ctx, part);
    }
    for part in parts {
        state.let_trenches_go(ctx, &part);
        if !tools.attach(ctx, state, &part, None, manner) {
            homeless.extend(part.leads.iter().map(|lead| lead.fixture));
        }
    }
    Some(homeless)
}

/// Up to so many segments in a row from a piece at random, of which the first costs something
/// to open.
fn choose(ctx: &Context<'_>, state: &State, tools: &mut Tools) -> Option<Vec<SegmentId>> {
    let routes = state.open().flat_map(|(_, placed)| {
        let pieces = placed.run.shape.joints.iter();
        pieces.map(|joint| &joint.incoming.route.segments)
    });
    let costs = |segment: &SegmentId| ctx.opening[segment.index()] > 0.0;
    let from: Vec<(&Vec<SegmentId>, usize)> = routes
        .flat_map(|route| (0..route.len()).map(move |at| (route, at)))
        .filter(|&(route, at)| costs(&route[at]))
        .collect();
    if from.is_empty() {
        return None;
    }
    let (route, at) = from[tools.random.random_range(0..from.len())];
    let length = tools.random.random_range(1..=LONGEST);
    Some(route[at..].iter().copied().take(length).collect())
}

/// Cuts a circuit wherever a piece passes the stretch, farthest first; what stays, if anything.
fn cut_at(
    ctx: &Context<'_>,
    placed: &Placed,
    passes: &dyn Fn(&[SegmentId]) -> bool,
    parts: &mut Vec<Shape>,
    homeless: &mut Vec<FixtureId>,
) -> Option<Shape> {
    let mut shape = placed.run.shape.clone();
    let gone: Vec<FixtureId> = (shape.leads.iter())
        .filter(|lead| passes(&lead.route.segments))
        .map(|lead| lead.fixture)
        .collect();
    if !gone.is_empty() {
        let stays = shape.remove(ctx.job, |fixture| gone.contains(&fixture));
        homeless.extend(gone);
        if !stays {
            return None;
        }
    }
    loop {
        // Parents come first: behind the last one no piece passes.
        let last = (shape.joints.iter()).rposition(|joint| passes(&joint.incoming.route.segments));
        let Some(last) = last else {
            return Some(shape);
        };
        let (rest, part) = shape.cut(ctx.job, last);
        parts.push(part);
        shape = rest?;
    }
}

#[cfg(test)]
mod tests {
    use super::shut_a_stretch;
    use crate::ids::{FixtureId, SegmentId};
    use crate::job::Layout;
    use crate::optimise::insert::{Manner, child_random};
    use crate::optimise::search::Chain;
    use crate::run::Context;

    /// Nothing new runs through the stretch while it is shut, and no fixture is lost.
    #[test]
    fn what_ran_through_a_stretch_goes_another_way() {
        let job = crate::bill::specimen::job();
        let ctx = Context::new(&job, Layout::Mixed);
        let mut chain = Chain::new(&ctx, child_random(5, 0));
        chain.construct(&ctx, true);
        let (mut shut, mut hung) = (0, 0);
        for _ in 0..60 {
            let mut state = chain.current.state.clone();
            let found = shut_a_stretch(&ctx, &mut state, &mut chain.tools, Manner::PLAIN);
            let stretch: Vec<SegmentId> = chain.tools.shut.clone();
            chain.tools.open_all();
            let Some(homeless) = found else { continue };
            shut += 1;
            hung += usize::from(homeless.is_empty());
            let mut all: Vec<FixtureId> = state.served().collect();
            for (_, placed) in state.placed() {
                let shape = &placed.run.shape;
                let pieces = shape.joints.iter().map(|joint| &joint.incoming.route);
                let leads = shape.leads.iter().map(|lead| &lead.route);
                let mut passed = pieces.chain(leads).flat_map(|route| &route.segments);
                assert!(passed.all(|segment| !stretch.contains(segment)));
            }
            all.extend(homeless);
            all.sort_unstable();
            assert!(all.iter().copied().eq(job.fixture_ids()), "{all:?}");
            let before = state.cost();
            let slots: Vec<usize> = state.placed().map(|(slot, _)| slot).collect();
            for slot in slots {
                state.take(&ctx, slot);
            }
            assert!(
                before.is_finite() && state.cost().abs() < 1e-6,
                "{}",
                state.cost()
            );
        }
        assert!(shut > 0 && hung > 0, "{shut} {hung}");
    }
}
