use super::{
    Clock, Frame, LEAST_S, REACH_PX, Span, Tile, View, edge_limits, edges, fitted, folded, level_span, level_step, nearest, rounded, rowed,
    serves, spread, ticks, time_step, wanted, with_edge,
};
use crate::units::count_to_f64;
use std::rc::Rc;

const WHOLE: Span = Span { from: 0.0, to: 1000.0 };

fn view(from: f64, to: f64) -> View {
    let frame = Frame { left: 40.0, top: 20.0, right: 140.0, bottom: 120.0 };
    View { time: Span { from, to }, level: Span { from: 30.0, to: 80.0 }, frame }
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 1e-9
}

fn tile(from: f64, to: f64, pairs: &[f32]) -> Tile {
    Tile { span: Span { from, to }, pairs: Rc::new(pairs.to_vec()) }
}

#[test]
fn zooming_keeps_the_moment_it_is_about_in_its_place() {
    let span = Span { from: 200.0, to: 600.0 };
    let closer = span.zoomed(300.0, 0.5, WHOLE);
    assert_eq!(closer, Span { from: 250.0, to: 450.0 });
    // Wider and wider ends with everything, closer and closer with the least.
    assert_eq!(span.zoomed(300.0, 100.0, WHOLE), WHOLE);
    let least = span.zoomed(300.0, 1e-9, WHOLE);
    assert!(near(least.length(), LEAST_S) && least.holds(300.0));
    // At the start there is nothing before it to show.
    assert_eq!(Span { from: 0.0, to: 100.0 }.zoomed(90.0, 2.0, WHOLE), Span { from: 0.0, to: 200.0 });
    let short = Span { from: 0.0, to: 0.4 };
    assert_eq!(short.zoomed(0.2, 0.1, short), short, "a log shorter than the least shown");
}

#[test]
fn moving_stops_at_the_ends() {
    let span = Span { from: 200.0, to: 300.0 };
    assert_eq!(span.moved(50.0, WHOLE), Span { from: 250.0, to: 350.0 });
    assert_eq!(span.moved(-500.0, WHOLE), Span { from: 0.0, to: 100.0 });
    assert_eq!(span.moved(5000.0, WHOLE), Span { from: 900.0, to: 1000.0 });
    assert_eq!(Span { from: -500.0, to: 5000.0 }.kept_in(WHOLE), WHOLE);
    assert_eq!(span.showing(250.0, WHOLE), span);
    assert_eq!(span.showing(150.0, WHOLE), Span { from: 140.0, to: 240.0 });
    assert_eq!(span.showing(1000.0, WHOLE), Span { from: 900.0, to: 1000.0 });
}

#[test]
fn pinching_stops_at_the_ends_and_survives_fingers_on_one_spot() {
    let span = Span { from: 0.0, to: 1000.0 };
    assert!(near(span.pinched((400.0, 600.0), (0.2, 0.9), WHOLE).length(), 200.0 / 0.7));
    assert_eq!(span.pinched((400.0, 600.0), (0.5, 0.5), WHOLE), span);
    assert_eq!(span.pinched((400.0, 600.0), (0.9, 0.2), WHOLE), span, "fingers that cross");
    assert_eq!(Span { from: 400.0, to: 600.0 }.pinched((450.0, 550.0), (0.49, 0.51), WHOLE), WHOLE);
}

#[test]
fn places_and_values_are_each_other_s_inverse() {
    let view = view(100.0, 300.0);
    assert!(near(view.x(200.0), 90.0) && near(view.y(30.0), 120.0) && near(view.y(80.0), 20.0));
    assert!(near(view.time_at(view.x(123.4)), 123.4) && near(view.seconds_per_pixel(), 2.0) && near(view.share_at(65.0), 0.25));
    let large = view.scaled(2.0, (10.0, 5.0));
    assert!(near(large.x(200.0), 190.0) && near(large.y(80.0), 45.0));
}

