//! Tags and free text.

use super::{Kind, Refusal, Typed, Value};
use crate::job::column::Range;
use crate::job::error::Code;

/// Longest tag, characters.
const LONGEST_TAG: usize = 64;
/// Longest free text, characters.
const LONGEST_TEXT: usize = 500;
/// Characters with a meaning in lists of loads and lugs.
const RESERVED: [char; 3] = ['|', '=', '/'];

/// The name of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::job) struct Tag(pub String);

/// Free text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::job) struct Text(pub String);

const TAG_ACCEPTED: &str = "1 to 64 characters, none of | = / and no control characters";

impl Value for Tag {
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "tag";
    fn accepted(_range: Range) -> String {
        TAG_ACCEPTED.to_owned()
    }
    fn read(text: &str, _typed: &Typed) -> Result<Self, Refusal> {
        let refuse = |says: &str| Err(Refusal::new(Code::BadTag, says, TAG_ACCEPTED));
        if text.chars().nth(LONGEST_TAG).is_some() {
            return refuse("is too long for a tag");
        }
        if text.chars().any(char::is_control) {
            return refuse("has a control character");
        }
        match text.chars().find(|c| RESERVED.contains(c)) {
            Some(c) => refuse(&format!("has the character {c}")),
            None => Ok(Self(text.to_owned())),
        }
    }
}

impl Value for Text {
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "text";
    fn accepted(_range: Range) -> String {
        format!("text of 1 to {LONGEST_TEXT} characters on one line")
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let says = if text.chars().nth(LONGEST_TEXT).is_some() {
            "is too long"
        } else if text.chars().any(char::is_control) {
            "has a control character or runs over several lines"
        } else {
            return Ok(Self(text.to_owned()));
        };
        Err(Refusal::new(
            Code::BadText,
            says,
            Self::accepted(typed.range),
        ))
    }
}
