//! Ways of writing a log that the crossed dialects leave out, one by one, written by hand.

use super::{levels, log, read, times};
use lessdin::files::understood::{Reason, Role, TimeFound};
use lessdin::files::{Encoding, FileError, MOST_ROWS, Reader, Separator, TimeFrom, Wanted};
use std::fmt::Write;

/// What a log should read to: times from the start, s, and levels, dB.
#[track_caller]
fn reads(text: &str, at: &[f64], level: &[f64]) {
    let log = log(text);
    assert_eq!((times(&log), levels(&log)), (at.to_vec(), level.to_vec()), "{text}\n{:?}", log.understood());
}

const THREE: [f64; 3] = [41.2, 41.9, 40.1];
const SECONDS: [f64; 3] = [0.0, 1.0, 2.0];

#[test]
fn stops_in_clocks() {
    reads("Data;Ora;LAF\n02.04.2031;19.05.58;41,2\n02.04.2031;19.05.59;41,9\n02.04.2031;19.06.00;40,1\n", &SECONDS, &THREE);
    reads("Data\tOra\tLAF\n02/04/31\t19.05.08\t41,2\n02/04/31\t19.05.09\t41,9\n02/04/31\t19.05.10\t40,1\n", &SECONDS, &THREE);
}

#[test]
fn thousandths_in_a_column_of_their_own() {
    reads("Time;ms;LAF\n19:05:58;0;41.2\n19:05:58;500;41.9\n19:05:59;0;40.1\n", &[0.0, 0.5, 1.0], &THREE);
}

#[test]
fn a_date_that_is_written_once() {
    let text = "Date;Time;LAF\n02.04.2031;23:59:59;41,2\n;23:59:59;41,9\n03.04.2031;00:00:01;40,1\n";
    reads(text, &[0.0, 0.0, 2.0], &THREE);
    reads("Date,Time,LAF\n2031-04-02,19:00:00,41.2\n,19:00:01,41.9\n,19:00:02,40.1\n", &SECONDS, &THREE);
}

#[test]
fn elapsed_hours_beyond_a_day_and_before_the_start() {
    reads("elapsed;LAF\n23:59:59;41.2\n24:00:00;41.9\n24:00:01;40.1\n", &SECONDS, &THREE);
    reads("t (s);LAF\n-1.0;41.2\n0.0;41.9\n1.0;40.1\n", &SECONDS, &THREE);
    reads("t (min);LAF\n0.0;41.2\n0.5;41.9\n1.0;40.1\n", &[0.0, 30.0, 60.0], &THREE);
    reads("t [ms],LAF\n0,41.2\n125,41.9\n250,40.1\n", &[0.0, 0.125, 0.25], &THREE);
    reads("t;LAF\n999,5;41,2\n1.000,5;41,9\n1.001,5;40,1\n", &SECONDS, &THREE);
}

#[test]
fn no_names_at_all() {
    reads("19:00:00 41.2\n19:00:01 41.9\n19:00:02 40.1\n", &SECONDS, &THREE);
    reads("0.0;41,2\n0.5;41,9\n1.0;40,1\n", &[0.0, 0.5, 1.0], &THREE);
}

#[test]
fn a_name_that_its_own_comma_tears_apart() {
    let log = log("Time,LAeq,1s,LAFmax,Temp\n19:00:00,41.2,44.0,21.5\n19:00:01,41.9,44.5,21.5\n19:00:02,40.1,44.1,21.4\n");
    assert_eq!((levels(&log), log.understood().columns[1].name.as_str()), (THREE.to_vec(), "LAeq,1s"));
    assert_eq!(log.understood().columns[3].role, Role::Other);
}

#[test]
fn a_missing_cell_where_blanks_line_columns_up() {
    let text = "Time      LAF    LCpeak\n19:00:00  41.2   61.0\n19:00:01  41.9   62.3\n19:00:02         70.5\n19:00:03  40.1   61.8\n";
    let log = log(text);
    assert_eq!((levels(&log), times(&log)), (THREE.to_vec(), vec![0.0, 1.0, 3.0]));
    assert_eq!(log.understood().skipped(Reason::Empty), 1);
}

#[test]
fn bars_at_both_ends() {
    reads("| time | LAF |\n|------|-----|\n| 19:00:00 | 41.2 |\n| 19:00:01 | 41.9 |\n| 19:00:02 | 40.1 |\n", &SECONDS, &THREE);
}

#[test]
fn names_behind_a_mark_of_a_remark() {
    let log = log("# own logger\n# time,LAF,LCpeak\n19:00:00,41.2,60.0\n19:00:01,41.9,60.2\n19:00:02,40.1,60.4\n");
    assert_eq!((levels(&log), log.understood().columns[1].name.as_str()), (THREE.to_vec(), "LAF"));
}

#[test]
fn levels_before_their_time() {
    reads("LAF;LCpeak;Zeit\n41,2;60,0;19:00:00\n41,9;60,1;19:00:01\n40,1;60,2;19:00:02\n", &SECONDS, &THREE);
    reads("LAF,t[s]\n41.2,7\n41.9,8\n40.1,9\n", &SECONDS, &THREE);
}

