//! Prices as the optimiser weighs them: unrounded direct cost of one segment,
//! piece, joint, hub, transformer, site, and of a whole plan. Not the bid: no
//! cents, sundries, overhead, markup or tax.
//!
//! Own labour is hours times the loaded rate. Lengths of the job's unit system
//! are converted once, here; the rest of the search sees money per metre.

use crate::ids::{
    CableId, HubKindId, JointId, JointKindId, SegmentId, SiteId, SurfaceId, TransformerModelId,
};
use crate::job::{Cable, EnergyTerms, Job, Objective, Rates, Surface, SurfaceWork, Terms};
use crate::plan::{Circuit, JointHardware, Plan, TransformerSource};
use crate::units::{Cost, Hours, Metres, Money, UnitSystem};

/// Unrounded prices of everything a job may use.
#[derive(Clone, Debug)]
pub struct Tariff {
    cable_per_metre: Vec<f64>,
    per_cable_per_metre: Vec<f64>,
    opening: Vec<Cost>,
    beyond: Vec<Option<Cost>>,
    joints: Vec<Cost>,
    hubs: Vec<Cost>,
    transformers: Vec<Cost>,
    sites: Vec<Cost>,
    further: Vec<Option<Cost>>,
    energy_per_watt: f64,
}

impl Tariff {
    /// Works out all prices of a job; cost linear in the size of its tables.
    #[must_use]
    pub fn new(job: &Job) -> Self {
        let labour = |hours: Hours| job.rates.labour.cost() * hours.value();
        let bought = |price: Money, hours: Hours| price.cost() + labour(hours);
        let per_metre = |work: &SurfaceWork| work_per_metre(work, &job.rates, job.units);
        Self {
            cable_per_metre: job
                .cables
                .iter()
                .map(|cable| cable_price_per_metre(cable, &job.rates, job.units))
                .collect(),
            per_cable_per_metre: job
                .surfaces
                .iter()
                .map(|surface| per_metre(&surface.per_cable))
                .collect(),
            opening: job
                .segments
                .iter()
                .map(|segment| {
                    let surface = job.surface(segment.surface);
                    Cost::new(per_metre(&surface.open) * segment.length.value())
                        + surface.open_fixed.cost()
                })
                .collect(),
            beyond: job
                .segments
                .iter()
                .map(|segment| {
                    let work = job.surface(segment.surface).beyond_limit.as_ref()?;
                    Some(Cost::new(per_metre(work) * segment.length.value()))
                })
                .collect(),
            joints: job
                .joints
                .iter()
                .map(|kind| bought(kind.price, kind.hours))
                .collect(),
            hubs: job
                .hubs
                .iter()
                .map(|kind| bought(kind.price, kind.hours))
                .collect(),
            transformers: job
                .transformers
                .iter()
                .map(|model| bought(model.price, model.hours))
                .collect(),
            sites: (0..job.sites.len())
                .map(|index| site_cost(job, SiteId::new(index)))
                .collect(),
            energy_per_watt: match job.objective {
                Objective::WithLosses(terms) => energy_per_watt(terms),
                Objective::Installed | Objective::WholeSpools => 0.0,
            },
            further: job
                .sites
                .iter()
                .map(|site| site.further.map(|further| further.price.cost()))
                .collect(),
        }
    }

    /// Cable as a piece, money per metre, waste included. Infinite for a cable without a price, which is only ever a lead.
    #[must_use]
    pub fn cable_per_metre(&self, cable: CableId) -> f64 {
        self.cable_per_metre[cable.index()]
    }
    /// Work for each pass of a piece along this surface (leads pay none), money per metre of route.
    #[must_use]
    pub fn per_cable_per_metre(&self, surface: SurfaceId) -> f64 {
        self.per_cable_per_metre[surface.index()]
    }
    /// Opening a segment, paid once whatever runs in it.
    #[must_use]
    pub fn segment_opening(&self, segment: SegmentId) -> Cost {
        self.opening[segment.index()]
    }
    /// Extra paid once for a segment whose cable count or fill is exceeded; `None`: its limit is hard.
    #[must_use]
    pub fn segment_beyond(&self, segment: SegmentId) -> Option<Cost> {
        self.beyond[segment.index()]
    }
    /// One splice, both poles, made.
    #[must_use]
    pub fn joint(&self, kind: JointKindId) -> Cost {
        self.joints[kind.index()]
    }
    /// One hub, placed.
    #[must_use]
    pub fn hub(&self, kind: HubKindId) -> Cost {
        self.hubs[kind.index()]
    }
    /// A splice or a hub.
    #[must_use]
    pub fn hardware(&self, hardware: JointHardware) -> Cost {
        match hardware {
            JointHardware::Splice(kind) => self.joint(kind),
            JointHardware::Hub(kind) => self.hub(kind),
        }
    }
    /// Present value of drawing one watt from the mains during all lighting hours of
    /// the years counted, money; 0 unless the objective counts energy.
    #[must_use]
    pub const fn energy_per_watt(&self) -> f64 {
        self.energy_per_watt
    }
    /// One new transformer, mounted and connected.
    #[must_use]
    pub fn transformer(&self, model: TransformerModelId) -> Cost {
        self.transformers[model.index()]
    }
    /// First new transformer at a site; nothing where one stands already.
    #[must_use]
    pub fn site(&self, site: SiteId) -> Cost {
        self.sites[site.index()]
    }
    /// One further mains circuit at a site; `None`: none can be bought.
    #[must_use]
    pub fn further_circuit(&self, site: SiteId) -> Option<Cost> {
        self.further[site.index()]
    }
    /// Cable of a piece of this bought length (on the grid already).
    #[must_use]
    pub fn cable(&self, cable: CableId, bought: Metres) -> Cost {
        Cost::new(self.cable_per_metre(cable) * bought.value())
    }

