//! The words of the answer.

use super::pictures::{self, state};
use super::solve::{Answer, Comparison, Counted, Impossible, Line, Room, Seen, What};
use super::{Entry, Inputs, Name, PHASES, RUN_SET, RUNS, Set, words};
use crate::calc::draft::{Col, Path, RowAt};
use crate::calc::number;
use crate::calc::quantity::Quantity;
use crate::calc::read;
use crate::calc::report::{Amount, Column, Grade, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::filled;
use crate::formulas::compare::{Judged, Rule, Stat, Verdict};
use crate::formulas::levels::{self, Grade as Apart};
use crate::formulas::loudness::Noticeable;
use crate::formulas::{source, uncertainty};
use crate::text::{Arg, Msg, Said, say};
use crate::units::{Level, Weighting, count_to_f64, sort_few, within};

/// What a run is called.
pub(super) fn run_name(name: &Name) -> Arg {
    named(name, words::RUN_NO)
}

fn named(name: &Name, without: Msg) -> Arg {
    if name.typed.is_empty() {
        say(without).num("number", Quantity::Count, count_to_f64(name.number)).into()
    } else {
        Arg::Typed(name.typed.clone())
    }
}

/// A phase's name, or the typical job.
pub(super) fn called(inputs: &Inputs, answer: &Answer, what: What) -> Arg {
    match what {
        What::Job => words::A_JOB.into(),
        What::Phase(place) => answer.name(inputs, place).map_or(Arg::Nothing, |name| named(name, words::PHASE_NO)),
    }
}

fn names(inputs: &Inputs, answer: &Answer, places: &[usize]) -> Arg {
    Arg::List(places.iter().map(|place| called(inputs, answer, What::Phase(*place))).collect())
}

/// A change with its ±, where it has one.
pub(super) fn change_arg(judged: &Judged) -> Arg {
    match judged.spread {
        Some(spread) if !judged.few => Arg::PlusMinus(Quantity::Gain, judged.change.0, spread.half),
        _ => Arg::Number(Quantity::Gain, judged.change.0),
    }
}

/// A level with its ± from its run alone, where that can be relied on.
pub(super) fn level_arg(quantity: Quantity, stat: &Stat) -> Arg {
    match half_width(stat) {
        Some(half) => Arg::PlusMinus(quantity, stat.level.0, half),
        None => Arg::Number(quantity, stat.level.0),
    }
}

fn half_width(stat: &Stat) -> Option<f64> {
    if stat.few || stat.dof < 1.0 {
        return None;
    }
    Some(uncertainty::student_t(0.95, stat.dof).ok()? * stat.error.hypot(stat.step))
}

/// The verdict in words.
pub(super) fn verdict_said(inputs: &Inputs, verdict: Verdict) -> Arg {
    match verdict {
        Verdict::Quieter => words::V_QUIETER.into(),
        Verdict::Louder => words::V_LOUDER.into(),
        Verdict::Same => say(words::V_SAME).with("margin", Arg::AsTyped(Quantity::Gain, inputs.same)).into(),
        Verdict::CannotTell => words::V_CANNOT.into(),
        Verdict::TooFew => words::V_FEW.into(),
    }
}

/// By at least so much, where a change is shown: the nearer end of its interval, rounded down to the tenth that was earned.
fn least(line: &Line) -> Option<f64> {
    let spread = line.judged.spread.filter(|_| matches!(line.verdict, Verdict::Quieter | Verdict::Louder))?;
    let tenths = ((line.judged.change.0.abs() - spread.half) * 10.0 + 1e-9).floor();
    (tenths > 0.0).then_some(tenths / 10.0)
}

/// What the answer leads with while there is nothing to compare: the phase with the largest share, or the loudest.
pub(super) fn base(answer: &Answer) -> (What, Level) {
    let whole = |place: usize| {
        let counted = answer.phases.get(place);
        let used = counted.map(|counted| counted.seen.iter().flatten().map(|seen| seen.used.level).collect::<Vec<_>>());
        levels::energy_mean(&used.unwrap_or_default()).unwrap_or(Level(0.0))
    };
    let places = || (0..answer.phases.len()).map(|place| (place, whole(place)));
    let loudest = places().reduce(|one, other| if other.1.0 > one.1.0 { other } else { one });
    let (place, level) = loudest.unwrap_or((0, Level(0.0)));
    (What::Phase(place), level)
}

pub(super) fn report(inputs: &Inputs, answer: &Answer) -> Report {
    let leading = answer.comparisons.first();
    let mut report = match leading.and_then(|leading| Some((leading, leading.lead()?))) {
        Some((leading, lead)) => {
            let mut report = Report::new(headline(inputs, answer, leading, lead));
            report.support = support(inputs, answer, leading, lead);
            report.values = values(inputs, answer, lead);
            report.hand_over = hand_over(inputs, answer, leading, lead);
            report
        }
        None => baseline(inputs, answer),
    };
    for (comparison, id) in answer.comparisons.iter().zip(["changes", "changes2", "changes3"]) {
        report.tables.push(comparison_table(inputs, answer, comparison, id, words::TABLE_CHANGES));
    }
    if let Some(drift) = &answer.drift {
        report.tables.push(comparison_table(inputs, answer, drift, "drift", words::TABLE_DRIFT));
    }
    report.tables.push(figures(inputs, answer));
    report.tables.push(runs_table(inputs, answer));
    report.pictures.extend(leading.map(|leading| pictures::changes(inputs, answer, leading)));
    report.pictures.extend(pictures::curves(inputs, answer));
    report.notes = notes(inputs, answer);
    report.working = working(inputs, answer);
    report
}

fn nothing() -> Arg {
    Arg::Typed(String::new())
}

fn headline(inputs: &Inputs, answer: &Answer, leading: &Comparison, lead: &Line) -> Said {
    let least_of_lead = least(lead);
    let head = match (lead.verdict, least_of_lead) {
        (Verdict::Quieter, Some(_)) => words::HEAD_QUIETER,
        (Verdict::Quieter, None) => words::HEAD_QUIETER_JUST,
        (Verdict::Louder, Some(_)) => words::HEAD_LOUDER,
        (Verdict::Louder, None) => words::HEAD_LOUDER_JUST,
        (Verdict::Same, _) => words::HEAD_SAME,
        (Verdict::CannotTell, _) if lead.room.is_some() => words::HEAD_ROOM,
        (Verdict::CannotTell, _) => words::HEAD_CANNOT,
        (Verdict::TooFew, _) => words::HEAD_FEW,
    };
    let judged = &lead.judged;
    let size = match judged.spread {
        Some(spread) => Arg::PlusMinus(Quantity::Gain, judged.change.0.abs(), spread.half),
        None => Arg::Number(Quantity::Gain, judged.change.0.abs()),
    };
    let other = if lead.verdict == Verdict::Louder { Verdict::Quieter } else { Verdict::Louder };
    let others = with_verdict(leading, other);
    let but = if others.is_empty() { nothing() } else { but(inputs, answer, &others, other).into() };
    let said = say(head).with("what", called(inputs, answer, lead.what)).with("but", but);
    let hint = || if judged.hint { words::AS_HINT.into() } else { nothing() };
    match lead.verdict {
        Verdict::Quieter | Verdict::Louder => {
            let said = said.with("hint", hint()).with("size", size);
            match least_of_lead {
                Some(least) => said.num("least", Quantity::Gain, least),
                None => said,
            }
        }
        Verdict::Same => {
            let said = said.with("hint", hint()).with("margin", Arg::AsTyped(Quantity::Gain, inputs.same));
            said.with("change", change_arg(judged))
        }
        Verdict::CannotTell => match lead.room {
            Some(room) => said.with("change", change_arg(judged)).num("room", Quantity::Gain, room.0),
            None => said.with("hint", hint()).with("change", change_arg(judged)),
        },
        Verdict::TooFew => said.with("change", change_arg(judged)),
    }
}

/// The phases that went the other way, and by how much at the least.
fn but(inputs: &Inputs, answer: &Answer, others: &[(usize, &Line)], way: Verdict) -> Said {
    let places: Vec<usize> = others.iter().map(|(place, _)| *place).collect();
    let smallest = others.iter().map(|(_, line)| least(line)).reduce(|one, other| match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        _ => None,
    });
    let (plain, by) =
        if way == Verdict::Louder { (words::BUT_LOUDER, words::BUT_LOUDER_BY) } else { (words::BUT_QUIETER, words::BUT_QUIETER_BY) };
    match smallest.flatten() {
        Some(least) => say(by).with("phases", names(inputs, answer, &places)).num("least", Quantity::Gain, least),
        None => say(plain).with("phases", names(inputs, answer, &places)),
    }
}

