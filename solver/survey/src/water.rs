//! Fixtures and sites against pools, spas and fountains, and trenches across utilities:
//! distances and what is said about them. Whether something may stand where it does is for
//! local codes and licensed practice.

use crate::fault::{Code, Fault, Ledger, Place};
use crate::graph::{Graph, NodeKind};
use crate::plan::{Area, AreaKind, SitePlan};
use geo::{Contains, Coord, Point};
use std::collections::BTreeMap;

/// The nearest pool, spa or fountain: the area, and how far its edge is, m (0 inside).
pub(crate) fn nearest(plan: &SitePlan, at: Coord<f64>) -> Option<(&Area, f64)> {
    let wet = |area: &&Area| matches!(area.kind, AreaKind::NoTrench(barrier) if barrier.is_water());
    plan.areas
        .iter()
        .filter(wet)
        .map(|area| (area, far(area, at)))
        .min_by(|one, two| one.1.total_cmp(&two.1))
}

fn far(area: &Area, at: Coord<f64>) -> f64 {
    if area.outline.contains(&Point::from(at)) {
        return 0.0;
    }
    let holes = area.outline.interiors().iter();
    let rings = holes.chain([area.outline.exterior()]);
    rings
        .flat_map(|ring| ring.lines())
        .map(|line| from_line(line, at))
        .fold(f64::INFINITY, f64::min)
}

fn from_line(line: geo::Line<f64>, at: Coord<f64>) -> f64 {
    let along = line.delta();
    let square = along.x * along.x + along.y * along.y;
    let offset = at - line.start;
    let share = ((offset.x * along.x + offset.y * along.y) / square).clamp(0.0, 1.0);
    crate::edges::distance(line.start + along * share, at)
}

/// Distance of each node that is a fixture or site from the nearest water, m.
pub(crate) fn distances(plan: &SitePlan, graph: &Graph) -> Vec<Option<f64>> {
    let of = |at| nearest(plan, at).map(|(_, far)| far);
    graph
        .nodes
        .iter()
        .map(|node| match node.kind {
            NodeKind::Fixture(_) | NodeKind::Site(_) => of(node.at),
            NodeKind::Mouth(_) | NodeKind::Turn => None,
        })
        .collect()
}

/// A length for people: metres, or feet where the job counts in feet.
fn shown(length_m: f64, metres_per_unit: f64, symbol: &str) -> String {
    format!("{:.1} {symbol}", length_m / metres_per_unit)
}

/// Says which fixtures and sites stand nearer to water than `least_m`, and how many possible
/// trenches cross each utility. `unit`: metres in it, and its symbol.
pub(crate) fn say(
    plan: &SitePlan,
    graph: &Graph,
    least_m: f64,
    unit: (f64, &str),
    file: &Place,
    ledger: &mut Ledger,
) {
    let fixtures = plan.fixtures.iter().map(|item| (&item.tag, item.at));
    let sites = plan.sites.iter().map(|item| (&item.tag, item.at));
    let near: Vec<String> = fixtures
        .chain(sites)
        .filter_map(|(tag, at)| {
            let (area, far) = nearest(plan, at).filter(|(_, far)| *far < least_m)?;
            let far = shown(far, unit.0, unit.1);
            Some(format!("{tag} {far} from `{}`", area.id))
        })
        .collect();
    if !near.is_empty() {
        let usual = shown(least_m, unit.0, unit.1);
        let verb = if near.len() == 1 { "stands" } else { "stand" };
        ledger.add(
            Fault::new(
                Code::NearWater,
                file,
                format!("{} {verb} nearer to a pool, spa or fountain than {usual}", near.len()),
            )
            .given(near.join(", "))
            .help("whether they may, and with what equipment and protection, is for the local code and licensed practice"),
        );
    }
    let mut crossed: BTreeMap<&String, usize> = BTreeMap::new();
    for utility in graph.segments.iter().filter_map(|one| one.utility.as_ref()) {
        *crossed.entry(utility).or_default() += 1;
    }
    if !crossed.is_empty() {
        let list: Vec<String> = crossed
            .into_iter()
            .map(|(utility, count)| format!("{count} across `{utility}`"))
            .collect();
        ledger.add(
            Fault::new(
                Code::CrossesUtility,
                file,
                "possible trenches cross buried utilities and are dug there by hand",
            )
            .given(list.join(", "))
            .help("have the utilities located and marked before any ground is opened"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Barrier;
    use geo::{LineString, Polygon};

    #[test]
    fn the_distance_is_to_the_edge_and_a_pond_does_not_count() {
        let square = |kind, x: f64| Area {
            id: "water".to_owned(),
            place: Place::default(),
            kind,
            priority: None,
            outline: Polygon::new(
                LineString::from(vec![(x, 0.0), (x + 4.0, 0.0), (x + 4.0, 4.0), (x, 4.0)]),
                Vec::new(),
            ),
        };
        let plan = SitePlan {
            areas: vec![
                square(AreaKind::NoTrench(Barrier::Pond), 10.0),
                square(AreaKind::NoTrench(Barrier::Pool), 0.0),
            ],
            ..SitePlan::default()
        };
        let far = |x, y| nearest(&plan, Coord { x, y }).expect("there is a pool").1;
        // 3-4-5: beyond the corner (4, 4).
        assert!((far(7.0, 8.0) - 5.0).abs() < 1e-12);
        assert!((far(9.0, 1.0) - 5.0).abs() < 1e-12);
        assert_eq!(far(2.0, 2.0), 0.0);
    }
}
