//! General-purpose libraries that do a part of the same, and slow ways of doing it.

use super::{levels, log, read};
use crate::support::Dice;
use lessdin::files::decode::{utf_16, windows_1252};
use lessdin::files::hash::{Hash, hex};
use lessdin::files::pyramid::Pyramid;
use lessdin::files::statistics::statistics;
use lessdin::files::{Log, Separator, Wanted};
use std::fmt::Write;

/// The crate csv, version 1.4, splits quoted cells as we do: what stands in the column of the level is the same.
#[test]
fn quoted_cells_are_split_as_by_the_crate_csv() {
    let parts = ["a", "", "x;y", "x,y", "x\ty", "he said \"\"hush\"\"", "4,2", " pad ", "|"];
    let mut dice = Dice::new(7);
    for _ in 0..500 {
        let separator = dice.pick(&[Separator::Comma, Separator::Semicolon, Separator::Tab, Separator::Bar]);
        let byte = separator.byte().unwrap();
        let (before, after) = (dice.below(3), dice.below(3));
        let mut text = String::new();
        let join = |cells: Vec<String>| cells.join(&char::from(byte).to_string());
        let mut names = vec!["time".to_owned()];
        names.extend((0..before).map(|place| format!("note{place}")));
        names.push("LAF".to_owned());
        names.extend((0..after).map(|place| format!("remark{place}")));
        let _ = writeln!(text, "{}", join(names));
        for row in 0..12 {
            let mut cells = vec![format!("19:00:{row:02}")];
            let words = |count: usize, dice: &mut Dice| (0..count).map(|_| format!("\"{}\"", dice.pick(&parts))).collect::<Vec<_>>();
            cells.extend(words(before, &mut dice));
            cells.push(format!("\"{}.{}\"", 40 + dice.below(9), dice.below(10)));
            cells.extend(words(after, &mut dice));
            let _ = writeln!(text, "{}", join(cells));
        }
        let wanted = Wanted { separator: Some(separator), level: Some(before + 1), ..Wanted::default() };
        let ours = read(text.as_bytes(), &wanted).unwrap_or_else(|error| panic!("{error:?}\n{text}"));
        let mut theirs = csv::ReaderBuilder::new().delimiter(byte).flexible(true).from_reader(text.as_bytes());
        let expected: Vec<f64> = theirs.records().map(|row| row.unwrap()[before + 1].parse().unwrap()).collect();
        assert_eq!(levels(&ours), expected, "{text}");
    }
}

/// The crate `encoding_rs`, version 0.8.
#[test]
fn characters_are_decoded_as_by_the_crate_encoding_rs() {
    let every: Vec<u8> = (0..=255).collect();
    assert_eq!(windows_1252(&every), encoding_rs::WINDOWS_1252.decode_without_bom_handling(&every).0);
    let mut dice = Dice::new(11);
    for _ in 0..400 {
        // Halves of pairs that stand alone among them.
        let units: Vec<u16> = (0..dice.below(60))
            .map(|_| u16::try_from(dice.pick(&[0x41, 0xB0, 0x2212, 0xD83C, 0xDF00, 0xD800, 0xDC00, 0xFFFD, 0x20])).unwrap())
            .collect();
        let mut little: Vec<u8> = units.iter().flat_map(|unit| unit.to_le_bytes()).collect();
        let mut big: Vec<u8> = units.iter().flat_map(|unit| unit.to_be_bytes()).collect();
        if dice.chance(0.2) {
            little.push(0x41);
            big.push(0x41);
        }
        assert_eq!(utf_16(&little, false), encoding_rs::UTF_16LE.decode_without_bom_handling(&little).0);
        assert_eq!(utf_16(&big, true), encoding_rs::UTF_16BE.decode_without_bom_handling(&big).0);
    }
}

/// Values of the Python package xxhash 4.1.0; `hash.py` beside this file.
#[test]
fn fingerprints_are_those_of_the_package_xxhash() {
    let long: Vec<u8> = (0..5).flat_map(|_| 0..=255).collect();
    for (bytes, value) in [
        (&b""[..], "ef46db3751d8e999"),
        (b"a", "d24ec4f1a98c6e5b"),
        (b"abc", "44bc2cf5ad770999"),
        (b"0123456789abcdef0123456789abcdef", "642a94958e71e6c5"),
        (&long, "afc184ad7938a354"),
    ] {
        let mut dice = Dice::new(3);
        for _ in 0..20 {
            let mut hash = Hash::new();
            let mut rest = bytes;
            while !rest.is_empty() {
                let (now, later) = rest.split_at((1 + dice.below(70)).min(rest.len()));
                hash.push(now);
                rest = later;
            }
            assert_eq!(hex(hash.value()), value);
        }
    }
}

