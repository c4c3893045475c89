//! Published constants of conductors: gauge areas, resistances, temperature
//! coefficients. Facts to look up; no voltage is computed here.

use super::Conductor;
use super::value::{Gauge, Material, Strand};
use crate::units::{Celsius, OhmsPerMetre, PerCelsius, SquareMillimetres, UnitSystem};

/// Solid areas of the American wire gauge, mm², AWG 24 down to 4/0.
///
/// Source: ASTM B258, diameter `0.005 in x 92^((36 - n) / 39)` with `n` = 0, -1,
/// -2, -3 for 1/0 to 4/0; areas computed from it and rounded to 0.1 % of a
/// hundredth. A unit test recomputes them.
const AWG_AREAS: [(&str, f64); 28] = [
    ("24", 0.20473),
    ("23", 0.25816),
    ("22", 0.32553),
    ("21", 0.41049),
    ("20", 0.51762),
    ("19", 0.65271),
    ("18", 0.82305),
    ("17", 1.03784),
    ("16", 1.30870),
    ("15", 1.65023),
    ("14", 2.08091),
    ("13", 2.62398),
    ("12", 3.30877),
    ("11", 4.17229),
    ("10", 5.26115),
    ("9", 6.63419),
    ("8", 8.36556),
    ("7", 10.5488),
    ("6", 13.3018),
    ("5", 16.7732),
    ("4", 21.1506),
    ("3", 26.6705),
    ("2", 33.6308),
    ("1", 42.4077),
    ("1/0", 53.4751),
    ("2/0", 67.4309),
    ("3/0", 85.0288),
    ("4/0", 107.219),
];

/// One size of the American wire gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct AwgSize {
    name: &'static str,
    area_mm2: f64,
}

impl AwgSize {
    /// The size of a name, `12` or `1/0`.
    pub fn named(name: &str) -> Option<Self> {
        AWG_AREAS
            .iter()
            .find(|(known, _)| *known == name)
            .map(|&(name, area_mm2)| Self { name, area_mm2 })
    }
    /// Metallic cross-section.
    pub fn area(self) -> SquareMillimetres {
        SquareMillimetres::new(self.area_mm2)
    }
}

impl std::fmt::Display for AwgSize {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

/// Resistance of one conductor by material and make-up; `None` where the table has no entry.
struct Resistances {
    copper: [Option<f64>; 3],
    tinned: [Option<f64>; 3],
    /// Solid and stranded alike.
    aluminium: [Option<f64>; 3],
}

impl Resistances {
    fn of(&self, material: Material, strand: Strand) -> Option<f64> {
        let row = match material {
            Material::Copper => &self.copper,
            Material::TinnedCopper => &self.tinned,
            Material::Aluminium => &self.aluminium,
        };
        match strand {
            Strand::Solid => row[0],
            Strand::Stranded => row[1],
            Strand::Flexible => row[2],
        }
    }
}

/// A row of dc resistances of AWG conductors: solid, stranded.
const fn awg(
    copper: (Option<f64>, f64),
    tinned: (Option<f64>, f64),
    aluminium: (Option<f64>, Option<f64>),
) -> Resistances {
    Resistances {
        copper: [copper.0, Some(copper.1), None],
        tinned: [tinned.0, Some(tinned.1), None],
        aluminium: [aluminium.0, aluminium.1, None],
    }
}

/// Dc resistance at 75 °C, ohm per 1000 ft.
///
/// Source: NFPA 70 (National Electrical Code), Chapter 9, Table 8, 7-strand for
/// stranded. Copper AWG 18 to 6 compared with copies of the table; AWG 4 and 2,
/// coated copper and aluminium are from memory. The table lists no solid AWG 6
/// and thicker, and no aluminium below AWG 12.
#[expect(
    clippy::approx_constant,
    reason = "3.14 is the printed resistance of stranded AWG 14"
)]
const NEC_TABLE_8: [(&str, Resistances); 9] = [
    (
        "18",
        awg((Some(7.77), 7.95), (Some(8.08), 8.45), (None, None)),
    ),
    (
        "16",
        awg((Some(4.89), 4.99), (Some(5.08), 5.29), (None, None)),
    ),
    (
        "14",
        awg((Some(3.07), 3.14), (Some(3.19), 3.26), (None, None)),
    ),
    (
        "12",
        awg(
            (Some(1.93), 1.98),
            (Some(2.01), 2.05),
            (Some(3.18), Some(3.25)),
        ),
    ),
    (
        "10",
        awg(
            (Some(1.21), 1.24),
            (Some(1.26), 1.29),
            (Some(2.00), Some(2.04)),
        ),
    ),
    (
        "8",
        awg(
            (Some(0.764), 0.778),
            (Some(0.786), 0.809),
            (Some(1.26), Some(1.28)),
        ),
    ),
    ("6", awg((None, 0.491), (None, 0.510), (None, Some(0.808)))),
    ("4", awg((None, 0.308), (None, 0.321), (None, Some(0.508)))),
    ("2", awg((None, 0.194), (None, 0.201), (None, Some(0.319)))),
];