/// The phases with a verdict, largest change first.
fn with_verdict(of: &Comparison, verdict: Verdict) -> Vec<(usize, &Line)> {
    let mut lines: Vec<(usize, &Line)> = of
        .phases
        .iter()
        .filter(|line| line.verdict == verdict)
        .filter_map(|line| match line.what {
            What::Phase(place) => Some((place, line)),
            What::Job => None,
        })
        .collect();
    sort_few(&mut lines, |one, other| other.1.judged.change.0.abs().total_cmp(&one.1.judged.change.0.abs()));
    lines
}

fn noticed(kind: Noticeable) -> Msg {
    match kind {
        Noticeable::NotShown => words::NOTICED_NOT_SHOWN,
        Noticeable::No => words::NOTICED_NO,
        Noticeable::SideBySide => words::NOTICED_SIDE,
        Noticeable::Just => words::NOTICED_JUST,
        Noticeable::Clearly => words::NOTICED_CLEAR,
        Noticeable::TwiceOrHalf => words::NOTICED_HALF,
    }
}

fn support(inputs: &Inputs, answer: &Answer, leading: &Comparison, lead: &Line) -> Vec<Said> {
    let mut said: Vec<Said> = Vec::new();
    match lead.verdict {
        Verdict::TooFew => {
            let bare = lead.judged.spread.is_none();
            said.push(if bare { words::SAY_BARE } else { words::SAY_SHORT }.into());
        }
        _ if lead.judged.hint => said.push(words::SAY_HINT.into()),
        Verdict::CannotTell if lead.room.is_none() => said.push(words::SAY_MORE_RUNS.into()),
        _ => {}
    }
    if lead.what != What::Job && leading.job.as_ref().is_some_and(|job| job.verdict == Verdict::TooFew) {
        let few: Vec<usize> = with_verdict(leading, Verdict::TooFew).into_iter().map(|(place, _)| place).collect();
        if !few.is_empty() {
            said.push(say(words::SAY_JOB_FEW).with("phases", names(inputs, answer, &few)));
        }
    }
    if matches!(lead.verdict, Verdict::Quieter | Verdict::Same) {
        let louder: Vec<usize> = with_verdict(leading, Verdict::Louder).into_iter().map(|(place, _)| place).collect();
        if !louder.is_empty() {
            said.push(say(words::SAY_LOUDER_PHASE).with("phases", names(inputs, answer, &louder)));
        }
    }
    if let Some(gain) = answer.misled {
        said.push(say(words::SAY_MISLED).num("said", Quantity::Gain, gain.0));
    }
    if lead.verdict != Verdict::TooFew && lead.room.is_none() {
        said.extend(answer.noticed.map(|kind| noticed(kind).into()));
        if matches!(lead.verdict, Verdict::Quieter | Verdict::Louder)
            && let Some(loudness) = answer.loudness
        {
            said.push(say(words::SAY_TIMES).num("times", Quantity::Ratio, loudness.times));
        }
    }
    said
}

