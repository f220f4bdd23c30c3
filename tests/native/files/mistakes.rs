//! What people drop by mistake, and what is said then.

use super::snippets::{ALL, D1, D2, D4};
use super::{levels, log, read, times};
use crate::support::Dice;
use lessdin::files::error::Thing;
use lessdin::files::export::Export;
use lessdin::files::statistics::statistics;
use lessdin::files::understood::{OrderFrom, Question, Reason};
use lessdin::files::{DateOrder, FileError, Reader, TimeFrom, Wanted};
use lessdin::text::Style;
use lessdin::units::Weighting;
use std::fmt::Write;

fn refused(bytes: &[u8]) -> FileError {
    read(bytes, &Wanted::default()).unwrap_err()
}

/// A log of one second to a row from 19:00, with these levels in tenths.
fn seconds(tenths: impl IntoIterator<Item = i32>) -> String {
    let mut out = String::from("Time,LAF\n");
    for (row, level) in tenths.into_iter().enumerate() {
        let _ = writeln!(out, "{:02}:{:02}:{:02},{}.{}", 19 + row / 3600, row / 60 % 60, row % 60, level / 10, level % 10);
    }
    out
}

#[test]
fn an_empty_file_is_called_empty() {
    assert_eq!(refused(b""), FileError::Empty);
    assert_eq!(refused(b"\n\r\n  \n"), FileError::Empty);
    assert_eq!(refused(b"\xef\xbb\xbf"), FileError::Empty);
    assert_eq!(refused(&[0; 500]), FileError::Empty);
}

#[test]
fn names_without_rows_are_shown_in_the_refusal() {
    let error = refused(b"Time;LAF\r\n");
    assert_eq!(error, FileError::NoRows { lines: 1, first: "Time;LAF".into() });
    assert_eq!(
        error.said().text(Style::default()),
        "No rows of figures were found in 1 lines; the first says “Time;LAF”. A log has a time and a level on each line: CSV or text, as \
         meters export it."
    );
}

#[test]
fn a_single_row_reads_and_its_step_is_asked_for() {
    let log = log("Time,LAF\n19:00:00,41.2\n");
    assert_eq!((levels(&log), log.step_s().to_bits()), (vec![41.2], 1.0_f64.to_bits()));
    assert!(log.understood().asks(|question| *question == Question::OneRow));
}

#[test]
fn equal_rows_are_a_log_like_any_other() {
    let log = log(&seconds(vec![412; 100]));
    let figures = statistics(&log);
    for level in [figures.leq.unwrap(), figures.max, figures.min, figures.l10, figures.l50, figures.l90] {
        assert!((level.0 - 41.2).abs() < 1e-9);
    }
    assert_eq!(log.understood().questions, []);
}

#[test]
fn pictures_packed_files_and_their_like_are_known_by_their_first_bytes() {
    for (bytes, thing) in [
        (&b"\x89PNG\r\n\x1a\n0000"[..], Thing::Picture),
        (b"\xff\xd8\xff\xe0\0\x10JFIF", Thing::Picture),
        (b"PK\x03\x04\x14\0\0\0\x08\0 log.csv", Thing::Packed),
        (b"PK\x03\x04\x14\0\x06\0[Content_Types].xml", Thing::Spreadsheet),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", Thing::Spreadsheet),
        (b"%PDF-1.7\n", Thing::Pdf),
        (b"RIFF\x24\0\0\0WAVEfmt ", Thing::Sound),
        (b"\0\0\0\x18ftypmp42", Thing::Film),
        (b"<!DOCTYPE html>\n<html>", Thing::Page),
        (b"\x7fELF\x02\x01\x01\x03\x04\x05\x06\x07\x0e\x0f", Thing::Binary),
    ] {
        let error = refused(bytes);
        assert_eq!(error, FileError::NotALog(thing));
        assert!(error.said().text(Style::default()).starts_with("This is "), "{error:?}");
    }
}

