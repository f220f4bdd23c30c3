//! The words of the answer.

use super::draws::{DRAWS, FOUND};
use super::solve::{self, Answer, Case, Choice, ENOUGH_AIR, FanNow, Inputs, Left, Loudest, Machine, Name, Offer, Rating, Trial, Verdict};
use super::words;
use crate::calc::draft::Path;
use crate::calc::number;
use crate::calc::picture::{Bar, Picture, Role, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::report::{Amount, Column, Filled, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::filled;
use crate::formulas::fans::{CUSTOMARY_DISTANCES, INSTALLED_PENALTY};
use crate::formulas::levels::{count_gain, distance_gain};
use crate::formulas::loudness::Noticeable;
use crate::formulas::source;
use crate::text::{Arg, Msg, Said, Style, say};
use crate::units::{Gain, Level, PlusMinus, Weighting, count_to_f64};

const GAIN: Quantity = Quantity::Gain;

impl Name {
    fn arg(&self, without: Msg) -> Arg {
        if self.typed.is_empty() {
            say(without).num("number", Quantity::Count, count_to_f64(self.number)).into()
        } else {
            Arg::Typed(self.typed.clone())
        }
    }
}

impl Inputs {
    fn level(&self) -> Quantity {
        Quantity::Level(self.weighting)
    }

    fn fan_name(&self, at: usize) -> Arg {
        self.fans.get(at).map_or(Arg::Nothing, |fan| fan.name.arg(words::FAN_N))
    }
}

/// How much louder a replacement is once built in.
fn extra_of(choice: Option<&Choice>) -> Gain {
    match choice.map(|choice| &choice.offer) {
        Some(Offer::Rated(Rating::Sheet { extra, .. } | Rating::Power { extra, .. })) => *extra,
        _ => Gain(INSTALLED_PENALTY.0),
    }
}

impl Choice {
    fn label(&self) -> Arg {
        self.name.arg(words::CHOICE_N)
    }
}

fn pm_level(level: PlusMinus<Level>) -> Amount {
    Amount::PlusMinus(level.value.0, level.half_width)
}

fn pm_gain(gain: PlusMinus<Gain>) -> Amount {
    Amount::PlusMinus(gain.value.0, gain.half_width)
}

/// What [`super::draws`] found for one replacement.
#[derive(Clone, Copy)]
struct Drawn {
    mean: f64,
    low: f64,
    high: f64,
    some: f64,
    heard: f64,
}

/// A name, with how many when there are several.
fn counted(name: Arg, each: u32) -> Arg {
    if each == 1 { name } else { say(words::SEVERAL).num("count", Quantity::Count, f64::from(each)).with("name", name).into() }
}

/// A replacement with all that belongs to it.
#[derive(Clone, Copy)]
struct Tried<'a> {
    trial: &'a Trial,
    choice: &'a Choice,
    /// The reading of the data sheets with the least gain.
    case: &'a Case,
    machine: &'a Machine,
    fan: &'a FanNow,
    drawn: Option<Drawn>,
}

impl Tried<'_> {
    /// The 95 % interval of the drop: drawn when it was, else by first order.
    fn drop_range(&self) -> (f64, f64) {
        self.drawn.map_or_else(|| self.trial.drop_range(), |drawn| (drawn.low, drawn.high))
    }

    /// The drop with how sure it is; an interval when a data sheet gives no distance.
    fn drop(&self) -> Amount {
        if self.trial.cases.len() > 1 {
            let (low, high) = self.drop_range();
            Amount::Between(low, high)
        } else {
            pm_gain(self.case.drop)
        }
    }

    fn said(&self, msg: Msg, inputs: &Inputs) -> Said {
        let level = inputs.level();
        let alike = inputs.fans.get(self.choice.fan).map_or(1, |fan| fan.each);
        let said = say(msg)
            .with("new", counted(self.choice.label(), self.choice.each))
            .with("old", counted(inputs.fan_name(self.choice.fan), alike))
            .num("before", level, self.machine.meter.value.0)
            .num("after", level, self.case.meter.value.0)
            .with("drop", self.drop().arg(GAIN));
        match self.fan.ceiling {
            Some(ceiling) => said.with("ceiling", pm_gain(ceiling).arg(GAIN)),
            None => said.with("ceiling", words::NO_LIMIT),
        }
    }
}

fn tried<'a>(inputs: &'a Inputs, answer: &'a Answer, refined: Option<&[f64]>) -> Vec<Tried<'a>> {
    let refined = refined.filter(|found| found.len() == answer.trials.len() * FOUND);
    let drawn = |at: usize| match refined?.chunks(FOUND).nth(at)? {
        [mean, low, high, some, heard] => Some(Drawn { mean: *mean, low: *low, high: *high, some: *some, heard: *heard }),
        _ => None,
    };
    let one = |(at, trial): (usize, &'a Trial)| {
        let choice = inputs.choices.get(trial.choice)?;
        let case = trial.careful()?;
        let machine = answer.machines.get(case.machine)?;
        Some(Tried { trial, choice, case, machine, fan: machine.fans.get(choice.fan)?, drawn: drawn(at) })
    };
    answer.trials.iter().enumerate().filter_map(one).collect()
}