#[test]
fn labels_stand_at_round_times_and_levels() {
    assert!(near(time_step(1200.0, 6), 300.0));
    assert!(near(time_step(1200.0, 2), 600.0));
    assert!(near(time_step(0.05, 4), 0.1));
    assert_eq!(ticks(Span { from: 130.0, to: 1200.0 }, 300.0), [300.0, 600.0, 900.0, 1200.0]);
    assert_eq!(ticks(Span { from: -7.0, to: 5.0 }, 5.0), [-5.0, 0.0, 5.0]);
    assert!(ticks(Span { from: -0.3, to: 0.2 }, 0.1).iter().all(|tick| !(*tick == 0.0 && tick.is_sign_negative())));
    assert_eq!(ticks(Span { from: 0.0, to: f64::INFINITY }, 1.0).len(), 200);
    assert!(ticks(Span { from: f64::NAN, to: 3.0 }, 1.0).is_empty());
    assert!(near(level_step(25.0, 5), 5.0));
    assert_eq!(level_span(Some((36.2, 47.8))), Some(Span { from: 35.0, to: 50.0 }));
    assert_eq!(level_span(Some((40.0, 40.0))), Some(Span { from: 35.0, to: 45.0 }));
    assert_eq!(level_span(Some((35.1, 36.0))), Some(Span { from: 30.0, to: 40.0 }));
    assert_eq!(level_span(None), None);
    assert_eq!(level_span(Some((f64::NAN, 40.0))), None);
}

#[test]
fn moments_are_written_in_the_form_the_axis_has_room_for() {
    let show = |step: f64, latest: f64, time: f64| Clock::of(step, latest).show(time);
    assert_eq!(show(60.0, 1200.0, 125.0), "2:05");
    assert_eq!(show(0.5, 1200.0, 125.5), "2:05.5");
    assert_eq!(show(600.0, 30_000.0, 3900.0), "1:05");
    assert_eq!(show(7200.0, 300_000.0, 259_200.0), "72:00");
    assert_eq!(show(10.0, 30_000.0, 3910.0), "1:05:10");
    assert_eq!([show(10.0, 30_000.0, 70.0), show(10.0, 30_000.0, 670.0)], ["0:01:10", "0:11:10"]);
    assert_eq!([show(60.0, 1200.0, -65.0), show(60.0, 1200.0, -0.0)], ["−1:05", "0:00"]);
}

#[test]
fn a_curve_keeps_its_spikes_and_its_gaps() {
    let gap = f32::NAN;
    // Ten columns of 100 s; a spike of one column; a gap of two.
    let tile = tile(0.0, 1000.0, &[40., 41., 40., 41., 40., 79., 40., 41., gap, gap, gap, gap, 50., 50., 50., 52., 50., 51., 50., 51.]);
    let runs = tile.runs(&view(0.0, 1000.0), 0.0);
    assert_eq!(runs.len(), 2);
    // From its first column's left end to its last one's right end, a point for each column between.
    let across: Vec<f64> = runs[0].iter().map(|point| point.0).collect();
    assert_eq!(across, [40.0, 45.0, 55.0, 65.0, 75.0, 80.0]);
    assert_eq!(runs[1].first().map(|point| point.0), Some(100.0));
    assert_eq!(runs[1].last().map(|point| point.0), Some(140.0));
    let top = runs[0].iter().map(|point| point.1).fold(f64::MAX, f64::min);
    assert!(near(top, 22.0), "79 dB of 30 to 80 stands 2 px below the upper end: {top}");
    assert_eq!((tile.at(250.0), tile.at(450.0), tile.at(-1.0), tile.at(1000.0)), (Some((40.0, 79.0)), None, None, None));
    assert_eq!(tile.extent(Span { from: 210.0, to: 290.0 }), Some((40.0, 79.0)));
    assert_eq!(tile.extent(Span { from: 410.0, to: 590.0 }), None);
    assert_eq!(tile.extent(Span { from: -500.0, to: 99.0 }), Some((40.0, 41.0)));
}