#[test]
fn levels_in_words_are_no_levels() {
    assert!(matches!(refused(b"Time,LAF\n19:00:00,quiet\n19:00:01,loud\n"), FileError::NoRows { .. }));
    let some = log("Time,LAF\n19:00:00,41.2\n19:00:01,loud\n19:00:02,41.4\n19:00:03,41.5\n");
    assert_eq!((some.len(), some.understood().skipped(Reason::Words)), (3, 1));
    assert_eq!(some.understood().skipped.iter().find(|skipped| skipped.reason == Reason::Words).unwrap().lines, [3]);
}

#[test]
fn a_log_without_times_asks_for_the_step_and_then_reads() {
    let text = b"LAF\n41.2\n41.4\n41.9\n40.0\n";
    let FileError::NoTime { rows, level, .. } = refused(text) else { panic!("there is no time") };
    assert_eq!((rows, level), (5, 0));
    let log = read(text, &Wanted { time: Some(TimeFrom::Step(0.5)), ..Wanted::default() }).unwrap();
    assert_eq!(times(&log), [0.0, 0.5, 1.0, 1.5]);
    // A date alone is no time either.
    assert!(matches!(refused(b"Date,LAF\n2031-04-02,41.2\n2031-04-02,41.4\n2031-04-02,41.0\n"), FileError::NoTime { .. }));
    assert!(matches!(refused(b"No,LAF\n1,41.2\n2,41.4\n3,41.0\n"), FileError::NoTime { .. }));
}

#[test]
fn a_gap_of_half_a_minute_and_an_hour_s_jump_weigh_nothing() {
    let mut text = String::from("Time,LAF\n");
    for clock in ["19:00:00", "19:00:01", "19:00:02", "19:00:32", "19:00:33", "20:00:34", "20:00:35"] {
        let _ = writeln!(text, "{clock},{}", if clock == "20:00:34" { "60.0" } else { "40.0" });
    }
    let log = log(&text);
    let understood = log.understood();
    assert_eq!((understood.gap_count, understood.missing, understood.jump_count), (2, 29 + 3600, 0));
    assert_eq!((understood.gaps[0].line, understood.gaps[1].line), (5, 7));
    assert!((super::leq(&log) - 10.0 * ((6.0 * 1e4 + 1e6) / 7.0_f64).log10()).abs() < 1e-9);
    assert_eq!(log.breaks(0..log.len()), [3, 5]);
    assert_eq!(log.rows(2.5, 40.0), 3..5);
}

#[test]
fn summer_time_that_begins_at_night_is_no_gap() {
    let log = log("Time,LAF\n2031-03-30 01:59:58,41.2\n2031-03-30 01:59:59,41.3\n2031-03-30 03:00:00,41.4\n2031-03-30 03:00:01,41.0\n");
    let understood = log.understood();
    assert_eq!((understood.gap_count, understood.jump_count), (0, 1));
    assert!(understood.jumps[0].hour && (understood.jumps[0].by_s - 3600.0).abs() < 1e-9);
    assert_eq!(times(&log), [0.0, 1.0, 2.0, 3.0]);
}

#[test]
fn a_clock_without_dates_passes_midnight() {
    let log = log("Time;LAF\n23:59:58;41,2\n23:59:59;41,3\n00:00:00;41,4\n00:00:01;41,0\n");
    assert_eq!((times(&log), log.understood().midnights), (vec![0.0, 1.0, 2.0, 3.0], 1));
    assert_eq!(log.understood().jump_count, 0);
}

