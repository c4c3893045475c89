//! What stands on a piece label.

use crate::format;
use duskwright_solver::order::{Order, PieceLabel};

/// A label: id and gauge in large letters, further lines small.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Piece id.
    pub id: String,
    /// Gauge.
    pub gauge: String,
    /// Further facts, one a line.
    pub lines: Vec<String>,
}

/// The labels of an order, in the order of cutting.
pub fn labels(order: &Order) -> Vec<Label> {
    order
        .labels
        .iter()
        .map(|piece| label(order, piece))
        .collect()
}

fn label(order: &Order, piece: &PieceLabel) -> Label {
    let job = order.jobs.iter().find(|job| job.number == piece.job);
    let cut = piece.cut.map_or_else(String::new, |place| {
        format!("    cut {}.{}", place.spool, place.cut)
    });
    Label {
        id: piece.id.clone(),
        gauge: piece.gauge.clone(),
        lines: vec![
            format!("from  {}", piece.from),
            format!("to  {}", piece.to),
            format!(
                "{} {}    circuit {}{cut}",
                format::length(piece.length),
                order.length_unit,
                piece.circuit,
            ),
            job.map_or_else(String::new, |job| job.name.clone()),
        ],
    }
}