pub(super) fn report(inputs: &Inputs, answer: &Answer, refined: Option<&[f64]>) -> Report {
    let all = tried(inputs, answer, refined);
    let lead = answer.best.and_then(|best| all.get(best)).copied();
    let Some(machine) = lead.map(|lead| lead.machine).or(answer.machines.first()) else {
        return Report::new(words::EMPTY);
    };
    let Some(asked) = asked(inputs, machine) else { return Report::new(words::EMPTY) };
    let mut report = Report::new(match lead {
        Some(lead) => headline(inputs, &lead),
        None => without_choice(inputs, machine, &asked),
    });
    if let Some(lead) = lead {
        report.support = support(inputs, &lead);
        report.values = values(inputs, &lead);
        report.tables = vec![choices_grid(inputs, &all, &lead), more_grid(inputs, &all, &lead)];
        report.tables.extend(rated_grid(inputs, answer, &all));
    } else {
        report.values = bare_values(inputs, machine, &asked);
    }
    report.tables.push(fans_grid(inputs, machine, lead.map_or(asked.at, |lead| lead.choice.fan)));
    report.pictures = vec![match lead {
        Some(lead) => picture(inputs, &all, &lead),
        None => bare_picture(inputs, machine, &asked),
    }];
    report.notes = notes(inputs, answer, &all, lead.as_ref(), machine);
    report.working = working(inputs, machine, lead.as_ref(), &asked);
    report.hand_over = hand_over(inputs, machine, lead.as_ref());
    report
}

/// The fan the answer is about while no replacement has a level: the one to be replaced, else the first.
fn asked(inputs: &Inputs, machine: &Machine) -> Option<Asked> {
    let choice = inputs.choices.first();
    let at = choice.map_or(0, |choice| choice.fan);
    let each = inputs.fans.get(at)?.each;
    let count = choice.map_or(each, |choice| choice.each);
    Some(Asked { at, now: *machine.fans.get(at)?, name: counted(inputs.fan_name(at), each), count })
}

/// A fan that has no replacement with a level yet.
struct Asked {
    at: usize,
    now: FanNow,
    name: Arg,
    /// How many are to replace it.
    count: u32,
}

fn headline(inputs: &Inputs, lead: &Tried<'_>) -> Said {
    let both = lead.trial.cases.len() > 1;
    let msg = match lead.trial.verdict {
        Verdict::Worth if both => words::HEAD_WORTH_BOTH,
        Verdict::Small if both => words::HEAD_SMALL_BOTH,
        Verdict::Worth => words::HEAD_WORTH,
        Verdict::Small if low_ceiling(inputs, lead.fan) => words::HEAD_SMALL_CEILING,
        Verdict::Small => words::HEAD_SMALL,
        Verdict::Depends => words::HEAD_DEPENDS,
        Verdict::Weak => words::HEAD_WEAK,
        Verdict::NotShown => words::HEAD_NOT_SHOWN,
        Verdict::TooSmall => words::HEAD_TOO_SMALL,
        Verdict::Ceiling => words::HEAD_CEILING,
        Verdict::Louder => words::HEAD_LOUDER,
    };
    let (low, high) = lead.trial.drop_range();
    let said = lead.said(msg, inputs).num("low", GAIN, low).num("high", GAIN, high);
    said.with("share", lead.trial.air_share.map_or(Arg::Nothing, |share| Arg::Number(Quantity::Share, share)))
}

fn verdict_word(verdict: Verdict) -> Msg {
    match verdict {
        Verdict::Worth => words::VERDICT_WORTH,
        Verdict::Small => words::VERDICT_SMALL,
        Verdict::Depends => words::VERDICT_DEPENDS,
        Verdict::Weak => words::VERDICT_WEAK,
        Verdict::NotShown => words::VERDICT_NOT_SHOWN,
        Verdict::TooSmall | Verdict::Ceiling => words::VERDICT_TOO_SMALL,
        Verdict::Louder => words::VERDICT_LOUDER,
    }
}

fn low_ceiling(inputs: &Inputs, fan: &FanNow) -> bool {
    fan.ceiling.is_some_and(|ceiling| ceiling.value < inputs.goal)
}

fn without_choice(inputs: &Inputs, machine: &Machine, asked: &Asked) -> Said {
    let said = |msg| say(msg).with("old", asked.name.clone()).with("before", pm_level(machine.meter).arg(inputs.level()));
    match asked.now.ceiling {
        Some(ceiling) => said(words::HEAD_NO_CHOICE).with("ceiling", pm_gain(ceiling).arg(GAIN)),
        None => said(words::HEAD_NO_CHOICE_ONLY),
    }
}

fn support(inputs: &Inputs, lead: &Tried<'_>) -> Vec<Said> {
    let mut lines: Vec<Said> = Vec::new();
    let noticed = match lead.trial.noticeable {
        Noticeable::NotShown => words::NOTICED_NOT_SHOWN,
        _ if lead.case.drop.value.0 < 0.0 => words::NOTICED_LOUDER,
        Noticeable::No => words::NOTICED_NO,
        Noticeable::SideBySide => words::NOTICED_SIDE,
        Noticeable::Just => words::NOTICED_JUST,
        Noticeable::Clearly => words::NOTICED_CLEAR,
        Noticeable::TwiceOrHalf => words::NOTICED_HALF,
    };
    lines.push(noticed.into());
    if let Some(drawn) = lead.drawn {
        lines.push(
            say(words::CHANCE)
                .with("heard", Amount::chance(drawn.heard).arg(Quantity::Share))
                .with("some", Amount::chance(drawn.some).arg(Quantity::Share)),
        );
    }
    let told = match lead.trial.verdict {
        Verdict::Ceiling => true,
        Verdict::Small => low_ceiling(inputs, lead.fan),
        _ => false,
    };
    if let Some(ceiling) = lead.fan.ceiling.filter(|_| !told) {
        lines.push(say(words::WHEN_SILENT).with("ceiling", pm_gain(ceiling).arg(GAIN)));
    }
    if lead.trial.cases.len() > 1 {
        let (low, high) = lead.trial.drop_range();
        lines.push(say(words::RATED_BOTH).num("low", GAIN, low).num("high", GAIN, high));
    }
    lines.push(match lead.trial.air_share {
        Some(share) => say(words::AIR_ENOUGH).num("share", Quantity::Share, share),
        None => words::AIR_UNKNOWN.into(),
    });
    lines
}