#[test]
fn dates_that_can_be_read_two_ways_are_said_to_be_so() {
    let rows = |dates: [&str; 3]| {
        let lines = dates.map(|date| format!("{date};23:59:59;41,2\n{date};23:59:58;41,3\n")).concat();
        format!("Datum;Zeit;LAF\n{lines}")
    };
    let dates = |text: &str| log(text).understood().dates.unwrap();
    // The fourth of May, or the fifth of April: nothing decides.
    let open = dates("Datum;Zeit;LAF\n04/05/2031;10:00:00;41,2\n04/05/2031;10:00:01;41,3\n");
    assert_eq!((open.order, open.other, open.from), (DateOrder::DayMonthYear, Some(DateOrder::MonthDayYear), OrderFrom::Custom));
    // No thirteenth month.
    let only = dates(&rows(["04/13/2031", "04/13/2031", "04/14/2031"]));
    assert_eq!((only.order, only.other, only.from), (DateOrder::MonthDayYear, None, OrderFrom::Possible));
    // Days follow each other in one order only.
    let following = dates(&rows(["04/05/2031", "04/06/2031", "04/07/2031"]));
    assert_eq!((following.order, following.other, following.from), (DateOrder::MonthDayYear, None, OrderFrom::Following));
    let wanted = Wanted { date_order: Some(DateOrder::MonthDayYear), ..Wanted::default() };
    let told = read(b"Datum;Zeit;LAF\n04/05/2031;10:00:00;41,2\n04/05/2031;10:00:01;41,3\n", &wanted).unwrap();
    assert_eq!((told.start().date(), told.understood().dates.unwrap().from), (Some((2031, 4, 5)), OrderFrom::Wanted));
    let named = dates("Datum (MM/DD/YYYY);Zeit;LAF\n04/05/2031;10:00:00;41,2\n04/05/2031;10:00:01;41,3\n");
    assert_eq!((named.order, named.other), (DateOrder::MonthDayYear, None));
}

#[test]
fn settings_that_spoil_a_log_are_asked_about() {
    let mut dice = Dice::new(5);
    let mut noise = |around: i32| around + i32::try_from(dice.below(60)).unwrap() - 30;
    let asks = |text: &str, question: &dyn Fn(&Question) -> bool| {
        let log = log(text);
        assert!(log.understood().asks(question), "{:?}", log.understood().questions);
    };
    let plain = seconds((0..300).map(|_| noise(450)));
    assert_eq!(log(&plain).understood().questions, []);
    asks(&seconds((0..100).map(|row| 400 + row / 9 * 3)), &|question| *question == Question::NeverFalls);
    asks(
        &seconds((0..300).map(|_| noise(310).max(300))),
        &|question| matches!(question, Question::Floor(level, share) if (level - 30.0).abs() < 1e-3 && *share > 0.2),
    );
    asks(
        &seconds((0..300).map(|_| noise(890).min(900))),
        &|question| matches!(question, Question::Ceiling(level, _) if (level - 90.0).abs() < 1e-3),
    );
    asks(
        &seconds((0..300).map(|row| noise(if row % 2 == 0 { 400 } else { 520 }))),
        &|question| matches!(question, Question::Alternating(apart) if (apart - 12.0).abs() < 1.0),
    );
    asks(&seconds((0..300).map(|_| noise(450) / 10 * 10)), &|question| *question == Question::WholeNumbers);
    asks("Time,LAFmax\n19:00:00,41.2\n19:00:01,41.4\n", &|question| *question == Question::HighestChosen);
    asks("Time,L90\n19:00:00,41.2\n19:00:01,41.4\n", &|question| *question == Question::ExceededChosen);
    asks("Time,Level %\n19:00:00,41.2\n19:00:01,43.4\n", &|question| *question == Question::PerCent);
    asks("Time,Level\n19:00:00,41.2 dBA\n19:00:01,43.4 dBC\n19:00:02,41.3 dBA\n", &|question| *question == Question::MixedWeighting);
    asks("Time,Level,Weighting\n19:00:00,41.2,A\n19:00:01,43.4,C\n19:00:02,41.3,A\n", &|question| *question == Question::MixedWeighting);
    asks("Interval: 2 s\nTime,LAF\n19:00:00,41.2\n19:00:01,43.4\n19:00:02,41.3\n", &|question| *question == Question::IntervalDiffers(2.0));
    asks("Time,LAF\n19:00:00,41.2\n19:00:01,OL\n19:00:02,41.3\n", &|question| *question == Question::OutOfRangeLost);
    asks("Time,LAF\n19:00,41.2\n19:00,41.9\n19:01,41.3\n19:01,41.8\n19:02,41.0\n19:02,42.0\n", &|question| {
        *question == Question::SharedTimes(2)
    });
}