/// A row of IEC resistances: classes 1 and 2 share a value in these sizes, class 5 has its own.
const fn iec(copper: (f64, f64), tinned: (f64, f64), aluminium: Option<f64>) -> Resistances {
    Resistances {
        copper: [Some(copper.0), Some(copper.0), Some(copper.1)],
        tinned: [Some(tinned.0), Some(tinned.0), Some(tinned.1)],
        aluminium: [aluminium, aluminium, None],
    }
}

/// Maximum resistance at 20 °C, ohm per km.
///
/// Source: IEC 60228 (2004), Tables 1, 2 and 3. Plain copper 0.75 to 16 mm²
/// compared with copies of the standard; the other sizes, coated copper and
/// aluminium are from memory. The nominal area is a name: deriving the
/// resistance from it would understate the permitted value by 5 to 16 %.
const IEC_60228: [(f64, Resistances); 11] = [
    (0.5, iec((36.0, 39.0), (36.7, 40.1), None)),
    (0.75, iec((24.5, 26.0), (24.8, 26.7), None)),
    (1.0, iec((18.1, 19.5), (18.2, 20.0), None)),
    (1.5, iec((12.1, 13.3), (12.2, 13.7), None)),
    (2.5, iec((7.41, 7.98), (7.56, 8.21), None)),
    (4.0, iec((4.61, 4.95), (4.70, 5.09), None)),
    (6.0, iec((3.08, 3.30), (3.11, 3.39), None)),
    (10.0, iec((1.83, 1.91), (1.84, 1.95), Some(3.08))),
    (16.0, iec((1.15, 1.21), (1.16, 1.24), Some(1.91))),
    (25.0, iec((0.727, 0.780), (0.734, 0.795), Some(1.20))),
    (35.0, iec((0.524, 0.554), (0.529, 0.565), Some(0.868))),
];

/// Temperature of NEC Chapter 9 Table 8.
const NEC_TEMPERATURE: Celsius = Celsius::new(75.0);
/// Temperature of IEC 60228.
const IEC_TEMPERATURE: Celsius = Celsius::new(20.0);
/// Metres in 1000 ft, exact.
const METRES_PER_KFT: f64 = 304.8;

/// Temperature coefficient at 20 °C, 1/°C.
///
/// Copper: IEC 60028 (1925), 0.00393. Aluminium: 0.00403, IEC 60889, from memory.
const fn coefficient_at_20(material: Material) -> f64 {
    match material {
        Material::Copper | Material::TinnedCopper => 0.00393,
        Material::Aluminium => 0.00403,
    }
}

/// Coefficient referred to 75 °C as NEC Chapter 9 Table 8 note 2 prints it, 1/°C.
/// Copper seen in a copy; aluminium from memory.
const fn nec_coefficient(material: Material) -> f64 {
    match material {
        Material::Copper | Material::TinnedCopper => 0.00323,
        Material::Aluminium => 0.00330,
    }
}

/// The coefficient of a material referred to temperature `at`.
///
/// Resistance is linear in temperature, so the coefficient referred to another
/// temperature is `a / (1 + a (at - 20))`; `None` where that denominator is not
/// above 0 (below about -234 °C).
pub(super) fn coefficient(material: Material, at: Celsius) -> Option<PerCelsius> {
    let at_20 = coefficient_at_20(material);
    let scale = 1.0 + at_20 * (at.value() - 20.0);
    (scale > 0.0).then(|| PerCelsius::new(at_20 / scale))
}

/// The published resistance of a conductor; `None` where no table lists it.
pub(super) fn published(gauge: &Gauge, material: Material, strand: Strand) -> Option<Conductor> {
    let conductor = |per_metre: f64, at, coefficient| Conductor {
        resistance: OhmsPerMetre::new(per_metre),
        at,
        coefficient: PerCelsius::new(coefficient),
        reactance: OhmsPerMetre::ZERO,
    };
    match gauge {
        Gauge::Awg(size) => {
            let (_, row) = NEC_TABLE_8.iter().find(|(name, _)| *name == size.name)?;
            let per_kft = row.of(material, strand)?;
            let coefficient = nec_coefficient(material);
            Some(conductor(
                per_kft / METRES_PER_KFT,
                NEC_TEMPERATURE,
                coefficient,
            ))
        }
        Gauge::Mm2(area) => {
            let same = |nominal: f64| (nominal - area).abs() <= 1e-9 * nominal;
            let (_, row) = IEC_60228.iter().find(|(nominal, _)| same(*nominal))?;
            let per_km = row.of(material, strand)?;
            let coefficient = coefficient_at_20(material);
            Some(conductor(per_km / 1000.0, IEC_TEMPERATURE, coefficient))
        }
    }
}

