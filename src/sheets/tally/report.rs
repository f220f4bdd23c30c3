//! The answer in words.

use super::solve::{Answer, Impossible, Inputs, Lapse, Part, Reach, Silenced, Sure, Target};
use super::words;
use crate::calc::draft::Path;
use crate::calc::link::field_text;
use crate::calc::picture::{Part as Slice, Picture, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::report::{Amount, Column, Filled, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::calc::schema::Key;
use crate::filled;
use crate::formulas::loudness::{Noticeable, Relation};
use crate::formulas::source;
use crate::text::{Arg, Msg, Said, Style, say};
use crate::units::{Gain, Level, PlusMinus, Weighting, count_to_f64};

/// So many names fit into a sentence; more are counted.
const MOST_NAMES: usize = 3;
/// So many parts are drawn apart; the rest are drawn as one.
const MOST_SLICES: usize = 8;
/// A gain below this is said to be small, dB.
const SMALL: f64 = 1.0;
/// A drop beyond this is next to silence for one source, dB.
const NEXT_TO_SILENCE: f64 = 15.0;
/// Closer than this to a source, its near field is doubted, m.
const NEAR_FIELD: f64 = 0.5;
/// A background below this may be the end of a cheap meter's range, dB.
const METER_FLOOR: f64 = 35.0;
/// A level with this part in the variance of the total is worth naming.
const WEIGHTY: f64 = 0.4;
/// From this level on, hearing is mentioned, dB(A).
const HEARING: f64 = 80.0;

pub(super) fn report(inputs: &Inputs, answer: &Answer) -> Report {
    let page = Page { inputs, answer, level: Quantity::Level(inputs.weighting) };
    Report {
        headline: page.headline(),
        support: page.support(),
        values: page.values(),
        tables: page.tables(),
        pictures: vec![page.picture()],
        notes: page.notes(),
        working: page.working(),
        hand_over: page.hand_over(),
    }
}

pub(super) fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
    let level = Quantity::Level(inputs.weighting);
    match (impossible, inputs.background) {
        (Impossible::AllOff, background) => Refusal {
            said: background.map_or_else(
                || words::REFUSE_OFF.into(),
                |background| say(words::REFUSE_OFF_BACK).num("background", level, background.value.0),
            ),
            paths: inputs.named.iter().map(|named| named.run).collect(),
        },
        (Impossible::Formula(_), _) => Refusal { said: words::REFUSE_FORMULA.into(), paths: Vec::new() },
    }
}

struct Page<'a> {
    inputs: &'a Inputs,
    answer: &'a Answer,
    /// The quantity of its levels.
    level: Quantity,
}

