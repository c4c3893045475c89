//! Every way to feed given circuits: transformers, secondaries, taps, commons.

use super::plans::Wired;
use super::volts::{self, Live};
use duskwright_solver::ids::FixtureId;
use duskwright_solver::job::{Job, Switched, TransformerModel};

/// Tolerance of every voltage and current limit.
const TOLERANCE: f64 = 1e-6;

/// A transformer of the plan under trial.
#[derive(Clone)]
struct Placed {
    site: usize,
    model: usize,
    existing: Option<usize>,
    /// Circuit with its secondary, tap and common.
    landed: Vec<(usize, [usize; 3])>,
}

struct Trial<'a> {
    job: &'a Job,
    wired: &'a [Wired],
    limit: f64,
    best: Option<f64>,
    steps_left: &'a mut u64,
}

/// Steps that one solution of a transformer's circuits counts for.
const SOLUTION_STEPS: u64 = 20;

/// Least total below `limit` when everything but transformers, sites and mains
/// circuits costs `money`.
pub fn cheapest(
    job: &Job,
    wired: &[Wired],
    money: f64,
    limit: f64,
    steps_left: &mut u64,
) -> Option<f64> {
    let mut trial = Trial {
        job,
        wired,
        limit,
        best: None,
        steps_left,
    };
    trial.place(0, &mut Vec::new(), money);
    trial.best
}

