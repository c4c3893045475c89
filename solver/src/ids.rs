//! Typed indices: each names one row of one table of a [`crate::job::Job`] or a
//! [`crate::plan::Plan`] and cannot index another.

/// Declares an index newtype.
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);

        impl $name {
            /// Makes the id of row `index`.
            ///
            /// # Panics
            /// Above `u32::MAX` rows; the readers refuse such tables.
            #[must_use]
            pub fn new(index: usize) -> Self {
                Self(u32::try_from(index).expect("the readers limit every table to far below u32::MAX rows"))
            }
            /// Position of the row in its table.
            #[must_use]
            pub const fn index(self) -> usize {
                self.0 as usize
            }
        }
    };
}

id!(/// A node of the site graph.
    NodeId);
id!(/// A segment (possible trench) of the site graph.
    SegmentId);
id!(/// A surface of the catalogue.
    SurfaceId);
id!(/// A fixture of the job.
    FixtureId);
id!(/// A fixture model of the catalogue.
    ModelId);
id!(/// A cable type of the catalogue.
    CableId);
id!(/// A transformer model of the catalogue.
    TransformerModelId);
id!(/// A transformer site of the job.
    SiteId);
id!(/// A transformer already standing on the job.
    ExistingId);
id!(/// A hub kind of the catalogue.
    HubKindId);
id!(/// A joint kind (splice connector) of the catalogue.
    JointKindId);
id!(/// A zone of the job.
    ZoneId);
id!(/// A transformer placed by a plan (position in [`crate::plan::Plan::transformers`]).
    PlacedId);
id!(/// A circuit of a plan (position in [`crate::plan::Plan::circuits`]).
    CircuitId);
id!(/// A joint of one circuit (position in [`crate::plan::Circuit::joints`]).
    JointId);
