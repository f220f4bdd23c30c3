//! The sheets `runs` and `enough`: what people do to runs and phases by mistake, and what must hold whatever they are.

use crate::support::{Dice, examine, find, headline, open, open_whole, say_all};
use lessdin::calc::draft::{Draft, Path, RowAt};
use lessdin::calc::report::Report;
use lessdin::calc::sheet::{Outcome, Run};
use lessdin::formulas::series::Summary;
use lessdin::sheets::runs::{decode, draft, unsketch};
use lessdin::text::{Arg, Style};
use lessdin::units::Level;
use std::rc::Rc;

#[track_caller]
fn run(draft: &Draft) -> Run {
    examine(find("runs").unwrap(), draft).unwrap()
}

#[track_caller]
fn run_link(link: &str) -> Run {
    run(&open_whole(link).1)
}

#[track_caller]
fn report(run: &Run) -> Rc<Report> {
    match &run.outcome {
        Outcome::Answer(report) => report.clone(),
        other => panic!("there should be an answer: {other:?}"),
    }
}

fn notes(run: &Run) -> String {
    report(run).notes.iter().map(|note| note.said.text(Style::default())).collect::<Vec<_>>().join(" | ")
}

fn support(run: &Run) -> String {
    say_all(&report(run).support)
}

/// Change and half width of each phase by its name, dB, and the verdict.
fn changes(run: &Run) -> Vec<(String, f64, Option<f64>, String)> {
    let report = report(run);
    let Some(grid) = report.tables.iter().find(|grid| grid.id == "changes") else { return Vec::new() };
    let mut out: Vec<_> = grid
        .rows
        .iter()
        .map(|row| {
            let (change, half) = match row.cells[4] {
                Arg::PlusMinus(_, change, half) => (change, Some(half)),
                Arg::Number(_, change) => (change, None),
                ref other => panic!("no change: {other:?}"),
            };
            (row.cells[0].text(Style::default()), change, half, row.cells[5].text(Style::default()))
        })
        .collect();
    out.sort_by(|one, other| one.0.cmp(&other.0));
    out
}

/// The figures of a log around a level, as they might be.
fn summary(dice: &mut Dice, leq: f64, count: u32) -> Summary {
    let spread = 0.2 + 1.5 * dice.unit();
    let effective = f64::from(count) * (0.2 + 0.7 * dice.unit());
    Summary {
        leq: Level(leq),
        l10: Level(leq + spread),
        l50: Level(leq - 0.05),
        l90: Level(leq - spread),
        max: Level(leq + 3.0 * spread),
        min: Level(leq - 3.0 * spread),
        mean_db: leq - 0.1 * spread * spread,
        count,
        step_s: 1.0,
        missing: 0.0,
        standard_error_db: spread / effective.sqrt(),
        effective_count: effective,
        dof: (effective - 1.0).max(0.0),
    }
}

/// Runs of both kinds with logs of these phases.
fn logged(dice: &mut Dice, before: usize, after: usize, phases: &[&str]) -> Draft {
    let mut made = Draft::default();
    let levels: Vec<f64> = phases.iter().map(|_| 38.0 + 12.0 * dice.unit()).collect();
    let drops: Vec<f64> = phases.iter().map(|_| 4.0 * dice.unit() - 1.0).collect();
    for at in 0..before + after {
        let points: Vec<(f64, f64)> = (0..900).map(|at| (f64::from(at), 40.0 + 8.0 * dice.unit())).collect();
        let row = draft::add_run(&mut made, &format!("run of day {at}"), &format!("{at:016x}"), &draft::Told::default(), &points).unwrap();
        if at >= before {
            made.set(Path::cell("run", row, "set"), "after");
        }
        let mut from = 0.0;
        let mut figures = Vec::new();
        for (place, name) in phases.iter().enumerate() {
            let phase = draft::add_phase(&mut made, name).unwrap();
            made.set(Path::cell("phase", phase, "usual"), ["3min", "20", "4min", "15min", "90"][place % 5]);
            let count = u32::try_from(60 + dice.below(900)).unwrap();
            let leq = levels[place] - if at >= before { drops[place] } else { 0.0 } + 0.4 * dice.unit();
            figures.push(draft::Figures {
                phase,
                summary: summary(dice, leq, count),
                stretches: vec![(from, from + f64::from(count) + 10.0)],
            });
            from += f64::from(count) + 10.0;
        }
        draft::write(&mut made, row, &figures);
    }
    made
}

