//! Spoiling texts and bytes at random.

use counterpoise::spread::draws::stream;
use rand_xoshiro::rand_core::RngCore;

/// Whole numbers at random.
pub(crate) struct Dice(rand_xoshiro::Xoshiro256PlusPlus);

impl Dice {
    /// From a seed and the number of what it is for.
    pub(crate) fn new(seed: u64, number: u64) -> Self {
        Self(stream(seed, 77, number))
    }

    /// 0 to `n` - 1; 0 where `n` is 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.0.next_u64() % n.max(1) as u64).unwrap_or_default()
    }

    /// One of a list.
    pub(crate) fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// Words that readers look for, or stumble over.
const WORDS: [&str; 58] = [
    "0",
    "-1",
    "1e308",
    "1e-308",
    "4294967296",
    "9223372036854775808",
    "99999999999999999999",
    "0.1",
    "3,5",
    "1/0",
    "1 1/8",
    ".nan",
    "-.inf",
    "~",
    "true",
    "null",
    "''",
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    ": ",
    "- ",
    "? ",
    "&a ",
    "*a",
    "!x ",
    "|\n",
    ">\n",
    "# ",
    "---\n",
    "...\n",
    "\t",
    "\n",
    "\r\n",
    "\u{feff}",
    "\u{212a}",
    "\u{130}",
    "\u{0}",
    "\u{1b}[31m",
    "\u{fffd}",
    "mm",
    " m",
    "deg",
    "in",
    "g",
    "m/s",
    "C",
    "level",
    "..",
    ">=",
    "id: ",
    "count: ",
    "length_mm: ",
    "1e20s",
    "é",
];

/// A text of the list, spoilt in one to six places.
pub(crate) fn text(texts: &[String], dice: &mut Dice) -> String {
    let mut bytes = dice.of(texts).clone().into_bytes();
    for _ in 0..=dice.below(6) {
        let other = dice.of(texts).as_bytes().to_vec();
        spoil(&mut bytes, &other, dice);
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Bytes of the list, spoilt in one to six places.
pub(crate) fn bytes(list: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = dice.of(list).clone();
    for _ in 0..=dice.below(6) {
        let other = dice.of(list).clone();
        spoil(&mut bytes, &other, dice);
    }
    bytes
}

fn spoil(bytes: &mut Vec<u8>, other: &[u8], dice: &mut Dice) {
    let from = dice.below(bytes.len() + 1);
    let to = (from + dice.below(1 + bytes.len() / 8)).min(bytes.len());
    match dice.below(8) {
        0 => drop(bytes.drain(from..to)),
        1 => {
            let piece = bytes[from..to].to_vec();
            bytes.splice(from..from, piece);
        }
        2 => {
            if let Some(byte) = bytes.get_mut(from) {
                *byte = dice.below(256) as u8;
            }
        }
        3 | 4 => drop(bytes.splice(from..from, dice.of(&WORDS).bytes())),
        5 => {
            let start = dice.below(other.len() + 1);
            let end = (start + dice.below(40)).min(other.len());
            bytes.splice(from..to, other[start..end].iter().copied());
        }
        6 => {
            let word = dice.of(&WORDS).repeat(1 + dice.below(200));
            bytes.splice(from..from, word.bytes());
        }
        _ => number(bytes, dice),
    }
}

/// Another number in place of one that is there, mostly of its own size.
pub(crate) fn number(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let from = dice.below(bytes.len() + 1);
    let digit = |b: &u8| b.is_ascii_digit() || *b == b'.';
    let Some(start) = bytes[from..].iter().position(digit).map(|i| from + i) else { return };
    let end = bytes[start..].iter().position(|b| !digit(b)).map_or(bytes.len(), |i| start + i);
    let old: f64 = String::from_utf8_lossy(&bytes[start..end]).parse().unwrap_or(1.0);
    let new = match dice.below(12) {
        0 => (*dice.of(&WORDS[..12])).to_owned(),
        1 => format!("{}", old * 10.0),
        2 => format!("{}", old / 10.0),
        _ => format!("{:.3}", old * (0.8 + 0.4 * dice.below(1000) as f64 / 1000.0)),
    };
    bytes.splice(start..end, new.bytes());
}