fn values(inputs: &Inputs, answer: &Answer, lead: &Line) -> Vec<Value> {
    let judged = &lead.judged;
    let quantity = Quantity::Level(inputs.weighting);
    let label = |msg: Msg| say(msg).with("what", called(inputs, answer, lead.what));
    let amount = match judged.spread {
        Some(spread) if !judged.few => Amount::PlusMinus(judged.change.0, spread.half),
        _ => Amount::Exact(judged.change.0),
    };
    let mut change = Value::new("change", label(words::VALUE_CHANGE), Quantity::Gain, amount);
    if let Some(spread) = judged.spread.filter(|_| !judged.few) {
        change = change.noted(match spread.rule {
            Rule::Between => words::NOTE_BETWEEN,
            Rule::Within => words::NOTE_WITHIN,
            Rule::WithinWider => words::NOTE_WIDER,
        });
    }
    let mut values = vec![
        change,
        Value::new("before", label(words::VALUE_BEFORE), quantity, Amount::Exact(judged.before.0)),
        Value::new("after", label(words::VALUE_AFTER), quantity, Amount::Exact(judged.after.0)),
    ];
    if let Some(loudness) = answer.loudness {
        let value = Value::new("loudness", words::VALUE_LOUDNESS, Quantity::Ratio, Amount::Exact(loudness.times));
        values.push(value.noted(words::VALUE_LOUDNESS_NOTE));
    }
    values
}

