//! What is bought, opened and paid for.

use super::*;

#[test]
fn the_price_is_parted_without_a_cent_lost_and_the_buy_list_is_the_bill_s_material() {
    let dossier = dossier();
    let (bill, offer) = (&dossier.bill, &dossier.offer);
    let sections: Money = offer.sections.iter().map(|share| share.price).sum();
    let parts: Money = offer.parts.iter().map(|share| share.price).sum();
    assert_eq!((sections, parts), (bill.price, bill.price));
    assert!(offer.parts.iter().all(|share| share.price > Money::ZERO));
    let sundries: Money = bill
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Sundries)
        .map(|line| line.extension)
        .sum();
    assert_eq!(dossier.buying.cost + sundries, bill.material);
}

#[test]
fn trenches_name_the_circuits_in_them_and_where_the_limit_is_passed() {
    let trenches = dossier().trenches;
    assert_eq!(trenches.length, dec!(87.75));
    let lawn = &trenches.segments[1];
    assert_eq!((lawn.pieces, lawn.leads, lawn.beyond_limit), (2, 0, true));
    assert_eq!(lawn.circuits, ["C1", "C2"]);
    let drive = &trenches.segments[2];
    assert_eq!((drive.pieces, drive.leads), (0, 1));
    // Set-up 120.00 and 12.25 x 6.50 = 79.625 -> 79.62.
    assert_eq!(drive.money, Money::new(dec!(199.62)));
    let surfaces: Vec<&str> = trenches
        .surfaces
        .iter()
        .map(|row| row.surface.as_str())
        .collect();
    assert_eq!(surfaces, ["bed", "lawn", "drive", "sleeve"]);
    assert_eq!(trenches.surfaces[1].cable, dec!(51));
    // Opening 0.76, beyond the limit 0.26, laying 0.26 h.
    assert_eq!(trenches.surfaces[1].hours, dec!(1.28));
}

#[test]
fn quantities_leave_out_what_stands_already() {
    let quantities = dossier().quantities;
    let cables: Vec<(&str, u32, Decimal)> = quantities
        .cables
        .iter()
        .map(|row| (row.gauge.as_str(), row.pieces, row.length))
        .collect();
    assert_eq!(
        cables,
        [("12 AWG", 1, dec!(46.5)), ("14 AWG", 2, dec!(67.5))]
    );
    let count = |rows: &[CountRow]| -> Vec<(String, u32)> {
        rows.iter()
            .map(|row| (row.tag.clone(), row.count))
            .collect()
    };
    let by_section: u32 = quantities.sections.iter().map(|row| row.count).sum();
    let standing: Vec<u32> = quantities
        .sections
        .iter()
        .filter(|row| row.existing)
        .map(|row| row.count)
        .collect();
    assert_eq!((by_section, standing), (4, vec![1]));
    assert_eq!(count(&quantities.fixtures), [("path".to_owned(), 3)]);
    assert_eq!(count(&quantities.transformers), [("T150".to_owned(), 1)]);
    assert_eq!(count(&quantities.joints), [("gel".to_owned(), 2)]);
    assert_eq!(count(&quantities.hubs), [("H5".to_owned(), 1)]);
}

