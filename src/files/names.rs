//! What the names of columns say, and what the head of a file tells about them.

use super::cells;
use super::clock::fold;
use super::understood::{Detector, LevelName, Statistic};
use super::wanted::DateOrder;
use crate::units::Weighting;

/// Lower case, without accents.
pub(super) fn folded(text: &str) -> String {
    text.chars().map(fold).collect()
}

/// The words of a name: runs of letters, in lower case.
pub(super) fn words(folded: &str) -> impl Iterator<Item = &str> {
    folded.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty())
}

const TIME: &[&str] = &[
    "time",
    "t",
    "s",
    "sec",
    "secs",
    "second",
    "seconds",
    "elapsed",
    "zeit",
    "uhrzeit",
    "sekunde",
    "sekunden",
    "heure",
    "temps",
    "hora",
    "tiempo",
    "ora",
    "tempo",
    "tid",
    "klo",
    "aika",
    "czas",
    "cas",
    "tijd",
    "duration",
    "dauer",
    "stamp",
    "timestamp",
    "clock",
    "ms",
    "msec",
    "laufzeit",
];

const INDEX: &[&str] = &[
    "no", "nr", "row", "index", "idx", "id", "record", "rec", "sample", "line", "num", "number", "n", "zeile", "satz", "pos", "lfd",
    "numero", "rij", "rad", "ligne",
];

const OTHER: &[&str] = &[
    "temp",
    "temperature",
    "temperatur",
    "hum",
    "humidity",
    "feuchte",
    "rh",
    "batt",
    "battery",
    "batterie",
    "akku",
    "volt",
    "voltage",
    "v",
    "rpm",
    "press",
    "pressure",
    "hpa",
    "mbar",
    "wind",
    "lux",
    "range",
    "status",
    "flag",
    "flags",
    "speed",
    "c",
    "f",
    "lat",
    "lon",
    "gain",
    "marker",
    "duty",
];

const SUMMARY: &[&str] = &[
    "avg",
    "average",
    "mean",
    "max",
    "maximum",
    "min",
    "minimum",
    "sum",
    "total",
    "std",
    "stdev",
    "leq",
    "laeq",
    "sel",
    "mittel",
    "mittelwert",
    "mw",
    "moyenne",
    "moy",
    "media",
    "promedio",
    "gemiddelde",
    "count",
    "end",
    "ende",
    "fin",
    "overall",
    "l",
    "lmax",
    "lmin",
    "summary",
    "peak",
    "median",
];

/// Whether a name is one of a time.
pub(super) fn is_time(folded: &str) -> bool {
    words(folded).next().is_some_and(|word| TIME.contains(&word))
}

/// Whether a name is one of row numbers.
pub(super) fn is_index(folded: &str) -> bool {
    folded.starts_with('#') || words(folded).next().is_some_and(|word| INDEX.contains(&word))
}

/// Whether a name is one of something that is no level.
pub(super) fn is_other(folded: &str) -> bool {
    folded.contains('°')
        || words(folded).any(|word| OTHER.contains(&word) && word.len() > 1)
        || words(folded).last().is_some_and(|word| OTHER.contains(&word))
}

/// Whether a line begins with the name of a figure worked out from the rows.
pub(super) fn is_summary(cell: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(cell) else { return false };
    let folded = folded(text);
    words(&folded).next().is_some_and(|word| SUMMARY.contains(&word))
}

/// Whether thousandths of a second stand in a column of this name.
pub(super) fn is_milliseconds(folded: &str) -> bool {
    words(folded).any(|word| matches!(word, "ms" | "msec" | "millis" | "milliseconds" | "millisekunden"))
}

/// Ticks in the unit of an elapsed time, from its name.
pub(super) fn seconds_in(folded: &str) -> f64 {
    if is_milliseconds(folded) {
        return 0.001;
    }
    match words(folded).last() {
        Some("min" | "minutes" | "minuten" | "minute") => 60.0,
        Some("h" | "hours" | "stunden" | "hour") => 3600.0,
        Some("days" | "d") => 86_400.0,
        _ => 1.0,
    }
}

