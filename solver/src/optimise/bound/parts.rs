//! The bound over a partition of the plans: the least over its parts, worked on
//! where it is least.

use super::arrangements::Arrangement;
use super::climb::Climb;
use super::fitting;
use super::relaxation::Relaxation;
use crate::job::Job;
use std::sync::Arc;

/// Steps taken on the lowest part before looking again which is lowest.
const STRETCH: u32 = 20;

/// Steps after which the lowest part is split.
const SPLIT_AFTER: u32 = 200;

/// Numbers that all climbs under way may hold together (8 bytes each).
const MOST_NUMBERS: usize = 25_000_000;

/// One part and how far it has come.
struct Part {
    arrangement: Arrangement,
    /// What no plan of the part undercuts.
    value: f64,
    climb: Option<(Relaxation, Climb)>,
    /// What it was split from: money of sites and transformers, and how far it had come.
    origin: Option<Arc<(f64, Relaxation, Climb)>>,
    /// It was split off, or cannot be split.
    told_apart: bool,
    /// No memory was left to go on with it.
    frozen: bool,
}

/// A relaxation of the whole job and the climb on it.
pub(super) type Base<'a> = (&'a Relaxation, &'a Climb);

impl Part {
    /// The climb from the best of what is known, and the evaluations that finding it took.
    ///
    /// Where losses are limited, what cables lose has a price, and with it copper has one.
    fn started(&self, bases: &[Base<'_>]) -> ((Relaxation, Climb), u32) {
        if let Some((cost, relaxation, climb)) = self.origin.as_deref() {
            let relaxation = relaxation.clone().with_arrangement(&self.arrangement);
            let climb = climb.clone().raised(self.arrangement.cost - cost);
            return ((relaxation, climb), 0);
        }
        let (relaxation, whole) = bases[0];
        let mut relaxation = relaxation.clone().with_arrangement(&self.arrangement);
        let plain = Climb::branched(whole, &relaxation);
        if self.arrangement.most_va.is_infinite() {
            return ((relaxation, plain), 0);
        }
        let start = plain.value_here(&relaxation);
        let fits = bases.iter().map(|&(base, whole)| {
            let relaxation = base.clone().with_arrangement(&self.arrangement);
            fitting::to_losses(&Climb::branched(whole, &relaxation), &relaxation)
        });
        let best = fits.reduce(|best, next| match next.value > best.value {
            true => next,
            false => best,
        });
        let spent = 1 + fitting::FIT_STEPS * bases.len() as u32;
        match best.filter(|fitted| fitted.value > start) {
            Some(fitted) => {
                let climb = Climb::fitted(&plain, fitted, &mut relaxation);
                ((relaxation, climb), spent)
            }
            None => ((relaxation, plain), spent),
        }
    }

    /// Steps on the part's climb; the steps taken.
    fn stretch(&mut self, bases: &[Base<'_>], above: Option<f64>) -> u32 {
        let mut taken = 0;
        let work = |under_way: &mut (Relaxation, Climb)| {
            for _ in 0..STRETCH {
                under_way.1.step(&mut under_way.0, above);
            }
            under_way.1.best
        };
        if self.climb.is_none() {
            let (mut under_way, spent) = self.started(bases);
            work(&mut under_way);
            taken += spent + STRETCH;
            (self.climb, self.origin) = (Some(under_way), None);
        } else if let Some(under_way) = &mut self.climb {
            work(under_way);
            taken += STRETCH;
        }
        let reached = self
            .climb
            .as_ref()
            .map_or(self.value, |(_, climb)| climb.best);
        self.value = self.value.max(reached);
        taken
    }
}

/// A partition under way.
pub(super) struct Parts {
    parts: Vec<Part>,
}

impl Parts {
    /// Starts all parts from what the whole has reached.
    pub(super) fn new(
        arrangements: Vec<Arrangement>,
        relaxation: &Relaxation,
        whole: &Climb,
    ) -> Self {
        let rest = rest_of(&arrangements, relaxation, whole);
        let parts = arrangements
            .into_iter()
            .map(|arrangement| Part {
                value: arrangement.cost + rest,
                arrangement,
                climb: None,
                origin: None,
                told_apart: false,
                frozen: false,
            })
            .collect();
        Self { parts }
    }

    /// What no plan undercuts; nothing known without parts.
    pub(super) fn value(&self) -> f64 {
        let values = self.parts.iter().map(|part| part.value);
        values.reduce(f64::min).unwrap_or(f64::NEG_INFINITY)
    }

    /// Takes the circuits of the lowest part whole, and steps on it once; false when nothing is
    /// left to do. Only for relaxations that know what whole circuits are made of.
    pub(super) fn step_whole(&mut self, bases: &[Base<'_>], above: Option<f64>) -> bool {
        let Some(lowest) = self.lowest(above) else {
            return false;
        };
        let part = &mut self.parts[lowest];
        let climb = part.climb.take();
        let (mut relaxation, mut climb) = climb.unwrap_or_else(|| part.started(bases).0);
        if !relaxation.whole {
            climb.take_whole(&mut relaxation);
        }
        climb.step(&mut relaxation, above);
        part.value = part.value.max(climb.best);
        part.climb = Some((relaxation, climb));
        true
    }

    /// The lowest part that is not closed.
    fn lowest(&self, above: Option<f64>) -> Option<usize> {
        let closed = closed_at(above);
        (0..self.parts.len())
            .min_by(|&x, &y| self.parts[x].value.total_cmp(&self.parts[y].value))
            .filter(|&at| self.parts[at].value < closed)
    }

    /// Works on the lowest part; the steps taken, 0 when nothing is left to do.
    pub(super) fn stretch(&mut self, job: &Job, bases: &[Base<'_>], above: Option<f64>) -> u32 {
        let closed = closed_at(above);
        let lowest = loop {
            let Some(lowest) = self.lowest(above) else {
                return 0;
            };
            if !self.split(job, lowest) {
                break lowest;
            }
        };
        if self.parts[lowest].frozen {
            return 0;
        }
        self.make_room(lowest, bases[0].1.size(), closed);
        self.parts[lowest].stretch(bases, above)
    }

    /// Splits a part that has come as far as it will soon; false where it stays.
    ///
    /// What no plan of the part undercuts holds for each of its own parts, and what their
    /// transformers cost more comes on top.
    fn split(&mut self, job: &Job, at: usize) -> bool {
        let part = &mut self.parts[at];
        let far = |(_, climb): &(Relaxation, Climb)| climb.steps >= SPLIT_AFTER;
        if part.told_apart || !part.climb.as_ref().is_some_and(far) {
            return false;
        }
        let Some((relaxation, climb)) = part.climb.take() else {
            return false;
        };
        let found = (part.arrangement).split(job, &relaxation.power, relaxation.planted);
        if found.is_empty() {
            part.told_apart = true;
            part.climb = Some((relaxation, climb));
            return false;
        }
        let (value, cost) = (part.value, part.arrangement.cost);
        let origin = Arc::new((cost, relaxation, climb));
        let parts = found.into_iter().map(|arrangement| Part {
            value: value + (arrangement.cost - cost),
            arrangement,
            climb: None,
            origin: Some(Arc::clone(&origin)),
            told_apart: true,
            frozen: false,
        });
        self.parts.splice(at..=at, parts);
        true
    }

    /// Lets go of climbs that are closed, and of the highest when memory is short.
    fn make_room(&mut self, working: usize, size: usize, closed: f64) {
        for part in &mut self.parts {
            if part.value >= closed {
                (part.climb, part.origin) = (None, None);
            }
        }
        let most = (MOST_NUMBERS / size.max(1)).max(1);
        while self.held() >= most && self.parts[working].climb.is_none() {
            let holds = |part: &Part| part.climb.is_some() || part.origin.is_some();
            let highest = (0..self.parts.len())
                .filter(|&at| at != working && holds(&self.parts[at]))
                .max_by(|&x, &y| self.parts[x].value.total_cmp(&self.parts[y].value));
            let Some(highest) = highest else { return };
            let part = &mut self.parts[highest];
            (part.climb, part.origin) = (None, None);
            part.frozen = true;
        }
    }

    /// Climbs held, those that parts were split from counted once.
    fn held(&self) -> usize {
        let origins = self.parts.iter().filter_map(|part| part.origin.as_ref());
        let mut origins: Vec<*const _> = origins.map(Arc::as_ptr).collect();
        origins.sort_unstable();
        origins.dedup();
        let climbs = self.parts.iter().filter(|part| part.climb.is_some());
        climbs.count() + origins.len()
    }
}

/// Value from which a part needs no more work.
fn closed_at(above: Option<f64>) -> f64 {
    above.map_or(f64::INFINITY, |above| above * (1.0 - 1e-7))
}

/// What everything but sites and transformers costs at least, at the prices of the whole.
fn rest_of(arrangements: &[Arrangement], relaxation: &Relaxation, whole: &Climb) -> f64 {
    let Some(any) = arrangements.first() else {
        return 0.0;
    };
    let free = Arrangement::free(any.open.len());
    let mut free = relaxation.clone().with_arrangement(&free);
    let mut climb = Climb::branched(whole, &free);
    climb.step(&mut free, None);
    climb.best.max(0.0)
}