/// How quiet one of so many must be at the ear, and as a rating at 1 m, to gain the goal.
fn quiet(inputs: &Inputs, fan: &FanNow, count: u32, extra: Gain) -> Option<(Level, Level)> {
    let one = fan.allowed? - count_gain(count).ok()?;
    let rating = one - extra - distance_gain(CUSTOMARY_DISTANCES.0, inputs.ear).ok()?;
    Some((one, rating))
}

fn quiet_values(inputs: &Inputs, fan: &FanNow, choice: Option<&Choice>, count: u32) -> Vec<Value> {
    let goal = |msg| say(msg).num("goal", GAIN, inputs.goal.0);
    let extra = extra_of(choice);
    let Some((one, rating)) = quiet(inputs, fan, count, extra) else {
        let value = Value::new("quiet", goal(words::VALUE_QUIET), inputs.level(), Amount::Unknown);
        let ceiling = fan.ceiling.map_or(Arg::Nothing, |ceiling| pm_gain(ceiling).arg(GAIN));
        return vec![value.noted(say(words::VALUE_QUIET_NEVER).with("ceiling", ceiling))];
    };
    vec![
        Value::new("quiet", goal(words::VALUE_QUIET), inputs.level(), Amount::AtMost(one.0)),
        Value::new("rating", goal(words::VALUE_QUIET_SHEET), inputs.level(), Amount::AtMost(rating.0))
            .noted(say(words::VALUE_QUIET_SHEET_NOTE).num("extra", GAIN, extra.0)),
    ]
}

fn ceiling_value(fan: &FanNow) -> Value {
    Value::new("ceiling", words::VALUE_CEILING, GAIN, fan.ceiling.map_or(Amount::Unknown, pm_gain))
}

fn values(inputs: &Inputs, lead: &Tried<'_>) -> Vec<Value> {
    let (level, new) = (inputs.level(), lead.choice.label());
    let named = |msg: Msg| say(msg).with("new", new.clone());
    let (trial, case) = (lead.trial, lead.case);
    let drop = match lead.drawn {
        Some(drawn) => Value::new("drop", words::VALUE_DROP, GAIN, Amount::Between(drawn.low, drawn.high))
            .noted(say(words::VALUE_DROP_DRAWS).num("draws", Quantity::Count, count_to_f64(DRAWS)).num("mean", GAIN, drawn.mean)),
        None => Value::new("drop", words::VALUE_DROP, GAIN, lead.drop()),
    };
    let before = Value::new("before", words::VALUE_BEFORE, level, pm_level(lead.machine.meter));
    let before = match lead.machine.assumed {
        Some(at) => before.noted(say(words::VALUE_BEFORE_ASSUMED).num("distance", Quantity::Distance, at)),
        None => before,
    };
    let mut values =
        vec![before, Value::new("after", named(words::VALUE_AFTER), level, pm_level(case.meter)), drop, ceiling_value(lead.fan)];
    if let Some(drawn) = lead.drawn {
        values.push(Value::new("heard", words::VALUE_HEARD, Quantity::Share, Amount::chance(drawn.heard)));
        values.push(Value::new("some", words::VALUE_SOME, Quantity::Share, Amount::chance(drawn.some)));
    }
    if inputs.back.is_some() {
        values.push(Value::new("alone", words::VALUE_ALONE_BEFORE, level, pm_level(lead.machine.alone)));
        values.push(Value::new("alonenew", named(words::VALUE_ALONE_AFTER), level, pm_level(case.alone)));
        values.push(Value::new("alonedrop", words::VALUE_ALONE_DROP, GAIN, pm_gain(case.alone_drop)));
    }
    if let Some(loudness) = trial.loudness {
        let value = Value::new("loudness", words::VALUE_LOUDNESS, Quantity::Ratio, Amount::Exact(loudness.times));
        values.push(value.noted(words::VALUE_LOUDNESS_NOTE));
    }
    values.extend(quiet_values(inputs, lead.fan, Some(lead.choice), lead.choice.each));
    values.push(Value::new("air", named(words::VALUE_AIR), Quantity::Flow, trial.air.map_or(Amount::Unknown, Amount::Exact)));
    values.push(Value::new("airshare", words::VALUE_AIR_SHARE, Quantity::Share, trial.air_share.map_or(Amount::Unknown, Amount::Exact)));
    let money = trial.per_decibel.map_or(Amount::Unknown, Amount::Exact);
    let money = Value::new("money", words::VALUE_MONEY, Quantity::MoneyPerDecibel, money);
    values.push(match (trial.price, trial.per_decibel) {
        (Some(_), None) => money.noted(words::VALUE_MONEY_NONE),
        (Some(_), Some(_)) if trial.cases.len() > 1 => money.noted(words::VALUE_MONEY_CAREFUL),
        _ => money,
    });
    values
}