/// Values of numpy 2.4.6; `percentiles.py` beside this file.
#[test]
fn averages_and_percentiles_are_those_of_numpy() {
    let tenths = |k: u32| f64::from(412 + (k * k * 7 + k * 13) % 211) / 10.0;
    let written = |level: &dyn Fn(u32) -> f64| {
        (0..500).fold(String::from("t[s],LAF\n"), |mut out, k| {
            let _ = writeln!(out, "{k},{:.7}", level(k));
            out
        })
    };
    let plain = (0..500).fold(String::from("t[s],LAF\n"), |mut out, k| {
        let _ = writeln!(out, "{k},{:.1}", tenths(k));
        out
    });
    let check = |log: &Log, expected: [f64; 6], within: f64| {
        let found = statistics(log);
        for (found, expected) in [found.leq.unwrap(), found.l10, found.l50, found.l90, found.max, found.min].into_iter().zip(expected) {
            assert!((found.0 - expected).abs() <= within, "{} should be {expected}", found.0);
        }
    };
    check(&log(&plain), [54.904_155_665, 60.4, 50.8, 43.5, 62.1, 41.2], 1e-8);
    // Held as singles, whose last digit is worth some millionths of a decibel.
    let fine = log(&written(&|k| tenths(k) + f64::from(k) / 997.0));
    check(&fine, [55.155_650_710, 60.532_567_703, 51.061_083_250, 43.742_126_379, 62.566_399_198, 41.2], 4e-6);
}

/// Minute by minute, from the definition.
#[test]
fn minutes_are_those_of_the_clock() {
    let mut dice = Dice::new(17);
    let mut text = String::from("Time,LAF\n");
    let mut rows: Vec<(u32, f64)> = Vec::new();
    let mut second = 17;
    for _ in 0..900 {
        let level = 400 + u32::try_from(dice.below(300)).unwrap();
        rows.push((second, f64::from(level) / 10.0));
        let _ = writeln!(text, "08:{:02}:{:02},{}.{}", second / 60, second % 60, level / 10, level % 10);
        second += if dice.chance(0.02) { 30 } else { 1 };
    }
    let found = statistics(&log(&text)).minutes;
    let mut expected: Vec<(i64, f64, u32)> = Vec::new();
    for (second, level) in rows {
        let (minute, energy) = (480 + i64::from(second / 60), 10_f64.powf(level / 10.0));
        match expected.last_mut() {
            Some(last) if last.0 == minute => *last = (minute, last.1 + energy, last.2 + 1),
            _ => expected.push((minute, energy, 1)),
        }
    }
    assert_eq!(found.len(), expected.len());
    for (found, (minute, energy, rows)) in found.iter().zip(expected) {
        assert_eq!((found.minute, found.rows), (minute, rows));
        assert!((found.level.unwrap().0 - 10.0 * (energy / f64::from(rows)).log10()).abs() < 1e-9);
    }
}

/// Every row looked at, for each column of a picture.
#[test]
fn no_spike_is_lost_and_gaps_stay_gaps() {
    let mut dice = Dice::new(23);
    for round in 0..60 {
        let mut text = String::from("t[s],LAF\n");
        let mut at = 0;
        for _ in 0..=dice.below(3000) {
            let _ = writeln!(text, "{}.{},{}.{}", at / 10, at % 10, 30 + dice.below(50), dice.below(10));
            at += if dice.chance(0.003) { 50 + dice.below(900) } else { 5 };
        }
        let Ok(log) = read(text.as_bytes(), &Wanted { step_s: Some(0.5), ..Wanted::default() }) else { panic!("{text}") };
        let pyramid = Pyramid::new(&log);
        for _ in 0..20 {
            let columns = 1 + dice.below(400);
            let (from, width) = (dice.unit() * log.duration_s() - 10.0, 0.5 + dice.unit() * log.duration_s());
            let found = pyramid.envelope(&log, from, from + width, columns);
            assert_eq!(found.len(), columns);
            // Times are held in tenths of a millisecond.
            let tick = |seconds: f64| (seconds * 1e4).round() / 1e4;
            let edge = |column: f64| tick(from + width / f64::from(u32::try_from(columns).unwrap()) * column);
            for (column, found) in found.iter().enumerate() {
                let column = f64::from(u32::try_from(column).unwrap());
                let (left, right) = (edge(column), edge(column + 1.0).max(edge(column) + 1e-4));
                let inside = (0..log.len())
                    .filter(|row| log.at_s(*row) < right - 1e-6 && log.at_s(*row) + 0.5 > left + 1e-6)
                    .filter_map(|row| log.level(row));
                let expected = inside.map(|level| (level.0, level.0)).reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)));
                let found = found.map(|(low, high)| (f64::from(low), f64::from(high)));
                assert_eq!(found, expected, "round {round}, column {column} of {columns} from {from} to {}", from + width);
            }
        }
    }
}