/// The answer while all runs show the same state: where the sound comes from.
fn baseline(inputs: &Inputs, answer: &Answer) -> Report {
    let quantity = Quantity::Level(inputs.weighting);
    let shares: Vec<(usize, f64)> =
        answer.shares.iter().enumerate().filter_map(|(place, share)| Some((place, share.as_ref()?.0))).collect();
    let largest = shares.iter().copied().reduce(|one, other| if other.1 > one.1 { other } else { one });
    let jobs: Vec<Level> = answer.runs.iter().filter_map(|run| Some(answer.jobs.get(*run)?.as_ref()?.level)).collect();
    let job = levels::energy_mean(&jobs).ok().filter(|_| answer.phases.len() > 1);
    let (loudest, level) = base(answer);
    let headline = match (largest, job) {
        (Some((place, share)), Some(job)) => say(words::HEAD_SHARE)
            .with("what", called(inputs, answer, What::Phase(place)))
            .num("share", Quantity::Share, share)
            .num("level", quantity, job.0),
        _ if answer.phases.len() == 1 => say(words::HEAD_ONE).with("what", called(inputs, answer, loudest)).num("level", quantity, level.0),
        _ => say(words::HEAD_LOUDEST).with("what", called(inputs, answer, loudest)).num("level", quantity, level.0),
    };
    let state = answer.runs.first().and_then(|run| inputs.runs.get(*run)).map_or(Set::Before, |run| run.set);
    let next: Said = if answer.runs.len() > 1 {
        say(words::SAY_WHICH).num("count", Quantity::Count, count_to_f64(answer.runs.len())).with("state", pictures::state(state))
    } else {
        words::ADD_RUN.into()
    };
    let mut report = Report::new(headline.with("next", next));
    let (what, level) = match job {
        Some(job) => (What::Job, job),
        None => (loudest, level),
    };
    let label = say(words::VALUE_LEVEL).with("what", called(inputs, answer, what));
    report.values = vec![Value::new("level", label, quantity, Amount::Exact(level.0))];
    report
}

fn comparison_table(inputs: &Inputs, answer: &Answer, of: &Comparison, id: &'static str, title: Msg) -> Grid {
    let quantity = Quantity::Level(inputs.weighting);
    let start = of.from.first().and_then(|run| inputs.runs.get(*run)).map_or(Set::Before, |run| run.set);
    let title = match title {
        words::TABLE_CHANGES => say(title).with("from", state(start)).with("to", state(of.set)),
        _ => say(title),
    };
    let rows = of.phases.iter().chain(of.job.iter()).map(|line| {
        let name = if line.what == What::Job { words::THE_JOB.into() } else { called(inputs, answer, line.what) };
        let lasts = match line.what {
            What::Phase(place) => answer.phases.get(place).and_then(|counted| counted.lasts),
            What::Job => None,
        };
        GridRow {
            cells: vec![
                name,
                lasts.map_or(Arg::Nothing, |lasts| Arg::Number(Quantity::Duration, lasts)),
                Arg::Number(quantity, line.judged.before.0),
                Arg::Number(quantity, line.judged.after.0),
                change_arg(&line.judged),
                verdict_said(inputs, line.verdict),
                least(line).map_or(Arg::Nothing, |least| Arg::Number(Quantity::Gain, least)),
            ],
            lead: of.lead().is_some_and(|lead| lead.what == line.what),
        }
    });
    let columns = vec![
        Column::words(words::COLUMN_PHASE),
        Column::numbers(words::COLUMN_LASTS, Quantity::Duration),
        Column::numbers(words::COLUMN_FROM, quantity),
        Column::numbers(words::COLUMN_TO, quantity),
        Column::numbers(words::COLUMN_CHANGE, Quantity::Gain),
        Column::words(words::COLUMN_VERDICT),
        Column::numbers(words::COLUMN_LEAST, Quantity::Gain),
    ];
    Grid { id, title, columns, rows: rows.collect() }
}

