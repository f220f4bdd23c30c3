//! A short fingerprint of a file's bytes, exactly as they came.

/// The first prime of XXH64.
const P1: u64 = 0x9E37_79B1_85EB_CA87;
/// The second prime of XXH64.
const P2: u64 = 0xC2B2_AE3D_27D4_EB4F;
/// The third prime of XXH64.
const P3: u64 = 0x1656_67B1_9E37_79F9;
/// The fourth prime of XXH64.
const P4: u64 = 0x85EB_CA77_C2B2_AE63;
/// The fifth prime of XXH64.
const P5: u64 = 0x27D4_EB2F_1656_67C5;

/// XXH64 with seed 0, fed in pieces: 64 bits, not meant to withstand forgery.
///
/// # Source
///
/// The published specification of the `xxHash` family, from memory; values checked against the Python package xxhash in
/// `tests/native/files/hash.py`.
///
/// # Example
///
/// ```
/// use lessdin::files::hash::{Hash, hex};
///
/// let mut hash = Hash::new();
/// hash.push(b"a");
/// hash.push(b"bc");
/// assert_eq!(hex(hash.value()), "44bc2cf5ad770999");
/// ```
#[derive(Clone, Debug)]
pub struct Hash {
    lanes: [u64; 4],
    total: u64,
    held: Vec<u8>,
}

impl Default for Hash {
    fn default() -> Self {
        Self::new()
    }
}

impl Hash {
    /// The hash of nothing yet.
    pub fn new() -> Self {
        Self { lanes: [P1.wrapping_add(P2), P2, 0, 0_u64.wrapping_sub(P1)], total: 0, held: Vec::with_capacity(32) }
    }

    /// Takes further bytes in.
    #[inline(never)]
    pub fn push(&mut self, bytes: &[u8]) {
        self.total = self.total.wrapping_add(bytes.len() as u64);
        let mut rest = bytes;
        if !self.held.is_empty() {
            let (now, later) = rest.split_at_checked(32 - self.held.len()).unwrap_or((rest, &[]));
            self.held.extend_from_slice(now);
            rest = later;
            if let Some(stripe) = self.held.first_chunk::<32>() {
                self.lanes = stripe_of(self.lanes, stripe);
                self.held.clear();
            }
        }
        let mut lanes = self.lanes;
        while let Some((stripe, later)) = rest.split_first_chunk::<32>() {
            lanes = stripe_of(lanes, stripe);
            rest = later;
        }
        self.lanes = lanes;
        self.held.extend_from_slice(rest);
    }

    /// The hash of everything so far.
    pub fn value(&self) -> u64 {
        let [a, b, c, d] = self.lanes;
        let mut hash = if self.total >= 32 {
            let mixed = a.rotate_left(1).wrapping_add(b.rotate_left(7)).wrapping_add(c.rotate_left(12)).wrapping_add(d.rotate_left(18));
            self.lanes.iter().fold(mixed, |hash, lane| (hash ^ round(0, *lane)).wrapping_mul(P1).wrapping_add(P4))
        } else {
            P5
        };
        hash = hash.wrapping_add(self.total);
        let mut rest = self.held.as_slice();
        while let Some((word, later)) = rest.split_first_chunk::<8>() {
            hash = (hash ^ round(0, u64::from_le_bytes(*word))).rotate_left(27).wrapping_mul(P1).wrapping_add(P4);
            rest = later;
        }
        if let Some((word, later)) = rest.split_first_chunk::<4>() {
            let word = u64::from(u32::from_le_bytes(*word));
            hash = (hash ^ word.wrapping_mul(P1)).rotate_left(23).wrapping_mul(P2).wrapping_add(P3);
            rest = later;
        }
        for byte in rest {
            hash = (hash ^ u64::from(*byte).wrapping_mul(P5)).rotate_left(11).wrapping_mul(P1);
        }
        hash = (hash ^ (hash >> 33)).wrapping_mul(P2);
        hash = (hash ^ (hash >> 29)).wrapping_mul(P3);
        hash ^ (hash >> 32)
    }
}

#[inline]
fn round(lane: u64, word: u64) -> u64 {
    lane.wrapping_add(word.wrapping_mul(P2)).rotate_left(31).wrapping_mul(P1)
}

#[inline]
fn stripe_of(lanes: [u64; 4], stripe: &[u8; 32]) -> [u64; 4] {
    let mut lanes = lanes;
    for (lane, word) in lanes.iter_mut().zip(stripe.as_chunks::<8>().0) {
        *lane = round(*lane, u64::from_le_bytes(*word));
    }
    lanes
}

/// A hash as sixteen lower-case hexadecimal digits.
pub fn hex(hash: u64) -> String {
    (0..16).rev().filter_map(|digit| char::from_digit(u32::try_from((hash >> (4 * digit)) & 15).unwrap_or(0), 16)).collect()
}
