//! Bytes into UTF-8.

use super::wanted::Encoding;

/// The encoding of a file and the length of its mark, from its first bytes.
pub(super) fn encoding(bytes: &[u8]) -> (Encoding, usize) {
    if bytes.starts_with(b"\xef\xbb\xbf") {
        return (Encoding::Utf8, 3);
    }
    if bytes.starts_with(b"\xff\xfe") {
        return (Encoding::Utf16Little, 2);
    }
    if bytes.starts_with(b"\xfe\xff") {
        return (Encoding::Utf16Big, 2);
    }
    // Western text in UTF-16 has a zero in every second byte; padding has them in both.
    let (mut even, mut odd) = (0, 0);
    let head = bytes.get(..bytes.len().min(1024)).unwrap_or_default();
    for (at, byte) in head.iter().enumerate() {
        if *byte == 0 {
            if at % 2 == 0 { even += 1 } else { odd += 1 }
        }
    }
    if head.len() >= 4 && odd * 4 > head.len() && even * 8 < odd {
        return (Encoding::Utf16Little, 0);
    }
    if head.len() >= 4 && even * 4 > head.len() && odd * 8 < even {
        return (Encoding::Utf16Big, 0);
    }
    match std::str::from_utf8(bytes) {
        Ok(_) => (Encoding::Utf8, 0),
        // A character cut at the end of the piece.
        Err(error) if error.error_len().is_none() && bytes.len() > 3 => (Encoding::Utf8, 0),
        Err(_) => (Encoding::Windows1252, 0),
    }
}

/// UTF-16 in pieces.
#[derive(Clone, Debug, Default)]
pub(super) struct Wide {
    odd: Option<u8>,
    high: Option<u16>,
}

impl Wide {
    /// Adds what some bytes say to `out`. Halves of a pair that stand alone become U+FFFD.
    pub(super) fn push(&mut self, bytes: &[u8], big: bool, out: &mut Vec<u8>) {
        for &byte in bytes {
            let Some(first) = self.odd.take() else {
                self.odd = Some(byte);
                continue;
            };
            let unit = if big { u16::from_be_bytes([first, byte]) } else { u16::from_le_bytes([first, byte]) };
            self.unit(unit, out);
        }
    }

    fn unit(&mut self, unit: u16, out: &mut Vec<u8>) {
        if let Some(high) = self.high.take() {
            if (0xDC00..0xE000).contains(&unit) {
                let code = 0x1_0000 + (u32::from(high - 0xD800) << 10) + u32::from(unit - 0xDC00);
                return add(char::from_u32(code), out);
            }
            add(None, out);
        }
        if (0xD800..0xDC00).contains(&unit) {
            self.high = Some(unit);
        } else {
            add(char::from_u32(u32::from(unit)), out);
        }
    }

    /// What was left over at the end.
    pub(super) fn finish(&mut self, out: &mut Vec<u8>) {
        if self.high.take().is_some() || self.odd.take().is_some() {
            add(None, out);
        }
    }
}

fn add(c: Option<char>, out: &mut Vec<u8>) {
    let mut buffer = [0; 4];
    out.extend_from_slice(c.unwrap_or('\u{FFFD}').encode_utf8(&mut buffer).as_bytes());
}

/// What bytes 80 to 9F are in Windows-1252, from memory; checked against the crate `encoding_rs` in the tests. Five are not
/// assigned and stay as they are.
const WESTERN: [char; 32] = [
    '\u{20AC}', '\u{81}', '\u{201A}', '\u{192}', '\u{201E}', '\u{2026}', '\u{2020}', '\u{2021}', '\u{2C6}', '\u{2030}', '\u{160}',
    '\u{2039}', '\u{152}', '\u{8D}', '\u{17D}', '\u{8F}', '\u{90}', '\u{2018}', '\u{2019}', '\u{201C}', '\u{201D}', '\u{2022}', '\u{2013}',
    '\u{2014}', '\u{2DC}', '\u{2122}', '\u{161}', '\u{203A}', '\u{153}', '\u{9D}', '\u{17E}', '\u{178}',
];

fn western(byte: u8) -> char {
    byte.checked_sub(0x80).and_then(|place| WESTERN.get(usize::from(place))).copied().unwrap_or(char::from(byte))
}

/// A line as plain UTF-8 in `out`: characters decoded, zeros left out, every kind of blank a blank, every kind of minus a hyphen.
pub(super) fn plain(line: &[u8], encoding: Encoding, out: &mut Vec<u8>) {
    out.clear();
    let text = if encoding == Encoding::Windows1252 { None } else { std::str::from_utf8(line).ok() };
    let mut push = |c: char| match c {
        '\0' | '\u{FEFF}' | '\u{81}'..='\u{9F}' => {}
        '\u{A0}' | '\u{2009}' | '\u{202F}' | '\u{2007}' | '\u{3000}' => out.push(b' '),
        '\u{2212}' | '\u{2013}' | '\u{2014}' => out.push(b'-'),
        c => add(Some(c), out),
    };
    match text {
        Some(text) => text.chars().for_each(&mut push),
        None => line.iter().map(|byte| western(*byte)).for_each(&mut push),
    }
}

/// Whether a line is already plain.
pub(super) fn is_plain(line: &[u8]) -> bool {
    line.iter().all(|byte| (1..0x80).contains(byte))
}

/// All of a text in Windows-1252, as UTF-8.
pub fn windows_1252(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| western(*byte)).collect()
}

/// All of a text in UTF-16, as UTF-8.
pub fn utf_16(bytes: &[u8], big: bool) -> String {
    let mut out = Vec::new();
    let mut wide = Wide::default();
    wide.push(bytes, big, &mut out);
    wide.finish(&mut out);
    String::from_utf8_lossy(&out).into_owned()
}
