//! Numbers of an SVG that place something, looked at before anything is outlined.

use usvg::roxmltree;

/// Most digits before the point, and largest exponent, of a number that places something: an
/// arc far outside of any drawing is turned into as many curves as its size asks for.
const MOST_DIGITS: usize = 6;
/// Attributes that hold such numbers.
const PLACING: [&str; 20] = [
    "d",
    "points",
    "transform",
    "viewBox",
    "x",
    "y",
    "x1",
    "y1",
    "x2",
    "y2",
    "cx",
    "cy",
    "r",
    "rx",
    "ry",
    "width",
    "height",
    "stroke-width",
    "stroke-dasharray",
    "stroke-dashoffset",
];

/// Refuses a drawing with a number that places something far outside of any drawing; the
/// reason names the line and the attribute.
pub(super) fn refuse_large(document: &roxmltree::Document<'_>) -> Result<(), String> {
    for node in document.descendants() {
        let placing = |name: &str| PLACING.contains(&name);
        let mut placed = node.attributes().filter(|one| placing(one.name()));
        if let Some(attribute) = placed.find(|one| has_large_number(one.value())) {
            let row = document.text_pos_at(node.range().start).row;
            return Err(format!(
                "line {row}: `{}` has a number of more than {MOST_DIGITS} digits before the point; draw it smaller",
                attribute.name()
            ));
        }
    }
    Ok(())
}

/// Whether numbers, parted in any way, are there with too many digits or too large an exponent.
fn has_large_number(text: &str) -> bool {
    let (mut whole, mut exponent, mut fraction) = (0, None::<usize>, false);
    let mut after_digit = false;
    for byte in text.bytes() {
        match byte {
            b'0'..=b'9' => {
                let digit = usize::from(byte - b'0');
                match &mut exponent {
                    Some(power) => *power = power.saturating_mul(10).saturating_add(digit),
                    None if fraction => {}
                    None => whole += usize::from(whole > 0 || digit > 0),
                }
                if whole > MOST_DIGITS || exponent.is_some_and(|power| power > MOST_DIGITS) {
                    return true;
                }
            }
            b'e' | b'E' if after_digit => exponent = Some(0),
            b'+' if exponent == Some(0) => {}
            // A negative exponent, whatever its size, makes no large number.
            b'-' if exponent == Some(0) => (exponent, fraction) = (None, true),
            _ => (whole, exponent, fraction) = (0, None, byte == b'.'),
        }
        after_digit = byte.is_ascii_digit() || (byte == b'.' && after_digit);
    }
    false
}

#[cfg(test)]
mod tests {
    use super::has_large_number;

    #[test]
    fn small_numbers_are_known_however_they_are_written() {
        // Digits behind the point, exponents below nought and numbers written together.
        for x in [
            "1.00000000001",
            "5e-30",
            "00000000001",
            "1-2-3-4-5-6-7-8-9 1-2 3 4 M1",
        ] {
            assert!(!has_large_number(x), "{x}");
        }
    }
}
