//! The checked job. Every reference holds, every number is finite and in range:
//! no later room asks again.

use super::catalogue::{Cable, FixtureModel, HubKind, JointKind, Surface, TransformerModel};
use super::lighting::Lighting;
use super::rules::{Bid, Objective, Rates, Rules};
use crate::ids::{
    CableId, ExistingId, FixtureId, HubKindId, JointKindId, ModelId, NodeId, SegmentId, SiteId,
    SurfaceId, TransformerModelId, ZoneId,
};
use crate::units::{Metres, Money, SquareMillimetres, UnitSystem, VoltAmperes};

/// Position on the site plan, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// East, m.
    pub x: Metres,
    /// North, m.
    pub y: Metres,
}

/// A node of the site graph.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Name, unique.
    pub tag: String,
    /// Position, when known.
    pub at: Option<Point>,
    /// Vertical length added to every piece end here (wall, post, tree), m, >= 0.
    pub rise: Metres,
    /// Whether conductors may be joined here.
    pub joint_allowed: bool,
    /// Distance to the nearest pool, spa or fountain, when known, m, >= 0.
    pub water: Option<Metres>,
}

/// What a job says before there is a site.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// Units of the job's tables.
    pub units: UnitSystem,
    /// Labour, waste and slack.
    pub rates: Rates,
    /// Surfaces in the catalogue.
    pub surfaces: Vec<Surface>,
    /// Cables in the catalogue.
    pub cables: Vec<Cable>,
    /// Tags of the fixture models in the catalogue.
    pub models: Vec<String>,
    /// Tags of the zones.
    pub zones: Vec<String>,
    /// See [`Rules::water_distance`].
    pub water_distance: Metres,
}

/// How many cables a segment takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SegmentLimit {
    /// Most cables (pieces and leads; a cable passing twice counts twice).
    pub cables: Option<u32>,
    /// Most fill: sum of the outer cross-sections of the cables.
    pub fill: Option<SquareMillimetres>,
}

/// An undirected segment: one possible trench, bore, sleeve or fence run.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// One end.
    pub a: NodeId,
    /// The other end, different from `a`.
    pub b: NodeId,
    /// Measured length (or from coordinates), m, >= 0.
    pub length: Metres,
    /// What it lies in.
    pub surface: SurfaceId,
    /// Limit on cables, hard unless the surface says what going beyond costs.
    pub limit: SegmentLimit,
    /// Declared buried utility that it crosses.
    pub utility: Option<String>,
}

/// A fixture.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixture {
    /// Name, unique.
    pub tag: String,
    /// Where it stands.
    pub node: NodeId,
    /// Its model.
    pub model: ModelId,
    /// Its zone; `None` may share with any.
    pub zone: Option<ZoneId>,
    /// Section of the bid.
    pub section: Option<String>,
    /// Already on site: neither bought nor set.
    pub existing: bool,
}

/// What a zone's switch interrupts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Switched {
    /// The mains side of a whole transformer.
    Transformer,
    /// One secondary.
    Secondary,
}

/// What one switch, timer or sensor controls.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Name, unique.
    pub tag: String,
    /// Where it is switched.
    pub switched: Switched,
}

/// A further mains circuit that can be bought for a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FurtherCircuit {
    /// Price of one.
    pub price: Money,
    /// Mains VA that one brings.
    pub mains: VoltAmperes,
    /// Outlets that one brings.
    pub outlets: u32,
    /// Most that can be bought.
    pub most: u32,
}

/// A place where transformers may stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Name, unique.
    pub tag: String,
    /// Its node.
    pub node: NodeId,
    /// Cost of using the site at all, once; not charged where an existing transformer stands.
    pub cost: Money,
    /// Mains VA available; [`Rules::mains_fraction`] of it is usable.
    pub mains: VoltAmperes,
    /// Receptacles, one transformer each.
    pub outlets: u32,
    /// Wall places, one transformer each.
    pub places: u32,
    /// A further mains circuit, if one can be bought.
    pub further: Option<FurtherCircuit>,
}

