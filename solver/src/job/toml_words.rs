//! What the parsers of TOML and JSON say, in the words of the files' descriptions.

/// Words of a deserialiser, and ours.
const WORDS: [(&str, &str); 13] = [
    ("expected f64", "expected a number"),
    ("expected u32", "expected a whole number, 0 or more"),
    ("expected u64", "expected a whole number, 0 or more"),
    ("expected a sequence", "expected a list, [ ]"),
    ("expected path string", "expected text in quotes"),
    ("expected a string", "expected text in quotes"),
    ("invalid type: map", "invalid type: a section"),
    ("invalid type: sequence", "invalid type: a list"),
    ("invalid type: string", "invalid type: text"),
    ("invalid type: integer", "invalid type: number"),
    ("unknown variant", "unknown word"),
    ("unknown field", "unknown key"),
    ("missing field", "missing key"),
];

/// What they call a section with keys, before a name that means nothing to a user.
const STRUCT: &str = "expected struct ";

/// Longest line of a message that is kept, characters: they quote the line of the text, which
/// may be all of a file.
const LONGEST: usize = 200;

/// A parser's message, its lines cut where they are long.
fn shortened(message: &str) -> String {
    let short = |line: &str| match line.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &line[..end]),
        None => line.to_owned(),
    };
    let lines: Vec<String> = message.lines().map(short).collect();
    lines.join("\n")
}

/// A parser's message without the names of a programming language's types.
#[must_use]
pub fn in_plain_words(message: &str) -> String {
    let plain = WORDS
        .iter()
        .fold(shortened(message), |text, (theirs, ours)| {
            text.replace(theirs, ours)
        });
    match plain.split_once(STRUCT) {
        Some((said, _)) => format!("{said}expected a section with keys, {{ }}"),
        None => plain.trim_end().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_as_long_as_a_file_is_not_said_again() {
        let text = format!("a = {}", "[".repeat(100_000));
        let error = toml::from_str::<toml::Table>(&text).expect_err("nested too deeply");
        let said = in_plain_words(&error.to_string());
        assert!(said.len() < 2_000, "{} bytes", said.len());
        assert!(said.contains("line 1, column"), "{said}");
    }

    #[test]
    fn no_type_of_a_programming_language_is_named() {
        #[derive(Debug, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        struct File {
            #[serde(rename = "rate")]
            _rate: Option<f64>,
            #[serde(rename = "count")]
            _count: Option<u32>,
        }
        let said = |text: &str| {
            let error = toml::from_str::<File>(text).expect_err("no such file");
            in_plain_words(&error.to_string())
        };
        assert!(
            said("rate = \"high\"").ends_with("invalid type: text \"high\", expected a number")
        );
        assert!(said("count = -3").ends_with("expected a whole number, 0 or more"));
        assert!(said("rates = 3").contains("unknown key `rates`"));
    }
}
