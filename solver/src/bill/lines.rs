//! The lines of a bill from a takeoff, room by room. Classes: things bought are
//! material; own hours are labour; money per length of ground, sites, further
//! mains circuits, permits and lumps go to others and are subcontract;
//! mobilisation is own work agreed as one sum, so labour without hours.

use super::exact::{decimal, shown_length};
use super::ground::{GroundPart, GroundSurface};
use super::model::{CableSupply, LineKind, Unit};
use super::sheet::{Entry, Sheet};
use super::takeoff::Takeoff;
use crate::ids::{CableId, FixtureId, SiteId};
use crate::job::{Job, LumpSum, TaxClass};
use crate::plan::{Plan, TransformerSource};
use crate::units::{Hours, Money};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

use TaxClass::{Labour, Material, Subcontract};

/// Writes the lines of one plan.
pub(crate) struct Writer<'a> {
    /// The job.
    pub(crate) job: &'a Job,
    /// The plan.
    pub(crate) plan: &'a Plan,
    /// Its takeoff.
    pub(crate) take: &'a Takeoff,
    /// Where the lines go.
    pub(crate) sheet: Sheet,
}

impl Writer<'_> {
    /// All lines, sundries last since they are a share of the material before.
    pub(crate) fn write(mut self, supply: &CableSupply) -> Sheet {
        self.fixtures();
        self.transformers();
        self.sites();
        self.cable(supply);
        self.hardware();
        self.ground();
        self.terms();
        self.present();
        let material = self.sheet.sum(Material);
        let sundries = Entry::general(LineKind::Sundries, Material, "Small material");
        let share = self.job.bid.sundries.decimal();
        self.sheet.work(sundries, share, Unit::Share, material);
        self.sheet
    }

    fn labour(&mut self, entry: Entry<'_>, hours: Decimal) {
        self.sheet.labour(entry, hours, self.job.rates.labour);
    }

    /// Something bought by the piece and the hours to put it in.
    fn bought(&mut self, kind: LineKind, names: [String; 2], count: u32, each: (Money, Hours)) {
        let [goods, work] = names;
        let count = Decimal::from(count);
        let material = Entry::general(kind, Material, goods);
        self.sheet.goods(material, count, Unit::Each, each.0);
        let hours = decimal(each.1.value()) * count;
        self.labour(Entry::general(kind, Labour, work), hours);
    }

    /// Fixtures fed, by section (in order of appearance) and model.
    fn fixtures_by_model(&self, existing: bool) -> Vec<(&str, usize, u32)> {
        let mut sections: Vec<&str> = Vec::new();
        let mut counts: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        for &id in &self.take.fixtures {
            let fixture = self.job.fixture(id);
            if fixture.existing != existing {
                continue;
            }
            let section = self.section(id);
            let known = sections.iter().position(|name| *name == section);
            let rank = known.unwrap_or_else(|| {
                sections.push(section);
                sections.len() - 1
            });
            *counts.entry((rank, fixture.model.index())).or_default() += 1;
        }
        counts
            .into_iter()
            .map(|((rank, model), count)| (sections[rank], model, count))
            .collect()
    }

    fn section(&self, id: FixtureId) -> &str {
        let section = self.job.fixture(id).section.as_deref();
        section.unwrap_or(super::model::GENERAL)
    }

    fn fixtures(&mut self) {
        let job = self.job;
        let groups: Vec<(String, usize, u32)> = self
            .fixtures_by_model(false)
            .into_iter()
            .map(|(section, model, count)| (section.to_owned(), model, count))
            .collect();
        for (section, model, count) in groups {
            let model = &job.models[model];
            let count = Decimal::from(count);
            let entry = |class, description| Entry {
                section: &section,
                kind: LineKind::Fixture,
                class,
                description,
            };
            let goods = entry(Material, format!("Fixture {}", model.tag));
            self.sheet.goods(goods, count, Unit::Each, model.price);
            let work = entry(Labour, format!("Set and aim fixture {}", model.tag));
            self.labour(work, decimal(model.hours.value()) * count);
        }
    }

    fn transformers(&mut self) {
        for (model, &count) in self.job.transformers.iter().zip(&self.take.transformers) {
            let names = [
                format!("Transformer {}", model.tag),
                format!("Mount and connect transformer {}", model.tag),
            ];
            let each = (model.price, model.hours);
            self.bought(LineKind::Transformer, names, count, each);
        }
    }

    fn sites(&mut self) {
        let job = self.job;
        for id in newly_used_sites(job, self.plan) {
            let site = job.site(id);
            let text = format!("Transformer site {}", site.tag);
            let entry = Entry::general(LineKind::Site, Subcontract, text);
            self.sheet.work(entry, Decimal::ONE, Unit::Each, site.cost);
        }
        for &(id, count) in &self.plan.further_circuits {
            let site = job.site(id);
            let Some(further) = site.further else {
                continue;
            };
            let text = format!("Further mains circuit at site {}", site.tag);
            let entry = Entry::general(LineKind::Site, Subcontract, text);
            let count = Decimal::from(count);
            self.sheet.goods(entry, count, Unit::Each, further.price);
        }
    }

    fn cable(&mut self, supply: &CableSupply) {
        self.cable_by_length(supply);
        let CableSupply::BySpool { bought, drawn } = supply else {
            return;
        };
        let grid = self.job.units.grid();
        let symbol = self.job.units.length_symbol();
        let name = |cable: CableId, length| {
            let gauge = &self.job.cable(cable).gauge;
            format!("{gauge}, {} {symbol}", grid.decimal(length))
        };
        for spool in bought {
            let text = format!("Spool of cable {}", name(spool.cable, spool.length));
            let entry = Entry::general(LineKind::Cable, Material, text);
            let count = Decimal::from(spool.count);
            self.sheet.goods(entry, count, Unit::Each, spool.price);
        }
        for remnant in drawn {
            let text = format!("Remnant on hand {}", name(remnant.cable, remnant.length));
            let entry = Entry::general(LineKind::Present, Material, text);
            let count = Decimal::from(remnant.count);
            self.sheet.goods(entry, count, Unit::Each, Money::ZERO);
        }
    }

    /// Cable by gauge at its price, and waste, which is price only, as a line of its own: rounded
    /// as cable is before it is priced, so that the shown figures multiply out.
    fn cable_by_length(&mut self, supply: &CableSupply) {
        let unit = Unit::length(self.job.units);
        let waste = self.job.rates.waste.decimal();
        for (index, take) in self.take.cables.iter().enumerate() {
            let id = CableId::new(index);
            if supply.spools(id) {
                continue;
            }
            let cable = self.job.cable(id);
            let length = self.job.units.grid().decimal(take.length);
            let price = cable.price.map_or(Money::ZERO, |price| price.per_unit);
            let goods = format!("Cable {} ({})", cable.gauge, cable.tag);
            let entry = Entry::general(LineKind::Cable, Material, goods);
            self.sheet.goods(entry, length, unit, price);
            let wasted = format!("Waste of cable {} ({})", cable.gauge, cable.tag);
            let entry = Entry::general(LineKind::Waste, Material, wasted);
            let amount = self.job.units.grid().rounded(length * waste);
            self.sheet.work(entry, amount, unit, price);
        }
    }

    fn hardware(&mut self) {
        for (kind, &count) in self.job.hubs.iter().zip(&self.take.hubs) {
            let names = [
                format!("Hub {}", kind.tag),
                format!("Place hub {}", kind.tag),
            ];
            self.bought(LineKind::Hub, names, count, (kind.price, kind.hours));
        }
        for (kind, &count) in self.job.joints.iter().zip(&self.take.joints) {
            let names = [
                format!("Splice {} (both poles)", kind.tag),
                format!("Make splice {}", kind.tag),
            ];
            self.bought(LineKind::Joint, names, count, (kind.price, kind.hours));
        }
    }

    fn ground(&mut self) {
        let (job, take) = (self.job, self.take);
        let unit = Unit::length(job.units);
        for ground in GroundSurface::all(job, take) {
            let tag = &ground.surface.tag;
            let set_up = format!("Set-up in {tag}");
            let entry = Entry::general(LineKind::Trench, Subcontract, set_up);
            let fixed = ground.surface.open_fixed;
            self.sheet.work(entry, ground.count(), Unit::Each, fixed);
            for part in GroundPart::ALL {
                let (kind, text) = match part {
                    GroundPart::Opening => (LineKind::Trench, format!("Open {tag}")),
                    GroundPart::BeyondLimit => (
                        LineKind::Trench,
                        format!("Open {tag} beyond its cable limit"),
                    ),
                    GroundPart::Laying => (LineKind::CableWork, format!("Lay cable in {tag}")),
                };
                self.labour(
                    Entry::general(kind, Labour, text.clone()),
                    ground.hours(part),
                );
                let entry = Entry::general(kind, Subcontract, text);
                let (length, rate) = (ground.length(part), ground.rate(part));
                self.sheet.work(entry, length, unit, rate);
            }
        }
    }

    fn terms(&mut self) {
        let bid = &self.job.bid;
        let lumps = |sheet: &mut Sheet, kind, class, sums: &[LumpSum]| {
            for sum in sums {
                sheet.lump(Entry::general(kind, class, sum.name.as_str()), sum.amount);
            }
        };
        lumps(&mut self.sheet, LineKind::Control, Material, &bid.controls);
        lumps(&mut self.sheet, LineKind::Lump, Subcontract, &bid.lumps);
        let permit = Entry::general(LineKind::Permit, Subcontract, "Permit");
        self.sheet.lump(permit, bid.permit);
        let mobilisation = Entry::general(LineKind::Mobilisation, Labour, "Mobilisation");
        self.sheet.lump(mobilisation, bid.mobilisation);
        let visit = Entry::general(LineKind::NightVisit, Labour, "Night visit: adjust fixtures");
        self.labour(visit, decimal(bid.night_visit.value()));
    }

    /// What is there already or comes with something else, at zero.
    fn present(&mut self) {
        let job = self.job;
        let unit = Unit::length(job.units);
        let mut listed: Vec<(String, String, Decimal, Unit)> = Vec::new();
        let general = || super::model::GENERAL.to_owned();
        for (section, model, count) in self.fixtures_by_model(true) {
            let text = format!("Fixture {}, on site already", job.models[model].tag);
            listed.push((section.to_owned(), text, Decimal::from(count), Unit::Each));
        }
        for placed in &self.plan.transformers {
            if let TransformerSource::Existing(id) = placed.source {
                let tag = &job.existing_transformer(id).tag;
                let model = &job.transformer(placed.model(job)).tag;
                let text = format!("Transformer {tag} ({model}), standing already");
                listed.push((general(), text, Decimal::ONE, Unit::Each));
            }
        }
        for (cable, take) in job.cables.iter().zip(&self.take.leads) {
            if take.leads > 0 {
                let text = format!("Leads {}, delivered with the fixtures", cable.gauge);
                listed.push((general(), text, shown_length(job, take.length), unit));
            }
        }
        for ground in GroundSurface::all(job, self.take) {
            let costs = GroundPart::ALL
                .into_iter()
                .any(|part| !ground.hours(part).is_zero() || ground.rate(part) != Money::ZERO);
            if !costs && ground.surface.open_fixed == Money::ZERO {
                let text = format!("Way through {}, at no cost", ground.surface.tag);
                let length = ground.length(GroundPart::Opening);
                listed.push((general(), text, length, unit));
            }
        }
        for (section, description, amount, unit) in listed {
            let entry = Entry {
                section: &section,
                kind: LineKind::Present,
                class: Material,
                description,
            };
            self.sheet.goods(entry, amount, unit, Money::ZERO);
        }
    }
}

/// Sites where the plan puts a new transformer and none stands already: their cost is due.
pub(super) fn newly_used_sites<'a>(
    job: &'a Job,
    plan: &'a Plan,
) -> impl Iterator<Item = SiteId> + 'a {
    let sites = (0..job.sites.len()).map(SiteId::new);
    sites.filter(|&id| {
        let standing = job.existing.iter().any(|standing| standing.site == id);
        let placed = plan
            .transformers
            .iter()
            .any(|placed| placed.site == id && matches!(placed.source, TransformerSource::New(_)));
        placed && !standing
    })
}