/// Every phase of every run, as recorded.
fn figures(inputs: &Inputs, answer: &Answer) -> Grid {
    let quantity = Quantity::Level(inputs.weighting);
    let mut rows = Vec::new();
    for (place, counted) in answer.phases.iter().enumerate() {
        for (run, seen) in counted.seen.iter().enumerate() {
            let (Some(seen), Some(of)) = (seen, inputs.runs.get(run)) else { continue };
            let level = |pick: fn(&crate::formulas::series::Summary) -> Level| {
                seen.summary.as_ref().map_or(Arg::Nothing, |summary| Arg::Number(quantity, pick(summary).0))
            };
            let mut cells = vec![
                called(inputs, answer, What::Phase(place)),
                run_name(&of.name),
                level_arg(quantity, &seen.raw),
                level(|summary| summary.l10),
                level(|summary| summary.l50),
                level(|summary| summary.l90),
                level(|summary| summary.max),
                level(|summary| summary.min),
            ];
            let number = |quantity, value: Option<f64>| value.map_or(Arg::Nothing, |value| Arg::Number(quantity, value));
            let summary = seen.summary.as_ref();
            cells.extend([
                number(Quantity::Duration, seen.lasted),
                number(Quantity::Count, summary.map(|summary| f64::from(summary.count))),
                number(Quantity::Share, summary.map(|summary| summary.missing)),
                number(quantity, seen.lasted.and_then(|lasted| levels::exposure_level(seen.raw.level, lasted).ok()).map(|level| level.0)),
            ]);
            rows.push(GridRow { cells, lead: false });
        }
    }
    let levels = [words::COLUMN_LEQ, words::COLUMN_L10, words::COLUMN_L50, words::COLUMN_L90, words::COLUMN_MAX, words::COLUMN_MIN];
    let mut columns = vec![Column::words(words::COLUMN_PHASE), Column::words(words::COLUMN_RUN)];
    columns.extend(levels.into_iter().map(|label| Column::numbers(label, quantity)));
    columns.extend([
        Column::numbers(words::COLUMN_LASTED, Quantity::Duration),
        Column::numbers(words::COLUMN_SAMPLES, Quantity::Count),
        Column::numbers(words::COLUMN_MISSING, Quantity::Share),
        Column::numbers(words::COLUMN_EXPOSURE, quantity),
    ]);
    Grid { id: "figures", title: words::TABLE_FIGURES.into(), columns, rows }
}

fn runs_table(inputs: &Inputs, answer: &Answer) -> Grid {
    let quantity = Quantity::Level(inputs.weighting);
    let mut rows = Vec::new();
    for run in &answer.runs {
        let Some(of) = inputs.runs.get(*run) else { continue };
        let room = answer.rooms.get(*run).and_then(Option::as_ref);
        let job = answer.jobs.get(*run).and_then(Option::as_ref);
        // The worst of its phases decides how good a run is without the room.
        let grades = answer.phases.iter().filter_map(|counted| counted.seen.get(*run)?.as_ref()?.grade);
        let worst = grades.map(grade).reduce(|one, other| if rank(other) > rank(one) { other } else { one });
        let room = room.map_or(Arg::Nothing, |room| Arg::PlusMinus(quantity, room.level.value.0, room.level.half_width));
        let cells = vec![
            run_name(&of.name),
            state(of.set).into(),
            room,
            worst.map_or(Arg::Nothing, |grade| grade.msg().into()),
            job.map_or(Arg::Nothing, |job| level_arg(quantity, job)),
        ];
        rows.push(GridRow { cells, lead: false });
    }
    let columns = vec![
        Column::words(words::COLUMN_RUN),
        Column::words(words::COLUMN_STATE),
        Column::numbers(words::COLUMN_ROOM, quantity),
        Column::words(words::COLUMN_GRADE),
        Column::numbers(words::COLUMN_JOB, quantity),
    ];
    Grid { id: "runs", title: words::TABLE_RUNS.into(), columns, rows }
}

fn grade(apart: Apart) -> Grade {
    match apart {
        Apart::Solid => Grade::Solid,
        Apart::Rough => Grade::Rough,
        Apart::AtMost => Grade::Bound,
        Apart::Nothing => Grade::CannotTell,
    }
}

fn rank(grade: Grade) -> u8 {
    match grade {
        Grade::Solid => 0,
        Grade::Rough => 1,
        Grade::Bound => 2,
        Grade::CannotTell => 3,
    }
}