#[test]
fn half_days_without_a_blank_and_other_hands() {
    reads("Time;LAF\n11:59:58AM;41.2\n11:59:59AM;41.9\n12:00:00PM;40.1\n", &SECONDS, &THREE);
    reads("Time;LAF\n11:59:58 p.m.;41.2\n11:59:59 p.m.;41.9\n12:00:00 a.m.;40.1\n", &SECONDS, &THREE);
    reads("Time;LAF\n19:00:00;41.2\u{a0}dB(A)\n19:00:01;41.9\u{a0}dB(A)\n19:00:02;40.1\u{a0}dB(A)\n", &SECONDS, &THREE);
    reads("Time;Level\n19:00:00;\u{2212}1.5 dB\n19:00:01;41.9 dB\n19:00:02;40.1 dB\n", &SECONDS, &[-1.5, 41.9, 40.1]);
}

#[test]
fn thousandths_of_a_second_since_1970() {
    let log = log("epoch,LAF\n1933009200000,41.2\n1933009200100,41.9\n1933009200200,40.1\n");
    assert_eq!((levels(&log), times(&log)), (THREE.to_vec(), vec![0.0, 0.1, 0.2]));
    // 1,933,009,200 s are 22,372 days and 19 hours.
    assert_eq!((log.start().day, log.start().clock_s), (Some(22_372), Some(68_400.0)));
}

#[test]
fn a_start_and_an_interval_in_the_head_and_numbers_in_the_rows() {
    let log = log("Start time: 19:05:00\nStart date: 2031-04-02\nSampling interval: 0.5 s\nNo;LAF\n1;41.2\n2;41.9\n4;40.1\n");
    assert_eq!((levels(&log), times(&log)), (THREE.to_vec(), vec![0.0, 0.5, 1.5]));
    let start = log.start();
    assert_eq!((start.date(), start.clock_s), (Some((2031, 4, 2)), Some(68_700.0)));
    assert_eq!(log.understood().time, TimeFound::Numbered(0, 0.5));
}

#[test]
fn wide_characters_without_a_mark_and_old_western_ones() {
    let text = "Zeit;Pegel;°C\n19:00:00;41,2;21,0\n19:00:01;41,9;21,1\n19:00:02;40,1;21,2\n";
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let log = read(&wide, &Wanted::default()).unwrap();
    assert_eq!((levels(&log), log.understood().encoding), (THREE.to_vec(), Encoding::Utf16Big));
    let western: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    let log = read(&western, &Wanted::default()).unwrap();
    assert_eq!((levels(&log), log.understood().encoding), (THREE.to_vec(), Encoding::Windows1252));
    assert_eq!(log.understood().columns[2].name, "°C");
}

#[test]
fn what_the_person_says_stands_above_what_was_found() {
    let text = b"a;b;c\n1;41,2;19:00:00\n2;41,9;19:00:01\n3;40,1;19:00:02\n";
    let step = Wanted { time: Some(TimeFrom::Step(0.25)), ..Wanted::default() };
    assert_eq!(times(&read(text, &step).unwrap()), [0.0, 0.25, 0.5]);
    let column = Wanted { time: Some(TimeFrom::Columns { clock: 0, date: None }), ..Wanted::default() };
    assert_eq!(times(&read(text, &column).unwrap()), SECONDS);
    // Under another separator there are no rows.
    let tab = Wanted { separator: Some(Separator::Tab), ..Wanted::default() };
    assert!(matches!(read(text, &tab), Err(FileError::NoRows { .. } | FileError::NoLevel { .. } | FileError::NoTime { .. })));
}

#[test]
fn a_log_too_long_to_hold_is_refused_while_it_comes() {
    let mut hour = String::new();
    for second in 0..3600 {
        let _ = writeln!(hour, "2031-04-02;19:{:02}:{:02};41.2", second / 60, second % 60);
    }
    let mut reader = Reader::new(&Wanted::default());
    let mut rows = 0;
    while reader.failed().is_none() && rows < 2 * MOST_ROWS {
        reader.push(hour.as_bytes());
        rows += 3600;
    }
    assert_eq!(reader.failed(), Some(&FileError::TooManyRows { most: MOST_ROWS }));
    assert!(rows < MOST_ROWS + 7200);
}

#[test]
fn broken_stamps_that_few_rows_share_never_run_backwards() {
    // Found by changed bytes: two sessions in one file, a stamp torn in two in each.
    let text = "Stamp,SPL,,\n47940.812500,41.7,,\n4794\n0.812512,41.9,,\n47940.812523,42.2,,\n47940.812535,48.0,,\nAVG,43.5,,\nMAX,48.0,,\n\
        Stamp,SPL,,\n47940.812500,41.7,,\n47940.812512,41.9,,\n47940.812523,42.2,,\n\n47940.8\n12535,48.0,,\nAVG,43.5,,\nMAX,48.0,,\n";
    let log = log(text);
    let at = times(&log);
    assert!(at.is_sorted(), "{at:?}");
}
