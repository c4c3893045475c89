//! What a drawing shows: nodes, trenches, and the circuits in them. Not where
//! they stand on the page.

/// What stands at a node, as far as the drawing tells things apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Nothing but a bend or a crossing of trenches.
    Bend,
    /// A fixture.
    Fixture,
    /// A hub.
    Hub,
    /// A transformer.
    Transformer,
}

/// A node of the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Name beside the mark; empty when it needs none.
    pub label: String,
    /// East and north in the job's length unit, when known.
    pub at: Option<(f64, f64)>,
    /// What stands there.
    pub mark: Mark,
}

/// A line of the site between two nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct Trench {
    /// One end (position in [`Drawing::spots`]).
    pub a: usize,
    /// The other end.
    pub b: usize,
    /// Measured length in the job's unit: the wish of a schematic layout.
    pub length: f64,
    /// Surface it lies in (position in [`Drawing::surfaces`]; of no meaning where it stays closed).
    pub surface: usize,
    /// Circuits in it, ascending (positions in [`Drawing::circuits`]); empty when it stays closed.
    pub circuits: Vec<usize>,
}

/// A drawing of one or more transformers with their circuits.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Nodes.
    pub spots: Vec<Spot>,
    /// Lines of the site.
    pub trenches: Vec<Trench>,
    /// Circuits by label, in the order of the plan; the position picks colour and pattern.
    pub circuits: Vec<String>,
    /// Circuits that the key lists (positions in `circuits`), ascending.
    pub in_key: Vec<usize>,
    /// Whether circuits are named beside their cables.
    pub names: bool,
    /// Whether it goes on over further sheets when its tags are too many for one; else
    /// the tags are left out.
    pub splits: bool,
    /// Surfaces of the ground opened.
    pub surfaces: Vec<String>,
    /// `ft` or `m`.
    pub length_unit: String,
}

impl Drawing {
    /// Which spots must be seen: those with a mark, and both ends of ground that is opened.
    #[must_use]
    pub fn shown(&self) -> Vec<bool> {
        let mut shown: Vec<bool> = self
            .spots
            .iter()
            .map(|spot| spot.mark != Mark::Bend)
            .collect();
        for trench in self.trenches.iter().filter(|one| !one.circuits.is_empty()) {
            shown[trench.a] = true;
            shown[trench.b] = true;
        }
        shown
    }
}
