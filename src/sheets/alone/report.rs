//! The words of the answer.

use super::solve::{Answer, Impossible, Reach, SHIFT};
use super::{Inputs, OFF, ON, words};
use crate::calc::draft::Path;
use crate::calc::number;
use crate::calc::picture::{Bar, Picture, Role, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::read;
use crate::calc::report::{Amount, Column, Filled, Grade, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::filled;
use crate::formulas::levels::{self, Finding};
use crate::formulas::loudness::Noticeable;
use crate::formulas::source;
use crate::sheets::reading::{FINE_PM, Ground, Measured, Used, WHOLE_STEP};
use crate::text::{Arg, Msg, Said, Style, say};
use crate::units::{COVERAGE_95, Gain, Level, ONE_SIDED_95, PlusMinus};

/// A room that drifts by as much or more is worth a warning, dB.
const LARGE_DRIFT: f64 = 2.0;

impl Inputs {
    fn quantity(&self) -> Quantity {
        Quantity::Level(self.weighting)
    }

    /// The part's name, or a word in its place.
    fn part(&self, without_name: Msg) -> Arg {
        if self.part.is_empty() { without_name.into() } else { Arg::Typed(self.part.clone()) }
    }
}

fn pm_level(level: PlusMinus<Level>) -> Amount {
    Amount::PlusMinus(level.value.0, level.half_width)
}

fn amount(level: Finding) -> Amount {
    match level {
        Finding::Value(level) => pm_level(level),
        Finding::AtMost(bound) => Amount::AtMost(bound.0),
        Finding::Unknown => Amount::Unknown,
    }
}

/// The sentence and the lines under it: what the start page shows.
pub(super) fn short(inputs: &Inputs, answer: &Answer) -> Report {
    let head = match answer.grade {
        levels::Grade::Nothing => words::HEAD_NOTHING,
        _ if answer.noticed == Noticeable::NotShown => words::HEAD_TOO_LITTLE,
        _ => words::HEAD_GAINED,
    };
    let headline = say(head).with("part", inputs.part(words::IT)).pm("drop", Quantity::Gain, answer.drop.value.0, answer.drop.half_width);
    let mut report = Report::new(headline.num("most", Quantity::Gain, answer.most.0));
    report.support = support(inputs, answer);
    report
}

pub(super) fn report(inputs: &Inputs, answer: &Answer) -> Report {
    let mut report = short(inputs, answer);
    report.values = values(inputs, answer);
    report.pictures = vec![picture(inputs, answer)];
    report.notes = notes(inputs, answer);
    report.working = working(inputs, answer);
    report.hand_over = hand_over(inputs, answer);
    report
}

fn support(inputs: &Inputs, answer: &Answer) -> Vec<Said> {
    let level = |msg| say(msg).num("apart", Quantity::Gain, answer.drop.value.0);
    let alone = match answer.level {
        Finding::Value(value) => {
            let msg = if answer.grade == levels::Grade::Solid { words::ALONE_SOLID } else { words::ALONE_ROUGH };
            level(msg).with("level", pm_level(value).arg(inputs.quantity()))
        }
        Finding::AtMost(bound) => say(words::ALONE_AT_MOST).num("level", inputs.quantity(), bound.0),
        Finding::Unknown => say(words::ALONE_NOTHING),
    };
    let noticed = match answer.noticed {
        Noticeable::NotShown => words::NOTICED_NOT_SHOWN,
        Noticeable::No => words::NOTICED_NO,
        Noticeable::SideBySide => words::NOTICED_SIDE,
        Noticeable::Just => words::NOTICED_JUST,
        Noticeable::Clearly => words::NOTICED_CLEAR,
        Noticeable::TwiceOrHalf => words::NOTICED_HALF,
    };
    vec![alone, noticed.into()]
}

fn reason(answer: &Answer) -> Msg {
    match (answer.grade, answer.reach) {
        (_, Reach::Nothing) => words::WHY_REACH,
        (levels::Grade::Solid, _) if answer.correction == Some(Gain(0.0)) => words::WHY_VANISHES,
        (levels::Grade::Solid, _) => words::WHY_SOLID,
        (levels::Grade::Rough, _) => words::WHY_ROUGH,
        (levels::Grade::AtMost, _) => words::WHY_AT_MOST,
        (levels::Grade::Nothing, _) if answer.level == Finding::Unknown => words::WHY_NOTHING,
        (levels::Grade::Nothing, _) => words::WHY_NOTHING_BOUND,
    }
}

fn values(inputs: &Inputs, answer: &Answer) -> Vec<Value> {
    let grade = match answer.grade {
        levels::Grade::Solid => Grade::Solid,
        levels::Grade::Rough => Grade::Rough,
        levels::Grade::AtMost => Grade::Bound,
        levels::Grade::Nothing => Grade::CannotTell,
    };
    let drop = Amount::PlusMinus(answer.drop.value.0, answer.drop.half_width);
    let label = say(words::VALUE_ALONE).with("part", inputs.part(words::THE_PART));
    let mut values = vec![
        Value::new("drop", words::VALUE_MOST, Quantity::Gain, drop),
        Value::new("alone", label, inputs.quantity(), amount(answer.level)).graded(grade).noted(reason(answer)),
    ];
    if answer.again.is_some() {
        values.push(Value::new("without", words::VALUE_WITHOUT, inputs.quantity(), pm_level(answer.without)));
    }
    if let Some(loudness) = answer.loudness {
        values.push(
            Value::new("loudness", words::VALUE_LOUDNESS, Quantity::Ratio, Amount::Exact(loudness.times)).noted(words::VALUE_LOUDNESS_NOTE),
        );
    }
    values
}

fn picture(inputs: &Inputs, answer: &Answer) -> Picture {
    let quantity = inputs.quantity();
    let (on, off) = (answer.on.level, answer.without);
    let title = match answer.level {
        Finding::Value(level) => say(words::PICTURE_VALUE).with("level", pm_level(level).arg(quantity)),
        Finding::AtMost(bound) => say(words::PICTURE_AT_MOST).num("level", quantity, bound.0),
        Finding::Unknown => say(words::PICTURE_NOTHING),
    };
    let title = title.with("part", inputs.part(words::IT)).with("on", pm_level(on).arg(quantity)).with("off", pm_level(off).arg(quantity));
    let bar = |label: Msg, level: PlusMinus<Level>, role| Bar {
        label: say(label).with("part", inputs.part(words::THE_PART)).into(),
        value: level.value.0,
        range: (level.half_width > 0.0).then_some((level.value.0 - level.half_width, level.value.0 + level.half_width)),
        bound: false,
        role,
    };
    let mut bars = vec![bar(words::BAR_ON, on, Role::Before), bar(words::BAR_OFF, off, Role::After)];
    match answer.level {
        Finding::Value(level) => bars.push(bar(words::BAR_ALONE, level, Role::Other)),
        Finding::AtMost(bound) => bars.push(Bar { bound: true, ..bar(words::BAR_ALONE, PlusMinus::exact(bound), Role::Other) }),
        Finding::Unknown => {}
    }
    let row = |label: Msg, amount: Amount, lead| GridRow {
        cells: vec![say(label).with("part", inputs.part(words::THE_PART)).into(), amount.arg(quantity)],
        lead,
    };
    let twin = Grid {
        id: "levels",
        title: words::TWIN.into(),
        columns: vec![Column::words(words::COLUMN_WHAT), Column::numbers(words::COLUMN_LEVEL, quantity)],
        rows: vec![
            row(words::BAR_ON, pm_level(on), false),
            row(words::BAR_OFF, pm_level(off), false),
            row(words::BAR_ALONE, amount(answer.level), true),
        ],
    };
    Picture { id: "alone", title, shape: Shape::Bars { quantity, bars, lines: Vec::new() }, twin }
}

fn notes(inputs: &Inputs, answer: &Answer) -> Vec<Note> {
    let quantity = inputs.quantity();
    let mut notes = Vec::new();
    if answer.grade == levels::Grade::Nothing && answer.drop.value.0 < 0.0 {
        notes.push(Note::doubt(words::NOTE_SWAPPED_MAYBE));
    }
    match answer.reach {
        Reach::Nothing => notes.push(Note::doubt(say(words::NOTE_REACH_NOTHING).num("apart", Quantity::Gain, answer.drop.value.0))),
        Reach::BelowThree => notes.push(Note::doubt(words::NOTE_REACH_THREE)),
        Reach::Clear => {}
    }
    if let Some(level) = answer.near_floor {
        let is_clear = matches!(answer.level, Finding::Value(_)) && answer.on.level.value > level;
        let msg = if is_clear { words::NOTE_FLOOR } else { words::NOTE_FLOOR_CLOSE };
        notes.push(Note::doubt(say(msg).num("level", quantity, level.0)));
    }
    if answer.whole {
        let widened = [Some(answer.on), Some(answer.off)].into_iter().flatten().find(|used| used.ground == Ground::WholeNumbers);
        let half = widened.map_or(0.0, |used| used.level.half_width);
        notes.push(Note::doubt(say(words::NOTE_WHOLE).num("half", Quantity::Gain, half)));
    }
    for (measured, used) in each(inputs, answer) {
        if used.ground == Ground::Spread {
            let msg = if measured.single.len() == 2 { words::NOTE_TWO } else { words::NOTE_SPREAD };
            notes.push(Note::doubt(say(msg).num("half", Quantity::Gain, used.level.half_width)));
        }
    }
    if let Some(again) = answer.again {
        let drift = (again.level.value - answer.off.level.value).0.abs();
        let said = |msg| say(msg).num("drift", Quantity::Gain, drift);
        notes.push(if drift >= LARGE_DRIFT { Note::doubt(said(words::NOTE_DRIFT_LARGE)) } else { Note::plain(said(words::NOTE_DRIFT)) });
    }
    if !matches!(answer.level, Finding::Value(_)) {
        notes.push(Note::plain(words::NOTE_CLOSER));
    }
    notes.push(Note::plain(words::NOTE_METER));
    if let (Some(distance), Some(shift)) = (inputs.distance, answer.shift) {
        let said = say(words::NOTE_SHIFT).num("distance", Quantity::Distance, distance).num("shift", Quantity::Gain, shift.0);
        notes.push(Note::plain(said));
    }
    if answer.loud {
        notes.push(Note::care(words::NOTE_HEARING));
    }
    notes
}

/// The readings that were typed, with what was made of them.
fn each<'a>(inputs: &'a Inputs, answer: &Answer) -> Vec<(&'a Measured, Used)> {
    let again = inputs.again.as_ref().zip(answer.again);
    [Some((&inputs.on, answer.on)), Some((&inputs.off, answer.off)), again].into_iter().flatten().collect()
}

fn step(what: impl Into<Said>, formula: &'static str, filled: Vec<Filled>, source: &'static source::Source) -> Step {
    Step { what: what.into(), formula, filled, source }
}

fn working(inputs: &Inputs, answer: &Answer) -> Vec<Step> {
    let mut steps = Vec::new();
    let (on, off) = (answer.on.level, answer.without);
    for ((measured, used), which) in each(inputs, answer).into_iter().zip([words::WHICH_ON, words::WHICH_OFF, words::WHICH_AGAIN]) {
        steps.extend(of_several(measured, used, which));
    }
    if answer.whole {
        let half = each(inputs, answer).into_iter().find(|(_, used)| used.ground == Ground::WholeNumbers);
        let half = half.map_or(0.0, |(_, used)| used.level.half_width);
        steps.push(step(
            words::WORK_WHOLE,
            "± = √(h² + (1.96·step/√12)²)",
            filled!["√(", FINE_PM, "² + (1.96·", WHOLE_STEP, "/√12)²) = ", half],
            &source::GUM_RESOLUTION,
        ));
    }
    if let Some(again) = answer.again {
        let (one, other) = (answer.off.level.value.0, again.level.value.0);
        steps.push(step(
            words::WORK_BRACKET,
            "Lo = 10·lg[(10^(L1/10) + 10^(L2/10))/2];  ± ≥ 1.96·|L1 − L2|/2",
            filled![
                "10·lg[(10^(",
                one,
                "/10) + 10^(",
                other,
                "/10))/2] = ",
                off.value.0,
                "\n",
                "1.96·|",
                one,
                " − ",
                other,
                "|/2 = ",
                COVERAGE_95 * (one - other).abs() / 2.0,
                ";  ± ",
                off.half_width
            ],
            &source::BRACKETING,
        ));
    }
    steps.push(step(
        words::WORK_DROP,
        "d = Lw − Lo;  ± = √(±w² + ±o²)",
        filled![
            on.value.0,
            " − ",
            off.value.0,
            " = ",
            answer.drop.value.0,
            "\n",
            "√(",
            on.half_width,
            "² + ",
            off.half_width,
            "²) = ",
            answer.drop.half_width
        ],
        &source::GUM,
    ));
    match answer.level {
        Finding::Value(level) => steps.extend(of_value(answer, level)),
        Finding::AtMost(bound) => steps.extend(of_bound(answer, bound)),
        Finding::Unknown => {}
    }
    if let Some(loudness) = answer.loudness {
        steps.push(step(
            words::WORK_LOUDNESS,
            "N = 2^((L − 40)/10) from 40 phon;  N = (L/40)^(1/0.35) − 0.0005 below;  No/Nw",
            filled![loudness.to_sone.0, "/", loudness.from_sone.0, " = ", loudness.times],
            &source::ISO_532_1,
        ));
    }
    if let (Some(distance), Some(shift)) = (inputs.distance, answer.shift) {
        steps.push(step(
            words::WORK_SHIFT,
            "ΔL = −20·lg((r − 0.05)/r)",
            filled!["−20·lg(", distance - SHIFT, "/", distance, ") = ", shift.0],
            &source::FREE_FIELD,
        ));
    }
    steps
}

fn of_several(measured: &Measured, used: Used, which: Msg) -> Vec<Step> {
    let count = measured.single.len();
    if count < 2 {
        return Vec::new();
    }
    let mut line = filled!["10·lg[("];
    for (at, level) in measured.single.iter().enumerate() {
        let joint = if at == 0 { "10^(" } else { " + 10^(" };
        line.extend(filled![joint, level.0, "/10)"]);
    }
    line.extend(filled![format!(")/{count}] = "), measured.level.0]);
    let mut steps = vec![step(say(words::WORK_SEVERAL).with("which", which), "L = 10·lg[(1/n)·Σ 10^(Li/10)]", line, &source::ISO_1996_1)];
    if used.ground == Ground::Spread {
        steps.push(step(
            say(words::WORK_SPREAD).with("which", which),
            "± = t(0.975; n − 1)·s/√n",
            filled!["n = ", format!("{count}"), ";  ± = ", used.level.half_width],
            &source::GUM_REPEATED,
        ));
    }
    steps
}

fn of_value(answer: &Answer, level: PlusMinus<Level>) -> Vec<Step> {
    let (on, off, d) = (answer.on.level, answer.without, answer.drop.value.0);
    let k1 = answer.correction.unwrap_or(Gain(0.0)).0;
    let (what, source) = match answer.grade {
        levels::Grade::Solid => (words::WORK_GRADE_SOLID, &source::ISO_3744),
        _ => (words::WORK_GRADE_ROUGH, &source::ISO_3746),
    };
    let line = if k1 > 0.0 {
        filled!["−10·lg(1 − 10^(−", d, "/10)) = ", k1, "\n", on.value.0, " − ", k1, " = ", level.value.0]
    } else {
        filled!["K1 = 0", "\n", on.value.0, " − 0 = ", level.value.0]
    };
    vec![
        step(what, "K1 = −10·lg(1 − 10^(−d/10));  Ls = Lw − K1", line, source),
        step(
            words::WORK_PM,
            "q = 10^(−d/10);  ± = √(±w² + (q·±o)²)/(1 − q)",
            filled!["q = 10^(−", d, "/10)", "\n", "√(", on.half_width, "² + (q·", off.half_width, ")²)/(1 − q) = ", level.half_width],
            &source::GUM,
        ),
    ]
}

fn of_bound(answer: &Answer, bound: Level) -> Vec<Step> {
    let (on, off) = (answer.on.level, answer.without);
    let mut steps = Vec::new();
    let by_rule = answer.correction.filter(|_| answer.grade == levels::Grade::AtMost && answer.reach == Reach::Clear);
    if let Some(k1) = by_rule {
        steps.push(step(
            words::WORK_RULE,
            "Ls ≤ Lw − K1(3 dB)",
            filled![on.value.0, " − ", k1.0, " = ", (on.value - k1).0],
            &source::ISO_3746,
        ));
    }
    let Some(limit) = answer.limit else { return steps };
    steps.push(step(
        words::WORK_LIMIT,
        "10·lg[Ew − Eo + 1.645·(ln 10/10)·√((Ew·uw)² + (Eo·uo)²)]",
        filled![
            "Ew = 10^(",
            on.value.0,
            "/10), uw = ",
            on.standard(),
            "\n",
            "Eo = 10^(",
            off.value.0,
            "/10), uo = ",
            off.standard(),
            "\n",
            "limit = ",
            limit.0
        ],
        &source::UPPER_LIMIT,
    ));
    if bound < limit {
        steps.push(step(
            words::WORK_CAPPED,
            "Ls ≤ Lw + 1.645·uw",
            filled![on.value.0, " + ", ONE_SIDED_95, "·", on.standard(), " = ", bound.0],
            &source::UPPER_LIMIT,
        ));
    } else if let Some(k1) = by_rule {
        steps.push(step(
            words::WORK_BOUND,
            "Ls ≤ max(rule, limit)",
            filled!["max(", (on.value - k1).0, "; ", limit.0, ") = ", bound.0],
            &source::ISO_3746,
        ));
    }
    steps
}

fn hand_over(inputs: &Inputs, answer: &Answer) -> Vec<HandOver> {
    let mut links = Vec::new();
    let start = || inputs.header.clone();
    let (on, off) = (number::tenth(answer.on.level.value.0), number::tenth(answer.without.value.0));
    // A bound is no level to reckon on with: its sum with the rest would be more than was measured.
    if let Finding::Value(level) = answer.level {
        let name = inputs.part(words::STOPPED_PART).text(Style::default());
        let rest = say(words::THE_REST).text(Style::default());
        let row = |name: String, level: PlusMinus<Level>| {
            [("name", name), ("level", number::tenth(level.value.0)), ("pm", number::tenth(level.half_width.max(0.1)))]
        };
        let mut draft = start().with(Path::field("back"), off.clone());
        draft.add_filled("source", &row(name.clone(), level));
        links.push(HandOver { sheet: "tally", label: words::TO_TALLY.into(), draft });
        let mut draft = start();
        draft.add_filled("fan", &row(name, level));
        draft.add_filled("other", &row(rest, answer.without));
        links.push(HandOver { sheet: "swap", label: words::TO_SWAP.into(), draft });
    }
    // The same two readings, to be followed by others: what runs besides is a part of its own.
    let mut draft = start();
    let part = draft.add_filled("part", &[("name", inputs.part(words::STOPPED_PART).text(Style::default()))]);
    let rest = draft.add_filled("part", &[("name", say(words::THE_REST).text(Style::default()))]);
    for (used, with_part) in [(Some(answer.on), true), (Some(answer.off), false), (answer.again, false)] {
        let Some(used) = used else { continue };
        let level = ("level", number::tenth(used.level.value.0));
        let row = draft.add_filled("read", &[level, ("pm", number::tenth(used.level.half_width.max(0.1)))]);
        draft.set(Path::per("read", row, rest), "1");
        if with_part {
            draft.set(Path::per("read", row, part), "1");
        }
    }
    links.push(HandOver { sheet: "on-off", label: words::TO_ON_OFF.into(), draft });
    // One ± for both readings, such that the change keeps its own.
    let each = number::tenth((answer.drop.half_width / std::f64::consts::SQRT_2).max(0.1));
    let draft = start().with(Path::field("before"), on).with(Path::field("after"), off).with(Path::field("pm"), each);
    links.push(HandOver { sheet: "louder", label: words::TO_LOUDER.into(), draft });
    links
}

pub(super) fn refuse(_inputs: &Inputs, impossible: &Impossible) -> Refusal {
    let said = match impossible {
        Impossible::LouderWithout { drop } => say(words::REFUSE_LOUDER).pm("excess", Quantity::Gain, -drop.value.0, drop.half_width),
        Impossible::Formula(_) => words::REFUSE_FORMULA.into(),
    };
    Refusal { said, paths: vec![read::path(None, ON), read::path(None, OFF)] }
}
