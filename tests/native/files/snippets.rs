//! Eight invented snippets. What each should read to was worked out beside them, by hand, from the levels alone.

use super::{leq, levels, log, read, times};
use lessdin::files::statistics::statistics;
use lessdin::files::understood::{Question, Reason, Role};
use lessdin::files::{DateOrder, Decimal, Separator, Wanted};

pub(super) const D1: &str = "Time,LAeq (dB)
2031-04-02T19:00:00,36.2
2031-04-02T19:00:01,36.0
2031-04-02T19:00:02,36.4
2031-04-02T19:00:03,41.7
2031-04-02T19:00:04,42.1
2031-04-02T19:00:05,41.9
";

pub(super) const D2: &str = "Messprotokoll;;;
Start;02.04.2031 19:05;;
Intervall;1 s;;
Datum;Uhrzeit;LAF;
;;dB;
02.04.2031;19:05:00;38,5;
02.04.2031;19:05:01;38,9;
02.04.2031;19:05:02;44,2;
02.04.2031;19:05:03;44,0;
";

pub(super) const D3: &str = "row	day	clock	reading
1	4/2/2031	11:59:58 AM	43.2 dBA
2	4/2/2031	11:59:59 AM	43.6 dBA
3	4/2/2031	12:00:00 PM	47.1 dBA
4	4/2/2031	12:00:01 PM	46.8 dBA
5	4/2/2031	12:00:02 PM	46.9 dBA
";

pub(super) const D4: &str = "# ch1  range 30-90  weighting A  response F
t[s],LAF[dB],LAFmax[dB],LCpeak[dB],flag
0.0,40.1,40.9,61.2,
0.1,40.3,41.0,61.0,
0.2,---,---,---,E
0.3,52.8,55.1,74.9,
0.4,49.7,55.1,73.0,
";

pub(super) const D5: &str = "// session 7
// battery 81%
sec|level
100.0|39.0
100.5|39.2
101.0|39.1
41.5|45.5
42.0|45.9
42.5|45.7
";

pub(super) const D6: &str = "\"timestamp\",\"near dB(A)\",\"door dB(A)\",\"board °C\"
\"2031-04-02 20:10:00\",\"44,1\",\"33,2\",\"41,0\"
\"2031-04-02 20:10:01\",\"44,3\",\"33,0\",\"41,1\"
\"2031-04-02 20:10:02\",\"43,9\",\"33,5\",\"41,1\"
\"2031-04-02 20:10:03\",\"44,0\",\"33,1\",\"41,3\"
";

pub(super) const D7: &str = "Stamp,SPL,,
47940.812500,41.7,,
47940.812512,41.9,,
47940.812523,42.2,,
47940.812535,48.0,,
AVG,43.5,,
MAX,48.0,,
";

pub(super) const D8: &str = "PAGE 1            SOUND LOG
31/10/31  02:59:58   <30.0 dB
31/10/31  02:59:59   <30.0 dB
31/10/31  02:00:00    31.4 dB
PAGE 2            SOUND LOG
31/10/31  02:00:01    44.7 dB
31/10/31  02:00:02    44.9 dB
";

pub(super) const ALL: [&str; 8] = [D1, D2, D3, D4, D5, D6, D7, D8];

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} should be {expected} ± {within}");
}

#[test]
fn plain_comma_and_iso_dates() {
    let log = log(D1);
    assert_eq!(levels(&log), [36.2, 36.0, 36.4, 41.7, 42.1, 41.9]);
    assert_eq!(times(&log), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]);
    near(leq(&log), 39.93, 0.005);
    let start = log.start();
    assert_eq!((start.date(), start.clock_s), (Some((2031, 4, 2)), Some(68_400.0)));
    let understood = log.understood();
    assert_eq!((understood.separator, understood.decimal, understood.level), (Separator::Comma, Decimal::Point, 1));
    assert_eq!(understood.dates.unwrap().other, None);
    assert_eq!(understood.skipped(Reason::Head), 1);
    assert_eq!(understood.questions, []);
}

#[test]
fn semicolons_a_decimal_comma_and_a_head_of_five_lines() {
    let log = log(D2);
    assert_eq!(log.len(), 4);
    near(leq(&log), 42.19, 0.005);
    let understood = log.understood();
    assert_eq!((understood.separator, understood.decimal), (Separator::Semicolon, Decimal::Comma));
    let (column, start) = (&understood.columns[2], log.start());
    assert_eq!((column.name.as_str(), column.unit.as_str(), understood.level), ("LAF", "dB", 2));
    assert_eq!((start.date(), start.clock_s), (Some((2031, 4, 2)), Some(68_700.0)));
    // Nothing in the file tells the second of April from the fourth of February.
    let dates = understood.dates.unwrap();
    assert_eq!((dates.order, dates.other), (DateOrder::DayMonthYear, Some(DateOrder::MonthDayYear)));
    assert_eq!((log.step_s(), understood.skipped(Reason::Head)), (1.0, 5));
}