#[test]
fn times_that_many_rows_share_are_spread_evenly() {
    let mut text = String::from("Date;Time;LAF\n");
    // Ten rows to a second; the log begins in the middle of one.
    for row in 0..57 {
        let _ = writeln!(text, "2031-04-02;19:00:{:02};{},{}", (row + 4) / 10, 40 + row % 7, row % 10);
    }
    let log = log(&text);
    assert_eq!((log.len(), log.step_s().to_bits()), (57, 0.1_f64.to_bits()));
    let expected: Vec<f64> = (0..57).map(|row| f64::from(row) / 10.0).collect();
    assert_eq!(times(&log), expected);
    assert_eq!(log.understood().gap_count, 0);
}

#[test]
fn a_logger_that_is_a_little_slow_has_no_gaps() {
    // 1.02 s from row to row, shown in whole seconds: every fiftieth second is skipped.
    let rows: String = (0..600_u32).map(|row| (row, row * 102 / 100)).fold(String::from("Time,LAF\n"), |mut out, (row, second)| {
        let _ = writeln!(out, "19:{:02}:{:02},4{}.{}", second / 60, second % 60, row % 3, row % 9);
        out
    });
    let log = log(&rows);
    assert_eq!((log.understood().gap_count, log.len()), (0, 600));
    // The last time is known to a second, which is so much to a row.
    assert!((log.step_s() - 1.02).abs() < 1.0 / 599.0 + 0.0005, "{}", log.step_s());
    assert!(log.understood().asks(|question| matches!(question, Question::Drift(_))));
}

#[test]
fn a_row_sent_twice_is_used_once_and_one_at_the_same_time_is_kept() {
    let log = log("Time,LAF\n19:00:00,41.2\n19:00:01,41.3\n19:00:01,41.3\n19:00:02,41.4\n19:00:03,41.0\n19:00:03,41.1\n19:00:04,41.0\n");
    assert_eq!(levels(&log), [41.2, 41.3, 41.4, 41.0, 41.1, 41.0]);
    assert_eq!(times(&log), [0.0, 1.0, 2.0, 3.0, 3.0, 4.0]);
    let understood = log.understood();
    assert_eq!((understood.skipped(Reason::Repeated), understood.same_time), (1, 1));
    assert_eq!(understood.skipped.iter().find(|skipped| skipped.reason == Reason::Repeated).unwrap().lines, [4]);
}

#[test]
fn sessions_stacked_in_one_file_are_one_log_with_a_gap() {
    let head = "Sound log\nStart: 2031-04-02\nTime,LAF\n";
    let text = format!("{head}19:00:00,41.2\n19:00:01,41.3\n19:00:02,41.2\n\n{head}20:30:00,45.2\n20:30:01,45.3\n20:30:02,45.5\n");
    let log = log(&text);
    assert_eq!((log.len(), log.understood().gap_count, log.understood().skipped(Reason::HeadAgain)), (6, 1, 3));
    assert_eq!(log.start().date(), Some((2031, 4, 2)));
}

#[test]
fn one_endless_line_is_refused_early() {
    let mut reader = Reader::new(&Wanted::default());
    reader.push(D1.as_bytes());
    reader.push(&vec![b'\n'; 33_000]);
    for _ in 0..20 {
        reader.push(&[b'7'; 10_000]);
    }
    let at = D1.len() as u64 + 33_000;
    assert_eq!(reader.failed(), Some(&FileError::LongLine { line: 33_008, byte: at }));
    // Zeros are padding, however many there are.
    let mut reader = Reader::new(&Wanted::default());
    reader.push(D1.as_bytes());
    for _ in 0..100 {
        reader.push(&[0; 10_000]);
    }
    assert_eq!(reader.finish().unwrap().len(), 6);
}

#[test]
fn the_same_bytes_have_the_same_fingerprint_and_others_have_not() {
    let hash = |text: &str| log(text).hash();
    assert_eq!(hash(D1), hash(D1));
    assert_ne!(hash(D1), hash(&D1.replace("41.9", "41.8")));
    assert_ne!(hash(D1), hash(&format!("{D1}\n")));
}

