//! Decimal text for doubles, in plain integer arithmetic.
//!
//! The standard library does this for every double there is; its tables and its big-number code are a tenth of the whole
//! page, for digits that no meter shows. What a person types and reads has at most fifteen significant digits, and for those
//! a double is an integer divided by a power of ten, correctly rounded by the one division (Clinger 1990, the fast path).
//! The tests hold this against the standard library.

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22];
/// Integers below this are exact in a double: 2^53.
const EXACT: f64 = 9_007_199_254_740_992.0;
/// Integers below this have fifteen digits at most.
const FIFTEEN_DIGITS: f64 = 1e15;

fn power(exponent: usize) -> f64 {
    POWERS.get(exponent).copied().unwrap_or(f64::INFINITY)
}

/// The value with so many digits after a point, halves away from zero, no negative zero. Finite values below 10^19 only.
pub fn fixed(value: f64, places: usize) -> String {
    let places = places.min(17);
    let scaled = (value.abs() * power(places)).round();
    written(value < 0.0, scaled, places)
}

/// The shortest text that reads back as this value, for values of up to fifteen digits; others lose what is beyond.
pub fn shortest(value: f64) -> String {
    let size = value.abs();
    let mut best = (size.round(), 0);
    for places in 0..POWERS.len() {
        let scaled = size * power(places);
        if scaled >= EXACT {
            break;
        }
        let whole = scaled.round();
        #[expect(clippy::float_cmp, reason = "the question is whether the text reads back as this very double")]
        let same = whole / power(places) == size;
        if same || scaled < FIFTEEN_DIGITS {
            best = (whole, places);
        }
        if same {
            break;
        }
    }
    let text = written(value < 0.0, best.0, best.1);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// An integer with a point so many digits from its end.
fn written(negative: bool, scaled: f64, places: usize) -> String {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative; what is too large saturates")]
    let mut digits = (scaled as u64).to_string();
    while digits.len() <= places {
        digits.insert(0, '0');
    }
    if places > 0 {
        digits.insert(digits.len() - places, '.');
    }
    if negative && scaled > 0.0 {
        digits.insert(0, '-');
    }
    digits
}

/// Reads `-12.5e3`: an optional sign, digits with at most one point, an optional exponent. `None` for anything else;
/// infinite for what no double holds.
pub fn read(text: &str) -> Option<f64> {
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, read_exponent(exponent)?),
        None => (text, 0),
    };
    let (mut whole, mut scale, mut seen, mut point) = (0_u64, 0_i32, false, false);
    for byte in mantissa.bytes() {
        match byte {
            b'0'..=b'9' => {
                seen = true;
                // Nineteen digits are more than a double holds; the rest only moves the point.
                if whole < 1_000_000_000_000_000_000 {
                    whole = whole * 10 + u64::from(byte - b'0');
                    scale -= i32::from(point);
                } else {
                    scale += i32::from(!point);
                }
            }
            b'.' if !point => point = true,
            _ => return None,
        }
    }
    if !seen {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "beyond 2^53 the last digits are lost, as they are in any double")]
    let value = scaled(whole as f64, scale.saturating_add(exponent));
    Some(if negative { -value } else { value })
}

fn read_exponent(text: &str) -> Option<i32> {
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let size = digits.bytes().fold(0_i32, |size, byte| size.saturating_mul(10).saturating_add(i32::from(byte - b'0')));
    Some(if negative { -size.min(9999) } else { size.min(9999) })
}

fn scaled(mut value: f64, exponent: i32) -> f64 {
    if value == 0.0 {
        return 0.0;
    }
    let mut left = usize::try_from(exponent.unsigned_abs()).unwrap_or(usize::MAX).min(400);
    while left > 0 {
        let step = left.min(22);
        if exponent < 0 {
            value /= power(step);
        } else {
            value *= power(step);
        }
        left -= step;
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every decimal of up to fifteen digits, a few hundred thousand of them.
    fn decimals() -> impl Iterator<Item = (u64, i32)> {
        let mut state = 20_261_125_u64;
        std::iter::repeat_with(move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let digits = (state >> 33) % 15 + 1;
            ((state >> 8) % 10_u64.pow(u32::try_from(digits).unwrap()), i32::try_from((state >> 20) % 16).unwrap())
        })
        .take(50_000)
    }

    #[test]
    fn what_is_typed_reads_as_the_standard_library_reads_it_and_is_written_back() {
        for (whole, places) in decimals() {
            let text = format!("{whole}e-{places}");
            let expected: f64 = text.parse().unwrap();
            assert_eq!(read(&text).map(f64::to_bits), Some(expected.to_bits()), "{text}");
            assert_eq!(read(&shortest(expected)).map(f64::to_bits), Some(expected.to_bits()), "{text}: {}", shortest(expected));
            if (1e-4..1e15).contains(&expected) {
                assert_eq!(shortest(expected), expected.to_string());
            }
        }
    }

    #[test]
    fn fixed_digits_are_within_half_a_step_of_the_value() {
        for (whole, places) in decimals().take(20_000) {
            let value: f64 = format!("{whole}e-{places}").parse().unwrap();
            for digits in [0, 1, 2, 4] {
                let back: f64 = fixed(value, digits).parse().unwrap();
                let step = 10_f64.powi(-i32::try_from(digits).unwrap());
                assert!((back - value).abs() <= step * 0.5 + value * 1e-15, "{value}: {}", fixed(value, digits));
            }
        }
    }

    #[test]
    fn edges() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(1.25, 1), "1.3");
        assert_eq!(fixed(0.05, 3), "0.050");
        assert_eq!(shortest(-0.0), "0");
        assert_eq!(shortest(0.1 + 0.2), "0.3");
        assert_eq!(read("1e309"), Some(f64::INFINITY));
        assert_eq!(read("1e-400"), Some(0.0));
        assert_eq!(read("-.5"), Some(-0.5));
        assert_eq!(read("5."), Some(5.0));
        for text in ["", ".", "-", "e5", "1e", "1e+", "1.2.3", "--1", "NaN", "inf", "1_0", "0x1"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