const FIVE: [&str; 5] = ["parked", "homing", "outline", "fill", "cooling down"];

#[test]
fn one_run_alone_says_where_the_sound_comes_from_and_asks_for_another() {
    let alone = run_link("#/runs/v1/run=Monday/phase=homing~usual=15~r1=55%2E0/phase=fill~usual=15min~r1=47%2E0");
    // By hand: 15·10^5.5 of 15·10^5.5 + 900·10^4.7 is 9.5 %.
    assert!(headline(&alone).starts_with("fill makes 90\u{202f}% of the sound"), "{}", headline(&alone));
    assert!(headline(&alone).contains("Add a run of the other kind"), "{}", headline(&alone));
    let only_after = run_link("#/runs/v1/run=a~set=after/phase=fill~r1=45%2E0");
    assert!(headline(&only_after).starts_with("fill reads 45.0"), "{}", headline(&only_after));
}

#[test]
fn a_set_without_levels_counts_as_none() {
    let link = "#/runs/v1/run=a/run=b~set=after/run=c~set=again/phase=fill~r1=47%2E0";
    assert!(headline(&run_link(link)).starts_with("fill reads 47.0"), "{}", headline(&run_link(link)));
}

#[test]
fn the_same_log_before_and_after_is_refused_and_twice_before_counts_once() {
    let refused = headline(&run_link("#/runs/v1/run=a~log=00ff/run=b~set=after~log=00FF/phase=fill~r1=47%2E0~r2=45%2E0"));
    assert!(refused.starts_with("! “a” and “b” are one and the same log"), "{refused}");
    let twice = run_link("#/runs/v1/run=a~log=00ff/run=b~log=00ff/run=c~set=after/phase=fill~r1=47%2E0~r2=47%2E0~r3=45%2E0");
    assert!(notes(&twice).contains("b: this log is in the list already"), "{}", notes(&twice));
    let once = run_link("#/runs/v1/run=a~log=00ff/run=c~set=after/phase=fill~r1=47%2E0~r2=45%2E0");
    assert_eq!(headline(&twice), headline(&once), "a second copy is no second run");
}

#[test]
fn all_phases_left_out_nothing_read_and_nothing_shared_are_told_apart() {
    for (link, said) in [
        ("#/runs/v1/run=a/run=b~set=after/phase=x~skip=1~r1=47~r2=45/phase=y~skip=1~r1=40~r2=41", "! Every phase with a level is left out"),
        ("#/runs/v1/run=a/run=b~set=after/phase=x~r1=quiet~r2=loud", "! None of the levels can be read"),
        ("#/runs/v1/run=a/run=b~set=after/phase=x~r1=47/phase=y~r2=45", "! No phase has a level both before and after"),
        ("#/runs/v1/run=a/run=b~set=after/phase=x~r1=47.dBA~r2=45.dBC", "! Some levels are weighted A, others weighted C"),
        ("#/runs/v1/run=a~back=31dBC/run=b~set=after/phase=x~r1=47~r2=45.dBA", "! Some levels are"),
    ] {
        let found = headline(&run_link(link));
        assert!(found.starts_with(said), "{link}: {found}");
    }
}

#[test]
fn thirteen_runs_are_cut_to_twelve_and_it_says_so() {
    let rows: Vec<String> = (1..=13).map(|run| format!("run=day.{run}")).collect();
    let opened = open(&format!("#/runs/v1/{}/phase=fill~r1=47", rows.join("/")));
    assert!(say_all(&opened.notes).contains("The first 12 are used"), "{}", say_all(&opened.notes));
    assert!(headline(&run(&opened.draft.unwrap())).starts_with("fill reads 47.0"));
}