impl Trial<'_> {
    fn place(&mut self, circuit: usize, placed: &mut Vec<Placed>, money: f64) {
        *self.steps_left = self.steps_left.saturating_sub(1);
        if money >= self.limit || *self.steps_left == 0 {
            return;
        }
        if circuit == self.wired.len() {
            self.judge(placed, money);
            return;
        }
        let site = self.wired[circuit].shape.site;
        for p in 0..placed.len() {
            if placed[p].site == site {
                self.land(circuit, p, placed, money);
            }
        }
        let labour = self.job.rates.labour.cost().value();
        let standing: Vec<usize> = (0..self.job.existing.len())
            .filter(|&e| self.job.existing[e].site.index() == site)
            .filter(|&e| placed.iter().all(|one| one.existing != Some(e)))
            .collect();
        let used_before = placed.iter().any(|one| one.site == site);
        let has_standing = self.job.existing.iter().any(|one| one.site.index() == site);
        let site_money = if used_before || has_standing {
            0.0
        } else {
            self.job.sites[site].cost.cost().value()
        };
        for e in standing {
            let model = self.job.existing[e].model.index();
            placed.push(Placed {
                site,
                model,
                existing: Some(e),
                landed: Vec::new(),
            });
            self.land(circuit, placed.len() - 1, placed, money);
            placed.pop();
        }
        for (model, row) in self.job.transformers.iter().enumerate() {
            let price = row.price.cost().value() + row.hours.value() * labour;
            placed.push(Placed {
                site,
                model,
                existing: None,
                landed: Vec::new(),
            });
            self.land(
                circuit,
                placed.len() - 1,
                placed,
                money + site_money + price,
            );
            placed.pop();
        }
    }

    /// Every secondary, tap and common of one transformer for one circuit.
    fn land(&mut self, circuit: usize, p: usize, placed: &mut Vec<Placed>, money: f64) {
        let model = &self.job.transformers[placed[p].model];
        for (s, secondary) in model.secondaries.iter().enumerate() {
            for (t, tap) in secondary.taps.iter().enumerate() {
                if tap.volts.value() > self.job.rules.highest_tap.value() + 1e-9 {
                    continue;
                }
                for c in 0..secondary.commons.len() {
                    placed[p].landed.push((circuit, [s, t, c]));
                    if self.lugs_and_zones(&placed[p], model) {
                        self.place(circuit + 1, placed, money);
                    }
                    placed[p].landed.pop();
                }
            }
        }
    }

    fn lugs_and_zones(&self, one: &Placed, model: &TransformerModel) -> bool {
        let &(circuit, [s, t, c]) = one.landed.last().expect("just landed");
        let wired = &self.wired[circuit];
        let home = wired
            .shape
            .joints
            .iter()
            .position(|joint| joint.parent.is_none())
            .expect("one home run");
        let size = self.job.cables[wired.gauges[home]].size;
        let (tap, common) = (
            &model.secondaries[s].taps[t],
            &model.secondaries[s].commons[c],
        );
        let on_tap = one
            .landed
            .iter()
            .filter(|(_, at)| at[0] == s && at[1] == t)
            .count() as u32;
        let on_common = one
            .landed
            .iter()
            .filter(|(_, at)| at[0] == s && at[2] == c)
            .count() as u32;
        let (tap_used, common_used) = one.existing.map_or((0, 0), |e| {
            let standing = &self.job.existing[e];
            (
                standing.tap_lugs_used[s][t],
                standing.common_lugs_used[s][c],
            )
        });
        tap.takes.fits(size)
            && common.takes.fits(size)
            && on_tap + tap_used <= tap.lugs
            && on_common + common_used <= common.lugs
            && self.zones(one, s)
    }

    /// Zones never share what they switch.
    fn zones(&self, one: &Placed, secondary: usize) -> bool {
        let zones_of = |only: Option<usize>| {
            let mut zones: Vec<_> = one
                .landed
                .iter()
                .filter(|(_, at)| only.is_none_or(|s| at[0] == s))
                .flat_map(|(circuit, _)| &self.wired[*circuit].shape.leads)
                .filter_map(|(f, _)| self.job.fixtures[*f].zone)
                .collect();
            zones.sort_unstable();
            zones.dedup();
            zones
        };
        let all = zones_of(None);
        let whole = all
            .iter()
            .any(|&zone| self.job.zone(zone).switched == Switched::Transformer);
        let standing = one.existing.and_then(|e| self.job.existing[e].zone);
        (!whole || all.len() <= 1)
            && zones_of(Some(secondary)).len() <= 1
            && standing.is_none_or(|zone| all.iter().all(|other| *other == zone))
    }

    fn judge(&mut self, placed: &[Placed], money: f64) {
        *self.steps_left = self
            .steps_left
            .saturating_sub(SOLUTION_STEPS * placed.len() as u64);
        let mut loads = Vec::with_capacity(placed.len());
        for one in placed {
            match self.transformer(one) {
                Some(apparent) => loads.push(apparent),
                None => return,
            }
        }
        let sites: Option<f64> = (0..self.job.sites.len())
            .map(|s| self.site(s, placed, &loads))
            .sum();
        if let Some(more) = sites
            && money + more < self.limit
        {
            self.limit = money + more;
            self.best = Some(self.limit);
        }
    }

    /// VA at the terminals when every low-case limit is kept.
    fn transformer(&self, one: &Placed) -> Option<f64> {
        let (job, model) = (self.job, &self.job.transformers[one.model]);
        let present: Vec<f64> = match one.existing {
            Some(e) => job.existing[e]
                .present_load
                .iter()
                .map(|va| va.value())
                .collect(),
            None => vec![0.0; model.secondaries.len()],
        };
        let present_va: f64 = present.iter().sum();
        let live: Vec<Live<'_>> = one
            .landed
            .iter()
            .map(|&(circuit, [s, t, _])| Live {
                shape: &self.wired[circuit].shape,
                gauges: &self.wired[circuit].gauges,
                tap_volts: model.secondaries[s].taps[t].volts.value(),
            })
            .collect();
        let solved = volts::solve(
            job,
            model.rated.value(),
            model.regulation,
            present_va,
            &live,
        )?;
        let rules = &job.rules;
        let lit = solved.fixtures.iter().all(|&(f, volts)| {
            let window = job.model_of(FixtureId::new(f)).window;
            volts >= window.min().value() + rules.margins.low.value() - TOLERANCE
        });
        let carried =
            live.iter().zip(&solved.pieces).all(|(circuit, amperes)| {
                circuit.gauges.iter().zip(amperes).all(|(gauge, amperes)| {
                    *amperes <= job.cables[*gauge].ampacity.value() + TOLERANCE
                })
            });
        let permitted = model.rated.value() * rules.loading_limit * (1.0 - rules.spare.fraction)
            - rules.spare.apparent.value();
        let secondaries = (0..model.secondaries.len()).all(|s| {
            let limit =
                model.secondaries[s].breaker.value() * model.secondaries[s].continuous_fraction;
            let on = one
                .landed
                .iter()
                .zip(&solved.circuits)
                .filter(|((_, at), _)| at[0] == s);
            let own: f64 = on.clone().map(|(_, amperes)| amperes).sum();
            let each = on.clone().all(|(_, amperes)| *amperes <= limit + TOLERANCE);
            // What stands there draws most from the lowest tap.
            let taps = model.secondaries[s].taps.iter();
            let lowest = taps
                .map(|tap| tap.volts.value())
                .fold(f64::INFINITY, f64::min);
            let load = solved.apparent / model.rated.value();
            let lowest = lowest * rules.line.low * (1.0 + model.regulation * (1.0 - load));
            let sum = own + present.get(s).map_or(0.0, |va| va / lowest);
            each && (own <= 0.0 || sum <= limit - rules.spare.current.value() + TOLERANCE)
        });
        (lit && carried && secondaries && solved.apparent <= permitted + TOLERANCE)
            .then_some(solved.apparent)
    }

    /// Money for further mains circuits at a site; `None` when it cannot hold what stands there.
    fn site(&self, s: usize, placed: &[Placed], loads: &[f64]) -> Option<f64> {
        let (job, site) = (self.job, &self.job.sites[s]);
        let here: Vec<(&Placed, &f64)> = placed
            .iter()
            .zip(loads)
            .filter(|(one, _)| one.site == s)
            .collect();
        if here.is_empty() {
            return Some(0.0);
        }
        let idle = job.existing.iter().enumerate().filter(|(e, standing)| {
            standing.site.index() == s && placed.iter().all(|one| one.existing != Some(*e))
        });
        let count = (here.len() + idle.count()) as u32;
        let mains: f64 = here
            .iter()
            .map(|(one, apparent)| {
                let model = &job.transformers[one.model];
                **apparent / model.efficiency + model.no_load_loss.value()
            })
            .sum();
        if count > site.places {
            return None;
        }
        let most = site.further.map_or(0, |further| further.most);
        (0..=most).find_map(|bought| {
            let further = |value: f64| f64::from(bought) * value;
            let va =
                site.mains.value() + further(site.further.map_or(0.0, |one| one.mains.value()));
            let outlets = site.outlets + bought * site.further.map_or(0, |one| one.outlets);
            (mains <= va * job.rules.mains_fraction + TOLERANCE && count <= outlets)
                .then(|| further(site.further.map_or(0.0, |one| one.price.cost().value())))
        })
    }
}