impl Page<'_> {
    /// A row's name.
    fn name(&self, source: usize) -> Arg {
        self.inputs.named.get(source).map_or(Arg::Nothing, |named| named.name.clone())
    }

    /// A part's name, saying how many when there are several.
    fn called(&self, part: &Part) -> Arg {
        let name = self.name(part.source);
        match part.each {
            1 => name,
            2 => say(words::ALIKE_TWO).with("name", name).into(),
            each => say(words::ALIKE).with("name", name).num("count", Quantity::Count, f64::from(each)).into(),
        }
    }

    /// The first parts by name, or by their number when they are many.
    fn first(&self, count: usize, counted: Msg) -> Arg {
        if count > MOST_NAMES {
            return say(counted).num("count", Quantity::Count, count_to_f64(count)).into();
        }
        Arg::List(self.answer.parts.iter().take(count).map(|part| self.called(part)).collect())
    }

    fn pm(&self, value: PlusMinus<Level>) -> Arg {
        Arg::PlusMinus(self.level, value.value.0, value.half_width)
    }

    fn headline(&self) -> Said {
        let Some(lead) = self.answer.parts.first() else { return words::EMPTY.into() };
        if let Some(target) = &self.answer.target {
            return self.target_headline(target);
        }
        let start = |msg: Msg| say(msg).with("total", self.pm(self.answer.total)).with("name", self.called(lead));
        let Some(silenced) = &lead.silenced else { return start(words::HEAD_ONLY) };
        let start = |msg: Msg| start(msg).with("gain", gained(silenced.gain.value));
        let small = silenced.gain.value.0 < SMALL;
        match self.answer.background_share {
            _ if self.answer.parts.len() == 1 => start(words::HEAD_ONLY_BACK).num("left", self.level, silenced.left.value.0),
            Some(share) if small && share.value >= 0.5 => start(words::HEAD_BACK).num("share", Quantity::Share, share.value),
            _ if self.answer.tied > 1 => {
                let msg = if self.answer.same { words::HEAD_SAME } else { words::HEAD_CLOSE };
                start(msg).with("names", self.first(self.answer.tied, words::COUNT_SAME))
            }
            _ if small => start(words::HEAD_SMALL),
            _ => start(words::HEAD_START),
        }
    }

    fn target_headline(&self, target: &Target) -> Said {
        let say = |msg: Msg| {
            say(msg).with("total", self.pm(self.answer.total)).num("want", self.level, target.want.0).num(
                "over",
                Quantity::Gain,
                target.over.0,
            )
        };
        match &target.reach {
            Reach::Met => say(words::HEAD_MET),
            Reach::Never(floor) => say(words::HEAD_NEVER).num("floor", self.level, floor.0),
            Reach::Several(count, by) => {
                say(words::HEAD_SEVERAL).with("names", self.first(*count, words::COUNT_LOUDEST)).num("by", Quantity::Gain, by.0)
            }
            Reach::One(singles) => {
                let found = singles.first().and_then(|single| Some((single, self.answer.parts.get(single.part)?)));
                let Some((single, part)) = found else { return say(words::HEAD_MET) };
                say(if part.each > 1 { words::HEAD_ONE_ALIKE } else { words::HEAD_ONE })
                    .with("name", self.called(part))
                    .num("now", self.level, part.one.value.0)
                    .num("most", self.level, single.most.0)
            }
        }
    }

    fn support(&self) -> Vec<Said> {
        let mut support = Vec::new();
        let lead = self.answer.parts.first().and_then(|part| Some((part, part.silenced.as_ref()?)));
        if let Some((part, silenced)) = lead {
            let heard = heard(silenced.heard);
            support.push(match silenced.times {
                Some((times, _)) => {
                    say(words::HEARD_TIMES).with("name", self.called(part)).num("times", Quantity::Ratio, times).with("heard", heard)
                }
                None => say(words::HEARD).with("name", self.called(part)).with("heard", heard),
            });
        }
        match self.answer.sets.as_slice() {
            [pair] => support.push(say(words::BEST_PAIR).num("gain", Quantity::Gain, pair.silenced.gain.value.0)),
            [pair, triple, ..] => support.push(say(words::BEST_SET).num("gain", Quantity::Gain, pair.silenced.gain.value.0).num(
                "more",
                Quantity::Gain,
                triple.silenced.gain.value.0,
            )),
            [] => {}
        }
        support
    }

    fn values(&self) -> Vec<Value> {
        let level = |value: PlusMinus<Level>| Amount::PlusMinus(value.value.0, value.half_width);
        let gain = |value: PlusMinus<Gain>| Amount::PlusMinus(value.value.0, value.half_width);
        let mut total = Value::new("total", words::TOTAL, self.level, level(self.answer.total));
        if self.inputs.background.is_some() {
            total = total.noted(words::TOTAL_HINT);
        }
        let mut values = vec![total];
        if let Some(target) = &self.answer.target {
            let (label, by) = if target.over.0 > 0.0 { (words::OVER, target.over.0) } else { (words::UNDER, -target.over.0) };
            values.push(Value::new("want-gap", label, Quantity::Gain, Amount::PlusMinus(by, self.answer.total.half_width)));
            if let Sure::Down(count, by) = target.sure {
                let label = say(words::SURE_BY).with("names", self.first(count, words::COUNT_LOUDEST));
                values.push(Value::new("want-sure", label, Quantity::Gain, Amount::Exact(by.0)));
            }
        }
        if let Some(part) = self.answer.parts.first() {
            let label = |msg: Msg| say(msg).with("name", self.called(part));
            if let Some(silenced) = &part.silenced {
                let share = Amount::PlusMinus(part.share.value, part.share.half_width);
                values.push(Value::new("lead-share", label(words::SHARE), Quantity::Share, share));
                values.push(Value::new("lead-left", label(words::LEFT), self.level, level(silenced.left)));
                values.push(Value::new("lead-gain", label(words::GAIN), Quantity::Gain, gain(silenced.gain)));
                if let Some((times, _)) = silenced.times {
                    values.push(
                        Value::new("lead-times", label(words::TIMES), Quantity::Ratio, Amount::Exact(times)).noted(words::TIMES_HINT),
                    );
                }
            }
        }
        for set in &self.answer.sets {
            let (id, label) = if set.count == 2 { ("pair-gain", words::PAIR) } else { ("triple-gain", words::TRIPLE) };
            values.push(Value::new(id, label, Quantity::Gain, gain(set.silenced.gain)));
        }
        if let Some(share) = self.answer.background_share {
            let amount = Amount::PlusMinus(share.value, share.half_width);
            values.push(Value::new("background-share", words::BACK_SHARE, Quantity::Share, amount));
        }
        values
    }

    fn tables(&self) -> Vec<Grid> {
        let mut tables = Vec::new();
        tables.extend(self.target_grid());
        let silent: Vec<GridRow> = self
            .answer
            .parts
            .iter()
            .enumerate()
            .filter_map(|(at, part)| Some(self.silent_row(self.called(part), part.silenced.as_ref()?, at < self.answer.tied)))
            .collect();
        if !silent.is_empty() {
            tables.push(self.silent_grid("silent", words::GRID_SILENT, words::COL_SOURCE, silent));
        }
        let sets: Vec<GridRow> =
            self.answer.sets.iter().map(|set| self.silent_row(self.first(set.count, words::COUNT_LOUDEST), &set.silenced, false)).collect();
        if !sets.is_empty() {
            tables.push(self.silent_grid("sets", words::GRID_SETS, words::COL_SETS, sets));
        }
        if !self.answer.running.is_empty() {
            let rows = self.answer.running.iter().filter_map(|running| {
                let part = self.answer.parts.get(running.part)?;
                let name = say(words::RUNNING)
                    .with("name", self.name(part.source))
                    .num("count", Quantity::Count, f64::from(running.count))
                    .num("each", Quantity::Count, f64::from(part.each));
                Some(GridRow { cells: vec![name.into(), self.pm(running.own), self.pm(running.total)], lead: running.count == part.each })
            });
            tables.push(Grid {
                id: "running",
                title: words::GRID_RUNNING.into(),
                columns: vec![
                    Column::words(words::COL_RUNNING),
                    Column::numbers(words::COL_THEY, self.level),
                    Column::numbers(words::COL_ALL, self.level),
                ],
                rows: rows.collect(),
            });
        }
        tables
    }

    fn silent_grid(&self, id: &'static str, title: Msg, names: Msg, rows: Vec<GridRow>) -> Grid {
        Grid {
            id,
            title: title.into(),
            columns: vec![
                Column::words(names),
                Column::numbers(words::COL_LEFT, self.level),
                Column::numbers(words::COL_GAIN, Quantity::Gain),
                Column::words(words::COL_HEARD),
            ],
            rows,
        }
    }

    fn silent_row(&self, name: Arg, silenced: &Silenced, lead: bool) -> GridRow {
        let gain = Arg::PlusMinus(Quantity::Gain, silenced.gain.value.0, silenced.gain.half_width);
        GridRow { cells: vec![name, self.pm(silenced.left), gain, heard_short(silenced.heard).into()], lead }
    }

    fn target_grid(&self) -> Option<Grid> {
        let target = self.answer.target.as_ref()?;
        let row = |part: &Part, most: Level, by: Gain, lead: bool| GridRow {
            cells: vec![self.called(part), Arg::Number(self.level, most.0), Arg::Number(Quantity::Gain, by.0)],
            lead,
        };
        let (title, rows): (Msg, Vec<GridRow>) = match &target.reach {
            Reach::Met | Reach::Never(_) => return None,
            Reach::One(singles) => {
                let rows = singles
                    .iter()
                    .enumerate()
                    .filter_map(|(at, single)| Some(row(self.answer.parts.get(single.part)?, single.most, single.by, at == 0)));
                (words::GRID_ONE, rows.collect())
            }
            Reach::Several(count, by) => {
                let rows = self.answer.parts.iter().take(*count).map(|part| row(part, part.one.value - *by, *by, true));
                (words::GRID_SEVERAL, rows.collect())
            }
        };
        Some(Grid {
            id: "target",
            title: title.into(),
            columns: vec![
                Column::words(words::COL_SOURCE),
                Column::numbers(words::COL_MOST, self.level),
                Column::numbers(words::COL_BY, Quantity::Gain),
            ],
            rows,
        })
    }

    fn picture(&self) -> Picture {
        struct Line {
            name: Arg,
            level: PlusMinus<Level>,
            share: PlusMinus<f64>,
            lead: bool,
        }
        let parts = self.answer.parts.iter().enumerate().map(|(at, part)| Line {
            name: self.called(part),
            level: part.together,
            share: part.share,
            lead: at < self.answer.tied,
        });
        let mut shares: Vec<Line> = parts.collect();
        if let (Some(level), Some(share)) = (self.inputs.background, self.answer.background_share) {
            shares.push(Line { name: words::BACKGROUND.into(), level, share, lead: false });
            crate::units::sort_few(&mut shares, |a, b| b.share.value.total_cmp(&a.share.value));
        }
        let apart = if shares.len() > MOST_SLICES { MOST_SLICES - 1 } else { shares.len() };
        let mut slices: Vec<Slice> =
            shares.iter().take(apart).map(|share| Slice { label: share.name.clone(), size: share.share.value, lead: share.lead }).collect();
        let others = shares.get(apart..).unwrap_or_default();
        if !others.is_empty() {
            let label = say(words::MORE).num("count", Quantity::Count, count_to_f64(others.len())).into();
            let lead = others.iter().all(|share| share.lead);
            slices.push(Slice { label, size: others.iter().map(|share| share.share.value).sum(), lead });
        }
        let rows = shares.iter().map(|share| GridRow {
            cells: vec![
                share.name.clone(),
                self.pm(share.level),
                // All of it is all of it, whatever the level.
                if shares.len() == 1 {
                    Arg::Number(Quantity::Share, share.share.value)
                } else {
                    Arg::PlusMinus(Quantity::Share, share.share.value, share.share.half_width)
                },
            ],
            lead: share.lead,
        });
        Picture {
            id: "shares",
            title: self.picture_title(),
            shape: Shape::Split(slices),
            twin: Grid {
                id: "shares",
                title: words::TWIN.into(),
                columns: vec![
                    Column::words(words::COL_SOURCE),
                    Column::numbers(words::COL_TOGETHER, self.level),
                    Column::numbers(words::COL_SHARE, Quantity::Share),
                ],
                rows: rows.collect(),
            },
        }
    }

    fn picture_title(&self) -> Said {
        let Some(lead) = self.answer.parts.first() else { return words::TWIN.into() };
        let total = |msg: Msg| say(msg).num("total", self.level, self.answer.total.value.0).with("name", self.called(lead));
        let title = match &lead.silenced {
            None => total(words::PICTURE_ONLY),
            Some(silenced) => {
                let msg = if self.answer.tied > 1 && self.answer.same { words::PICTURE_SAME } else { words::PICTURE };
                total(msg)
                    .with("names", self.first(self.answer.tied, words::COUNT_SAME))
                    .num("share", Quantity::Share, lead.share.value)
                    .num("left", self.level, silenced.left.value.0)
            }
        };
        match &self.answer.target {
            None => title,
            Some(target) => say(words::PICTURE_WANT).with("picture", title).num("want", self.level, target.want.0),
        }
    }

    fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        for (lapse, name) in &self.inputs.lapses {
            notes.push(match lapse {
                Lapse::NoLevel => Note::plain(say(words::NOTE_NO_LEVEL).with("name", name.clone())),
                Lapse::BadLevel => Note::doubt(say(words::NOTE_BAD_LEVEL).with("name", name.clone())),
                Lapse::BadCount => Note::doubt(say(words::NOTE_BAD_COUNT).with("name", name.clone())),
                Lapse::BadSpread => Note::doubt(say(words::NOTE_BAD_SPREAD).with("name", name.clone())),
                Lapse::OneDistance => Note::doubt(say(words::NOTE_ONE_DISTANCE).with("name", name.clone())),
            });
        }
        let off = self.inputs.sources.iter().enumerate().filter(|(_, source)| !source.running);
        let off: Vec<Arg> = off.map(|(at, _)| self.name(at)).collect();
        if !off.is_empty() {
            notes.push(Note::plain(say(words::NOTE_OFF).with("names", Arg::List(off))));
        }
        if self.answer.tied > 1 && !self.answer.same {
            notes.push(Note::doubt(say(words::NOTE_CLOSE).with("names", self.first(self.answer.tied, words::COUNT_SAME))));
        }
        notes.extend(self.target_notes());
        notes.extend(self.background_notes());
        notes.extend(self.distance_notes());
        if self.answer.parts.len() > 1 || self.answer.parts.iter().any(|part| part.each > 1) {
            notes.push(Note::plain(words::NOTE_ENERGY));
        }
        notes.extend(self.gains_note());
        notes.extend(self.weighty_note());
        notes.push(Note::plain(words::NOTE_INDEPENDENT));
        if self.inputs.from_readings {
            notes.push(Note::doubt(words::NOTE_LINKED));
        }
        if let Some(half) = self.inputs.whole_meter {
            notes.push(Note::plain(say(words::NOTE_WHOLE).num("half", Quantity::Gain, half)));
        }
        let lead = self.answer.parts.first().and_then(|part| part.silenced.as_ref()?.times);
        if let Some((_, relation)) = lead {
            let low = relation != Relation::SoneRule;
            notes.push(Note::plain(if low { words::NOTE_LOUDNESS_LOW } else { words::NOTE_LOUDNESS }));
        }
        if self.inputs.weighting == Weighting::A && self.answer.total.value.0 >= HEARING {
            notes.push(Note::care(words::NOTE_HEARING));
        }
        notes
    }

    /// Which level to read again first.
    fn weighty_note(&self) -> Option<Note> {
        let (which, share) = self.answer.weightiest.filter(|(_, share)| *share >= WEIGHTY)?;
        let name = match which {
            Some(part) => self.called(self.answer.parts.get(part)?),
            None => words::BACKGROUND.into(),
        };
        Some(Note::plain(say(words::NOTE_WEIGHTY).num("share", Quantity::Share, share).with("name", name)))
    }

    fn gains_note(&self) -> Option<Note> {
        let pair = self.answer.sets.first()?;
        let gain = |at: usize| Some(self.answer.parts.get(at)?.silenced.as_ref()?.gain.value.0);
        Some(Note::plain(say(words::NOTE_GAINS).num("first", Quantity::Gain, gain(0)?).num("second", Quantity::Gain, gain(1)?).num(
            "both",
            Quantity::Gain,
            pair.silenced.gain.value.0,
        )))
    }

    fn target_notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        let Some(target) = &self.answer.target else { return notes };
        if target.unsure {
            notes.push(Note::doubt(words::NOTE_UNSURE));
        }
        notes.push(match target.sure {
            Sure::Met => Note::plain(words::NOTE_SURE_MET),
            Sure::Down(count, by) => {
                Note::plain(say(words::NOTE_SURE).with("names", self.first(count, words::COUNT_LOUDEST)).num("by", Quantity::Gain, by.0))
            }
            Sure::Never => Note::doubt(words::NOTE_SURE_NEVER),
        });
        let lone = match &target.reach {
            Reach::One(singles) => singles.first().map(|single| single.by),
            Reach::Several(_, by) => Some(*by),
            Reach::Never(floor) => {
                notes.push(Note::plain(say(words::NOTE_NEVER).num("floor", self.level, floor.0)));
                None
            }
            Reach::Met => None,
        };
        if let (Some(by), Some((count, spread))) = (lone, target.spread) {
            let msg = match &target.reach {
                _ if by.0 > NEXT_TO_SILENCE => words::NOTE_SILENCE,
                Reach::One(_) => words::NOTE_SPREAD_ONE,
                _ => words::NOTE_SPREAD,
            };
            notes.push(Note::plain(say(msg).num("by", Quantity::Gain, by.0).num("count", Quantity::Count, count_to_f64(count)).num(
                "spread",
                Quantity::Gain,
                spread.0,
            )));
        }
        notes
    }

    fn background_notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        let Some(background) = self.inputs.background else {
            return vec![Note::plain(words::NOTE_NO_BACK)];
        };
        for part in &self.answer.parts {
            if part.together.value <= background.value {
                notes.push(Note::doubt(say(words::NOTE_UNDER).with("name", self.called(part))));
            }
        }
        if background.value.0 < METER_FLOOR {
            notes.push(Note::doubt(say(words::NOTE_FLOOR).num("background", self.level, background.value.0)));
        }
        notes.push(Note::plain(words::NOTE_WITH_ROOM));
        notes
    }

    fn distance_notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        let mut moved_away = false;
        for part in &self.answer.parts {
            let Some((from, to)) = self.inputs.sources.get(part.source).and_then(|source| source.moved) else { continue };
            moved_away |= to > from;
            if from < NEAR_FIELD {
                notes.push(Note::doubt(say(words::NOTE_NEAR).with("name", self.called(part)).num("near", Quantity::Distance, from).num(
                    "change",
                    Quantity::Gain,
                    part.near_change.0,
                )));
            }
        }
        if moved_away {
            notes.push(Note::doubt(words::NOTE_ROOM));
        }
        notes
    }

    fn working(&self) -> Vec<Step> {
        let mut steps = Vec::new();
        let moved = self.answer.parts.iter().filter_map(|part| {
            let source = self.inputs.sources.get(part.source)?;
            Some((source.level.value.0, source.moved?, part.one.value.0))
        });
        let lines = moved.map(|(level, (from, to), one)| filled![level, " − 20·lg(", to, " / ", from, ") = ", one]);
        push_step(&mut steps, words::STEP_DISTANCE, "L(ear) = L(read) − 20·lg(r(ear) / r(read))", lines, &source::FREE_FIELD);
        let alike = self.answer.parts.iter().filter(|part| part.each > 1);
        let lines = alike.map(|part| filled![part.one.value.0, " + 10·lg ", whole(part.each), " = ", part.together.value.0]);
        push_step(&mut steps, words::STEP_ALIKE, "L(n) = L + 10·lg n", lines, &source::ENERGY_BALANCE);

        let total = self.answer.total;
        let levels = || self.answer.parts.iter().map(|part| part.together).chain(self.inputs.background);
        let mut sum = vec![Filled::from("10·lg(")];
        for (at, level) in levels().enumerate() {
            if at > 0 {
                sum.push(" + ".into());
            }
            sum.extend(filled!["10^(", level.value.0, "/10)"]);
        }
        sum.extend(filled![") = ", total.value.0]);
        push_step(&mut steps, words::STEP_SUM, "L = 10·lg Σ 10^(Li/10)", [sum], &source::ISO_1996_1);

        let mut spread = vec![Filled::from("√(")];
        for (at, level) in levels().enumerate() {
            if at > 0 {
                spread.push(" + ".into());
            }
            spread.extend(filled!["(10^((", level.value.0, " − ", total.value.0, ")/10) · ", level.half_width, ")²"]);
        }
        spread.extend(filled![") = ", total.half_width]);
        push_step(&mut steps, words::STEP_SPREAD, "h = √ Σ (10^((Li − L)/10) · hi)²", [spread], &source::GUM);

        if let Some((part, silenced)) = self.answer.parts.first().and_then(|part| Some((part, part.silenced.as_ref()?))) {
            self.lead_steps(&mut steps, part, silenced);
        }
        if let Some(credit) = &self.answer.credit {
            let lines = self.answer.parts.iter().zip(&credit.each).map(|(part, earned)| {
                let name = self.called(part).text(Style::default());
                filled![name, ": ", earned.0]
            });
            let what = match credit.by {
                Some(by) => say(words::STEP_CREDIT_BY).num("by", Quantity::Gain, by.0),
                None => words::STEP_CREDIT.into(),
            };
            push_step(&mut steps, what, "φ(i) = Σ |S|!·(n − |S| − 1)!/n! · (L(S) − L(S and i))", lines, &source::SHAPLEY);
        }
        steps
    }

    fn lead_steps(&self, steps: &mut Vec<Step>, part: &Part, silenced: &Silenced) {
        let total = self.answer.total.value.0;
        let named = |msg: Msg| say(msg).with("name", self.called(part));
        let share = filled!["10^((", part.together.value.0, " − ", total, ")/10) = ", part.share.value];
        push_step(steps, named(words::STEP_SHARE), "s = 10^((Li − L)/10)", [share], &source::ENERGY_BALANCE);
        let gain = filled![total, " − ", silenced.left.value.0, " = ", silenced.gain.value.0];
        push_step(steps, named(words::STEP_GAIN), "C = L − 10·lg Σ(others) 10^(Lk/10)", [gain], &source::ENERGY_BALANCE);
        let (own, rest) = (part.together.half_width, silenced.left.half_width);
        let spread = filled![part.share.value, " · √(", own, "² + ", rest, "²) = ", silenced.gain.half_width];
        push_step(steps, words::STEP_GAIN_SPREAD, "h(C) = s · √(h(source)² + h(others)²)", [spread], &source::GUM);
        if let Some(target) = &self.answer.target
            && let Reach::One(singles) = &target.reach
            && let Some(single) = singles.first()
        {
            let together = part.together.value - single.by;
            let want = filled!["10·lg(10^(", target.want.0, "/10) − 10^(", silenced.left.value.0, "/10)) = ", together.0];
            push_step(steps, named(words::STEP_WANT), "L(max) = 10·lg(10^(wanted/10) − 10^(others/10))", [want], &source::ENERGY_BALANCE);
        }
        if let Some((times, _)) = silenced.times {
            let ratio = filled!["N(", silenced.left.value.0, ") / N(", total, ") = ", times];
            push_step(steps, named(words::STEP_TIMES), "N = 2^((L − 40)/10), below 40: (L/40)^2.642", [ratio], &source::ISO_532_1);
        }
    }

    fn hand_over(&self) -> Vec<HandOver> {
        let mut links = Vec::new();
        let parts = &self.answer.parts;
        let mut fans: Vec<usize> = parts.iter().enumerate().filter(|(_, part)| self.is_fan(part)).map(|(at, _)| at).collect();
        if fans.is_empty() {
            // No name says fan: the loudest is offered all the same.
            fans.push(0);
        }
        for first in fans.iter().take(3).copied() {
            let Some(part) = parts.get(first) else { continue };
            let mut draft = self.inputs.handed.clone();
            let others = fans.iter().copied().filter(|at| *at != first);
            for part in std::iter::once(first).chain(others).filter_map(|at| parts.get(at)) {
                draft.add_filled("fan", &self.row_for(part));
            }
            for (_, part) in parts.iter().enumerate().filter(|(at, _)| !fans.contains(at)) {
                draft.add_filled("other", &self.row_for(part));
            }
            draft.set(Path::field("back"), self.inputs.background_text.clone());
            if let Some(half) = self.inputs.background_stated {
                draft.set(Path::field("backpm"), rounded(half.max(LEAST_PM)));
            }
            let moved = self.inputs.sources.get(part.source).and_then(|source| source.moved);
            let ear = moved.map_or_else(|| draft.get(Path::field("at")).to_owned(), |(_, ear)| field_text(ear));
            draft.set(Path::field("ear"), ear);
            links.push(HandOver { sheet: "swap", label: say(words::HAND_SWAP).with("name", self.name(part.source)), draft });
        }
        if let Some((part, silenced)) = parts.first().and_then(|part| Some((part, part.silenced.as_ref()?))) {
            let draft = self.inputs.handed.clone();
            let draft = draft
                .with(Path::field("before"), written(self.answer.total.value))
                .with(Path::field("after"), written(silenced.left.value));
            links.push(HandOver { sheet: "louder", label: say(words::HAND_LOUDER).with("name", self.called(part)), draft });
        }
        links
    }

    fn is_fan(&self, part: &Part) -> bool {
        let name = self.plain_name(part).to_ascii_lowercase();
        ["fan", "blower", "ventilator"].iter().any(|word| name.contains(word))
    }

    fn plain_name(&self, part: &Part) -> String {
        self.name(part.source).text(Style::default())
    }

    /// A part as the next sheet gets it: as typed, unless it was moved to the ear.
    fn row_for(&self, part: &Part) -> Vec<(Key, String)> {
        let mut cells = vec![("name", self.plain_name(part))];
        let moved = self.inputs.sources.get(part.source).is_some_and(|source| source.moved.is_some());
        let named = self.inputs.named.get(part.source).filter(|_| !moved);
        let stated = named.map_or_else(|| Some(part.one.half_width), |named| named.stated);
        cells.push(("level", named.map_or_else(|| written(part.one.value), |named| named.text.clone())));
        if part.each > 1 {
            cells.push(("each", part.each.to_string()));
        }
        if let Some(half) = stated {
            cells.push(("pm", rounded(half.max(LEAST_PM))));
        }
        cells
    }
}