/// The thinnest copper size in the tables whose conductor has at most this
/// resistance at this temperature, as the trade of the unit system says it:
/// stranded AWG, or metric class 5. `None` when the thickest listed has more.
#[must_use]
pub fn least_copper_gauge(limit: OhmsPerMetre, at: Celsius, units: UnitSystem) -> Option<String> {
    let (strand, sizes): (_, Vec<Gauge>) = match units {
        UnitSystem::Us => {
            let named = NEC_TABLE_8
                .iter()
                .filter_map(|(name, _)| AwgSize::named(name));
            (Strand::Stranded, named.map(Gauge::Awg).collect())
        }
        UnitSystem::Metric => {
            let areas = IEC_60228.iter().map(|&(area, _)| Gauge::Mm2(area));
            (Strand::Flexible, areas.collect())
        }
    };
    let enough = |gauge: &&Gauge| {
        published(gauge, Material::Copper, strand).is_some_and(|conductor| {
            let rise = at.value() - conductor.at.value();
            let factor = 1.0 + conductor.coefficient.value() * rise;
            conductor.resistance.value() * factor <= limit.value()
        })
    };
    sizes.iter().find(enough).map(ToString::to_string)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauge_areas_follow_the_geometric_rule_of_astm_b258() {
        for (position, (name, area)) in AWG_AREAS.iter().enumerate() {
            // ratio of neighbouring diameters: the 39th root of 92
            let ratio = 1.122_932_197_2_f64;
            let steps = i32::try_from(position).expect("28 sizes") + 12;
            let diameter_mm = 0.127 * ratio.powi(steps);
            let computed = std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm;
            assert!((computed / area - 1.0).abs() < 2e-5, "AWG {name}");
        }
    }

    #[test]
    fn copper_table_values_agree_with_resistivity_and_area() {
        // IEC 60028: 1/58 ohm mm²/m at 20 °C, 0.00393 per °C; stranding adds 2 % of length.
        // The table and these constants agree within 0.6 % (rounding of the printed table).
        for (name, row) in &NEC_TABLE_8 {
            let area = AwgSize::named(name).expect("listed").area_mm2;
            let at_75 = 304.8 / 58.0 / area * (1.0 + 0.00393 * 55.0);
            if let Some(solid) = row.of(Material::Copper, Strand::Solid) {
                assert!((at_75 / solid - 1.0).abs() < 6e-3, "solid {name}");
            }
            let stranded = row.of(Material::Copper, Strand::Stranded).expect("all");
            assert!(
                (at_75 * 1.02 / stranded - 1.0).abs() < 6e-3,
                "stranded {name}"
            );
        }
    }

    #[test]
    fn moving_the_copper_coefficient_to_75_gives_the_printed_one() {
        let moved = coefficient(Material::Copper, Celsius::new(75.0)).expect("far above -234 °C");
        assert!((moved.value() - 0.003_231_509).abs() < 1e-9);
        assert_eq!(coefficient(Material::Copper, Celsius::new(-260.0)), None);
    }

    #[test]
    fn iec_values_stay_above_the_nominal_area_taken_at_its_word() {
        for (area, row) in &IEC_60228 {
            let ideal = 1000.0 / 58.0 / area;
            let stranded = row.of(Material::Copper, Strand::Stranded).expect("all");
            let flexible = row.of(Material::Copper, Strand::Flexible).expect("all");
            assert!(stranded > ideal * 1.04 && stranded < ideal * 1.09, "{area}");
            assert!(flexible > stranded && flexible < ideal * 1.17, "{area}");
        }
    }

    #[test]
    fn the_least_gauge_is_the_first_that_resists_no_more() {
        // AWG 12 stranded copper, NEC Chapter 9 Table 8: 1.98 ohm per 1000 ft at 75 °C.
        let at = Celsius::new(75.0);
        let gauge = |per_kft: f64| {
            least_copper_gauge(OhmsPerMetre::new(per_kft / 304.8), at, UnitSystem::Us)
        };
        assert_eq!(gauge(1.981).as_deref(), Some("12 AWG"));
        assert_eq!(gauge(1.979).as_deref(), Some("10 AWG"));
        assert_eq!(gauge(0.1), None);
        // 4 mm² class 5, IEC 60228 Table 3: 4.95 ohm per km at 20 °C.
        let metric = least_copper_gauge(
            OhmsPerMetre::new(4.951e-3),
            Celsius::new(20.0),
            UnitSystem::Metric,
        );
        assert_eq!(metric.as_deref(), Some("4 mm²"));
    }
}