#[test]
fn only_what_is_seen_is_drawn_and_a_shift_moves_it() {
    let pairs: Vec<f32> = (0_u8..200).map(|place| f32::from(place / 2)).collect();
    let tile = tile(0.0, 1000.0, &pairs);
    let runs = tile.runs(&view(500.0, 600.0), 0.0);
    // Ten columns and some, one more at each end, and the two ends.
    assert!(runs.len() == 1 && (12..=16).contains(&runs[0].len()), "{}", runs[0].len());
    assert!(runs[0].first().is_some_and(|point| point.0 <= 40.0) && runs[0].last().is_some_and(|point| point.0 >= 140.0));
    // Column 50 begins at 500 s; shifted by 60 s it begins at 560 s.
    let moved = tile.runs(&view(500.0, 600.0), 60.0);
    let fifty = view(500.0, 600.0).y(50.0);
    let at = moved[0].iter().find(|point| near(point.1, fifty)).map(|point| point.0);
    assert_eq!(at, Some(view(500.0, 600.0).x(565.0)));
    assert!(tile.runs(&view(2000.0, 2100.0), 0.0).is_empty());
    assert!(tile.runs(&view(0.0, 100.0), 5000.0).is_empty());
}

#[test]
fn tiles_are_asked_for_beyond_what_is_seen_and_stay_when_it_moves_a_little() {
    let (span, columns) = wanted(Span { from: 400.0, to: 600.0 }, 2.0, 1000.0).unwrap();
    assert_eq!((span, columns), (Span { from: 300.0, to: 700.0 }, 200));
    let (other, _) = wanted(Span { from: 401.0, to: 601.0 }, 2.0, 1000.0).unwrap();
    assert!(near((other.from - span.from) % 2.0, 0.0), "columns stand where they stood");
    assert_eq!(wanted(Span { from: -50.0, to: 150.0 }, 2.0, 101.0).unwrap(), (Span { from: 0.0, to: 102.0 }, 51));
    assert_eq!(wanted(Span { from: 2000.0, to: 2100.0 }, 1.0, 1000.0), None);
    assert_eq!(wanted(Span { from: 0.0, to: 100.0 }, 0.0, 1000.0), None);
    let tile = tile(300.0, 700.0, &[40.0; 400]);
    assert!(serves(&tile, Span { from: 300.0, to: 500.0 }, 2.0, 1000.0));
    assert!(!serves(&tile, Span { from: 299.0, to: 500.0 }, 2.0, 1000.0), "something is missing");
    assert!(!serves(&tile, Span { from: 400.0, to: 500.0 }, 1.0, 1000.0), "too coarse");
    assert!(!serves(&tile, Span { from: 300.0, to: 700.0 }, 4.0, 1000.0), "needlessly fine");
    assert!(serves(&tile, Span { from: 1000.0, to: 1200.0 }, 2.0, 1000.0), "nothing of it is seen");
}

#[test]
fn edges_stop_at_their_neighbours() {
    let span = |from, to| Span { from, to };
    // parked, homing, a hole, outline.
    let all = [span(0.0, 60.0), span(60.0, 90.0), span(120.0, 300.0)];
    assert_eq!(edges(&all), [0.0, 60.0, 120.0, 300.0]);
    assert_eq!(edges(&[]), [0.0; 0]);
    assert_eq!(edge_limits(&all, 0, 400.0), Some(span(0.0, 59.0)));
    assert_eq!(edge_limits(&all, 1, 400.0), Some(span(1.0, 89.0)));
    assert_eq!(edge_limits(&all, 2, 400.0), Some(span(90.0, 299.0)), "the stretch before the hole keeps its end");
    assert_eq!(edge_limits(&all, 3, 400.0), Some(span(121.0, 400.0)));
    assert_eq!(edge_limits(&all, 4, 400.0), None);
    assert_eq!(edge_limits(&[span(0.0, 0.5)], 0, 0.5), None, "too short to move anything");
    assert_eq!(with_edge(&all, 1, 70.0), [span(0.0, 70.0), span(70.0, 90.0), all[2]]);
    assert_eq!(with_edge(&all, 2, 100.0), [all[0], all[1], span(100.0, 300.0)], "beside a hole, one stretch changes");
    assert_eq!(with_edge(&all, 3, 350.0), [all[0], all[1], span(120.0, 350.0)]);
    assert_eq!(with_edge(&all, 0, 5.0), [span(5.0, 60.0), all[1], all[2]]);
    assert_eq!(with_edge(&all, 9, 5.0), all);
}