/// The order of a date that a name spells out: dd.mm.yyyy and its likes in other tongues.
pub(super) fn order(folded: &str) -> Option<DateOrder> {
    let month = folded.find("mm")?;
    let day = folded.find("dd").or_else(|| folded.find("tt")).or_else(|| folded.find("jj/").filter(|_| folded.contains("aa")))?;
    let year = folded.find("yy").or_else(|| folded.find("jjjj")).or_else(|| folded.find("aa"))?;
    match (day < month, year < month.min(day)) {
        (_, true) => Some(DateOrder::YearMonthDay),
        (true, _) => Some(DateOrder::DayMonthYear),
        (false, _) => Some(DateOrder::MonthDayYear),
    }
}

/// The unit inside brackets, if there is one.
pub(super) fn unit_of(name: &str) -> Option<&str> {
    let open = name.find(['[', '('])?;
    let inner = name.get(open + 1..)?;
    // “dB(A)” has its own brackets.
    if name.get(..open)?.trim_end().to_ascii_lowercase().ends_with("db") {
        return name.get(open.checked_sub(2)?..).map(str::trim);
    }
    let close = inner.rfind([']', ')'])?;
    inner.get(..close).map(str::trim)
}

/// What the name of a level column says; nothing when it is not one of a level.
pub(super) fn level(name: &str, unit: &str) -> Option<LevelName> {
    let text = folded(name);
    let unit = folded(unit);
    let decibel = text.contains("db") || cells::is_decibel(unit.as_bytes());
    let mut found = LevelName { weighting: None, detector: None, statistic: Statistic::Sample, interval_s: None };
    let mut is_level = decibel;
    for (place, word) in text.split(|c: char| !c.is_alphanumeric()).enumerate() {
        if let Some(symbol) = symbol(word) {
            is_level = true;
            found.weighting = found.weighting.or(symbol.weighting);
            found.detector = found.detector.or(symbol.detector);
            if symbol.statistic != Statistic::Sample {
                found.statistic = symbol.statistic;
            }
        } else if [
            "spl",
            "level",
            "noise",
            "sound",
            "loudness",
            "pegel",
            "schall",
            "schallpegel",
            "niveau",
            "nivel",
            "livello",
            "reading",
            "messwert",
            "poziom",
            "niva",
            "wert",
            "value",
            "dba",
            "dbc",
            "dbz",
        ]
        .contains(&word)
        {
            is_level = true;
        }
        let statistic = match word {
            "max" | "maximum" | "maxi" | "highest" => Some(Statistic::Highest),
            "min" | "minimum" | "mini" | "lowest" => Some(Statistic::Lowest),
            "peak" | "pk" | "spitze" | "crete" | "picco" | "pico" => Some(Statistic::Peak),
            "avg" | "average" | "mean" | "mittel" | "moyen" | "eq" => Some(Statistic::Average),
            _ => None,
        };
        if let Some(statistic) = statistic {
            found.statistic = statistic;
        }
        found.detector = match word {
            "fast" => Some(Detector::Fast),
            "slow" => Some(Detector::Slow),
            "impulse" => Some(Detector::Impulse),
            _ => found.detector,
        };
        if place > 0
            && let Some(seconds) = duration(word)
        {
            found.interval_s = Some(seconds);
        }
    }
    let marked = |letter: char| {
        let bracketed = format!("({letter})");
        text.contains(&format!("db{letter}"))
            || text.contains(&format!("db{bracketed}"))
            || unit.contains(&format!("db{letter}"))
            || unit.contains(&format!("db{bracketed}"))
    };
    found.weighting = found.weighting.or_else(|| {
        [('a', Weighting::A), ('c', Weighting::C), ('z', Weighting::Z)]
            .into_iter()
            .find(|(letter, _)| marked(*letter))
            .map(|(_, weighting)| weighting)
    });
    if found.statistic == Statistic::Average {
        found.detector = Some(Detector::Average);
    }
    is_level.then_some(found)
}