    /// Direct cost of a plan by kind of cost; linear in its pieces and route steps.
    ///
    /// # Panics
    /// When an id of the plan was made for another job.
    #[must_use]
    pub fn plan_cost(&self, job: &Job, plan: &Plan) -> CostBreakdown {
        let mut cost = CostBreakdown {
            trench: self.trench_cost(job, plan),
            ..CostBreakdown::default()
        };
        for circuit in &plan.circuits {
            self.add_circuit(job, plan, circuit, &mut cost);
        }
        let mut site_open = vec![false; job.sites.len()];
        for placed in &plan.transformers {
            if let TransformerSource::New(model) = placed.source {
                cost.transformers += self.transformer(model);
                if !std::mem::replace(&mut site_open[placed.site.index()], true) {
                    cost.sites += self.site(placed.site);
                }
            }
        }
        for &(site, count) in &plan.further_circuits {
            let each = self.further_circuit(site).unwrap_or(Cost::ZERO);
            cost.sites += each * f64::from(count);
        }
        cost
    }

    fn add_circuit(&self, job: &Job, plan: &Plan, circuit: &Circuit, cost: &mut CostBreakdown) {
        for (index, joint) in circuit.joints.iter().enumerate() {
            let length = circuit.piece_length(job, plan, JointId::new(index));
            cost.cable += self.cable(joint.incoming.cable, length.metres(job));
            cost.per_cable += joint
                .incoming
                .route
                .segments
                .iter()
                .map(|&id| self.pass(job, id))
                .sum();
            match joint.hardware {
                JointHardware::Splice(kind) => cost.joints += self.joint(kind),
                JointHardware::Hub(kind) => cost.hubs += self.hub(kind),
            }
        }
    }

    /// Work for one pass of a piece through a segment.
    #[must_use]
    pub fn pass(&self, job: &Job, id: SegmentId) -> Cost {
        let segment = job.segment(id);
        Cost::new(self.per_cable_per_metre(segment.surface) * segment.length.value())
    }

    fn trench_cost(&self, job: &Job, plan: &Plan) -> Cost {
        let fill = SegmentFill::of(job, plan);
        (0..job.segments.len())
            .map(SegmentId::new)
            .filter(|&id| fill.is_open(id))
            .map(|id| {
                let beyond = if fill.exceeds_limit(job, id) {
                    self.segment_beyond(id).unwrap_or(Cost::ZERO)
                } else {
                    Cost::ZERO
                };
                self.segment_opening(id) + beyond
            })
            .sum()
    }
}

/// Work along a length, money per metre.
fn work_per_metre(work: &SurfaceWork, rates: &Rates, units: UnitSystem) -> f64 {
    let labour = rates.labour.cost() * work.hours_per_unit;
    (labour + work.money_per_unit.cost()).value() / units.metres_per_unit()
}

/// A cable with its waste, money per metre; infinite without a price.
fn cable_price_per_metre(cable: &Cable, rates: &Rates, units: UnitSystem) -> f64 {
    let with_waste = 1.0 + rates.waste.value();
    cable.price.map_or(f64::INFINITY, |price| {
        price.per_unit.cost().value() * with_waste / units.metres_per_unit()
    })
}

/// What leading one cable along a new segment of a surface costs, before there is a site.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundRate {
    /// Surface.
    pub surface: String,
    /// Opening, laying, and the cheapest cable that may be a home run or branch, money per metre.
    pub per_metre: f64,
    /// Opening one segment, money.
    pub fixed: f64,
}

