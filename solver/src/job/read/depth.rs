//! Where a TOML text is nested too deeply: its parser refuses such text without a place.

/// Deepest nesting that the parser follows.
pub(super) const MOST: usize = 80;

/// Byte at which lists, inline tables or the parts of a dotted key are nested deeper than
/// [`MOST`]; brackets in texts and comments do not count. `O(n)`.
pub(super) fn exceeded(text: &str) -> Option<usize> {
    let (mut brackets, mut parts) = (0_usize, 1_usize);
    let (mut quote, mut comment, mut escaped) = (None, false, false);
    for (at, byte) in text.bytes().enumerate() {
        if byte == b'\n' {
            comment = false;
            parts = 1;
        } else if comment {
            continue;
        } else if let Some(open) = quote {
            if byte == open && !escaped {
                quote = None;
            }
            escaped = open == b'"' && byte == b'\\' && !escaped;
            continue;
        }
        match byte {
            b'"' | b'\'' => (quote, escaped) = (Some(byte), false),
            b'#' => comment = true,
            b'.' => parts += 1,
            b'=' | b',' => parts = 1,
            b'[' | b'{' => (brackets, parts) = (brackets + 1, 1),
            b']' | b'}' => (brackets, parts) = (brackets.saturating_sub(1), 1),
            _ => {}
        }
        if brackets > MOST || parts > MOST {
            return Some(at);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_is_the_bracket_or_the_dot_that_is_one_too_many() {
        let lists = format!("a = 1\nx = {}", "[".repeat(100));
        assert_eq!(exceeded(&lists), Some(6 + 4 + MOST));
        let keys = format!("a = 1\n{} = 1\n", ["b"; 100].join("."));
        assert_eq!(exceeded(&keys), Some(6 + 2 * MOST - 1));
    }

    #[test]
    fn texts_comments_and_many_short_lists_are_not_deep() {
        let many = "x = [1.5, 2.5]\n".repeat(200);
        let deep = "[".repeat(100);
        let quoted = format!("a = \"\\\"{deep}\"\nb = '{deep}'\n# {deep}\n{many}");
        assert_eq!(exceeded(&quoted), None);
    }
}