#[test]
fn a_cell_that_is_no_level_is_left_out_by_name_and_the_others_stay() {
    let (_, example) = open_whole(find("runs").unwrap().meta().example);
    let (phase, first) = (example.rows("phase")[3], example.rows("run")[0]);
    let good = example.get(Path::per("phase", phase, first)).to_owned();
    let damaged = good.replacen('-', "-z", 2);
    for text in ["loud", "999", "NaN", "<script>", "=1+1", damaged.as_str(), &good[..20], "a", "\u{202e}41", "1e309"] {
        assert_eq!(decode(text), None, "{text}");
        let bad = run(&example.clone().with(Path::per("phase", phase, first), text));
        assert!(notes(&bad).contains("Not read and left out: fill in Monday."), "{text}: {}", notes(&bad));
        assert_eq!(bad.remarks.len(), 1, "{text} should be answered beside its cell");
        assert_eq!(changes(&bad).len(), 5, "{text}: the other phases and the job stay");
    }
    let sketch = run(&example.clone().with(Path::cell("run", first, "curve"), "0000"));
    assert_eq!(sketch.remarks.len(), 1);
    assert_eq!(report(&sketch).pictures.len(), 2, "the other curves are drawn");
}

#[test]
fn levels_typed_by_hand_work_without_any_log() {
    let one = run_link("#/runs/v1/run=a/run=b~set=after/phase=fill~r1=47%2E4~r2=45%2E1");
    assert!(headline(&one).starts_with("Too few readings: fill changed by −2.3"), "{}", headline(&one));
    assert!(support(&one).contains("Type three readings or more"), "{}", support(&one));
    assert_eq!(changes(&one)[0].2, None, "a single level has no ±");
    let three = run_link("#/runs/v1/run=a/run=b~set=after/phase=fill~r1=47%2E4.47%2E6.47%2E5~r2=45%2E1.45%2E0.45%2E2");
    assert!(headline(&three).starts_with("Yes, quieter, as a hint only"), "{}", headline(&three));
    // As on `alone`: the larger of ± 0.5 and that of the spread, on both sides: √0.5.
    assert!((changes(&three)[0].2.unwrap() - 0.5_f64.sqrt()).abs() < 1e-3, "{:?}", changes(&three));
    assert!(support(&three).contains("a hint, no proof"), "{}", support(&three));
}

#[test]
fn the_order_of_runs_and_phases_changes_nothing() {
    for seed in 0..40 {
        let dice = &mut Dice::new(seed);
        let (before, after) = (1 + dice.below(3), 1 + dice.below(3));
        let phases = 2 + dice.below(4);
        let made = logged(dice, before, after, &FIVE[..phases]);
        let mut moved = made.clone();
        for table in ["run", "phase"] {
            for _ in 0..5 {
                let rows = moved.rows(table).to_vec();
                let at = RowAt { table, row: rows[dice.below(rows.len())] };
                moved.move_row(at, if dice.chance(0.5) { 3 } else { -2 });
            }
        }
        let (one, other) = (run(&made), run(&moved));
        for (one, other) in changes(&one).iter().zip(changes(&other)) {
            assert_eq!((&one.0, &one.3), (&other.0, &other.3), "seed {seed}");
            assert!((one.1 - other.1).abs() < 1e-9, "seed {seed}: {one:?} {other:?}");
            assert!((one.2.unwrap_or(0.0) - other.2.unwrap_or(0.0)).abs() < 1e-9, "seed {seed}: {one:?} {other:?}");
        }
        assert_eq!(headline(&one), headline(&other), "seed {seed}");
    }
}