fn bare_values(inputs: &Inputs, machine: &Machine, asked: &Asked) -> Vec<Value> {
    let level = inputs.level();
    let mut values = vec![Value::new("before", words::VALUE_BEFORE, level, pm_level(machine.meter))];
    if inputs.back.is_some() {
        values.push(Value::new("alone", words::VALUE_ALONE_BEFORE, level, pm_level(machine.alone)));
    }
    values.push(ceiling_value(&asked.now));
    values.extend(quiet_values(inputs, &asked.now, inputs.choices.first(), asked.count));
    values
}

fn grid(id: &'static str, title: impl Into<Said>, columns: Vec<Column>, rows: Vec<GridRow>) -> Grid {
    Grid { id, title: title.into(), columns, rows }
}

fn choices_grid(inputs: &Inputs, all: &[Tried<'_>], lead: &Tried<'_>) -> Grid {
    let row = |tried: &Tried<'_>| GridRow {
        cells: vec![
            tried.choice.label(),
            Arg::Number(inputs.level(), tried.case.meter.value.0),
            tried.drop().arg(GAIN),
            tried.trial.per_decibel.map_or(Arg::Nothing, |money| Arg::Number(Quantity::MoneyPerDecibel, money)),
        ],
        lead: tried.trial.choice == lead.trial.choice,
    };
    let columns = vec![
        Column::words(words::COLUMN_NAME),
        Column::numbers(words::COLUMN_AFTER, inputs.level()),
        Column::numbers(words::COLUMN_DROP, GAIN),
        Column::numbers(words::COLUMN_MONEY, Quantity::MoneyPerDecibel),
    ];
    grid("choices", words::GRID_CHOICES, columns, all.iter().map(row).collect())
}

fn more_grid(inputs: &Inputs, all: &[Tried<'_>], lead: &Tried<'_>) -> Grid {
    let row = |tried: &Tried<'_>| GridRow {
        cells: vec![
            tried.choice.label(),
            Arg::Number(inputs.level(), tried.case.alone.value.0),
            verdict_word(tried.trial.verdict).into(),
            tried.trial.air_share.map_or(Arg::Nothing, |share| Arg::Number(Quantity::Share, share)),
        ],
        lead: tried.trial.choice == lead.trial.choice,
    };
    let columns = vec![
        Column::words(words::COLUMN_NAME),
        Column::numbers(words::COLUMN_ALONE, inputs.level()),
        Column::words(words::COLUMN_VERDICT),
        Column::numbers(words::COLUMN_AIR, Quantity::Share),
    ];
    grid("more", words::GRID_MORE, columns, all.iter().map(row).collect())
}

