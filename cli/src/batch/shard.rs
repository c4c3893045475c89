//! One part of a batch that is split over machines.

use crate::failure::Failure;
use serde::{Deserialize, Serialize};

/// Most parts.
const MOST_PARTS: usize = 100_000;

/// Part `part` of `parts`: `1 <= part <= parts`, and no more than [`MOST_PARTS`] of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Numbers")]
pub(crate) struct Shard {
    /// Which, from 1.
    pub(crate) part: usize,
    /// Of how many.
    pub(crate) parts: usize,
}

/// A part as it was written down, by whomever.
#[derive(Deserialize)]
struct Numbers {
    part: usize,
    parts: usize,
}

impl TryFrom<Numbers> for Shard {
    type Error = &'static str;

    fn try_from(numbers: Numbers) -> Result<Self, Self::Error> {
        Self::new(numbers.part, numbers.parts).ok_or("no part of a batch")
    }
}

impl Shard {
    fn new(part: usize, parts: usize) -> Option<Self> {
        let lawful = part >= 1 && part <= parts && parts <= MOST_PARTS;
        lawful.then_some(Self { part, parts })
    }

    /// Reads `I/N`.
    ///
    /// # Errors
    /// [`Failure::Refused`] unless `1 <= I <= N`.
    pub(crate) fn read(text: &str) -> Result<Self, Failure> {
        let numbers = text.split_once('/');
        let part = numbers.and_then(|(part, parts)| Self::new(number(part)?, number(parts)?));
        part.ok_or_else(|| {
            Failure::Refused(format!(
                "--shard: `{text}` is no part; write I/N with 1 <= I <= N <= {MOST_PARTS}, as in 2/4"
            ))
        })
    }
    /// Whether the job at this position of the batch, from 0, belongs to the part.
    ///
    /// Every N-th job: neighbours in a list are often alike, and so are spread evenly.
    pub(crate) const fn has(self, position: usize) -> bool {
        position % self.parts + 1 == self.part
    }
}

fn number(text: &str) -> Option<usize> {
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_job_is_in_exactly_one_part() {
        let parts: Vec<Shard> = (1..=4)
            .map(|part| Shard::read(&format!("{part}/4")).expect("a part"))
            .collect();
        for position in 0..11 {
            assert_eq!(parts.iter().filter(|part| part.has(position)).count(), 1);
        }
    }

    #[test]
    fn what_is_no_part_is_refused() {
        for bad in [
            "0/4", "5/4", "4", "", "1/0", "-1/4", "+1/4", "1/4/2", "a/b", "1/200000",
        ] {
            let message = Shard::read(bad).expect_err(bad).to_string();
            assert!(message.contains("--shard"), "{message}");
        }
    }

    #[test]
    fn what_is_no_part_is_not_read_from_a_record_either() {
        let read = |part: usize, parts: usize| {
            let text = format!("{{\"part\": {part}, \"parts\": {parts}}}");
            serde_json::from_str::<Shard>(&text).ok()
        };
        assert_eq!(read(2, 4), Shard::read("2/4").ok());
        for (part, parts) in [(0, 4), (5, 4), (1, 0), (1, usize::MAX)] {
            assert_eq!(read(part, parts), None, "{part}/{parts}");
        }
    }
}