/// Rates of all surfaces, in the order of the catalogue.
#[must_use]
pub fn ground_rates(terms: &Terms) -> Vec<GroundRate> {
    let per_metre = |work: &SurfaceWork| work_per_metre(work, &terms.rates, terms.units);
    let cable = terms
        .cables
        .iter()
        .filter(|cable| cable.allowed.home_run || cable.allowed.branch)
        .map(|cable| cable_price_per_metre(cable, &terms.rates, terms.units))
        .filter(|price| price.is_finite())
        .fold(None, |least: Option<f64>, price| {
            Some(least.map_or(price, |least| least.min(price)))
        });
    let rate = |surface: &Surface| GroundRate {
        surface: surface.tag.clone(),
        per_metre: per_metre(&surface.open)
            + per_metre(&surface.per_cable)
            + cable.unwrap_or_default(),
        fixed: surface.open_fixed.cost().value(),
    };
    terms.surfaces.iter().map(rate).collect()
}

/// Price of one watt over the years: each year's energy is paid at its end, a last
/// part of a year at the end of that year. The value of an ordinary annuity,
/// `(1 - (1 + d)^-n) / d`, textbook.
fn energy_per_watt(terms: EnergyTerms) -> f64 {
    let yearly = terms.hours_per_year.value() / 1000.0 * terms.price_per_kwh.cost().value();
    let discount = terms.discount.value();
    let whole = terms.years.floor();
    let power = (1.0 + discount).powi(-(whole as i32));
    let annuity = if discount > 0.0 {
        (1.0 - power) / discount
    } else {
        whole
    };
    yearly * (annuity + (terms.years - whole) * power / (1.0 + discount))
}

fn site_cost(job: &Job, site: SiteId) -> Cost {
    if job.existing.iter().any(|standing| standing.site == site) {
        Cost::ZERO
    } else {
        job.site(site).cost.cost()
    }
}

/// Cables and fill in every segment: pieces and leads alike, a cable passing twice counts twice.
#[derive(Clone, Debug)]
pub struct SegmentFill {
    cables: Vec<u32>,
    fill_mm2: Vec<f64>,
}

impl SegmentFill {
    /// Counts what a plan lays in each segment.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan) -> Self {
        let mut fill = Self {
            cables: vec![0; job.segments.len()],
            fill_mm2: vec![0.0; job.segments.len()],
        };
        for circuit in &plan.circuits {
            for joint in &circuit.joints {
                let incoming = &joint.incoming;
                fill.lay(job, &incoming.route.segments, incoming.cable);
            }
            for run in &circuit.leads {
                // A fixture without a lead has its joint at its own node: its route is empty.
                if let Some(lead) = job.model_of(run.fixture).lead {
                    fill.lay(job, &run.route.segments, lead.cable);
                }
            }
        }
        fill
    }

    fn lay(&mut self, job: &Job, segments: &[SegmentId], cable: CableId) {
        for id in segments {
            self.cables[id.index()] += 1;
            self.fill_mm2[id.index()] += job.cable(cable).outer.value();
        }
    }
    /// Whether any cable runs in the segment.
    #[must_use]
    pub fn is_open(&self, segment: SegmentId) -> bool {
        self.cables[segment.index()] > 0
    }
    /// Cables in the segment.
    #[must_use]
    pub fn cables(&self, segment: SegmentId) -> u32 {
        self.cables[segment.index()]
    }
    /// Whether the segment holds more cables, or more cross-section, than its limit.
    #[must_use]
    pub fn exceeds_limit(&self, job: &Job, segment: SegmentId) -> bool {
        /// Sums of typed cross-sections are exact to about 1e-13 relative.
        const FILL_TOLERANCE: f64 = 1e-9;
        let limit = job.segment(segment).limit;
        let index = segment.index();
        limit.cables.is_some_and(|most| self.cables[index] > most)
            || limit
                .fill
                .is_some_and(|most| self.fill_mm2[index] > most.value() * (1.0 + FILL_TOLERANCE))
    }
}

/// Direct cost of a plan by kind of cost, unrounded.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CostBreakdown {
    /// Segments opened, and the extra of those beyond their limit.
    pub trench: Cost,
    /// Per-cable work along the routes of the pieces.
    pub per_cable: Cost,
    /// Pieces, waste included.
    pub cable: Cost,
    /// Splices.
    pub joints: Cost,
    /// Hubs.
    pub hubs: Cost,
    /// New transformers.
    pub transformers: Cost,
    /// Sites in use and further mains circuits.
    pub sites: Cost,
    /// Present value of losses and energy; zero unless the objective counts it.
    pub energy: Cost,
}

impl CostBreakdown {
    /// Direct cost of the plan.
    #[must_use]
    pub fn total(&self) -> Cost {
        self.trench
            + self.per_cable
            + self.cable
            + self.joints
            + self.hubs
            + self.transformers
            + self.sites
            + self.energy
    }
}
