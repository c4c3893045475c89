//! Which known name was probably meant.

/// Names compared at most: near names are a courtesy, not worth minutes.
const COMPARED: usize = 2000;
/// Longest name that is compared, characters: the work grows with the square of it.
const LONGEST: usize = 200;
/// Names listed in full before a list is cut.
const LISTED: usize = 12;

/// Least number of insertions, deletions and replacements that turn `a` into `b`
/// (Levenshtein distance), `O(|a| |b|)`.
fn edits(a: &[char], b: &[char]) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let replace = diagonal + usize::from(x != y);
            diagonal = row[j + 1];
            row[j + 1] = replace.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

/// The known name nearest to `given`, if near enough to be meant: at most a
/// third of its characters differ, case and blanks aside. The first of equals.
pub(crate) fn nearest<'a>(
    given: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let fold = |text: &str| -> Vec<char> {
        text.chars()
            .filter(|c| !c.is_whitespace())
            .flat_map(char::to_lowercase)
            .collect()
    };
    if given.chars().nth(LONGEST).is_some() {
        return None;
    }
    let wanted = fold(given);
    let most = (wanted.len() / 3).max(1);
    known
        .into_iter()
        .take(COMPARED)
        .filter(|name| name.chars().count().abs_diff(given.chars().count()) <= most + 2)
        .map(|name| (edits(&wanted, &fold(name)), name))
        .filter(|(distance, _)| *distance <= most && *distance < wanted.len().max(1))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// "did you mean `name`?" when a known name is near: at most a third of its characters
/// differ, case and blanks aside. Compares with the first 2000 names only.
#[must_use]
pub fn did_you_mean<'a>(given: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(given, known).map(|name| format!("did you mean `{name}`?"))
}

/// As [`did_you_mean`], among the names with the very same digits: of numbered things the
/// next number is no slip of the pen.
pub(crate) fn did_you_mean_numbered<'a>(
    given: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    let digits = |text: &str| -> String { text.chars().filter(char::is_ascii_digit).collect() };
    let wanted = digits(given);
    let same = known.into_iter().filter(|name| digits(name) == wanted);
    did_you_mean(given, same)
}

/// Known names in quotes, cut after a dozen.
#[must_use]
pub fn listed<'a>(known: impl IntoIterator<Item = &'a str>) -> String {
    let all: Vec<&str> = known.into_iter().collect();
    let shown: Vec<String> = all
        .iter()
        .take(LISTED)
        .map(|name| format!("\"{name}\""))
        .collect();
    match all.len() {
        0 => "nothing is listed".to_owned(),
        n if n > LISTED => format!("{} and {} more", shown.join(", "), n - LISTED),
        _ => shown.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_one_letter_is_recognised_and_a_stranger_is_not() {
        let known = ["10-2", "12-2", "burial", "path-3w"];
        assert_eq!(nearest("burail", known), Some("burial"));
        assert_eq!(nearest("Path 3W", known), Some("path-3w"));
        assert_eq!(nearest("12-3", known), Some("12-2"));
        assert_eq!(nearest("lawn", known), None);
        assert_eq!(nearest("", known), None);
    }

    #[test]
    fn of_numbered_things_only_the_words_are_guessed_at() {
        let known = ["C1 home run", "C2 home run", "T1"];
        let meant = |given| did_you_mean_numbered(given, known);
        let found = meant("C2 home rum").expect("one letter");
        assert!(found.contains("`C2 home run`"), "{found}");
        assert_eq!(meant("C3 home run"), None);
        assert_eq!(meant("T2"), None);
        assert_eq!(meant("T11"), None);
    }

    #[test]
    fn names_of_any_length_are_taken_and_only_those_of_a_name_are_compared() {
        let long = "a".repeat(LONGEST);
        let longer = "a".repeat(300_000);
        assert_eq!(nearest(&format!("{}b", &long[1..]), [&*long]), Some(&*long));
        assert_eq!(nearest(&longer, [&*longer]), None);
        assert_eq!(nearest("burail", [&*longer, "burial"]), Some("burial"));
    }

    #[test]
    fn distances_worked_by_hand() {
        let edits = |a: &str, b: &str| {
            super::edits(
                &a.chars().collect::<Vec<_>>(),
                &b.chars().collect::<Vec<_>>(),
            )
        };
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("abc", "abc"), 0);
    }

    #[test]
    fn long_lists_are_cut() {
        let names: Vec<String> = (0..14).map(|n| n.to_string()).collect();
        assert!(listed(names.iter().map(String::as_str)).ends_with("\"11\" and 2 more"));
    }
}
