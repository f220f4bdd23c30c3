//! Moments within a log, as people write them: `2:05`, `1:02:05.5`, or seconds.

/// A moment, s from the start, as minutes and seconds, with hours from one hour on and tenths where there are some.
///
/// ```
/// # use lessdin::calc::moment::show;
/// assert_eq!([show(125.0), show(59.96), show(3725.5), show(0.0)], ["2:05", "1:00", "1:02:05.5", "0:00"]);
/// ```
pub fn show(seconds: f64) -> String {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "limited to what fits")]
    let tenths = (crate::units::within(seconds, 0.0, 3e8) * 10.0).round() as u64;
    let (hours, minutes, whole, rest) = (tenths / 36_000, tenths / 600 % 60, tenths / 10 % 60, tenths % 10);
    let mut out = String::new();
    let two = |out: &mut String, value: u64| {
        if value < 10 {
            out.push('0');
        }
        out.push_str(&value.to_string());
    };
    if hours > 0 {
        out.push_str(&hours.to_string());
        out.push(':');
        two(&mut out, minutes);
    } else {
        out.push_str(&minutes.to_string());
    }
    out.push(':');
    two(&mut out, whole);
    if rest > 0 {
        out.push('.');
        out.push_str(&rest.to_string());
    }
    out
}

/// What was typed as a moment, s: `2:05`, `1:02:05`, `125` or `125.5`, with a point or a comma. Nothing for anything else.
///
/// ```
/// # use lessdin::calc::moment::read;
/// assert_eq!([read("2:05"), read(" 1:02:05,5 "), read("125")], [Some(125.0), Some(3725.5), Some(125.0)]);
/// assert_eq!([read(""), read("2:75"), read("-3"), read("two"), read("1:2:3:4")], [None; 5]);
/// ```
pub fn read(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    let parts: Vec<&str> = text.split(':').collect();
    let (last, before) = parts.split_last()?;
    if before.len() > 2 {
        return None;
    }
    let mut total = 0.0;
    for part in before {
        let whole: u32 = part.parse().ok()?;
        total = (total + f64::from(whole)) * 60.0;
    }
    let (whole, rest) = last.split_once('.').unwrap_or((last, "0"));
    let digits = |text: &str| (!text.is_empty() && text.len() <= 9 && text.bytes().all(|byte| byte.is_ascii_digit())).then_some(());
    digits(whole)?;
    digits(rest)?;
    let seconds =
        f64::from(whole.parse::<u32>().ok()?) + f64::from(rest.parse::<u32>().ok()?) / 10_f64.powi(i32::try_from(rest.len()).ok()?);
    if !before.is_empty() && seconds >= 60.0 {
        return None;
    }
    (total + seconds < 1e8).then_some(total + seconds)
}