/// A gain in a sentence; one that would round to nothing is said to be less than what is shown.
fn gained(gain: Gain) -> Arg {
    const LEAST: f64 = 0.1;
    if gain.0 < LEAST / 2.0 {
        say(words::LESS_THAN).num("value", Quantity::Gain, LEAST).into()
    } else {
        Arg::Number(Quantity::Gain, gain.0)
    }
}

/// The next sheet takes no ± below this, dB.
const LEAST_PM: f64 = 0.1;

/// A level as the next sheet gets it, to two digits.
fn written(level: Level) -> String {
    rounded(level.0)
}

/// A number of decibels to two digits.
fn rounded(decibels: f64) -> String {
    field_text((decibels * 100.0).round() / 100.0)
}

/// A step with a line for each of the rows it was done for, if there are any.
fn push_step(
    steps: &mut Vec<Step>,
    what: impl Into<Said>,
    formula: &'static str,
    lines: impl IntoIterator<Item = Vec<Filled>>,
    source: &'static source::Source,
) {
    let mut filled = Vec::new();
    for line in lines {
        if !filled.is_empty() {
            filled.push(Filled::NewLine);
        }
        filled.extend(line);
    }
    if !filled.is_empty() {
        steps.push(Step { what: what.into(), formula, filled, source });
    }
}

fn whole(count: u32) -> String {
    count.to_string()
}

fn heard(heard: Noticeable) -> Msg {
    match heard {
        Noticeable::NotShown => words::HEARD_NOT_SHOWN,
        Noticeable::No => words::HEARD_NO,
        Noticeable::SideBySide => words::HEARD_SIDE,
        Noticeable::Just => words::HEARD_JUST,
        Noticeable::Clearly => words::HEARD_CLEAR,
        Noticeable::TwiceOrHalf => words::HEARD_HALF,
    }
}

fn heard_short(heard: Noticeable) -> Msg {
    match heard {
        Noticeable::NotShown => words::SHORT_NOT_SHOWN,
        Noticeable::No => words::SHORT_NO,
        Noticeable::SideBySide => words::SHORT_SIDE,
        Noticeable::Just => words::SHORT_JUST,
        Noticeable::Clearly => words::SHORT_CLEAR,
        Noticeable::TwiceOrHalf => words::SHORT_HALF,
    }
}
