//! The site graph: adjacency, shortest routes, connectivity. No volts, no cable prices.

mod graph;
mod shortest;

pub use graph::SiteGraph;
pub use shortest::{Reach, ShortestRoutes};
