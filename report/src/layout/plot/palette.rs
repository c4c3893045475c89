//! Lines that readers tell apart without seeing colours alike: each circuit has
//! a colour, a line pattern and a label.

use super::super::frame::{Colour, Stroke};

/// Colours of our own, dark enough for white paper, neighbours far apart in
/// lightness as well as hue so that they stay apart without red-green vision.
const COLOURS: [Colour; 7] = [
    Colour(16, 54, 110),
    Colour(214, 94, 22),
    Colour(0, 96, 78),
    Colour(196, 60, 142),
    Colour(60, 60, 60),
    Colour(46, 140, 205),
    Colour(122, 84, 0),
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

    fn linear(part: u8) -> f64 {
        let share = f64::from(part) / 255.0;
        if share <= 0.040_45 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    }

    /// sRGB to what a dichromat sees, linear light: projections of Viénot, Brettel
    /// and Mollon, "Digital video colourmaps for checking the legibility of displays
    /// by dichromats", Color Research and Application 24 (1999). Matrices from memory,
    /// to two places: red and green become one mixture, blue stays. The share of red in
    /// the mixture is 0.29 without green cones, 0.11 without red ones.
    fn dichromatic(colour: Colour, share: f64) -> [f64; 3] {
        let (red, green, blue) = (linear(colour.0), linear(colour.1), linear(colour.2));
        let yellow = share * red + (1.0 - share) * green;
        [yellow, yellow, (blue - 0.02 * red + 0.02 * green).max(0.0)]
    }

    fn luminance(colour: Colour) -> f64 {
        0.2126 * linear(colour.0) + 0.7152 * linear(colour.1) + 0.0722 * linear(colour.2)
    }

    /// Lightness of CIE 1976, 0 to 100 (all colours here are above its linear part).
    fn lightness(colour: Colour) -> f64 {
        116.0 * luminance(colour).cbrt() - 16.0
    }

    /// On a grey print a dozen circuits are told apart by pattern, or else by lightness.
    #[test]
    fn a_dozen_circuits_stay_apart_on_a_grey_print() {
        for one in 0..12 {
            for other in 0..one {
                let (a, b) = (stroke(one), stroke(other));
                let apart = (lightness(a.colour) - lightness(b.colour)).abs();
                assert!(
                    a.dash != b.dash || apart > 10.0,
                    "{one} and {other}: {apart}"
                );
            }
        }
    }

    #[test]
    fn neighbouring_colours_stay_apart_without_red_green_vision_and_show_on_white() {
        for at in 0..COLOURS.len() {
            let (one, next) = (COLOURS[at], COLOURS[(at + 1) % COLOURS.len()]);
            for share in [0.29, 0.11] {
                let (a, b) = (dichromatic(one, share), dichromatic(next, share));
                // Lightness differences count on a cube-root scale (CIE 1976).
                let apart: f64 = (0..3)
                    .map(|part| (a[part].cbrt() - b[part].cbrt()).powi(2))
                    .sum();
                assert!(apart.sqrt() > 0.2, "{one:?} and {next:?}: {}", apart.sqrt());
            }
            let light = luminance(one);
            // Contrast as WCAG 2.1 defines it; 3:1 is asked of graphical objects (1.4.11).
            assert!(1.05 / (light + 0.05) >= 3.0, "{one:?} on white");
        }
    }
}