#[test]
fn tabs_units_in_cells_and_a_clock_of_twelve_hours_over_noon() {
    let log = log(D3);
    assert_eq!(times(&log), [0.0, 1.0, 2.0, 3.0, 4.0]);
    near(leq(&log), 45.84, 0.005);
    let understood = log.understood();
    assert_eq!((understood.separator, understood.level), (Separator::Tab, 3));
    assert_eq!(understood.columns[0].role, Role::Index);
    let dates = understood.dates.unwrap();
    assert_eq!((dates.order, dates.other), (DateOrder::MonthDayYear, Some(DateOrder::DayMonthYear)));
    assert_eq!(log.start().clock_s, Some(43_198.0));
}

#[test]
fn several_levels_flags_and_a_missing_reading() {
    let log = log(D4);
    assert_eq!(levels(&log), [40.1, 40.3, 52.8, 49.7]);
    assert_eq!(times(&log), [0.0, 0.1, 0.3, 0.4]);
    near(leq(&log), 48.82, 0.005);
    let understood = log.understood();
    assert_eq!((understood.columns[understood.level].name.as_str(), understood.skipped(Reason::Missing)), ("LAF[dB]", 1));
    assert_eq!((understood.gap_count, understood.gaps[0].line, understood.missing), (1, 6, 1));
    near(log.step_s(), 0.1, 1e-9);
}

#[test]
fn elapsed_time_with_a_clock_that_steps_back() {
    let log = log(D5);
    assert_eq!(log.len(), 6);
    near(leq(&log), 43.55, 0.005);
    let understood = log.understood();
    assert_eq!(understood.jump_count, 1);
    let jump = understood.jumps[0];
    assert_eq!((jump.line, jump.row, jump.by_s, jump.hour), (7, 2, -60.0, false));
    assert_eq!(times(&log), [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]);
    assert!(understood.asks(|question| *question == Question::ClockSet));
}

#[test]
fn two_channels_with_a_decimal_comma_in_quotes() {
    let near_log = log(D6);
    near(leq(&near_log), 44.08, 0.005);
    assert!(near_log.understood().asks(|question| *question == Question::SeveralLevels));
    let door = read(D6.as_bytes(), &Wanted { level: Some(2), ..Wanted::default() }).unwrap();
    near(leq(&door), 33.20, 0.005);
    assert_eq!(door.understood().columns[3].role, Role::Other);
}

#[test]
fn serial_days_and_figures_at_the_foot() {
    let log = log(D7);
    assert_eq!(levels(&log), [41.7, 41.9, 42.2, 48.0]);
    near(leq(&log), 44.39, 0.005);
    near(log.step_s(), 1.0, 1e-9);
    assert_eq!(log.understood().skipped(Reason::Summary), 2);
    // 47940 days after the end of 1899, at 19:30.
    assert_eq!((log.start().date(), log.start().clock_s), (Some((2031, 4, 2)), Some(70_200.0)));
}

#[test]
fn fixed_width_pages_readings_below_the_range_and_the_end_of_summer_time() {
    let log = log(D8);
    assert_eq!(log.len(), 5);
    let figures = statistics(&log);
    near(figures.leq.unwrap().0, 41.06, 0.005);
    near(figures.leq_silent.unwrap().0, 40.92, 0.005);
    let understood = log.understood();
    assert_eq!((understood.below.count, understood.below.lowest), (2, 30.0));
    assert_eq!(understood.skipped(Reason::HeadAgain), 1);
    let jump = understood.jumps[0];
    assert_eq!((jump.line, jump.by_s, jump.hour), (4, -3600.0, true));
    assert_eq!(times(&log), [0.0, 1.0, 2.0, 3.0, 4.0]);
    assert_eq!(log.start().date(), Some((2031, 10, 31)));
    let silent = read(D8.as_bytes(), &Wanted { censored: lessdin::files::Censored::Silent, ..Wanted::default() }).unwrap();
    near(leq(&silent), 40.92, 0.005);
}

#[test]
fn the_first_rows_are_shown_as_understood() {
    let log = log(D2);
    let first = &log.understood().first;
    assert_eq!(first.len(), 4);
    assert_eq!((first[1].line, first[1].at_s, first[1].when.clock_s), (7, 1.0, Some(68_701.0)));
    assert!((first[1].level - 38.9).abs() < 1e-6);
}