#[test]
fn without_the_room_three_decibels_more_in_a_run_move_its_changes_by_three() {
    for seed in 0..40 {
        let dice = &mut Dice::new(1000 + seed);
        let phases = 1 + dice.below(5);
        let made = logged(dice, 1, 1, &FIVE[..phases]);
        let after = made.rows("run")[1];
        let mut louder = made.clone();
        let figures: Vec<draft::Figures> = made
            .rows("phase")
            .iter()
            .map(|phase| {
                let packed = draft::entry_of(&made, *phase, after).unwrap();
                let up = |level: Level| Level(level.0 + 3.0);
                let was = packed.summary;
                let summary = Summary {
                    leq: up(was.leq),
                    l10: up(was.l10),
                    l50: up(was.l50),
                    l90: up(was.l90),
                    max: up(was.max),
                    min: up(was.min),
                    mean_db: was.mean_db + 3.0,
                    ..was
                };
                draft::Figures { phase: *phase, summary, stretches: packed.stretches }
            })
            .collect();
        draft::write(&mut louder, after, &figures);
        for (one, other) in changes(&run(&made)).iter().zip(changes(&run(&louder))) {
            assert!((other.1 - one.1 - 3.0).abs() < 1e-9, "seed {seed}: {one:?} {other:?}");
            assert!((one.2.unwrap_or(0.0) - other.2.unwrap_or(0.0)).abs() < 1e-9, "seed {seed}: {one:?} {other:?}");
        }
    }
}

#[test]
fn a_margin_only_turns_verdicts_into_the_same() {
    for seed in 0..40 {
        let dice = &mut Dice::new(2000 + seed);
        let made = logged(dice, 2, 3, &FIVE);
        let wide = made.clone().with(Path::field("same"), "10");
        for (one, other) in changes(&run(&made)).iter().zip(changes(&run(&wide))) {
            assert!((one.1 - other.1).abs() < 1e-12);
            assert!(other.3 == "Same within 10\u{202f}dB" || other.3 == one.3, "seed {seed}: {one:?} {other:?}");
        }
    }
}

#[test]
fn two_runs_of_five_phases_stay_far_below_4000_characters_and_twelve_of_twelve_warn() {
    let sheet = find("runs").unwrap();
    let dice = &mut Dice::new(7);
    let mut made = logged(dice, 1, 1, &FIVE);
    for (key, text) in
        [("title", "Library engraver after the change"), ("machine", "gantry engraver"), ("meter", "nearest desk"), ("at", "2.5")]
    {
        made.set(Path::field(key), text);
    }
    for row in made.rows("run").to_vec() {
        made.set(Path::cell("run", row, "back"), "31.2 30.8 31.0");
    }
    let link = sheet.link(&made);
    assert!(link.len() < 1500, "{} characters: {link}", link.len());
    let names: Vec<String> = (0..12).map(|at| format!("phase no {at}")).collect();
    let all = logged(dice, 6, 6, &names.iter().map(String::as_str).collect::<Vec<_>>());
    assert!(sheet.length_note(&sheet.link(&all)).is_some());
    assert_eq!(changes(&run(&all)).len(), 13);
}

#[test]
fn a_link_answers_as_the_draft_it_was_made_from() {
    let sheet = find("runs").unwrap();
    for seed in 0..20 {
        let dice = &mut Dice::new(3000 + seed);
        let (before, after) = (1 + dice.below(3), 1 + dice.below(3));
        let made = logged(dice, before, after, &FIVE);
        let back = open(&sheet.link(&made)).draft.unwrap();
        assert_eq!(changes(&run(&made)), changes(&run(&back)), "seed {seed}");
        assert_eq!(draft::logged(&made).len(), draft::logged(&back).len());
        for row in back.rows("run") {
            assert!(unsketch(back.get(Path::cell("run", *row, "curve"))).is_some());
        }
    }
}

#[test]
fn the_example_tells_of_the_fan_that_runs_on_and_of_averages_that_mislead() {
    let (_, example) = open_whole(find("runs").unwrap().meta().example);
    let told = run(&example);
    let of = |name: &str| changes(&told).into_iter().find(|line| line.0 == name).unwrap();
    for (name, wanted) in [("parked", 1.1), ("homing", -1.5), ("outline", -2.0), ("fill", -2.6)] {
        assert!((of(name).1 - wanted).abs() < 0.06, "{name}: {}", of(name).1);
    }
    let (low, high) = (of("fill").1 - of("fill").2.unwrap(), of("fill").1 + of("fill").2.unwrap());
    assert!((low + 2.9).abs() < 0.1 && (high + 2.3).abs() < 0.1, "fill: {low} to {high}");
    assert_eq!(of("parked").3, "No, louder");
    assert!(support(&told).contains("often a fan that now runs on"), "{}", support(&told));
    assert!(support(&told).contains("everything recorded would have said −1.1"), "{}", support(&told));
    assert!(notes(&told).contains("a mean of decibels reads low"), "{}", notes(&told));
}