fn notes(inputs: &Inputs, answer: &Answer) -> Vec<Note> {
    let mut notes = Vec::new();
    if !answer.unread.is_empty() {
        let items = answer.unread.iter().filter_map(|(phase, run)| {
            let (phase, run) = (inputs.phases.get(*phase)?, inputs.runs.get(*run)?);
            Some(say(words::IN_RUN).with("phase", named(&phase.name, words::PHASE_NO)).with("run", run_name(&run.name)).into())
        });
        notes.push(Note::doubt(say(words::DOUBT_UNREAD).with("items", Arg::List(items.collect()))));
    }
    if !answer.twice.is_empty() {
        let runs = answer.twice.iter().filter_map(|run| Some(run_name(&inputs.runs.get(*run)?.name)));
        notes.push(Note::doubt(say(words::DOUBT_TWICE).with("runs", Arg::List(runs.collect()))));
    }
    if let Some(leading) = answer.comparisons.first() {
        notes.extend(of_comparison(inputs, answer, leading));
    }
    if let Some(drift) = &answer.drift {
        let moved: Vec<usize> = [Verdict::Quieter, Verdict::Louder]
            .into_iter()
            .flat_map(|verdict| with_verdict(drift, verdict).into_iter().map(|(place, _)| place))
            .collect();
        notes.push(if moved.is_empty() {
            Note::plain(words::PLAIN_NO_DRIFT)
        } else {
            Note::doubt(say(words::DOUBT_DRIFT).with("phases", names(inputs, answer, &moved)))
        });
    }
    notes.extend(of_the_room(inputs, answer));
    if let Some(plain) = answer.plain {
        let quantity = Quantity::Level(inputs.weighting);
        let run = inputs.runs.get(plain.run).map_or(Arg::Nothing, |run| run_name(&run.name));
        let said = say(words::PLAIN_MEAN).with("phase", called(inputs, answer, What::Phase(plain.place))).with("run", run);
        notes.push(Note::plain(said.num("mean", quantity, plain.mean).num("energy", quantity, plain.energy.0)));
    }
    notes.push(Note::plain(words::PLAIN_METER));
    let quieter = answer.comparisons.first().and_then(Comparison::lead).is_some_and(|lead| lead.verdict == Verdict::Quieter);
    if quieter {
        notes.push(Note::care(words::CARE_WARM));
    }
    notes
}

fn of_comparison(inputs: &Inputs, answer: &Answer, leading: &Comparison) -> Vec<Note> {
    let mut notes = Vec::new();
    let few: Vec<usize> = with_verdict(leading, Verdict::TooFew).into_iter().map(|(place, _)| place).collect();
    let job_few = leading.job.as_ref().is_some_and(|job| job.verdict == Verdict::TooFew);
    if !few.is_empty() && !job_few && leading.lead().is_some_and(|lead| lead.verdict != Verdict::TooFew) {
        notes.push(Note::doubt(say(words::DOUBT_FEW).with("phases", names(inputs, answer, &few))));
    }
    if !leading.partial.is_empty() {
        notes.push(Note::doubt(say(words::DOUBT_PARTIAL).with("phases", names(inputs, answer, &leading.partial))));
    }
    if !answer.grown.is_empty() {
        notes.push(Note::plain(say(words::PLAIN_GROWN).with("phases", names(inputs, answer, &answer.grown))));
    }
    if leading.phases.len() > 1 {
        notes.push(Note::plain(say(words::PLAIN_HOLM).num("count", Quantity::Count, count_to_f64(leading.phases.len()))));
    }
    notes
}

fn of_the_room(inputs: &Inputs, answer: &Answer) -> Vec<Note> {
    let with = |room: Room| -> Vec<usize> {
        let places = answer.phases.iter().enumerate().filter(|(_, counted)| counted.room == room);
        places.map(|(place, _)| place).collect()
    };
    let note = |room: Room, msg: Msg| {
        let places = with(room);
        (!places.is_empty()).then(|| say(msg).with("phases", names(inputs, answer, &places)))
    };
    let mut notes: Vec<Note> = Vec::new();
    notes.extend(note(Room::Partly, words::DOUBT_PARTLY).map(Note::doubt));
    notes.extend(note(Room::Hides, words::DOUBT_HIDES).map(Note::doubt));
    let leading = answer.comparisons.first().map(|leading| leading.phases.as_slice()).unwrap_or_default();
    let moved: Vec<(usize, f64)> = leading
        .iter()
        .filter_map(|line| match line.what {
            What::Phase(place) => Some((place, line.room?.0)),
            What::Job => None,
        })
        .collect();
    if let Some((_, room)) = moved.first() {
        let places: Vec<usize> = moved.iter().map(|(place, _)| *place).collect();
        notes.push(Note::doubt(say(words::DOUBT_ROOM).with("phases", names(inputs, answer, &places)).num(
            "room",
            Quantity::Gain,
            room.abs(),
        )));
    }
    let above: Vec<Arg> = answer
        .phases
        .iter()
        .enumerate()
        .flat_map(|(place, counted)| counted.seen.iter().enumerate().map(move |(run, seen)| (place, run, seen)))
        .filter_map(|(place, run, seen)| {
            let (seen, room) = (seen.as_ref()?, answer.rooms.get(run)?.as_ref()?.level);
            let name = run_name(&inputs.runs.get(run)?.name);
            (seen.raw.level.0 < room.value.0 - room.half_width)
                .then(|| say(words::IN_RUN).with("phase", called(inputs, answer, What::Phase(place))).with("run", name).into())
        })
        .collect();
    if !above.is_empty() {
        notes.push(Note::doubt(say(words::DOUBT_ABOVE).with("items", Arg::List(above))));
    }
    notes.extend(note(Room::Taken, words::PLAIN_TAKEN).map(Note::plain));
    if with(Room::Unknown).len() == answer.phases.len() {
        notes.push(Note::plain(words::PLAIN_ROOM));
    }
    notes
}

