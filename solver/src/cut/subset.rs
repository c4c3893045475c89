//! The fullest subset sum, by bit sets.

/// Every sum of lengths that can be reached, with a way to reach each.
///
/// `left[i]` pieces of length `sizes[i]` (falling) are available. Time and
/// bits: room x sum of log2(left + 1), 64 sums at a time.
pub(super) struct Sums {
    rows: Vec<Row>,
    /// Bit `sum` of row `r`: reached with the first `r` rows.
    reached: Vec<u64>,
    words: usize,
}

impl Sums {
    /// Finds all sums up to `room`.
    pub(super) fn up_to(sizes: &[i64], left: &[u32], room: i64) -> Self {
        let room = usize::try_from(room).unwrap_or(0);
        let rows = rows_from_short(sizes, left, room);
        let words = room / 64 + 1;
        let mut reached = vec![0_u64; words * (rows.len() + 1)];
        reached[0] = 1;
        for (index, row) in rows.iter().enumerate() {
            let (before, after) = reached.split_at_mut(words * (index + 1));
            shift_or(&before[words * index..], &mut after[..words], row.length);
        }
        Self {
            rows,
            reached,
            words,
        }
    }
    fn holds(&self, row: usize, sum: usize) -> bool {
        self.reached[row * self.words + sum / 64] >> (sum % 64) & 1 == 1
    }
    /// The largest sum of at most `room` (which is at most the room they were found for).
    pub(super) fn fullest(&self, room: i64) -> i64 {
        let sums = 0..=usize::try_from(room).unwrap_or(0);
        let most = sums.rev().find(|&sum| self.holds(self.rows.len(), sum));
        i64::try_from(most.unwrap_or(0)).unwrap_or(0)
    }
    /// Pieces `(class, count)` that add up to a reached sum, long ones preferred: short ones are easier to place later.
    pub(super) fn parts(&self, sum: i64) -> Vec<(u32, u32)> {
        let mut sum = usize::try_from(sum).unwrap_or(0);
        let mut parts = Vec::new();
        for (index, row) in self.rows.iter().enumerate().rev() {
            if sum >= row.length && self.holds(index, sum - row.length) {
                sum -= row.length;
                parts.push((row.class, row.copies));
            }
        }
        parts
    }
}

/// Pieces `(class, count)` whose lengths add up to the most that `room` can take.
pub(super) fn fullest_sum(sizes: &[i64], left: &[u32], room: i64) -> Vec<(u32, u32)> {
    let sums = Sums::up_to(sizes, left, room);
    sums.parts(sums.fullest(room))
}

/// `copies` pieces of a class, taken together or not at all.
struct Row {
    class: u32,
    copies: u32,
    length: usize,
}

/// Short pieces first: the trace back then meets the long ones first.
fn rows_from_short(sizes: &[i64], left: &[u32], room: usize) -> Vec<Row> {
    let mut rows = Vec::new();
    for (class, (&size, &count)) in sizes.iter().zip(left).enumerate().rev() {
        let length = usize::try_from(size).unwrap_or(usize::MAX);
        let mut count = count.min(u32::try_from(room / length).unwrap_or(u32::MAX));
        let mut copies = 1;
        while count > 0 {
            let take = copies.min(count);
            rows.push(Row {
                class: u32::try_from(class).unwrap_or(u32::MAX),
                copies: take,
                length: length * take as usize,
            });
            count -= take;
            copies *= 2;
        }
    }
    rows
}

/// `into = from | from << by`, bits beyond the end dropped.
fn shift_or(from: &[u64], into: &mut [u64], by: usize) {
    into.copy_from_slice(from);
    let (whole, part) = (by / 64, by % 64);
    for (index, word) in into.iter_mut().enumerate().skip(whole) {
        let low = from[index - whole] << part;
        let carry = if part > 0 && index > whole {
            from[index - whole - 1] >> (64 - part)
        } else {
            0
        };
        *word |= low | carry;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_reaches_the_fullest_of_all_choices() {
        let (sizes, left) = ([41, 30, 7], [2, 1, 3]);
        for room in 0..140_i64 {
            let mut most = 0;
            for (a, b, c) in (0..24).map(|n| (n % 3, n / 3 % 2, n / 6)) {
                let sum = 41 * a + 30 * b + 7 * c;
                if sum <= room {
                    most = most.max(sum);
                }
            }
            let parts = fullest_sum(&sizes, &left, room);
            let sum: i64 = parts
                .iter()
                .map(|&(class, count)| sizes[class as usize] * i64::from(count))
                .sum();
            assert_eq!(sum, most, "room {room}");
        }
    }

    #[test]
    fn long_pieces_are_preferred_among_equal_sums() {
        assert_eq!(fullest_sum(&[60, 40, 20], &[1, 1, 3], 60), [(0, 1)]);
    }
}