/// A transformer already standing: free, but loaded.
#[derive(Clone, Debug, PartialEq)]
pub struct Existing {
    /// Name, unique.
    pub tag: String,
    /// Where it stands; it occupies an outlet, a place and mains VA there.
    pub site: SiteId,
    /// What it is.
    pub model: TransformerModelId,
    /// Present load of each secondary at its terminals (order of the model's secondaries).
    pub present_load: Vec<VoltAmperes>,
    /// Lugs in use on each tap of each secondary.
    pub tap_lugs_used: Vec<Vec<u32>>,
    /// Lugs in use on each common of each secondary.
    pub common_lugs_used: Vec<Vec<u32>>,
    /// Zone that switches it or its secondaries already, if any.
    pub zone: Option<ZoneId>,
}

/// A checked job.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Name of the job.
    pub name: String,
    /// Currency symbol or code printed beside money.
    pub currency: String,
    /// Unit system of the files and papers.
    pub units: UnitSystem,
    /// Nodes.
    pub nodes: Vec<Node>,
    /// Segments.
    pub segments: Vec<Segment>,
    /// Fixtures, at least one.
    pub fixtures: Vec<Fixture>,
    /// Zones.
    pub zones: Vec<Zone>,
    /// Transformer sites, at least one.
    pub sites: Vec<Site>,
    /// Transformers already standing.
    pub existing: Vec<Existing>,
    /// Surfaces.
    pub surfaces: Vec<Surface>,
    /// Cables, in file order.
    pub cables: Vec<Cable>,
    /// Fixture models.
    pub models: Vec<FixtureModel>,
    /// Transformer models.
    pub transformers: Vec<TransformerModel>,
    /// Hub kinds.
    pub hubs: Vec<HubKind>,
    /// Joint kinds, at least one or one hub.
    pub joints: Vec<JointKind>,
    /// Labour rate, waste, slack.
    pub rates: Rates,
    /// Commercial terms.
    pub bid: Bid,
    /// Engineering rules.
    pub rules: Rules,
    /// What to minimise.
    pub objective: Objective,
    /// When lights are on, and by what.
    pub lighting: Lighting,
}

/// Declares `job.node(id)` and its kin.
macro_rules! row {
    ($(#[$doc:meta])* $function:ident, $table:ident, $id:ident, $row:ident) => {
        $(#[$doc])*
        ///
        /// # Panics
        /// When the id was made for another job.
        #[must_use]
        pub fn $function(&self, id: $id) -> &$row {
            &self.$table[id.index()]
        }
    };
}

impl Job {
    row!(/// The node of an id.
        node, nodes, NodeId, Node);
    row!(/// The segment of an id.
        segment, segments, SegmentId, Segment);
    row!(/// The fixture of an id.
        fixture, fixtures, FixtureId, Fixture);
    row!(/// The zone of an id.
        zone, zones, ZoneId, Zone);
    row!(/// The site of an id.
        site, sites, SiteId, Site);
    row!(/// The existing transformer of an id.
        existing_transformer, existing, ExistingId, Existing);
    row!(/// The surface of an id.
        surface, surfaces, SurfaceId, Surface);
    row!(/// The cable of an id.
        cable, cables, CableId, Cable);
    row!(/// The fixture model of an id.
        model, models, ModelId, FixtureModel);
    row!(/// The transformer model of an id.
        transformer, transformers, TransformerModelId, TransformerModel);
    row!(/// The hub kind of an id.
        hub, hubs, HubKindId, HubKind);
    row!(/// The joint kind of an id.
        joint_kind, joints, JointKindId, JointKind);

    /// The model of a fixture.
    #[must_use]
    pub fn model_of(&self, fixture: FixtureId) -> &FixtureModel {
        self.model(self.fixture(fixture).model)
    }
    /// All fixture ids in file order.
    pub fn fixture_ids(&self) -> impl Iterator<Item = FixtureId> + use<> {
        (0..self.fixtures.len()).map(FixtureId::new)
    }
}