fn working(inputs: &Inputs, answer: &Answer) -> Vec<Step> {
    let mut steps = Vec::new();
    steps.extend(work_room(inputs, answer));
    steps.extend(work_job(inputs, answer));
    let Some(lead) = answer.comparisons.first().and_then(Comparison::lead) else { return steps };
    let judged = &lead.judged;
    let what = |msg: Msg| say(msg).with("what", called(inputs, answer, lead.what));
    let mut step = |what: Said, formula, filled, source| steps.push(Step { what, formula, filled, source });
    step(
        what(words::WORK_CHANGE),
        "d = Lafter − Lbefore",
        filled![judged.after.0, " − ", judged.before.0, " = ", judged.change.0],
        &source::ISO_1996_1,
    );
    let Some(spread) = judged.spread else { return steps };
    match spread.rule {
        Rule::Between => step(words::WORK_BETWEEN.into(), "u = √(s1²/n1 + s2²/n2)", filled!["u = ", spread.error], &source::GUM_REPEATED),
        Rule::Within | Rule::WithinWider => {
            step(words::WORK_WITHIN.into(), "u = √(Σ (ui/n1)² + Σ (uk/n2)²)", filled!["u = ", spread.error], &source::GUM);
        }
    }
    step(words::WORK_HALF.into(), "± = t(0.975; ν)·u", filled!["ν = ", spread.dof, ";  ± = ", spread.half], &source::STUDENT_T);
    let room = inputs.same - judged.change.0.abs();
    if room > 0.0 && spread.error > 0.0 {
        step(
            words::WORK_SAME.into(),
            "(margin − |d|)/u > t(0.95; ν)",
            filled!["(", inputs.same, " − ", judged.change.0.abs(), ")/", spread.error, " = ", room / spread.error],
            &source::STUDENT_T,
        );
    }
    steps
}

/// The room taken away, for the first run of the first phase where it is.
fn work_room(inputs: &Inputs, answer: &Answer) -> Option<Step> {
    let (place, counted) = answer.phases.iter().enumerate().find(|(_, counted)| counted.room == Room::Taken)?;
    let (run, seen) = first_seen(counted)?;
    let room = answer.rooms.get(run)?.as_ref()?.level.value;
    let name = inputs.runs.get(run).map_or(Arg::Nothing, |run| run_name(&run.name));
    Some(Step {
        what: say(words::WORK_ROOM).with("phase", called(inputs, answer, What::Phase(place))).with("run", name),
        formula: "L = 10·lg(10^(Lw/10) − 10^(Lroom/10))",
        filled: filled!["10·lg(10^(", seen.raw.level.0, "/10) − 10^(", room.0, "/10)) = ", seen.used.level.0],
        source: &source::ISO_3744,
    })
}

fn first_seen(counted: &Counted) -> Option<(usize, &Seen)> {
    counted.seen.iter().enumerate().find_map(|(run, seen)| Some((run, seen.as_ref()?)))
}