/// A symbol such as `LAF`, `LASmax`, `LAeq`, `LCpeak`, `L10` or `LAF90`.
fn symbol(word: &str) -> Option<LevelName> {
    let mut rest = word.strip_prefix('l')?;
    let mut found = LevelName { weighting: None, detector: None, statistic: Statistic::Sample, interval_s: None };
    if rest == "in" {
        return None;
    }
    if rest.starts_with('p') && !rest.starts_with("pk") && !rest.starts_with("peak") {
        rest = rest.get(1..)?;
    }
    if let Some((letter, weighting)) =
        [('a', Weighting::A), ('c', Weighting::C), ('z', Weighting::Z)].into_iter().find(|(letter, _)| rest.starts_with(*letter))
    {
        rest = rest.strip_prefix(letter)?;
        found.weighting = Some(weighting);
    }
    if let Some((letter, detector)) =
        [('f', Detector::Fast), ('s', Detector::Slow), ('i', Detector::Impulse)].into_iter().find(|(letter, _)| rest.starts_with(*letter))
    {
        rest = rest.strip_prefix(letter)?;
        found.detector = Some(detector);
    }
    let (letters, digits) = rest.split_at_checked(rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len()))?;
    found.statistic = match (letters, digits) {
        ("", "") if found.weighting.is_some() || found.detector.is_some() => Statistic::Sample,
        ("", digits) => Statistic::Exceeded(digits.parse().ok().filter(|percent| (1..=99).contains(percent))?),
        ("eq" | "eqt" | "teq", _) => Statistic::Average,
        ("max", "") => Statistic::Highest,
        ("min", "") => Statistic::Lowest,
        ("peak" | "pk", "") => Statistic::Peak,
        ("e", "") => Statistic::Exposure,
        _ => return None,
    };
    Some(found)
}

/// A length of time such as 1s, 100ms, 0.5 sec or 00:00:01, s.
pub(super) fn duration(text: &str) -> Option<f64> {
    let text = text.trim().trim_matches(['"', ';', ',']);
    if let Some(stamp) = super::clock::stamp(text.as_bytes(), false) {
        let clock = stamp.clock.filter(|_| stamp.date.is_none())?;
        return Some(super::timeline::i64_to_f64(clock.ticks(false)) / super::timeline::i64_to_f64(super::clock::SECOND))
            .filter(|seconds| *seconds > 0.0);
    }
    let number = cells::number(text.as_bytes(), None)?;
    let scale = match number.unit {
        b"s" | b"S" | b"sec" | b"Sec" | b"SEC" | b"second" | b"seconds" | b"sek" | b"Sek" | b"Sekunde" => 1.0,
        b"ms" | b"msec" | b"mS" => 0.001,
        b"min" | b"Min" | b"minute" | b"minutes" => 60.0,
        b"h" => 3600.0,
        _ => return None,
    };
    Some(number.value() * scale).filter(|seconds| *seconds > 0.0)
}

/// The interval that a line of a file's head states, s.
pub(super) fn interval(line: &str) -> Option<f64> {
    let text = folded(line);
    let keys =
        ["interval", "rate", "step", "period", "sampling", "abtast", "takt", "cadence", "intervallo", "paso", "every", "resolution (s)"];
    let key = keys.iter().find_map(|key| text.find(key).map(|at| at + key.len()))?;
    let rest = text.get(key..)?;
    let from = rest.find(|c: char| c.is_ascii_digit())?;
    let rest = rest.get(from..)?;
    // A number, and the unit after a blank or none.
    let end = rest.find([';', '|', '\t', '"']).unwrap_or(rest.len());
    let rest = rest.get(..end)?.trim().trim_end_matches(',');
    let mut tokens = rest.split_whitespace();
    let first = tokens.next()?;
    let second = tokens.next().unwrap_or_default();
    let joined = [first, second].concat();
    let unit: String = joined.chars().take_while(|c| !matches!(c, ')' | ']')).collect();
    duration(&unit).or_else(|| duration(first)).or_else(|| {
        // The unit may stand with the key, as in “interval [s]: 1”.
        let number = cells::number(first.trim_end_matches(',').as_bytes(), None).filter(|number| number.unit.is_empty())?;
        let before = text.get(..key + from)?;
        let scale = if before.contains("ms") {
            0.001
        } else if before.contains("[s]") || before.contains("(s)") || before.contains("sec") {
            1.0
        } else {
            return None;
        };
        Some(number.value() * scale).filter(|seconds| *seconds > 0.0)
    })
}