#[test]
fn what_was_understood_can_be_changed_and_the_file_read_again() {
    let peak = read(D4.as_bytes(), &Wanted { level: Some(3), ..Wanted::default() }).unwrap();
    assert_eq!(levels(&peak), [61.2, 61.0, 74.9, 73.0]);
    let american = read(D2.as_bytes(), &Wanted { date_order: Some(DateOrder::MonthDayYear), ..Wanted::default() }).unwrap();
    assert_eq!(american.start().date(), Some((2031, 2, 4)));
    let halved = read(D1.as_bytes(), &Wanted { step_s: Some(0.5), ..Wanted::default() }).unwrap();
    assert_eq!((halved.step_s().to_bits(), halved.understood().gap_count), (0.5_f64.to_bits(), 5));
    let minutes = "Time,LAF\n10:01,41.2\n10:02,41.3\n10:03,41.0\n";
    assert_eq!(times(&log(minutes)), [0.0, 60.0, 120.0]);
    assert!(log(minutes).understood().asks(|question| *question == Question::HoursMinutes));
    let as_seconds = read(minutes.as_bytes(), &Wanted { minutes_seconds: Some(true), ..Wanted::default() }).unwrap();
    assert_eq!(times(&as_seconds), [0.0, 1.0, 2.0]);
}

#[test]
fn a_cleaned_log_reads_to_the_same_levels_and_times() {
    for text in ALL {
        let first = log(text);
        let clean: String = Export::new(&first).collect();
        let again = log(&clean);
        assert_eq!(levels(&first), levels(&again), "{clean}");
        let apart = times(&first).iter().zip(times(&again)).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max);
        assert!(apart < 1e-9, "{clean}");
        assert_eq!(again.understood().skipped(Reason::Head), 1, "{clean}");
    }
    let clean: String = Export::new(&log(D2)).collect();
    assert!(clean.starts_with("time,seconds,level_db,mark\n2031-04-02T19:05:00,0.0,38.5,\n2031-04-02T19:05:01,1.0,38.9,\n"), "{clean}");
}

#[test]
fn every_question_and_refusal_can_be_said() {
    let log = log(D2);
    let about = log.understood();
    let questions = [
        Question::NeverFalls,
        Question::Floor(30.0, 0.25),
        Question::Ceiling(90.0, 0.25),
        Question::Alternating(12.0),
        Question::MixedWeighting,
        Question::HighestChosen,
        Question::ExceededChosen,
        Question::SeveralLevels,
        Question::WholeNumbers,
        Question::PerCent,
        Question::SharedTimes(10),
        Question::Drift(1.02),
        Question::MinutesSeconds,
        Question::HoursMinutes,
        Question::OutOfRangeLost,
        Question::SplitNumbers,
        Question::OneRow,
        Question::ClockSet,
        Question::IntervalDiffers(0.125),
    ];
    for question in questions {
        let said = question.said(about, Weighting::A).text(Style::default());
        assert!(said.len() > 20 && !said.contains('{') && !said.contains("NaN"), "{said}");
    }
    assert_eq!(
        Question::IntervalDiffers(0.125).said(about, Weighting::A).text(Style::default()),
        "The head of the file says 0.125 s from row to row, the rows themselves 1 s. The rows were believed."
    );
    assert_eq!(
        about.dates_said().unwrap().text(Style::default()),
        "Dates read as day, month, year; month, day, year would do as well. Nothing in the file decides it: choose the right one."
    );
    for error in [
        FileError::Empty,
        FileError::LongLine { line: 3, byte: 100 },
        FileError::NoLevel { columns: about.columns.clone() },
        FileError::NoUsableRow { rows: 4, line: 7 },
        FileError::NoTime { columns: about.columns.clone(), level: 2, rows: 4 },
        FileError::TooManyRows { most: lessdin::files::MOST_ROWS },
    ] {
        let said = error.said().text(Style::default());
        assert!(said.len() > 20 && !said.contains('{'), "{said}");
    }
    for reason in Reason::ALL {
        assert!(!reason.msg().en.is_empty());
    }
}