#[test]
fn a_maximum_that_grew_with_the_length_is_explained() {
    let mut dice = Dice::new(5);
    let mut made = logged(&mut dice, 1, 1, &["fill"]);
    let phase = made.rows("phase")[0];
    let (before, after) = (made.rows("run")[0], made.rows("run")[1]);
    for (row, leq, count, max) in [(before, 47.5, 300, 50.0), (after, 45.0, 1500, 51.0)] {
        let mut one = summary(&mut dice, leq, count);
        one.max = Level(max);
        draft::write(&mut made, row, &[draft::Figures { phase, summary: one, stretches: vec![(0.0, f64::from(count))] }]);
    }
    assert!(notes(&run(&made)).contains("The highest value of fill grew although its level did not"), "{}", notes(&run(&made)));
}

#[test]
fn a_room_too_close_or_known_in_some_runs_only_stays_in_and_it_says_so() {
    let link = "#/runs/v1/run=a~back=38/run=b~set=after~back=38/phase=parked~r1=40~r2=39%2E0/phase=fill~r1=47~r2=45";
    let close = run_link(link);
    assert!(notes(&close).contains("In parked the room is less than 3 dB below"), "{}", notes(&close));
    assert!(notes(&close).contains("taken away, as energy, from fill"), "{}", notes(&close));
    let change = |name: &str| changes(&close).into_iter().find(|line| line.0 == name).unwrap().1;
    assert!((change("parked") + 1.0).abs() < 1e-9, "{}", change("parked"));
    // By hand: 10·lg(50118.7 − 6309.6) = 46.4157 and 10·lg(31622.8 − 6309.6) = 44.0335.
    assert!((change("fill") + 2.3822).abs() < 1e-4, "{}", change("fill"));
    let partly = run_link(&link.replace("set=after~back=38", "set=after"));
    assert!(notes(&partly).contains("Some runs have no reading of the room"), "{}", notes(&partly));
}

#[test]
fn a_drift_shows_when_the_change_is_taken_back() {
    let rows = "run=a/run=b/run=c~set=after/run=d~set=after/run=e~set=again/run=f~set=again";
    let still = run_link(&format!("#/runs/v1/{rows}/phase=fill~r1=47%2E0~r2=47%2E1~r3=44%2E0~r4=44%2E1~r5=47%2E1~r6=47%2E0"));
    assert!(notes(&still).contains("no phase reads differently"), "{}", notes(&still));
    let drifted = run_link(&format!("#/runs/v1/{rows}/phase=fill~r1=47%2E0~r2=47%2E1~r3=44%2E0~r4=44%2E1~r5=44%2E5~r6=44%2E6"));
    assert!(notes(&drifted).contains("Something drifted: with the change taken back, fill"), "{}", notes(&drifted));
    assert!(changes(&drifted)[0].2.unwrap() > 3.0 * changes(&still)[0].2.unwrap(), "a drift widens the ±");
}

#[test]
fn runs_hand_their_spread_over_to_the_plan() {
    let (_, example) = open_whole(find("runs").unwrap().meta().example);
    let answer = report(&run(&example));
    let over = answer.hand_over.iter().find(|over| over.sheet == "enough").unwrap();
    let planned = examine(find("enough").unwrap(), &over.draft).unwrap();
    assert!(planned.errors.is_empty() && headline(&planned).contains("A change of 2.3"), "{}", headline(&planned));
    let louder = answer.hand_over.iter().find(|over| over.sheet == "louder").unwrap();
    assert!(headline(&examine(find("louder").unwrap(), &louder.draft).unwrap()).contains("−2.4"));
}