/// Whether a line of a file's head speaks of when it began.
pub(super) fn is_start(line: &str) -> bool {
    let text = folded(line);
    ["start", "begin", "debut", "inicio", "inizio", "date", "datum", "data", "fecha", "recorded", "aufgezeichnet", "from", "von"]
        .iter()
        .any(|key| text.contains(key))
}

/// Whether a cell of a row under the names is a unit or the pattern of a date.
pub(super) fn is_unit_cell(cell: &str) -> bool {
    let text = folded(cell.trim_matches(['[', ']', '(', ')', ' ']));
    let bytes = text.as_bytes();
    cells::is_decibel(bytes) && text.len() <= 6
        || matches!(text.as_str(), "s" | "sec" | "ms" | "min" | "%" | "v" | "hpa" | "rpm" | "c" | "h" | "-" | "n" | "1/min")
        || text.starts_with('°')
        || text.len() >= 5
            && bytes
                .iter()
                .all(|byte| matches!(byte, b'h' | b'm' | b's' | b'd' | b'y' | b't' | b'j' | b'a' | b':' | b'.' | b'-' | b'/' | b' '))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_levels_say_what_they_are() {
        let read = |name: &str| level(name, "").map(|found| (found.weighting, found.detector, found.statistic, found.interval_s));
        let (a, c) = (Some(Weighting::A), Some(Weighting::C));
        assert_eq!(read("LAF"), Some((a, Some(Detector::Fast), Statistic::Sample, None)));
        assert_eq!(read("LASmax (dB)"), Some((a, Some(Detector::Slow), Statistic::Highest, None)));
        assert_eq!(read("LAeq,1s"), Some((a, Some(Detector::Average), Statistic::Average, Some(1.0))));
        assert_eq!(read("LAeq (dB)"), Some((a, Some(Detector::Average), Statistic::Average, None)));
        assert_eq!(read("LCpeak[dB]"), Some((c, None, Statistic::Peak, None)));
        assert_eq!(read("LAF90"), Some((a, Some(Detector::Fast), Statistic::Exceeded(90), None)));
        assert_eq!(read("L10"), Some((None, None, Statistic::Exceeded(10), None)));
        assert_eq!(read("near dB(A)"), Some((a, None, Statistic::Sample, None)));
        assert_eq!(read("Schallpegel"), Some((None, None, Statistic::Sample, None)));
        assert_eq!(read("Max dBC"), Some((c, None, Statistic::Highest, None)));
        assert_eq!(read("Leq"), Some((None, Some(Detector::Average), Statistic::Average, None)));
        for other in ["time", "board °C", "lid", "flag", "line", "lin", "status", "humidity %"] {
            assert_eq!(read(other), None, "{other}");
        }
    }

    #[test]
    fn the_head_of_a_file_states_its_interval() {
        for (line, seconds) in [
            ("Intervall;1 s;;", Some(1.0)),
            ("Sampling rate: 100 ms", Some(0.1)),
            ("log interval (s): 0.5", Some(0.5)),
            ("Interval,00:00:02", Some(2.0)),
            ("# interval=0,125 s", Some(0.125)),
            ("step 1sec", Some(1.0)),
            ("range 30-90", None),
            ("rate high", None),
        ] {
            assert_eq!(interval(line), seconds, "{line}");
        }
        assert_eq!(order("date (mm/dd/yyyy)"), Some(DateOrder::MonthDayYear));
        assert_eq!(order("datum tt.mm.jjjj"), Some(DateOrder::DayMonthYear));
        assert_eq!(order("yyyy-mm-dd"), Some(DateOrder::YearMonthDay));
        assert_eq!(unit_of("LAF[dB]"), Some("dB"));
        assert_eq!(unit_of("near dB(A)"), Some("dB(A)"));
    }
}