/// Spools of 100 ft at 70.00 (12 AWG) and at 45.00 (14 AWG), a remnant of 40 ft
/// of 14 AWG on hand. 12 AWG: one spool for the 46.5 ft, 53.5 ft left. 14 AWG:
/// 28.0 + 39.5 = 67.5 ft need one spool; the remnant alone is too short for both.
#[test]
fn the_cutting_plan_names_the_pieces_of_the_papers_and_prices_the_bill() {
    let (mut job, plan) = (specimen::job(), specimen::plan());
    let spool = |price| crate::job::Spool {
        length: GridSteps(1000),
        price: Money::new(price),
    };
    job.cables[0].spools = vec![spool(dec!(70))];
    job.cables[1].spools = vec![spool(dec!(45))];
    job.cables[1].stock = vec![crate::job::Remnant {
        length: GridSteps(400),
        count: 1,
    }];
    let cuttings = cut_jobs(&job, &plan, GridSteps(100))
        .into_iter()
        .map(|(cable, problem)| CableCutting {
            cable,
            plan: cut(&problem, &CutEffort::default()).expect("everything fits"),
            problem,
        })
        .collect();
    let findings = Findings::of(&job, &plan, cuttings, None, standing());
    let dossier = Dossier::of(&job, &plan, &findings.expect("the specimen works"));

    let length_of = |id: &str| {
        let piece = dossier.pieces.iter().find(|row| row.id == id);
        piece.expect("every name is a piece").length
    };
    let mut cut_off: Vec<&str> = Vec::new();
    for spool in &dossier.cutting.spools {
        let mut used = Decimal::ZERO;
        for cut in &spool.cuts {
            let pieces: Decimal = cut.pieces.iter().map(|id| length_of(id)).sum();
            assert_eq!(pieces, cut.length);
            assert_eq!(cut.marks.len() + 1, cut.pieces.len());
            used += cut.length;
            cut_off.extend(cut.pieces.iter().map(String::as_str));
        }
        assert_eq!(used + spool.left, spool.length);
        assert_eq!(spool.keep, spool.left >= dec!(10));
    }
    cut_off.sort_unstable();
    assert_eq!(cut_off, ["C1-P1", "C1-P2", "C2-P1"]);
    assert_eq!(dossier.cutting.spools[0].left, dec!(53.5));

    let cable = dossier
        .bill
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Cable);
    let paid: Money = cable.map(|line| line.extension).sum();
    let stated: Money = dossier.cutting.totals.iter().map(|row| row.cost).sum();
    assert_eq!(
        (paid, stated),
        (Money::new(dec!(115)), Money::new(dec!(115)))
    );
}

proptest! {
    #[test]
    fn segments_add_up_to_their_surface_and_surfaces_to_the_bill(
        lengths in prop::array::uniform4(0.0_f64..90.0),
        hours in prop::array::uniform4(0.0_f64..0.2),
        per_unit in prop::array::uniform4((0_i64..99_999).prop_map(|rate| Decimal::new(rate, 4))),
        same_surface in prop::bool::ANY,
    ) {
        let mut job = specimen::job();
        for (index, length) in lengths.into_iter().enumerate() {
            job.segments[index].length = job.units.to_metres(length);
            job.surfaces[index].open.hours_per_unit = hours[index];
            job.surfaces[index].open.money_per_unit = Money::new(per_unit[index]);
            if same_surface {
                job.segments[index].surface = crate::ids::SurfaceId(1);
            }
        }
        let dossier = dossier_of(&job, &specimen::plan());
        for surface in &dossier.trenches.surfaces {
            let rows = || {
                let rows = dossier.trenches.segments.iter();
                rows.filter(|row| row.surface == surface.surface)
            };
            prop_assert_eq!(rows().map(|row| row.hours).sum::<Decimal>(), surface.hours);
            prop_assert_eq!(rows().map(|row| row.money).sum::<Money>(), surface.money);
            prop_assert_eq!(rows().map(|row| row.length).sum::<Decimal>(), surface.length);
        }
        let ground = || dossier.bill.lines.iter()
            .filter(|line| matches!(line.kind, LineKind::Trench | LineKind::CableWork));
        let worked: Decimal = ground()
            .filter(|line| line.quantity.unit == Unit::Hours)
            .map(|line| line.quantity.amount)
            .sum();
        let paid: Money = ground()
            .filter(|line| line.quantity.unit != Unit::Hours)
            .map(|line| line.extension)
            .sum();
        let surfaces = &dossier.trenches.surfaces;
        prop_assert_eq!(surfaces.iter().map(|row| row.hours).sum::<Decimal>(), worked);
        prop_assert_eq!(surfaces.iter().map(|row| row.money).sum::<Money>(), paid);
    }
}
