//! Lines of sight over one ground.

use crate::mesh::Mesh;
use crate::net::Seat;
use crate::overlay::Region;
use crate::route::Waypoint;
use geo::Coord;

/// Nearer than this to a line of sight a vertex is on it, m.
const ON_SIGHT_M: f64 = 1e-7;

/// Whether all the way between two points lies over one ground.
///
/// Walks the triangles between them; "no" where rounding leaves it open.
pub(crate) fn clear(mesh: &Mesh, a: Waypoint, b: Waypoint, ground: Region) -> bool {
    let way = b.at - a.at;
    let far = way.x.hypot(way.y);
    if far == 0.0 {
        return true;
    }
    let off = |at: Coord<f64>| (way.x * (at.y - a.at.y) - way.y * (at.x - a.at.x)) / far;
    let ahead = |at: Coord<f64>| (way.x * (at.x - a.at.x) + way.y * (at.y - a.at.y)) / far;
    let mut seat = a.seat;
    let mut from_face = None;
    let mut reached = 0.0;
    for _ in 0..mesh.triangles.len() {
        if seat == b.seat {
            return true;
        }
        let step = match seat {
            Seat::Vertex(vertex) => leave_vertex(mesh, vertex, b.seat, ground, &off, &ahead),
            Seat::Side(side) => leave_side(mesh, side, from_face, b.seat, ground, &off, &ahead),
        };
        match step {
            Step::There => return true,
            Step::Lost => return false,
            Step::To(next, face) => {
                if let Seat::Vertex(vertex) = next {
                    let now = ahead(mesh.points[vertex]);
                    if now <= reached {
                        return false;
                    }
                    reached = now;
                }
                seat = next;
                from_face = face;
            }
        }
    }
    false
}

/// What comes next on a line of sight.
enum Step {
    /// The end lies in the triangle or on the edge at hand.
    There,
    /// Another ground, or too close to tell.
    Lost,
    /// On to this seat, out of this triangle.
    To(Seat, Option<usize>),
}

/// Whether a seat belongs to a triangle.
fn in_triangle(mesh: &Mesh, face: usize, seat: Seat) -> bool {
    match seat {
        Seat::Vertex(vertex) => mesh.triangles[face].corners.contains(&vertex),
        Seat::Side(side) => mesh.triangles[face].sides.contains(&side),
    }
}

fn leave_vertex(
    mesh: &Mesh,
    vertex: usize,
    end: Seat,
    ground: Region,
    off: &impl Fn(Coord<f64>) -> f64,
    ahead: &impl Fn(Coord<f64>) -> f64,
) -> Step {
    let here = ahead(mesh.points[vertex]);
    // Along an edge?
    for &side in &mesh.sides_at[vertex] {
        let [a, b] = mesh.sides[side].ends;
        let other = if a == vertex { b } else { a };
        let at = mesh.points[other];
        if off(at).abs() < ON_SIGHT_M && ahead(at) > here {
            if !mesh.regions(side).any(|region| region == ground) {
                return Step::Lost;
            }
            return if end == Seat::Side(side) {
                Step::There
            } else {
                Step::To(Seat::Vertex(other), None)
            };
        }
    }
    for &face in &mesh.faces_at[vertex] {
        let triangle = &mesh.triangles[face];
        let Some(place) = triangle.corners.iter().position(|&corner| corner == vertex) else {
            continue;
        };
        let right = mesh.points[triangle.corners[(place + 1) % 3]];
        let left = mesh.points[triangle.corners[(place + 2) % 3]];
        if off(right) < 0.0 && off(left) > 0.0 && crosses_ahead(right, left, here, off, ahead) {
            if triangle.region != ground {
                return Step::Lost;
            }
            return if in_triangle(mesh, face, end) {
                Step::There
            } else {
                Step::To(Seat::Side(triangle.sides[place]), Some(face))
            };
        }
    }
    Step::Lost
}

/// Whether the line of sight crosses between two points on either side of it, ahead.
fn crosses_ahead(
    right: Coord<f64>,
    left: Coord<f64>,
    here: f64,
    off: &impl Fn(Coord<f64>) -> f64,
    ahead: &impl Fn(Coord<f64>) -> f64,
) -> bool {
    let (low, high) = (off(right), off(left));
    let share = low / (low - high);
    ahead(right) + share * (ahead(left) - ahead(right)) > here
}

fn leave_side(
    mesh: &Mesh,
    side: usize,
    from: Option<usize>,
    end: Seat,
    ground: Region,
    off: &impl Fn(Coord<f64>) -> f64,
    ahead: &impl Fn(Coord<f64>) -> f64,
) -> Step {
    let [a, b] = mesh.sides[side].ends;
    let (at_a, at_b) = (mesh.points[a], mesh.points[b]);
    if off(at_a).abs() < ON_SIGHT_M && off(at_b).abs() < ON_SIGHT_M {
        if !mesh.regions(side).any(|region| region == ground) {
            return Step::Lost;
        }
        let next = if ahead(at_a) > ahead(at_b) { a } else { b };
        return Step::To(Seat::Vertex(next), None);
    }
    for face in mesh.sides[side].faces.into_iter().flatten() {
        if Some(face) == from {
            continue;
        }
        let triangle = &mesh.triangles[face];
        let Some(place) = triangle.sides.iter().position(|&own| own == side) else {
            continue;
        };
        // Corners are counter-clockwise: whoever enters towards the apex has the corner after
        // the apex on the left and the one before it on the right.
        let one = mesh.points[triangle.corners[(place + 1) % 3]];
        let two = mesh.points[triangle.corners[(place + 2) % 3]];
        if off(one) <= off(two) {
            if from.is_none() {
                continue;
            }
            return Step::Lost;
        }
        if triangle.region != ground {
            return Step::Lost;
        }
        if in_triangle(mesh, face, end) {
            return Step::There;
        }
        let apex = triangle.corners[place];
        let aside = off(mesh.points[apex]);
        if aside.abs() < ON_SIGHT_M {
            return Step::To(Seat::Vertex(apex), None);
        }
        // Out between the apex and the corner on the other side of the line of sight. Side
        // `i` lies opposite corner `i`.
        let opposite = if aside > 0.0 { place + 1 } else { place + 2 };
        return Step::To(Seat::Side(triangle.sides[opposite % 3]), Some(face));
    }
    Step::Lost
}