/// The typical job of the first run that has one.
fn work_job(inputs: &Inputs, answer: &Answer) -> Option<Step> {
    if answer.phases.len() < 2 {
        return None;
    }
    let (run, job) = answer.jobs.iter().enumerate().find_map(|(run, job)| Some((run, job.as_ref()?)))?;
    let mut filled = filled!["10·lg[("];
    let mut total = 0.0;
    for (place, counted) in answer.phases.iter().enumerate() {
        let (seen, lasts) = (counted.seen.get(run)?.as_ref()?, counted.lasts?);
        total += lasts;
        filled.extend(filled![if place == 0 { "" } else { " + " }, lasts, "·10^(", seen.used.level.0, "/10)"]);
    }
    filled.extend(filled![")/", total, "] = ", job.level.0]);
    let name = inputs.runs.get(run).map_or(Arg::Nothing, |run| run_name(&run.name));
    Some(Step {
        what: say(words::WORK_JOB).with("run", name),
        formula: "L = 10·lg[Σ Tp·10^(Lp/10) / Σ Tp]",
        filled,
        source: &source::ISO_1996_1,
    })
}

fn hand_over(inputs: &Inputs, answer: &Answer, leading: &Comparison, lead: &Line) -> Vec<HandOver> {
    let judged = &lead.judged;
    let mut draft = inputs.header.clone();
    draft.set(Path::field("before"), hundredth(judged.before.0));
    draft.set(Path::field("after"), hundredth(judged.after.0));
    if let Some(spread) = judged.spread.filter(|_| !judged.few) {
        // One ± for both levels, such that the change keeps its own.
        draft.set(Path::field("pm"), number::tenth((spread.half / std::f64::consts::SQRT_2).max(0.1)));
    }
    let mut links = vec![HandOver { sheet: "louder", label: words::TO_LOUDER.into(), draft }];
    let mut draft = inputs.header.clone();
    let runs = |set: &[usize]| -> Vec<String> {
        let stat = |run: &usize| match lead.what {
            What::Job => answer.jobs.get(*run)?.as_ref().map(|stat| stat.level),
            What::Phase(place) => answer.phases.get(place)?.seen.get(*run)?.as_ref().map(|seen| seen.used.level),
        };
        set.iter().filter_map(stat).map(|level| hundredth(level.0)).collect()
    };
    let (first, second) = (runs(&leading.from), runs(&leading.to));
    draft.set(Path::field("alike"), if first.len() > 1 { first.join(" ") } else { String::new() });
    draft.set(Path::field("alike2"), if second.len() > 1 { second.join(" ") } else { String::new() });
    draft.set(Path::field("want"), number::tenth(within(judged.change.0.abs(), 0.1, 40.0)));
    links.push(HandOver { sheet: "enough", label: words::TO_ENOUGH.into(), draft });
    links
}

/// A level with two digits after its point: run levels differ by less than a tenth.
fn hundredth(value: f64) -> String {
    crate::calc::link::field_text((value * 100.0).round() / 100.0)
}

pub(super) fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
    let letter = |weighting: Weighting| -> Arg {
        say(words::WEIGHTED)
            .with(
                "letter",
                match weighting {
                    Weighting::A => crate::text::common_words::WEIGHTING_A,
                    Weighting::C => crate::text::common_words::WEIGHTING_C,
                    Weighting::Z => crate::text::common_words::WEIGHTING_Z,
                },
            )
            .into()
    };
    let run = |place: &usize| inputs.runs.get(*place).map_or(Arg::Nothing, |run| run_name(&run.name));
    let said = match impossible {
        Impossible::SameLog { first, second } => say(words::REFUSE_SAME_LOG).with("first", run(first)).with("second", run(second)),
        Impossible::AllLeftOut => words::REFUSE_LEFT_OUT.into(),
        Impossible::NothingRead => words::REFUSE_NOTHING_READ.into(),
        Impossible::NothingInCommon => words::REFUSE_NOTHING_SHARED.into(),
        Impossible::Mixed(first, second) => say(words::REFUSE_MIXED).with("first", letter(*first)).with("second", letter(*second)),
        Impossible::Formula(_) => words::REFUSE_FORMULA.into(),
    };
    let paths = match impossible {
        Impossible::SameLog { first, second } => {
            let at = |place: &usize| Some(read::path(Some(RowAt { table: RUNS.key, row: inputs.runs.get(*place)?.row }), RUN_SET));
            [first, second].into_iter().filter_map(at).collect()
        }
        _ => first_entry(inputs).into_iter().collect(),
    };
    Refusal { said, paths }
}

/// The first cell that holds something.
fn first_entry(inputs: &Inputs) -> Option<Path> {
    inputs.phases.iter().find_map(|phase| {
        let (run, _) = inputs.runs.iter().zip(&phase.entries).find(|(_, entry)| **entry != Entry::Empty)?;
        Some(Path { row: Some(RowAt { table: PHASES.key, row: phase.row }), col: Col::Of(run.row) })
    })
}