/// Both readings of every data sheet that gives no distance.
fn rated_grid(inputs: &Inputs, answer: &Answer, all: &[Tried<'_>]) -> Option<Grid> {
    let distance = |at: f64| Arg::Number(Quantity::Distance, at);
    let mut rows = Vec::new();
    for tried in all.iter().filter(|tried| tried.trial.cases.len() > 1) {
        for case in &tried.trial.cases {
            let fans = answer.machines.get(case.machine).and_then(|machine| machine.assumed);
            let name = match (case.assumed, fans) {
                (Some(new), Some(old)) => say(words::RATED_TWO).with("distance", distance(new)).with("other", distance(old)),
                (Some(new), None) => say(words::RATED_NEW).with("distance", distance(new)),
                (None, Some(old)) => say(words::RATED_FANS).with("distance", distance(old)),
                (None, None) => continue,
            };
            let cells = vec![
                name.with("new", tried.choice.label()).into(),
                Arg::Number(inputs.level(), case.one.value.0),
                Arg::Number(inputs.level(), case.meter.value.0),
                pm_gain(case.drop).arg(GAIN),
            ];
            rows.push(GridRow { cells, lead: false });
        }
    }
    let columns = vec![
        Column::words(words::COLUMN_RATED),
        Column::numbers(words::COLUMN_ONE, inputs.level()),
        Column::numbers(words::COLUMN_AFTER, inputs.level()),
        Column::numbers(words::COLUMN_DROP, GAIN),
    ];
    (!rows.is_empty()).then(|| grid("rated", words::GRID_RATED, columns, rows))
}

fn fans_grid(inputs: &Inputs, machine: &Machine, lead: usize) -> Grid {
    let rows = inputs.fans.iter().zip(&machine.fans).enumerate().map(|(at, (fan, now))| GridRow {
        cells: vec![
            inputs.fan_name(at),
            pm_level(now.together).arg(inputs.level()),
            now.ceiling.map_or(words::NO_LIMIT.into(), |ceiling| pm_gain(ceiling).arg(GAIN)),
            quiet(inputs, now, fan.each, Gain(0.0)).map_or(words::NEVER.into(), |(one, _)| Arg::Number(inputs.level(), one.0)),
        ],
        lead: at == lead,
    });
    let columns = vec![
        Column::words(words::COLUMN_NAME),
        Column::numbers(words::COLUMN_NOW, inputs.level()),
        Column::numbers(words::COLUMN_CEILING, GAIN),
        Column::numbers(say(words::COLUMN_MUST).num("goal", GAIN, inputs.goal.0), inputs.level()),
    ];
    grid("fans", words::GRID_FANS, columns, rows.collect())
}

fn bar(label: Arg, value: f64, range: (f64, f64), role: Role) -> Bar {
    Bar { label, value, range: Some(range).filter(|(low, high)| high > low), bound: false, role }
}

fn around(level: PlusMinus<Level>) -> (f64, f64) {
    (level.value.0 - level.half_width, level.value.0 + level.half_width)
}

fn picture_of(inputs: &Inputs, id: &'static str, title: Said, bars: Vec<Bar>, lines: Vec<(Said, f64)>) -> Picture {
    let level = inputs.level();
    let end = |value: Option<f64>| value.map_or(Arg::Nothing, |value| Arg::Number(level, value));
    let row = |bar: &Bar| GridRow {
        cells: vec![
            bar.label.clone(),
            Arg::Number(level, bar.value),
            end(bar.range.map(|range| range.0)),
            end(bar.range.map(|range| range.1)),
        ],
        lead: bar.role == Role::Before,
    };
    let floor = |(label, value): &(Said, f64)| GridRow {
        cells: vec![label.clone().into(), Arg::Number(level, *value), Arg::Nothing, Arg::Nothing],
        lead: false,
    };
    let columns = vec![
        Column::words(words::COLUMN_WHAT),
        Column::numbers(words::COLUMN_LEVEL, level),
        Column::numbers(words::COLUMN_LOW, level),
        Column::numbers(words::COLUMN_HIGH, level),
    ];
    let rows = bars.iter().map(row).chain(lines.iter().map(floor)).collect();
    let twin = grid("beforeafter", words::TWIN, columns, rows);
    Picture { id, title, shape: Shape::Bars { quantity: level, bars, lines }, twin }
}

fn picture(inputs: &Inputs, all: &[Tried<'_>], lead: &Tried<'_>) -> Picture {
    let before = lead.machine.meter;
    let mut bars = vec![bar(words::BAR_NOW.into(), before.value.0, around(before), Role::Before)];
    for tried in all {
        let (low, high) = tried.drop_range();
        let from = tried.machine.meter.value.0;
        let label = say(words::BAR_WITH).with("new", tried.choice.label());
        bars.push(bar(label.into(), tried.case.meter.value.0, (from - high, from - low), Role::After));
    }
    let floor = |rest: PlusMinus<Level>| (say(words::LINE_FLOOR).with("old", inputs.fan_name(lead.choice.fan)), rest.value.0);
    let lines: Vec<_> = lead.fan.rest.map(floor).into_iter().collect();
    let drop = lead.case.drop;
    let louder = drop.value.0 < 0.0;
    let drop = if louder { PlusMinus::new(Gain(-drop.value.0), drop.half_width) } else { drop };
    let title = match (louder, lead.trial.cases.len()) {
        (true, _) => words::PICTURE_LOUDER,
        (false, 1) => words::PICTURE,
        (false, _) => words::PICTURE_BOTH,
    };
    let title = lead.said(title, inputs);
    let title = Said { args: title.args.into_iter().filter(|(name, _)| *name != "drop").collect(), ..title };
    let drop = if lead.trial.cases.len() > 1 && !louder { lead.drop() } else { pm_gain(drop) };
    picture_of(inputs, "swap", title.with("drop", drop.arg(GAIN)), bars, lines)
}

fn bare_picture(inputs: &Inputs, machine: &Machine, asked: &Asked) -> Picture {
    let level = inputs.level();
    let before = machine.meter;
    let mut bars = vec![bar(words::BAR_NOW.into(), before.value.0, around(before), Role::Before)];
    for (at, now) in machine.fans.iter().enumerate() {
        if let Some(rest) = now.rest {
            let label = say(words::BAR_WITHOUT).with("old", inputs.fan_name(at));
            bars.push(bar(label.into(), rest.value.0, around(rest), Role::Other));
        }
    }
    let said = |msg| say(msg).with("old", asked.name.clone()).num("before", level, before.value.0);
    let title = match asked.now.rest {
        Some(rest) => said(words::PICTURE_ONLY).num("floor", level, rest.value.0),
        None => said(words::PICTURE_BARE),
    };
    picture_of(inputs, "swap", title, bars, Vec::new())
}

fn notes(inputs: &Inputs, answer: &Answer, all: &[Tried<'_>], lead: Option<&Tried<'_>>, machine: &Machine) -> Vec<Note> {
    let mut notes = Vec::new();
    if let Some(lead) = lead {
        verdict_notes(inputs, answer, all, lead, &mut notes);
    }
    for choice in inputs.choices.iter().filter(|choice| choice.offer == Offer::Unrated) {
        notes.push(Note::doubt(say(words::NOTE_UNRATED).with("new", choice.label())));
    }
    notes.extend(inputs.left.iter().map(left_note));
    match inputs.back {
        None => notes.push(Note::doubt(words::NOTE_NO_BACK)),
        Some(back) if back.value > machine.alone.value => notes.push(Note::doubt(words::NOTE_BACK_LOUD)),
        Some(_) => {}
    }
    let several = inputs.choices.iter().any(|choice| lead.is_some_and(|lead| lead.choice.fan != choice.fan));
    if let Some(need) = inputs.need.filter(|_| several) {
        notes.push(Note::doubt(say(words::NOTE_NEED).num("need", Quantity::Flow, need)));
    }
    let lacking = inputs.fans.iter().filter(|fan| matches!(fan.rating, Rating::Sheet { at: None, .. })).count();
    if lacking > 1 {
        notes.push(Note::doubt(words::NOTE_ONE_CUSTOM));
    }
    how_notes(inputs, &mut notes);
    notes
}

fn verdict_notes(inputs: &Inputs, answer: &Answer, all: &[Tried<'_>], lead: &Tried<'_>, notes: &mut Vec<Note>) {
    let worth = matches!(lead.trial.verdict, Verdict::Worth | Verdict::Small);
    if all.len() > 1 && worth {
        notes.push(Note::plain(say(words::NOTE_BEST).with("new", lead.choice.label())));
    }
    if let Some(other) = answer.cheaper.and_then(|at| all.get(at)) {
        let price = other.trial.price.map_or(Arg::Nothing, |price| Arg::Number(Quantity::Money, price));
        notes.push(Note::plain(say(words::NOTE_CHEAPER).with("new", other.choice.label()).with("price", price)));
    }
    for tried in all {
        let new = tried.choice.label();
        if tried.trial.noticeable == Noticeable::NotShown {
            let said = say(words::NOTE_NOT_SHOWN).with("new", new.clone()).with("drop", pm_gain(tried.case.drop).arg(GAIN));
            notes.push(Note::doubt(said));
        }
        match tried.trial.air_share {
            Some(share) if share < 1.0 => {
                let msg = if share < ENOUGH_AIR { words::NOTE_WEAK } else { words::NOTE_WEAK_SOME };
                let said = say(msg).with("new", new.clone()).num("share", Quantity::Share, share);
                notes.push(if share < ENOUGH_AIR { Note::care(said) } else { Note::doubt(said) });
            }
            Some(_) => {}
            None => notes.push(Note::doubt(say(words::NOTE_NO_AIR).with("new", new.clone()))),
        }
        if tried.trial.price.is_none() {
            notes.push(Note::plain(say(words::NOTE_NO_PRICE).with("new", new)));
        }
    }
    let (next, level) = lead.trial.next;
    let next = match next {
        Loudest::Fan(at) => Some(inputs.fan_name(at)),
        Loudest::Other(at) => inputs.others.get(at).map(|other| other.name.arg(words::OTHER_N)),
        Loudest::New => None,
    };
    if let Some(next) = next.filter(|_| lead.case.drop.value.0 > 0.0) {
        notes.push(Note::plain(say(words::NOTE_NEXT).with("next", next).num("level", inputs.level(), level.0)));
    }
    if lead.choice.each > 1 || inputs.fans.iter().any(|fan| fan.each > 1) {
        notes.push(Note::plain(words::NOTE_BEAT));
    }
}

fn left_note(left: &Left) -> Note {
    let said = |msg: Msg, name: &Name, without: Msg| Note::doubt(say(msg).with("row", name.arg(without)));
    match left {
        Left::Fan(name) => said(words::NOTE_LEFT_FAN, name, words::FAN_N),
        Left::Other(name) => said(words::NOTE_LEFT_OTHER, name, words::OTHER_N),
        Left::NoFan(name) => said(words::NOTE_LEFT_CHOICE, name, words::CHOICE_N),
        Left::Speeds(name) => said(words::NOTE_SPEEDS, name, words::FAN_N),
        Left::Bel(name) => said(words::NOTE_BEL, name, words::CHOICE_N),
        Left::Size(name) => said(words::NOTE_SIZE, name, words::CHOICE_N),
    }
}

/// What to know about how levels were come by.
fn how_notes(inputs: &Inputs, notes: &mut Vec<Note>) {
    let offers = inputs.choices.iter().filter_map(|choice| match &choice.offer {
        Offer::Rated(rating) => Some(rating),
        Offer::Same | Offer::Unrated => None,
    });
    let ratings: Vec<&Rating> = inputs.fans.iter().map(|fan| &fan.rating).chain(offers).collect();
    let any = |test: fn(&Rating) -> bool| ratings.iter().any(|rating| test(rating));
    let sheets = any(|rating| matches!(rating, Rating::Sheet { .. } | Rating::Power { .. }));
    if any(|rating| matches!(rating, Rating::Guess(_))) {
        notes.push(Note::doubt(words::NOTE_GUESS));
    }
    if sheets && inputs.weighting != Weighting::A {
        notes.push(Note::doubt(words::NOTE_WEIGHT));
    }
    if sheets {
        notes.push(Note::plain(say(words::NOTE_RATING).num("extra", GAIN, INSTALLED_PENALTY.0)));
    }
    if any(|rating| matches!(rating, Rating::Power { .. })) {
        notes.push(Note::plain(words::NOTE_POWER));
    }
    let changed = |run: f64| (run - 1.0).abs() > 1e-9;
    let same = inputs.choices.iter().any(|choice| choice.offer == Offer::Same);
    if same || inputs.choices.iter().any(|choice| changed(choice.run)) || inputs.fans.iter().any(|fan| changed(fan.run)) {
        notes.push(Note::plain(say(words::NOTE_LAW).num("half", GAIN, inputs.laws.half_width)));
        notes.push(Note::plain(words::NOTE_DUTY));
    }
}

fn step(what: impl Into<Said>, formula: &'static str, filled: Vec<Filled>, source: &'static source::Source) -> Step {
    Step { what: what.into(), formula, filled, source }
}

fn rating_step(inputs: &Inputs, row: Arg, rating: &Rating, run: f64, assumed: Option<f64>, one: Level) -> Option<Step> {
    let speed = inputs.laws.speed;
    match rating {
        Rating::Ear(_) | Rating::Guess(_) => None,
        Rating::Sheet { level, at, extra } => {
            let at = at.or(assumed).unwrap_or(CUSTOMARY_DISTANCES.0);
            let filled =
                filled![level.value.0, " + 20·lg(", at, "/", inputs.ear, ") + ", extra.0, " + ", speed, "·lg(", run, ") = ", one.0];
            let what = say(words::WORK_SHEET).with("row", row);
            Some(step(what, "L = Lr + 20·lg(r/ear) + extra + law·lg(n)", filled, &source::FREE_FIELD))
        }
        Rating::Power { power, extra } => {
            let filled = filled![
                power.value.0,
                " + 10·lg(",
                inputs.stand.factor(),
                "/(4π·",
                inputs.ear,
                "²)) + ",
                extra.0,
                " + ",
                speed,
                "·lg(",
                run,
                ") = ",
                one.0
            ];
            let what = say(words::WORK_POWER).with("row", row);
            Some(step(what, "L = Lw + 10·lg(Q/(4π·ear²)) + extra + law·lg(n)", filled, &source::FREE_FIELD))
        }
    }
}

/// `10·lg(2·10^(41.1/10) + …) = 44.1`.
fn sum_line(parts: &[(Level, u32)], total: Level) -> Vec<Filled> {
    let mut line = filled!["10·lg("];
    for (at, (level, each)) in parts.iter().enumerate() {
        if at > 0 {
            line.push(Filled::from(" + "));
        }
        if *each > 1 {
            line.push(Filled::from(format!("{each}·")));
        }
        line.extend(filled!["10^(", level.0, "/10)"]);
    }
    line.extend(filled![") = ", total.0]);
    line
}

/// What stays when a fan goes, the room last.
fn staying(inputs: &Inputs, machine: &Machine, without: usize) -> Vec<(Level, u32)> {
    let fans = inputs.fans.iter().zip(&machine.fans).enumerate().filter(|(at, _)| *at != without);
    let fans = fans.map(|(_, (fan, now))| (now.one.value, fan.each));
    let others = inputs.others.iter().map(|other| (other.level.value, other.each));
    fans.chain(others).chain(inputs.back.map(|back| (back.value, 1))).collect()
}

fn working(inputs: &Inputs, machine: &Machine, lead: Option<&Tried<'_>>, asked: &Asked) -> Vec<Step> {
    let mut steps = Vec::new();
    for (at, (fan, now)) in inputs.fans.iter().zip(&machine.fans).enumerate() {
        steps.extend(rating_step(inputs, inputs.fan_name(at), &fan.rating, fan.run, machine.assumed, now.one.value));
    }
    let at = lead.map_or(asked.at, |lead| lead.choice.fan);
    let (Some(fan), Some(now)) = (inputs.fans.get(at), machine.fans.get(at)) else { return steps };
    let rest = staying(inputs, machine, at);
    let with = |level: Level, each: u32| -> Vec<(Level, u32)> { [(level, each)].into_iter().chain(rest.iter().copied()).collect() };
    let before = machine.meter.value;
    let line = sum_line(&with(now.one.value, fan.each), before);
    steps.push(step(words::WORK_BEFORE, "L = 10·lg Σ n·10^(Li/10)", line, &source::ISO_1996_1));
    if let Some(lead) = lead {
        steps.extend(lead_steps(inputs, lead, &with(lead.case.one.value, lead.choice.each)));
    }
    if let Some((rest, ceiling)) = now.rest.zip(now.ceiling) {
        let filled = filled![before.0, " − ", rest.value.0, " = ", ceiling.value.0];
        let what = say(words::WORK_CEILING).with("old", inputs.fan_name(at));
        steps.push(step(what, "C = before − 10·lg Σ (the rest)", filled, &source::ENERGY_BALANCE));
    }
    let (count, choice) = lead.map_or((asked.count, inputs.choices.first()), |lead| (lead.choice.each, Some(lead.choice)));
    let extra = extra_of(choice);
    if let (Some((one, rating)), Some(all)) = (quiet(inputs, now, count, extra), now.allowed) {
        let mut filled = filled!["10·lg(10^((", before.0, " − ", inputs.goal.0, ")/10)"];
        if let Some(rest) = now.rest {
            filled.extend(filled![" − 10^(", rest.value.0, "/10)"]);
        }
        filled.extend(filled![") = ", all.0, "\n", all.0, " − 10·lg ", f64::from(count), " = ", one.0]);
        let what = say(words::WORK_ALLOWED).num("count", Quantity::Count, f64::from(count));
        let formula = "L = 10·lg[10^((before − goal)/10) − 10^(rest/10)] − 10·lg n";
        steps.push(step(what, formula, filled, &source::ENERGY_BALANCE));
        let filled = filled![one.0, " − ", extra.0, " − 20·lg(1/", inputs.ear, ") = ", rating.0];
        let what = say(words::WORK_RATED).num("extra", GAIN, extra.0);
        steps.push(step(what, "Lr = L − extra − 20·lg(1/ear)", filled, &source::FREE_FIELD));
    }
    steps
}

fn lead_steps(inputs: &Inputs, lead: &Tried<'_>, after: &[(Level, u32)]) -> Vec<Step> {
    let (case, choice, trial) = (lead.case, lead.choice, lead.trial);
    let before = lead.machine.meter.value;
    let mut steps = Vec::new();
    let law = inputs.fans.get(choice.fan).and_then(|fan| solve::by_law(choice, fan, &inputs.laws).ok());
    match &choice.offer {
        Offer::Rated(rating) => steps.extend(rating_step(inputs, choice.label(), rating, choice.run, case.assumed, case.one.value)),
        Offer::Same => {
            let size = law.map_or(1.0, |law| law.size);
            let filled = filled![
                lead.fan.one.value.0,
                " + ",
                inputs.laws.speed,
                "·lg(",
                choice.run,
                ") + ",
                inputs.laws.size,
                "·lg(",
                size,
                ") = ",
                case.one.value.0
            ];
            let what = say(words::WORK_SAME).with("row", choice.label());
            steps.push(step(what, "L = L0 + law·lg(n/n0) + sizelaw·lg(D/D0)", filled, &source::FAN_SOUND));
        }
        Offer::Unrated => {}
    }
    let line = sum_line(after, case.meter.value);
    steps.push(step(lead.said(words::WORK_AFTER, inputs), "L = 10·lg Σ n·10^(Li/10)", line, &source::ISO_1996_1));
    let filled = filled![before.0, " − ", case.meter.value.0, " = ", case.drop.value.0];
    steps.push(step(words::WORK_DROP, "drop = before − after", filled, &source::ENERGY_BALANCE));
    steps.push(pm_step(inputs, lead));
    if let Some(drawn) = lead.drawn {
        let filled = filled![drawn.mean, "\n", drawn.low, " … ", drawn.high];
        let what = say(words::WORK_DRAWS).num("draws", Quantity::Count, count_to_f64(DRAWS));
        steps.push(step(what, "from y(r) to y(r + 0.95·M), r = 0.025·M", filled, &source::JCGM_101));
    }
    if let Some((air, share)) = trial.air.zip(trial.air_share) {
        let need = air / share;
        let filled = filled![air, " / ", need, " = ", share];
        steps.push(step(words::WORK_AIR, "n·Q·(speed share) / need", filled, &source::FAN_LAWS));
    }
    if let Some((price, money)) = trial.price.zip(trial.per_decibel) {
        let filled = filled![price, " / ", case.drop.value.0, " = ", money];
        steps.push(step(words::WORK_MONEY, "n·price / drop", filled, &source::PROPORTION));
    }
    if let Some(loudness) = trial.loudness {
        let filled = filled![loudness.to_sone.0, " / ", loudness.from_sone.0, " = ", loudness.times];
        steps.push(step(words::WORK_LOUDNESS, "S(after) / S(before)", filled, &source::ISO_532_1));
    }
    steps
}

fn pm_step(inputs: &Inputs, lead: &Tried<'_>) -> Step {
    let parts = lead.case.parts;
    let filled = filled!["√(", parts.rest, "² + ", parts.old, "² + ", parts.new, "²) = ", lead.case.drop.half_width];
    step(lead.said(words::WORK_PM, inputs), "h² = Σ ((share before − share after)·hi)²", filled, &source::GUM)
}

fn hand_over(inputs: &Inputs, machine: &Machine, lead: Option<&Tried<'_>>) -> Vec<HandOver> {
    let start = || inputs.header.clone();
    let mut links = Vec::new();
    if let Some(lead) = lead {
        let (before, after) = (number::tenth(machine.meter.value.0), number::tenth(lead.case.meter.value.0));
        let draft = start().with(Path::field("before"), before).with(Path::field("after"), after);
        links.push(HandOver { sheet: "louder", label: words::TO_LOUDER.into(), draft });

        let mut draft = start();
        if let Some(back) = inputs.back {
            draft.set(Path::field("back"), number::tenth(back.value.0));
        }
        let mut add = |name: String, level: PlusMinus<Level>, each: u32| {
            let mut cells = vec![("name", name), ("level", number::tenth(level.value.0)), ("pm", number::tenth(level.half_width.max(0.1)))];
            if each > 1 {
                cells.push(("each", each.to_string()));
            }
            draft.add_filled("source", &cells);
        };
        for (at, (fan, now)) in inputs.fans.iter().zip(&machine.fans).enumerate() {
            if at == lead.choice.fan {
                add(lead.choice.label().text(Style::default()), lead.case.one, lead.choice.each);
            } else {
                add(inputs.fan_name(at).text(Style::default()), now.one, fan.each);
            }
        }
        for other in &inputs.others {
            add(other.name.arg(words::OTHER_N).text(Style::default()), other.level, other.each);
        }
        links.push(HandOver { sheet: "tally", label: say(words::TO_TALLY).with("new", lead.choice.label()), draft });
    }
    let guessed = inputs.fans.iter().any(|fan| matches!(fan.rating, Rating::Guess(_)));
    if guessed || inputs.left.iter().any(|left| matches!(left, Left::Fan(_))) {
        links.push(HandOver { sheet: "alone", label: words::TO_ALONE.into(), draft: start() });
    }
    links
}

pub(super) fn refuse() -> Refusal {
    Refusal { said: words::REFUSE.into(), paths: Vec::new() }
}
