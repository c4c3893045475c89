//! Lines that readers tell apart without seeing colours alike: each circuit has
//! a colour, a line pattern and a label.

use super::super::frame::{Colour, Stroke};

/// Colours of our own, dark enough for white paper. Each has a lightness of its own,
/// those of neighbours far apart, so that they stay apart on grey prints and without
/// red, green or blue cones.
const COLOURS: [Colour; 7] = [
    Colour(14, 36, 92),
    Colour(176, 72, 0),
    Colour(0, 62, 44),
    Colour(206, 62, 152),
    Colour(92, 60, 0),
    Colour(46, 142, 208),
    Colour(88, 84, 92),
];

/// Dash, gap, … in pt; the first is solid. The count shares no factor with the
/// number of colours, so 42 circuits pass before a pair of both comes again.
const PATTERNS: [&[f64]; 6] = [
    &[],
    &[6.0, 2.2],
    &[6.0, 1.8, 1.4, 1.8],
    &[2.6, 1.8],
    &[8.0, 1.6, 1.4, 1.6, 1.4, 1.6],
    &[1.3, 1.5],
];

/// Width of a cable's line, pt.
const WIDTH: f64 = 1.15;

/// Colour of a circuit by its position.
pub fn colour(circuit: usize) -> Colour {
    COLOURS[circuit % COLOURS.len()]
}

/// Line of a circuit by its position.
pub fn stroke(circuit: usize) -> Stroke {
    Stroke {
        colour: colour(circuit),
        width: WIDTH,
        dash: PATTERNS[circuit % PATTERNS.len()].to_vec(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forty_two_circuits_have_forty_two_looks() {
        for one in 0..42 {
            for other in 0..one {
                assert_ne!(stroke(one), stroke(other), "{one} and {other}");
            }
        }
    }

    type Matrix = [[f64; 3]; 3];

    /// What is seen without one kind of cone: Machado, Oliveira and Fernandes, "A
    /// physiologically-based model for simulation of color vision deficiency", IEEE
    /// Transactions on Visualization and Computer Graphics 15 (2009), matrices of
    /// severity 1.0 for linear light; from memory.
    const WITHOUT_CONES: [(&str, Matrix); 3] = [
        (
            "red",
            [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ],
        ),
        (
            "green",
            [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ],
        ),
        (
            "blue",
            [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ],
        ),
    ];

    /// Linear sRGB to the tristimulus values of CIE 1931 (IEC 61966-2-1).
    const TRISTIMULUS: Matrix = [
        [0.4124, 0.3576, 0.1805],
        [0.2126, 0.7152, 0.0722],
        [0.0193, 0.1192, 0.9505],
    ];

    fn times(matrix: &Matrix, given: [f64; 3]) -> [f64; 3] {
        matrix.map(|row| row.iter().zip(given).map(|(part, of)| part * of).sum())
    }

    fn linear(colour: Colour) -> [f64; 3] {
        [colour.0, colour.1, colour.2].map(|part| {
            let share = f64::from(part) / 255.0;
            if share <= 0.040_45 {
                share / 12.92
            } else {
                ((share + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// Lightness, 0 to 100, and both opponent parts of CIE 1976 (L*a*b*).
    fn lab(light: [f64; 3]) -> [f64; 3] {
        let white = times(&TRISTIMULUS, [1.0; 3]);
        let given = times(&TRISTIMULUS, light.map(|part| part.clamp(0.0, 1.0)));
        let [x, y, z]: [f64; 3] = std::array::from_fn(|at| {
            let share: f64 = given[at] / white[at];
            if share > 0.008_856 {
                share.cbrt()
            } else {
                7.787 * share + 16.0 / 116.0
            }
        });
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn lightness(colour: Colour) -> f64 {
        lab(linear(colour))[0]
    }

    fn distance(one: [f64; 3], other: [f64; 3]) -> f64 {
        let parts = one.iter().zip(other);
        parts.map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
    }

    /// On a grey print any two of 42 circuits differ in pattern or in lightness. Those
    /// of one pattern that are drawn nearest each other, six apart, differ much.
    #[test]
    fn circuits_stay_apart_on_a_grey_print() {
        for one in 0..42 {
            for other in 0..one {
                let (a, b) = (stroke(one), stroke(other));
                let apart = (lightness(a.colour) - lightness(b.colour)).abs();
                let least = if one - other == 6 { 18.0 } else { 4.0 };
                assert!(
                    a.dash != b.dash || apart >= least,
                    "{one} and {other}: {apart}"
                );
            }
        }
    }

    /// A just noticeable difference is about 2.3 (Mahy, Van Eycken and Oosterlinck 1994).
    #[test]
    fn colours_stay_apart_without_one_kind_of_cone() {
        let count = COLOURS.len();
        for (cone, matrix) in &WITHOUT_CONES {
            let seen = |at: usize| lab(times(matrix, linear(COLOURS[at])));
            for one in 0..count {
                for other in 0..one {
                    let apart = distance(seen(one), seen(other));
                    let neighbours = one - other == 1 || one - other == count - 1;
                    let least = if neighbours { 20.0 } else { 10.0 };
                    assert!(apart >= least, "no {cone}: {one} and {other}: {apart}");
                }
            }
        }
    }

    /// Contrast as WCAG 2.1 defines it; 3:1 is asked of graphical objects (1.4.11).
    #[test]
    fn every_colour_shows_on_white() {
        for colour in COLOURS {
            let light = times(&TRISTIMULUS, linear(colour))[1];
            assert!(1.05 / (light + 0.05) >= 3.0, "{colour:?} on white");
        }
    }
}
