//! What stands at the sites: outlets, wall places, mains circuits, and their price.

use super::{State, Unit};
use crate::ids::SiteId;
use crate::plan::TransformerSource;
use crate::run::Context;

impl State {
    /// Drops new units without runs and works out transformers, sites and mains
    /// anew. Returns false when a site cannot carry what stands there.
    pub fn settle_units(&mut self, ctx: &Context<'_>) -> bool {
        for unit in 0..self.units.len() {
            let bought = self.units[unit].is_some_and(|unit| {
                !unit.pinned && matches!(unit.source, TransformerSource::New(_))
            });
            if bought && self.runs_on(unit).next().is_none() {
                self.units[unit] = None;
            }
        }
        let transformers: f64 = self
            .units
            .iter()
            .flatten()
            .filter(|unit| matches!(unit.source, TransformerSource::New(_)))
            .map(|unit| ctx.unit_cost(unit.model))
            .sum();
        let sites: Option<f64> = (0..ctx.job.sites.len())
            .map(|site| {
                self.site_demand(ctx, SiteId::new(site))
                    .map(|(cost, _)| cost)
            })
            .sum();
        self.unit_cost = transformers + sites.unwrap_or(0.0);
        sites.is_some()
    }

    /// The least loaded bought unit at the first site that cannot carry its units.
    pub fn unit_too_many(&self, ctx: &Context<'_>) -> Option<usize> {
        let site = (0..ctx.job.sites.len())
            .map(SiteId::new)
            .find(|&site| self.site_demand(ctx, site).is_none())?;
        let bought = |unit: &Unit| {
            unit.site == site && !unit.pinned && matches!(unit.source, TransformerSource::New(_))
        };
        (0..self.units.len())
            .filter(|&slot| !self.is_closed(slot))
            .filter(|&slot| self.units[slot].as_ref().is_some_and(bought))
            .min_by(|&x, &y| {
                let va = |slot| self.unit_va(ctx, slot, None);
                va(x).total_cmp(&va(y)).then(x.cmp(&y))
            })
    }

    /// Cost of a site and the further mains circuits it needs; `None` when it cannot carry its units.
    pub fn site_demand(&self, ctx: &Context<'_>, id: SiteId) -> Option<(f64, u32)> {
        let site = ctx.job.site(id);
        let here = || {
            self.units.iter().enumerate().filter_map(|(slot, unit)| {
                unit.filter(|unit| unit.site == id).map(|unit| (slot, unit))
            })
        };
        let count = here().count() as u32;
        let bought = here()
            .filter(|(_, unit)| matches!(unit.source, TransformerSource::New(_)))
            .count();
        if bought == 0 {
            return Some((0.0, 0));
        }
        if self.is_shut(id) {
            return None;
        }
        let mains_va: f64 = here()
            .map(|(slot, unit)| {
                let model = ctx.job.transformer(unit.model);
                self.unit_va(ctx, slot, None) / model.efficiency + model.no_load_loss.value()
            })
            .sum();
        let cost = if bought == count as usize {
            ctx.tariff.site(id).value()
        } else {
            0.0
        };
        let fraction = ctx.job.rules.mains_fraction;
        let carries = |more: u32| {
            let (va, outlets) = site
                .further
                .map_or((0.0, 0), |further| (further.mains.value(), further.outlets));
            count <= site.outlets + more * outlets
                && mains_va <= (site.mains.value() + f64::from(more) * va) * fraction + 1e-7
        };
        let most = site.further.map_or(0, |further| further.most);
        let price = ctx
            .tariff
            .further_circuit(id)
            .map_or(0.0, crate::units::Cost::value);
        let more = (0..=most)
            .find(|&more| carries(more))
            .filter(|_| count <= site.places)?;
        Some((cost + f64::from(more) * price, more))
    }

    /// Whether nothing may be bought at a site.
    pub fn is_shut(&self, site: SiteId) -> bool {
        self.shut.as_ref().is_some_and(|shut| shut[site.index()])
    }

    /// Whether the units standing at a site find outlets and wall places there, and one may be bought.
    pub fn site_has_room(&self, ctx: &Context<'_>, id: SiteId) -> bool {
        if self.is_shut(id) {
            return false;
        }
        let site = ctx.job.site(id);
        let count = self
            .units
            .iter()
            .flatten()
            .filter(|unit| unit.site == id)
            .count() as u32;
        let outlets = site.outlets
            + site
                .further
                .map_or(0, |further| further.most * further.outlets);
        count <= outlets && count <= site.places
    }
}