#[test]
fn the_nearest_edge_is_grabbed() {
    assert_eq!(nearest(&[10.0, 30.0, 34.0], 31.0, REACH_PX), Some(1));
    assert_eq!(nearest(&[10.0, 30.0, 34.0], 33.0, REACH_PX), Some(2));
    assert_eq!(nearest(&[10.0, 30.0], 60.0, REACH_PX), None);
    assert_eq!(nearest(&[], 0.0, REACH_PX), None);
    assert!(near(rounded(12.34, 1.0), 12.0) && near(rounded(12.34, 0.1), 12.3));
}

#[test]
fn labels_keep_apart_and_move_as_little_as_they_can() {
    let span = Span { from: 0.0, to: 100.0 };
    assert_eq!(spread(&[10.0, 50.0], 10.0, span), [10.0, 50.0], "with room, nothing moves");
    assert_eq!(spread(&[50.0, 50.0], 10.0, span), [45.0, 55.0]);
    assert_eq!(spread(&[52.0, 50.0, 48.0], 10.0, span), [60.0, 50.0, 40.0], "the order stays");
    assert_eq!(spread(&[98.0, 99.0], 10.0, span), [90.0, 100.0], "the end holds them");
    assert_eq!(spread(&[2.0, 1.0], 10.0, span), [10.0, 0.0]);
    // More than there is room for: from the top, over the end.
    assert_eq!(spread(&[5.0, 5.0, 5.0], 60.0, span), [0.0, 60.0, 120.0]);
    assert_eq!(spread(&[], 10.0, span), [0.0; 0]);
}

#[test]
fn names_are_cut_where_they_do_not_fit() {
    let measure = |text: &str| count_to_f64(text.chars().count()) * 10.0;
    assert_eq!(fitted("outline", 70.0, &measure), "outline");
    assert_eq!(fitted("outline", 60.0, &measure), "outli…");
    assert_eq!(fitted("one two", 50.0, &measure), "one…");
    assert_eq!(fitted("outline", 30.0, &measure), "ou…");
    assert_eq!(fitted("outline", 20.0, &measure), "");
    assert_eq!(fitted("äöüß", 30.0, &measure), "äö…");
}

#[test]
fn long_names_take_two_lines() {
    let measure = |text: &str| count_to_f64(text.chars().count()) * 10.0;
    let folded = |text, room| folded(text, room, &measure);
    assert_eq!(folded("Before, run 1", 130.0), ("Before, run 1".to_owned(), String::new()));
    assert_eq!(folded("Before, run 1", 80.0), ("Before,".to_owned(), "run 1".to_owned()));
    assert_eq!(folded("one two three", 70.0), ("one two".to_owned(), "three".to_owned()));
    assert_eq!(folded("Wednesday", 60.0), ("Wedne…".to_owned(), String::new()));
    assert_eq!(folded("", 60.0), (String::new(), String::new()));
}

#[test]
fn names_of_short_phases_step_aside_or_into_a_second_row() {
    let span = Span { from: 0.0, to: 200.0 };
    let names = [(5.0, 40.0), (20.0, 40.0), (50.0, 50.0), (120.0, 30.0), (195.0, 40.0)];
    let places = rowed(&names, 5.0, span);
    assert_eq!(places, [Some((0, 0.0)), Some((1, 0.0)), Some((0, 45.0)), Some((0, 105.0)), Some((0, 160.0))]);
    // Three on one spot: the third has no room beside its middle.
    assert_eq!(rowed(&[(100.0, 40.0); 3], 5.0, span), [Some((0, 80.0)), Some((1, 80.0)), None]);
    assert_eq!(rowed(&[(100.0, 300.0)], 5.0, span), [None]);
}
