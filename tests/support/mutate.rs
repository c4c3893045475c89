//! Text broken at random, the same way each time for the same seed: bytes flipped, tokens
//! swapped for nasty ones or for each other, lines doubled, moved and lost, the end cut off,
//! brackets nested deep, numbers blown up.

/// Tokens that readers trip over.
const NASTY: [&str; 34] = [
    "1e308",
    "-1e308",
    "1e-320",
    "99999999999999999999999",
    "-0",
    "nan",
    "inf",
    "-inf",
    "0x7f",
    "1_000",
    "0.0000000000000000000000000001",
    "18446744073709551616",
    "-9223372036854775809",
    "",
    "\"",
    "\"\"",
    "'",
    "\u{feff}",
    "\u{0}",
    "\u{202e}",
    "ﬁ²",
    "=1+1",
    "../../..",
    "/etc",
    "null",
    "true",
    "{}",
    "[]",
    ",",
    ";",
    "\t",
    "\r",
    "\\u0000",
    "1979-05-27",
];

/// Deepest nesting made, brackets. Half as deep is twice as often, down to none: most texts
/// stay short, so that many are read in the time of one.
const DEEPEST: usize = 20_000;
/// How often the deepest is halved at most.
const HALVINGS: usize = 16;
/// Most times that a line is repeated; one repetition in [`RARELY`] is that long.
const MOST_LINES: usize = 500;
/// One in how many.
const RARELY: usize = 16;
/// Longest text made, bytes: repetitions of repetitions would test the memory of the test.
const LONGEST: usize = 400_000;

/// A generator of mutations (splitmix64, Steele, Lea and Flood 2014).
pub struct Mutator(u64);

impl Mutator {
    /// One that repeats itself for the same seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5851_F42D_4C95_7F2D)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number below `count`, or 0 when that is 0.
    pub fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count.max(1) as u64).unwrap_or(0)
    }

    /// `text` after one to six mutations.
    #[must_use]
    pub fn mutated(&mut self, text: &[u8]) -> Vec<u8> {
        let mut bytes = text.to_vec();
        for _ in 0..=self.below(6) {
            self.mutate(&mut bytes);
            bytes.truncate(LONGEST);
        }
        bytes
    }

    fn mutate(&mut self, bytes: &mut Vec<u8>) {
        match self.below(12) {
            0 | 1 => self.flip(bytes),
            2..=4 => self.swap_token(bytes),
            5 => self.exchange_tokens(bytes),
            6 => self.copy_stretch(bytes),
            7 => self.lose_stretch(bytes),
            8 => self.line(bytes),
            9 => {
                let end = self.below(bytes.len() + 1);
                bytes.truncate(end);
            }
            10 => self.nest(bytes),
            _ => self.blow_up(bytes),
        }
    }

    fn flip(&mut self, bytes: &mut [u8]) {
        let at = self.below(bytes.len());
        if let Some(byte) = bytes.get_mut(at) {
            *byte ^= 1 << (self.0 % 8);
        }
    }

    /// Bounds of a token: a stretch between separators.
    fn token(&mut self, bytes: &[u8]) -> (usize, usize) {
        let is_separator = |byte: &u8| b",;\t\n\r \"=[]{}:|/".contains(byte);
        let at = self.below(bytes.len() + 1);
        let start = bytes[..at]
            .iter()
            .rposition(is_separator)
            .map_or(0, |found| found + 1);
        let end = bytes[at..]
            .iter()
            .position(is_separator)
            .map_or(bytes.len(), |found| at + found);
        (start, end)
    }

    fn swap_token(&mut self, bytes: &mut Vec<u8>) {
        let (start, end) = self.token(bytes);
        let nasty = NASTY[self.below(NASTY.len())];
        bytes.splice(start..end, nasty.bytes());
    }

    fn exchange_tokens(&mut self, bytes: &mut Vec<u8>) {
        let (start, end) = self.token(bytes);
        let (from, to) = self.token(bytes);
        let other = bytes[from..to].to_vec();
        bytes.splice(start..end, other);
    }

    /// A stretch of at most `most` bytes.
    fn stretch(&mut self, bytes: &[u8], most: usize) -> (usize, usize) {
        let start = self.below(bytes.len() + 1);
        (start, (start + self.below(most)).min(bytes.len()))
    }

    fn copy_stretch(&mut self, bytes: &mut Vec<u8>) {
        let (start, end) = self.stretch(bytes, 200);
        let copied = bytes[start..end].to_vec();
        let at = self.below(bytes.len() + 1);
        bytes.splice(at..at, copied);
    }

    fn lose_stretch(&mut self, bytes: &mut Vec<u8>) {
        let (start, end) = self.stretch(bytes, 40);
        bytes.drain(start..end);
    }

    /// A line doubled, many times over, or lost.
    fn line(&mut self, bytes: &mut Vec<u8>) {
        let at = self.below(bytes.len() + 1);
        let start = bytes[..at]
            .iter()
            .rposition(|&byte| byte == b'\n')
            .map_or(0, |found| found + 1);
        let end = bytes[at..]
            .iter()
            .position(|&byte| byte == b'\n')
            .map_or(bytes.len(), |found| at + found + 1);
        let many = if self.below(RARELY) == 0 {
            MOST_LINES
        } else {
            30
        };
        let times = [0, 2, 3, many][self.below(4)].min(LONGEST / (end - start).max(1));
        let line = bytes[start..end].repeat(times);
        bytes.splice(start..end, line);
    }

    fn nest(&mut self, bytes: &mut Vec<u8>) {
        let halvings = self.below(HALVINGS);
        let depth = self.below(DEEPEST >> halvings);
        let (open, close) = [
            ("[", "]"),
            ("{\"a\":", "}"),
            ("{a=", "}"),
            ("a.", "b"),
            ("\"", ""),
        ][self.below(5)];
        let nested = format!("{}{}", open.repeat(depth), close.repeat(depth));
        let (start, end) = self.token(bytes);
        bytes.splice(start..end, nested.into_bytes());
    }

    /// A digit becomes many.
    fn blow_up(&mut self, bytes: &mut Vec<u8>) {
        let at = self.below(bytes.len());
        let Some(found) = bytes.iter().skip(at).position(u8::is_ascii_digit) else {
            return;
        };
        let digits = vec![b'9'; [1, 8, 30, 400][self.below(4)]];
        let sign = [b'-', b'.', b'e', b'9'][self.below(4)];
        bytes.splice(at + found..=at + found, std::iter::once(sign).chain(digits));
    }
}