/// Changed and random bytes: whatever comes, there is an answer, and the same in any pieces.
#[test]
fn whatever_bytes_come_nothing_panics_and_pieces_do_not_matter() {
    let number = |name: &str, otherwise: u64| std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise);
    let first = number("LESSDIN_SEED", 1);
    for seed in first..first + number("LESSDIN_ROUNDS", 3000) {
        let mut dice = Dice::new(seed);
        let bytes = changed(&mut dice);
        let whole = read(&bytes, &Wanted::default());
        if let Ok(log) = &whole {
            let held = std::panic::catch_unwind(|| sound(log));
            assert!(held.is_ok(), "LESSDIN_SEED={seed}: {log:?}\n{}", String::from_utf8_lossy(&bytes));
        }
        let mut reader = lessdin::files::Reader::new(&Wanted::default());
        let longest = dice.pick(&[1, 7, 90, 5000]);
        let mut rest = bytes.as_slice();
        while !rest.is_empty() {
            let (now, later) = rest.split_at((1 + dice.below(longest)).min(rest.len()));
            reader.push(now);
            rest = later;
        }
        assert_eq!(reader.finish(), whole, "LESSDIN_SEED={seed}\n{}", String::from_utf8_lossy(&bytes));
    }
}

/// A snippet, or several, or a longer log, with some bytes changed, put in, taken out or doubled.
fn changed(dice: &mut Dice) -> Vec<u8> {
    const BITS: &[&str] = &[
        "\0",
        "\r",
        "\n",
        "\r\n",
        ";",
        ",",
        "\"",
        "\t",
        "-",
        "<",
        ">",
        "OL",
        "---",
        "1e9",
        "999.9",
        "0.0",
        "\u{feff}",
        "°",
        "\u{2212}4",
        "99999999999999999999",
        "24:60:61",
        "31.02.2031",
        "AVG",
        "#",
    ];
    let mut bytes: Vec<u8> = if dice.chance(0.05) {
        (0..dice.below(600)).map(|_| u8::try_from(dice.below(256)).unwrap()).collect()
    } else {
        (0..=dice.below(2)).flat_map(|_| dice.pick(&super::snippets::ALL).bytes()).collect()
    };
    if dice.chance(0.3) {
        // Long enough for rows of the usual shape, and for the end of the first look.
        let rows = dice.pick(&[40, 400, 2200]);
        let (end, unit) = (dice.pick(&["\n", "\r\n", "\r"]), dice.pick(&["", " dB", ";x;y"]));
        let mut second = dice.below(70_000);
        let mut text = format!("Datum;Zeit;LAF{end}");
        for _ in 0..rows {
            let _ = write!(
                text,
                "02.04.2031;{:02}:{:02}:{:02};{},{}{unit}{end}",
                second / 3600,
                second / 60 % 60,
                second % 60,
                5 + dice.below(120),
                dice.below(10)
            );
            second += if dice.chance(0.01) { dice.below(100) } else { 1 };
        }
        bytes = text.into_bytes();
    }
    for _ in 0..dice.below(6) {
        let at = dice.below(bytes.len() + 1);
        let long = dice.below(9).min(bytes.len() - at);
        match dice.below(4) {
            0 => drop(bytes.splice(at..at, dice.pick(BITS).bytes())),
            1 => drop(bytes.drain(at..at + long)),
            2 => {
                let copy = bytes[at..at + long].to_vec();
                drop(bytes.splice(at..at, copy));
            }
            _ => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte = u8::try_from(dice.below(256)).unwrap();
                }
            }
        }
    }
    if dice.chance(0.1) {
        bytes = String::from_utf8_lossy(&bytes).encode_utf16().flat_map(u16::to_le_bytes).collect();
    }
    bytes
}

/// What must hold for any log.
fn sound(log: &Log) {
    let understood = log.understood();
    assert!(log.len() > 0 && understood.rows as usize == log.len());
    assert!(log.step_s() > 0.0 && log.step_s().is_finite());
    let mut before = 0.0;
    for row in 0..log.len() {
        let (at, level) = (log.at_s(row), log.level(row).unwrap().0);
        assert!(at >= before && at.is_finite(), "row {row} at {at} s after {before} s");
        assert!((-30.0..=200.0).contains(&level));
        before = at;
    }
    let lines: u32 = understood.skipped.iter().map(|skipped| skipped.count).sum();
    assert_eq!(lines + understood.rows, understood.lines);
    let figures = statistics(log);
    for level in [figures.leq.unwrap(), figures.max, figures.min, figures.l10, figures.l50, figures.l90] {
        assert!((-30.001..=200.001).contains(&level.0));
    }
    assert!(figures.min <= figures.l90 && figures.l90 <= figures.l50 && figures.l50 <= figures.l10 && figures.l10 <= figures.max);
    assert_eq!(figures.minutes.iter().map(|minute| minute.rows as usize).sum::<usize>(), log.len());
    let seen = Pyramid::new(log).extent(log, 0..log.len()).unwrap();
    assert!((f64::from(seen.0) - figures.min.0).abs() < 1e-4 && (f64::from(seen.1) - figures.max.0).abs() < 1e-4);
    assert_eq!(log.rows(-1.0, log.duration_s() + 1.0), 0..log.len());
    assert!(lessdin::files::export::Export::new(log).all(|text| !text.contains("NaN") && !text.contains("inf")));
}
