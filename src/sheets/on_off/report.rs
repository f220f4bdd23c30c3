//! The words of the answer.

use super::draws::{self, DRAWS, FOUND};
use super::solve::{Answer, Found, HARDLY, Inputs, Item, Lapse, MostGain, Odd, SOLID, Stop};
use super::{MOST_READINGS, READ, words};
use crate::calc::draft::Path;
use crate::calc::link::field_text;
use crate::calc::picture::{Bar, Picture, Role, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::report::{Amount, Column, Filled, Grade, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::calc::schema::Key;
use crate::filled;
use crate::formulas::source;
use crate::text::{Arg, Msg, Said, Style, say};
use crate::units::{Energy, Gain, Level, PlusMinus, count_to_f64};

const GAIN: Quantity = Quantity::Gain;
/// A background below this may be the end of a cheap meter's range, dB.
const METER_FLOOR: f64 = 35.0;
/// A reading with this share of the variance is worth naming.
const WEIGHTY: f64 = 0.4;

pub(super) fn report(inputs: &Inputs, answer: &Answer, refined: Option<&[f64]>) -> Report {
    let refined = refined.filter(|found| found.len() == answer.items.len() * FOUND);
    let page = Page { inputs, answer, refined, level: Quantity::Level(inputs.weighting) };
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

pub(super) fn refuse() -> Refusal {
    Refusal { said: words::REFUSE.into(), paths: Vec::new() }
}

/// What [`super::draws`] found for one item.
#[derive(Clone, Copy)]
struct Drawn {
    /// 95 % of the draws lie between these, dB; the lower end is none when it was lost in some of them.
    low: Option<f64>,
    high: Option<f64>,
    loudest: f64,
}

fn pm_level(level: PlusMinus<Level>) -> Amount {
    Amount::PlusMinus(level.value.0, level.half_width)
}

fn amount(found: Found) -> Amount {
    match found {
        Found::Value(level) => pm_level(level),
        Found::AtMost(level) => Amount::AtMost(level.0),
    }
}

fn pm_gain(gain: PlusMinus<Gain>) -> Amount {
    Amount::PlusMinus(gain.value.0, gain.half_width)
}

struct Page<'a> {
    inputs: &'a Inputs,
    answer: &'a Answer,
    refined: Option<&'a [f64]>,
    /// The quantity of its levels.
    level: Quantity,
}

impl Page<'_> {
    fn drawn(&self, at: usize) -> Option<Drawn> {
        let top = draws::top(&self.answer.levels);
        let decibels = |energy: f64| Energy(energy).to_level().map(|level| level.0 + top.0);
        let set = self.answer.items.get(at)?.set;
        match self.refined?.chunks(FOUND).nth(set)? {
            [low, high, loudest] => Some(Drawn { low: decibels(*low), high: decibels(*high), loudest: *loudest }),
            _ => None,
        }
    }

    /// How loud an item is: the ± by the draws, where there are any.
    fn found(&self, at: usize, item: &Item) -> Amount {
        match item.found {
            Found::AtMost(level) => Amount::AtMost(level.0),
            Found::Value(level) => match self.drawn(at) {
                Some(Drawn { low: Some(low), high: Some(high), .. }) => Amount::PlusMinus(level.value.0, (high - low) / 2.0),
                _ => pm_level(level),
            },
        }
    }

    fn name(&self, column: usize) -> Arg {
        let part = column.checked_sub(1).and_then(|at| self.inputs.parts.get(at));
        part.map_or_else(|| words::ROOM.into(), |part| part.name.clone())
    }

    fn names(&self, columns: impl Iterator<Item = usize>) -> Arg {
        Arg::List(columns.map(|column| self.name(column)).collect())
    }

    /// A part's name, saying how many when there are several.
    fn counted(&self, column: usize, count: u32) -> Arg {
        let name = self.name(column);
        match count {
            0 | 1 => name,
            2 => say(words::BOTH).with("name", name).into(),
            _ => say(words::ALL_OF).with("name", name).num("count", Quantity::Count, f64::from(count)).into(),
        }
    }

    fn called(&self, item: &Item) -> Arg {
        self.sum_name(&item.of)
    }

    fn sum_name(&self, of: &[u32]) -> Arg {
        let mut names: Vec<Arg> =
            of.iter().enumerate().filter(|(_, count)| **count > 0).map(|(at, count)| self.counted(at, *count)).collect();
        if names.len() == 1 { names.pop().unwrap_or(Arg::Nothing) } else { Arg::List(names) }
    }

    /// What is on in a state, in words.
    fn state(&self, counts: &[u32]) -> Arg {
        match self.what_is_on(counts) {
            names @ Arg::List(_) => say(words::SOME_ON).with("names", names).into(),
            all => all,
        }
    }

    /// The same, shorter: the names alone.
    fn what_is_on(&self, counts: &[u32]) -> Arg {
        let parts: Vec<(usize, u32)> = counts.iter().copied().enumerate().skip(1).collect();
        let most = |column: usize| self.answer.most.get(column).copied().unwrap_or(0).max(1);
        if parts.iter().all(|(_, count)| *count == 0) {
            return words::EVERYTHING_OFF.into();
        }
        if parts.iter().all(|(column, count)| *count >= most(*column)) {
            return words::EVERYTHING_ON.into();
        }
        let on = parts.iter().filter(|(_, count)| *count > 0).map(|(column, count)| match most(*column) {
            1 => self.name(*column),
            _ => say(words::SO_MANY).num("count", Quantity::Count, f64::from(*count)).with("name", self.name(*column)).into(),
        });
        Arg::List(on.collect())
    }

    fn number(&self, at: usize) -> Arg {
        Arg::Number(Quantity::Count, self.inputs.readings.get(at).map_or(0.0, |reading| count_to_f64(reading.number)))
    }

    fn numbers(&self, several: &[usize]) -> Arg {
        Arg::List(several.iter().map(|at| self.number(*at)).collect())
    }

    fn reading_name(&self, at: usize) -> Arg {
        let Some(reading) = self.inputs.readings.get(at) else { return Arg::Nothing };
        let msg = if reading.name.is_empty() { words::READING_N } else { words::READING_NAMED };
        say(msg).with("number", self.number(at)).typed("name", reading.name.clone()).with("state", self.what_is_on(&reading.counts)).into()
    }

    /// The parts that were never on.
    fn never(&self) -> impl Iterator<Item = usize> {
        self.answer.groups.iter().filter(|group| group.sums.is_empty()).flat_map(|group| group.parts.iter().copied())
    }

    fn lead(&self) -> Option<&Item> {
        self.answer.items.first()
    }

    fn gain_of(item: &Item) -> Amount {
        match item.gain {
            Some(MostGain::Value(gain)) => pm_gain(gain),
            Some(MostGain::AtMost(gain)) => Amount::AtMost(gain.0),
            None => Amount::Unknown,
        }
    }

    /// The gain in a sentence, without its ±: one that would round to nothing is said to be at most what is shown.
    fn gained(item: &Item) -> Arg {
        const LEAST: f64 = 0.1;
        match item.gain {
            Some(MostGain::Value(gain)) if gain.value.0 >= LEAST / 2.0 => Arg::Number(GAIN, gain.value.0),
            Some(MostGain::Value(_)) => Amount::AtMost(LEAST).arg(GAIN),
            Some(MostGain::AtMost(gain)) => Amount::AtMost(gain.0.max(LEAST)).arg(GAIN),
            None => Arg::Nothing,
        }
    }

    fn share_arg(item: &Item) -> Arg {
        item.share.map_or(Arg::Nothing, |share| Arg::Number(Quantity::Share, share.value))
    }

    fn room_share(&self) -> Option<f64> {
        self.answer.room?.value()?;
        let mut room = vec![0; self.answer.most.len()];
        *room.first_mut()? = 1;
        self.answer.total?;
        Some(self.answer.fit.share(&room, &self.answer.most)?.value)
    }

    fn headline(&self) -> Said {
        let Some(lead) = self.lead() else {
            let room = self.answer.room.map_or(Amount::Unknown, amount);
            return say(words::HEAD_ROOM_ONLY).with("level", room.arg(self.level));
        };
        let start = |msg: Msg| {
            say(msg)
                .with("name", self.called(lead))
                .with("names", self.called(lead))
                .with("level", self.found(0, lead).arg(self.level))
                .with("share", Self::share_arg(lead))
                .with("gain", Self::gained(lead))
        };
        if lead.columns.len() > 1 {
            return match self.answer.offers.first().filter(|offer| offer.resolves) {
                Some(offer) => start(words::HEAD_SUM_NEXT).with("state", self.state(&offer.counts)),
                None => start(words::HEAD_SUM),
            };
        }
        if lead.found.value().is_none() {
            return match &self.answer.odd {
                Odd::None => start(words::HEAD_DROWN),
                Odd::Unclear => start(words::HEAD_CONTRADICT),
                Odd::One(at) => start(words::HEAD_CONTRADICT_AGAIN).with("readings", self.number(*at)),
                Odd::Several(several) => start(words::HEAD_CONTRADICT_AGAIN).with("readings", self.numbers(several)),
            };
        }
        if self.answer.total.is_none() {
            return start(words::HEAD_PARTLY);
        }
        if lead.gain.is_none() {
            return start(words::HEAD_ONLY);
        }
        let back = self.room_share().filter(|share| *share >= 0.5);
        if let Some(back) = back {
            return start(words::HEAD_ROOM).num("back", Quantity::Share, back);
        }
        if self.answer.tied > 1 {
            let tied = self.answer.items.iter().take(self.answer.tied);
            let names = Arg::List(tied.map(|item| self.called(item)).collect());
            return say(words::HEAD_CLOSE)
                .with("names", names)
                .with("level", self.found(0, lead).arg(self.level))
                .with("share", Self::share_arg(lead))
                .with("gain", Self::gained(lead));
        }
        start(words::HEAD_LEAD)
    }

    fn support(&self) -> Vec<Said> {
        let mut support = Vec::new();
        match &self.answer.odd {
            Odd::None => {}
            Odd::One(at) => support.push(say(words::SUPPORT_ODD).with("reading", self.reading_name(*at))),
            Odd::Several(several) => support.push(say(words::SUPPORT_ODDS).with("readings", self.numbers(several))),
            Odd::Unclear => support.push(words::SUPPORT_UNCLEAR.into()),
        }
        let open = self.answer.groups.iter().filter(|group| !group.sums.is_empty());
        let open: Vec<usize> = open.flat_map(|group| group.parts.iter().copied()).collect();
        if !open.is_empty() {
            support.push(say(words::SUPPORT_OPEN).with("names", self.names(open.into_iter())));
        }
        let never: Vec<usize> = self.never().collect();
        if !never.is_empty() {
            support.push(say(words::SUPPORT_NEVER).with("names", self.names(never.into_iter())));
        }
        if let Some(offer) = self.answer.offers.first().filter(|offer| offer.resolves || offer.left < HARDLY) {
            support.push(say(words::SUPPORT_NEXT).with("state", self.state(&offer.counts)));
        }
        if let (Some(lead), Some(drawn)) = (self.lead().filter(|lead| self.is_in_race(lead)), self.drawn(0)) {
            let said = say(words::SUPPORT_CHANCE).with("name", self.called(lead));
            support.push(said.with("chance", Amount::chance(drawn.loudest).arg(Quantity::Share)));
        }
        support
    }

    /// Whether an item can be the loudest of several.
    fn is_in_race(&self, item: &Item) -> bool {
        self.answer.items.len() > 1 && !item.columns.contains(&0)
    }

    fn values(&self) -> Vec<Value> {
        let mut values = Vec::new();
        if let Some(lead) = self.lead() {
            let label = |msg: Msg| say(msg).with("name", self.called(lead));
            let found = Value::new("lead", label(words::VALUE_LEAD), self.level, self.found(0, lead));
            values.push(match lead.found {
                Found::AtMost(_) => {
                    let note = if self.answer.odd == Odd::None { words::BOUND_NOTE } else { words::BOUND_NOTE_ODD };
                    found.graded(Grade::Bound).noted(note)
                }
                Found::Value(level) if level.half_width <= SOLID => found.graded(Grade::Solid),
                Found::Value(_) => found.graded(Grade::Rough),
            });
            if let Some(one) = self.one_of(0, lead).filter(|_| Self::each(lead) > 1) {
                values.push(Value::new("lead-one", words::VALUE_ONE, self.level, pm_level(one)));
            }
            if let Some(share) = lead.share {
                let amount = Amount::PlusMinus(share.value, share.half_width);
                values.push(Value::new("lead-share", label(words::VALUE_SHARE), Quantity::Share, amount));
            }
            if lead.gain.is_some() {
                values.push(Value::new("lead-gain", label(words::VALUE_GAIN), GAIN, Self::gain_of(lead)));
            }
            if let Some(left) = lead.left {
                values.push(Value::new("lead-left", label(words::VALUE_LEFT), self.level, amount(left)));
            }
            if let Some(drawn) = self.drawn(0).filter(|_| self.is_in_race(lead)) {
                let value = Value::new("lead-chance", label(words::VALUE_CHANCE), Quantity::Share, Amount::chance(drawn.loudest));
                values.push(value.noted(say(words::VALUE_CHANCE_NOTE).num("draws", Quantity::Count, count_to_f64(DRAWS))));
            }
        }
        if let Some(total) = self.answer.total {
            let never: Vec<usize> = self.never().collect();
            let label = match never.as_slice() {
                [] => words::VALUE_TOTAL.into(),
                _ => say(words::VALUE_TOTAL_BUT).with("names", self.names(never.iter().copied())),
            };
            values.push(Value::new("total", label, self.level, pm_level(total)));
        }
        if let Some(room) = self.answer.room {
            values.push(Value::new("room", words::VALUE_ROOM, self.level, amount(room)));
        }
        if self.answer.fit.freedom > 0 {
            let squares: f64 = self.answer.fit.residuals.iter().map(|rest| rest.0 * rest.0).sum();
            let typical = (squares / count_to_f64(self.answer.fit.residuals.len())).sqrt();
            let note = say(words::VALUE_FIT_NOTE).num("spare", Quantity::Count, count_to_f64(self.answer.fit.freedom));
            values.push(Value::new("fit", words::VALUE_FIT, GAIN, Amount::Exact(typical)).noted(note));
        }
        values
    }

    fn tables(&self) -> Vec<Grid> {
        let mut tables = Vec::new();
        if !self.answer.items.is_empty() {
            tables.push(self.parts_grid());
        }
        tables.extend(self.sums_grid());
        tables.extend(self.next_grid());
        tables.push(self.fit_grid());
        tables
    }

    fn parts_grid(&self) -> Grid {
        let mut columns = vec![Column::words(words::COL_PART), Column::numbers(words::COL_LEVEL, self.level)];
        columns.push(Column::numbers(words::COL_SHARE, Quantity::Share));
        columns.push(Column::numbers(words::COL_GAIN, GAIN));
        let with_chance = self.refined.is_some() && self.answer.items.len() > 1;
        if with_chance {
            columns.push(Column::numbers(words::COL_CHANCE, Quantity::Share));
        }
        let row = |(at, item): (usize, &Item)| {
            let mut cells = vec![self.called(item), self.found(at, item).arg(self.level)];
            cells.push(item.share.map_or(Arg::Nothing, |share| Arg::PlusMinus(Quantity::Share, share.value, share.half_width)));
            cells.push(Self::gain_of(item).arg(GAIN));
            if with_chance {
                cells.push(
                    self.drawn(at)
                        .filter(|_| self.is_in_race(item))
                        .map_or(Arg::Nothing, |drawn| Amount::chance(drawn.loudest).arg(Quantity::Share)),
                );
            }
            GridRow { cells, lead: at < self.answer.tied }
        };
        let rows = self.answer.items.iter().enumerate().map(row).collect();
        Grid { id: "parts", title: words::GRID_PARTS.into(), columns, rows }
    }

    /// How many alike an item is.
    fn each(item: &Item) -> u32 {
        if item.columns.len() == 1 { item.of.iter().sum() } else { 1 }
    }

    /// One of several alike; the ± is that of all.
    fn one_of(&self, at: usize, item: &Item) -> Option<PlusMinus<Level>> {
        let Amount::PlusMinus(level, half_width) = self.found(at, item) else { return None };
        (item.columns.len() == 1).then(|| PlusMinus::new(Level(level - 10.0 * f64::from(Self::each(item)).log10()), half_width))
    }

    fn sums_grid(&self) -> Option<Grid> {
        let sums = self.answer.groups.iter().flat_map(|group| &group.sums).filter_map(|sum| Some((sum, self.answer.fit.level(sum)?)));
        let rows: Vec<GridRow> =
            sums.map(|(sum, level)| GridRow { cells: vec![self.sum_name(sum), pm_level(level).arg(self.level)], lead: false }).collect();
        let columns = vec![Column::words(words::COL_PART), Column::numbers(words::COL_TOGETHER, self.level)];
        (!rows.is_empty()).then(|| Grid { id: "sums", title: words::GRID_SUMS.into(), columns, rows })
    }

    fn next_grid(&self) -> Option<Grid> {
        if self.answer.offers.is_empty() {
            return None;
        }
        let rows = self.answer.offers.iter().enumerate().map(|(at, offer)| {
            let msg = if offer.resolves { words::TELLS_NEW } else { words::TELLS_MORE };
            let half = |value: f64| if offer.resolves { Arg::Nothing } else { Arg::Number(GAIN, value) };
            let cells =
                vec![self.state(&offer.counts), say(msg).with("name", self.name(offer.part)).into(), half(offer.before), half(offer.after)];
            GridRow { cells, lead: at == 0 }
        });
        Some(Grid {
            id: "next",
            title: words::GRID_NEXT.into(),
            columns: vec![
                Column::words(words::COL_STATE),
                Column::words(words::COL_TELLS),
                Column::numbers(words::COL_BEFORE, GAIN),
                Column::numbers(words::COL_AFTER, GAIN),
            ],
            rows: rows.collect(),
        })
    }

    fn fit_grid(&self) -> Grid {
        let odd = |at: usize| match &self.answer.odd {
            Odd::One(only) => at == *only,
            Odd::Several(several) => several.contains(&at),
            Odd::None | Odd::Unclear => false,
        };
        let rows = self.answer.levels.iter().zip(&self.answer.fit.residuals).zip(&self.answer.left_out).enumerate();
        let rows = rows.map(|(at, ((level, off), left))| GridRow {
            cells: vec![
                self.reading_name(at),
                pm_level(*level).arg(self.level),
                Arg::Number(GAIN, off.0),
                left.others.map_or(Arg::Nothing, |others| pm_level(others).arg(self.level)),
            ],
            lead: odd(at),
        });
        Grid {
            id: "fit",
            title: words::GRID_FIT.into(),
            columns: vec![
                Column::words(words::COL_READING),
                Column::numbers(words::COL_READ, self.level),
                Column::numbers(words::COL_OFF, GAIN),
                Column::numbers(words::COL_OTHERS, self.level),
            ],
            rows: rows.collect(),
        }
    }

    fn picture(&self) -> Picture {
        let bar = |label: Arg, amount: Amount, role: Role| {
            let (value, range, bound) = match amount {
                Amount::PlusMinus(value, half) => (value, (half > 0.0).then_some((value - half, value + half)), false),
                Amount::AtMost(value) => (value, None, true),
                _ => return None,
            };
            Some(Bar { label, value, range, bound, role })
        };
        let role = |at: usize| if at < self.answer.tied { Role::Before } else { Role::Other };
        let items = || self.answer.items.iter().enumerate();
        let mut bars: Vec<Bar> = items().filter_map(|(at, item)| bar(self.called(item), self.found(at, item), role(at))).collect();
        let mut rows: Vec<GridRow> = items()
            .map(|(at, item)| GridRow {
                cells: vec![self.called(item), self.found(at, item).arg(self.level), Self::share_arg(item)],
                lead: at < self.answer.tied,
            })
            .collect();
        if let Some(room) = self.answer.room {
            let amount = amount(room);
            bars.extend(bar(words::ROOM.into(), amount, Role::Other));
            let share = self.room_share().map_or(Arg::Nothing, |share| Arg::Number(Quantity::Share, share));
            rows.push(GridRow { cells: vec![words::ROOM.into(), amount.arg(self.level), share], lead: self.answer.items.is_empty() });
        }
        let lines = self.answer.total.filter(|_| !self.answer.items.is_empty());
        let lines =
            lines.map(|total| (say(words::LINE_TOTAL).num("level", self.level, total.value.0), total.value.0)).into_iter().collect();
        Picture {
            id: "parts",
            title: self.picture_title(),
            shape: Shape::Bars { quantity: self.level, bars, lines },
            twin: Grid {
                id: "levels",
                title: words::TWIN.into(),
                columns: vec![
                    Column::words(words::COL_PART),
                    Column::numbers(words::COL_LEVEL, self.level),
                    Column::numbers(words::COL_SHARE, Quantity::Share),
                ],
                rows,
            },
        }
    }

    fn picture_title(&self) -> Said {
        let Some(lead) = self.lead() else {
            let room = self.answer.room.map_or(Amount::Unknown, amount);
            return say(words::PICTURE_ROOM).with("level", room.arg(self.level));
        };
        let level = self.found(0, lead).arg(self.level);
        if lead.columns.len() > 1 {
            return say(words::PICTURE_SUM).with("names", self.called(lead)).with("level", level);
        }
        match (lead.share, self.answer.total) {
            (Some(share), Some(total)) => say(words::PICTURE)
                .with("name", self.called(lead))
                .with("level", level)
                .num("share", Quantity::Share, share.value)
                .with("total", pm_level(total).arg(self.level)),
            _ => say(words::PICTURE_PLAIN).with("name", self.called(lead)).with("level", level),
        }
    }

    fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        for (lapse, number) in &self.inputs.lapses {
            let said = |msg: Msg| say(msg).num("number", Quantity::Count, count_to_f64(*number));
            notes.push(match lapse {
                Lapse::NoLevel => Note::plain(said(words::NOTE_NO_LEVEL)),
                Lapse::BadLevel => Note::doubt(said(words::NOTE_BAD_LEVEL)),
                Lapse::BadCount => Note::doubt(said(words::NOTE_BAD_COUNT)),
                Lapse::BadSpread => Note::doubt(said(words::NOTE_BAD_SPREAD)),
            });
        }
        self.open_notes(&mut notes);
        self.fit_notes(&mut notes);
        for (at, item) in self.answer.items.iter().enumerate() {
            if matches!(item.found, Found::AtMost(_)) && self.answer.odd == Odd::None {
                let level = self.found(at, item).arg(self.level);
                notes.push(Note::doubt(say(words::NOTE_BOUND).with("name", self.called(item)).with("level", level)));
            }
        }
        self.next_notes(&mut notes);
        if let Some(reading) = self.inputs.readings.iter().find(|reading| reading.whole_meter) {
            notes.push(Note::plain(say(words::NOTE_WHOLE).num("half", GAIN, reading.level.half_width)));
        }
        let quietest = self.inputs.readings.iter().map(|reading| reading.level.value.0).fold(f64::INFINITY, f64::min);
        if quietest < METER_FLOOR {
            notes.push(Note::doubt(say(words::NOTE_FLOOR).num("level", self.level, quietest)));
        }
        notes.push(Note::plain(words::NOTE_METER));
        notes.push(Note::plain(words::NOTE_LOUDEST));
        notes
    }

    /// What the readings do not tell.
    fn open_notes(&self, notes: &mut Vec<Note>) {
        let never: Vec<usize> = self.never().collect();
        if !never.is_empty() {
            notes.push(Note::doubt(say(words::NOTE_NEVER).with("names", self.names(never.into_iter()))));
        }
        for group in self.answer.groups.iter().filter(|group| !group.sums.is_empty()) {
            let parts = || group.parts.iter().copied();
            let (msg, names) = match (parts().any(|part| part == 0), group.sums.len()) {
                (true, 1) => (words::NOTE_ALWAYS, self.names(parts().filter(|part| *part > 0))),
                (false, 1) => (words::NOTE_TOGETHER, self.names(parts())),
                _ => (words::NOTE_MIXED, self.names(parts())),
            };
            notes.push(Note::doubt(say(msg).with("names", names)));
        }
        let all_off = self.answer.runs.iter().any(|run| run.iter().skip(1).all(|count| *count == 0));
        if !all_off && self.answer.room.is_some() {
            notes.push(Note::doubt(words::NOTE_NO_OFF));
        }
    }

    /// Whether the readings agree.
    fn fit_notes(&self, notes: &mut Vec<Note>) {
        let fit = &self.answer.fit;
        if fit.freedom == 0 {
            notes.push(Note::doubt(words::NOTE_NO_SPARE));
        } else if self.answer.odd == Odd::None {
            notes.push(Note::plain(words::NOTE_AGREE));
        } else {
            let said = say(words::NOTE_WIDENED).with("chance", Amount::chance(fit.agreement).arg(Quantity::Share));
            notes.push(Note::doubt(said.num("times", Quantity::Ratio, fit.widened)));
        }
        if let Odd::One(at) = self.answer.odd
            && let (Some(level), Some(left)) = (self.answer.levels.get(at), self.answer.left_out.get(at))
            && let Some(others) = left.others
        {
            let msg = if level.value > others.value { words::NOTE_ODD_ABOVE } else { words::NOTE_ODD_BELOW };
            let said = say(msg).with("reading", self.number(at)).num("read", self.level, level.value.0);
            notes.push(Note::doubt(said.with("others", pm_level(others).arg(self.level))));
        }
        if let Odd::Several(several) = &self.answer.odd
            && let [first, second, ..] = several.as_slice()
            && self.answer.runs.get(*first) == self.answer.runs.get(*second)
            && let (Some(a), Some(b)) = (self.answer.levels.get(*first), self.answer.levels.get(*second))
        {
            let said = say(words::NOTE_SAME_STATE).with("first", self.number(*first)).with("second", self.number(*second));
            notes.push(Note::doubt(said.num("apart", GAIN, (a.value - b.value).0.abs())));
        }
        if let Some((more, less, drop)) = self.answer.lower {
            let said = say(words::NOTE_LOWER).with("first", self.number(more)).with("second", self.number(less));
            notes.push(Note::doubt(said.with("drop", pm_gain(drop).arg(GAIN))));
        }
        if let (Some((at, share)), Some(lead)) =
            (self.answer.weightiest.filter(|(_, share)| *share >= WEIGHTY && fit.freedom > 0), self.lead())
        {
            let said = say(words::NOTE_WEIGHTIEST).num("share", Quantity::Share, share).with("name", self.called(lead));
            notes.push(Note::plain(said.with("reading", self.number(at))));
        }
    }

    /// What to know about the readings offered.
    fn next_notes(&self, notes: &mut Vec<Note>) {
        match self.answer.offers.first() {
            None => notes.push(Note::plain(words::NOTE_ALL_READ)),
            Some(offer) if !offer.resolves && offer.left >= HARDLY => notes.push(Note::plain(words::NOTE_HARDLY)),
            Some(_) => {}
        }
        let parts = |test: &dyn Fn(usize, &super::solve::Part) -> bool| -> Vec<usize> {
            self.inputs.parts.iter().enumerate().filter(|(at, part)| test(at + 1, part)).map(|(at, _)| at + 1).collect()
        };
        let kept = parts(&|_, part| part.stop == Stop::Keep && part.guessed);
        if !kept.is_empty() {
            notes.push(Note::plain(say(words::NOTE_KEPT).with("names", self.names(kept.into_iter()))));
        }
        let off = |column: usize| self.answer.offers.iter().any(|offer| offer.counts.get(column) == Some(&0));
        let stopped = parts(&|column, part| part.stop == Stop::Keep && off(column));
        if !stopped.is_empty() {
            notes.push(Note::care(say(words::NOTE_KEPT_OFF).with("names", self.names(stopped.into_iter()))));
        }
        let motors = parts(&|column, part| part.stop == Stop::Motor && off(column));
        if !motors.is_empty() {
            notes.push(Note::care(say(words::NOTE_COMMAND).with("names", self.names(motors.into_iter()))));
        }
    }

    fn working(&self) -> Vec<Step> {
        let mut steps = Vec::new();
        let mut lines = Vec::new();
        for (level, off) in self.answer.levels.iter().zip(&self.answer.fit.residuals) {
            if !lines.is_empty() {
                lines.push(Filled::NewLine);
            }
            lines.extend(filled![level.value.0, " ± ", level.half_width, " − ", (level.value - *off).0, " = ", off.0]);
        }
        let formula = "min Σ ((Σ n·e − E) / (c·u·E))², e ≥ 0, E = 10^(L/10), c = ln 10 / 10; L − L(fit)";
        steps.push(step(words::WORK_MODEL, formula, lines, &source::LAWSON_HANSON));
        let fit = &self.answer.fit;
        if let Some(lead) = self.lead() {
            self.lead_steps(&mut steps, lead);
        }
        if !self.answer.groups.is_empty() {
            let unknowns = self.answer.most.len();
            let hidden: usize = self.answer.groups.iter().map(|group| group.parts.len()).sum();
            let filled = filled![count_to_f64(unknowns), ", ", count_to_f64(hidden)];
            steps.push(step(words::WORK_HIDDEN, "A·x = 0: unknowns, and how many of them some x touches", filled, &source::ELIMINATION));
        }
        if fit.freedom > 0 {
            let filled = filled![fit.chi_square, ", ", count_to_f64(fit.freedom), ", ", fit.agreement];
            steps.push(step(words::WORK_FIT, "χ² = Σ ((fit − E) / (c·u·E))², ν, 1 − P(ν/2, χ²/2)", filled, &source::CHI_SQUARE));
            if fit.widened > 1.0 {
                let filled = filled!["√(", fit.chi_square, " / ", count_to_f64(fit.freedom), ") = ", fit.widened];
                steps.push(step(words::WORK_WIDENED, "√(χ²/ν)", filled, &source::CHI_SQUARE));
            }
        }
        if let Some(offer) = self.answer.offers.first() {
            let formula = "C − C·a·aᵀ·C·w² / (1 + w²·aᵀ·C·a), least Σ C(ii) / e(i)²";
            steps.push(step(words::WORK_NEXT, formula, filled![offer.left], &source::A_OPTIMAL));
        }
        steps
    }

    fn lead_steps(&self, steps: &mut Vec<Step>, lead: &Item) {
        let fit = &self.answer.fit;
        let named = |msg: Msg| say(msg).with("name", self.called(lead));
        let (energy, standard) = (fit.energy(&lead.of), fit.standard(&lead.of));
        match lead.found {
            Found::Value(level) => {
                let filled = filled!["10·lg ", energy, " = ", level.value.0];
                steps.push(step(named(words::WORK_ENERGY), "L = 10·lg Σ n·e", filled, &source::ENERGY_BALANCE));
                let filled = filled!["1.96 · ", standard, " / (0.2303 · ", energy, ") = ", level.half_width];
                steps.push(step(words::WORK_PM, "h = 1.96·√(nᵀ·C·n) / (c·Σ n·e), C = (Aᵀ·W²·A)⁻¹", filled, &source::GUM));
            }
            Found::AtMost(level) => {
                let filled = filled!["10·lg(", energy, " + 1.645 · ", standard, ") = ", level.0];
                let formula = "L = 10·lg(e + 1.645·u), no more than any reading it was on in";
                steps.push(step(named(words::WORK_LIMIT), formula, filled, &source::UPPER_LIMIT));
            }
        }
        if let (Some(share), Some(total)) = (lead.share, self.answer.total) {
            let filled = filled![energy, " / 10^(", total.value.0, "/10) = ", share.value];
            steps.push(step(named(words::WORK_SHARE), "s = n·e / Σ all", filled, &source::ENERGY_BALANCE));
        }
        if let (Some(MostGain::Value(gain)), Some(total), Some(left)) = (lead.gain, self.answer.total, lead.left.and_then(Found::value)) {
            let filled = filled![total.value.0, " − ", left.value.0, " = ", gain.value.0];
            steps.push(step(named(words::WORK_GAIN), "C = L(all) − L(the others)", filled, &source::ENERGY_BALANCE));
        }
        if let Some(Drawn { low: Some(low), high: Some(high), loudest }) = self.drawn(0) {
            let what = named(words::WORK_DRAWS).num("draws", Quantity::Count, count_to_f64(DRAWS));
            let filled = filled![low, " … ", high, "\n", loudest];
            steps.push(step(what, "from 2.5 % to 97.5 % of the draws; share of the draws", filled, &source::JCGM_101));
        }
    }

    fn hand_over(&self) -> Vec<HandOver> {
        let mut links = Vec::new();
        links.extend(self.next_link());
        links.extend(self.without_odd_link());
        let rows: Vec<(&Item, Vec<(Key, String)>)> =
            self.answer.items.iter().filter_map(|item| Some((item, self.row_for(item)?))).collect();
        if rows.is_empty() {
            return links;
        }
        let with_room = || {
            let mut draft = self.inputs.header.clone();
            if let Some(room) = self.answer.room.and_then(Found::value) {
                draft.set(Path::field("back"), written(room.value.0));
                draft.set(Path::field("backpm"), rounded(room.half_width));
            }
            draft
        };
        let mut draft = with_room();
        for (_, cells) in &rows {
            draft.add_filled("source", cells);
        }
        links.push(HandOver { sheet: "tally", label: words::TO_TALLY.into(), draft });
        let is_fan = |item: &Item| {
            item.columns.iter().all(|column| *column > 0 && self.inputs.parts.get(column - 1).is_some_and(|part| part.is_fan))
        };
        // The fan to be replaced first; when no name says fan, the loudest is offered all the same.
        let first = rows.iter().position(|(item, _)| is_fan(item)).unwrap_or(0);
        if let Some((lead, cells)) = rows.get(first) {
            let mut draft = with_room();
            draft.add_filled("fan", cells);
            for (_, (item, cells)) in rows.iter().enumerate().filter(|(at, _)| *at != first) {
                draft.add_filled(if is_fan(item) { "fan" } else { "other" }, cells);
            }
            let at = draft.get(Path::field("at")).to_owned();
            draft.set(Path::field("ear"), at);
            let name = lead.columns.first().map_or(Arg::Nothing, |column| self.name(*column));
            links.push(HandOver { sheet: "swap", label: say(words::TO_SWAP).with("name", name), draft });
        }
        links
    }

    /// The same sheet with the best next reading to fill in.
    fn next_link(&self) -> Option<HandOver> {
        let offer = self.answer.offers.first()?;
        let mut draft = self.inputs.draft.clone();
        if draft.rows(READ.key).len() >= MOST_READINGS {
            return None;
        }
        draft.set(Path::field("from"), "on-off");
        let row = draft.add_row(READ.key);
        for (part, count) in self.inputs.columns.iter().zip(offer.counts.iter().skip(1)).filter(|(_, count)| **count > 0) {
            draft.set(Path::per(READ.key, row, *part), count.to_string());
        }
        // A row of nothing but noughts would not be in the link.
        if offer.counts.iter().skip(1).all(|count| *count == 0) {
            draft.set(Path::cell(READ.key, row, "name"), words::EVERYTHING_OFF.en);
        }
        Some(HandOver { sheet: "on-off", label: say(words::TO_NEXT).with("state", self.state(&offer.counts)), draft })
    }

    /// The same sheet without the one reading that does not fit; its level stays as a remark.
    fn without_odd_link(&self) -> Option<HandOver> {
        let Odd::One(at) = self.answer.odd else { return None };
        let reading = self.inputs.readings.get(at)?;
        let row = self.inputs.draft.row_at(READ.key, reading.number)?;
        let mut draft = self.inputs.draft.clone();
        draft.set(Path::field("from"), "on-off");
        let level = say(words::LEFT_OUT).num("level", self.level, reading.level.value.0).text(Style::default());
        draft.set(Path::cell(READ.key, row, "name"), level);
        draft.set(Path::cell(READ.key, row, "level"), "");
        Some(HandOver { sheet: "on-off", label: say(words::TO_WITHOUT).with("reading", self.number(at)), draft })
    }

    /// A part as the next sheet gets it, one of several alike; a sum without the room as one row. A bound is no level to reckon
    /// on with.
    fn row_for(&self, item: &Item) -> Option<Vec<(Key, String)>> {
        let level = item.found.value()?;
        if item.columns.contains(&0) {
            return None;
        }
        let single = item.columns.len() == 1;
        let each = Self::each(item);
        let one = level.value.0 - 10.0 * f64::from(each).log10();
        let name = if single { item.columns.first().map(|column| self.name(*column))? } else { self.called(item) };
        let name: String = name.text(Style::default()).chars().take(40).collect();
        let mut cells = vec![("name", name.trim_end().to_owned()), ("level", written(one))];
        if each > 1 {
            cells.push(("each", each.to_string()));
        }
        cells.push(("pm", rounded(level.half_width)));
        Some(cells)
    }
}

fn step(what: impl Into<Said>, formula: &'static str, filled: Vec<Filled>, source: &'static source::Source) -> Step {
    Step { what: what.into(), formula, filled, source }
}

/// A level as the next sheet gets it: two digits, and always a point, since it was not read from a display.
fn written(decibels: f64) -> String {
    let text = field_text((decibels * 100.0).round() / 100.0);
    if text.contains('.') { text } else { text + ".0" }
}

/// A ± as the next sheet gets it; no less than its field takes.
fn rounded(decibels: f64) -> String {
    field_text((decibels.max(0.1) * 100.0).round() / 100.0)
}
