//! From the times as they stand in the file to seconds from the start.
//!
//! While a file is read its times are only written down, in stretches of equal steps. What they mean is settled at the end,
//! when all of them are known: the order of dates, which end is the newest, midnights, gaps, clocks that were set.

use super::clock::{DAY, Form, RawDate, SECOND};
use super::understood::{Dates, Gap, Jump, NAMED, OrderFrom};
use super::wanted::DateOrder;
use crate::units::count_to_f64;

/// Rows at equal steps, as they follow each other in the file.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    row: u32,
    line: u32,
    day: i32,
    tick: u32,
    step: i32,
}

/// The times of a file as they stand in it.
#[derive(Clone, Debug, Default)]
pub(super) struct Raw {
    stretches: Vec<Stretch>,
    rows: u32,
    /// The time the next row will have if nothing happens.
    pub(super) next: i64,
    /// The step of the newest stretch, and how many rows it has.
    pub(super) step: i64,
    count: u32,
    /// The dates met, one for each change. A stretch names its date by its place here.
    pub(super) dates: Vec<RawDate>,
}

impl Raw {
    /// The rows so far.
    pub(super) const fn rows(&self) -> u32 {
        self.rows
    }

    /// The day of the newest stretch.
    pub(super) fn day(&self) -> Option<i32> {
        self.stretches.last().map(|last| last.day)
    }

    /// Whether the newest stretch has a step that the next row may simply follow.
    pub(super) const fn is_under_way(&self) -> bool {
        self.count >= 2
    }

    /// Takes so many rows in that follow the newest stretch exactly.
    pub(super) fn follow(&mut self, rows: u32) {
        self.rows += rows;
        self.count += rows;
        self.next += i64::from(rows) * self.step;
    }

    /// Takes a row in: its day, its tick in that day (0 to below [`DAY`]), its line.
    #[inline(never)]
    pub(super) fn push(&mut self, day: i32, tick: i64, line: u32) {
        let row = self.rows;
        self.rows += 1;
        if let Some(last) = self.stretches.last_mut()
            && last.day == day
        {
            if self.count >= 2 && tick == self.next {
                self.count += 1;
                self.next += self.step;
                return;
            }
            let delta = tick - i64::from(last.tick);
            // A row alone takes the step to the next one as its own, unless that is out of the ordinary: then the line
            // after it is to be known.
            let usual = row == 1 || delta == self.step || (delta * self.step > 0 && 2 * delta.abs() <= 3 * self.step.abs());
            if self.count == 1
                && usual
                && let Ok(step) = i32::try_from(delta)
            {
                last.step = step;
                self.step = delta;
                self.count = 2;
                self.next = tick + delta;
                return;
            }
        }
        let Ok(tick) = u32::try_from(tick) else { return };
        self.stretches.push(Stretch { row, line, day, tick, step: 0 });
        self.count = 1;
    }
}

/// What the reading of times rests on.
#[derive(Clone, Copy, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is one thing that is known of the clock")]
pub(super) struct Rules {
    /// Days are places in the list of dates, rather than numbers.
    pub(super) calendar: bool,
    /// A clock without dates: it starts again at midnight.
    pub(super) wraps: bool,
    /// The clock shows the time of day.
    pub(super) of_day: bool,
    /// The finest step the clock shows, ticks.
    pub(super) quantum: i64,
    /// The nominal step, s, where stated.
    pub(super) step_s: Option<f64>,
    /// Some rows had a time but no level.
    pub(super) lost: bool,
    /// The order of dates, where stated.
    pub(super) order: Option<DateOrder>,
    /// The more usual order for dates written so.
    pub(super) custom: DateOrder,
}

/// Rows at equal steps, in the order of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Span {
    pub(super) row: u32,
    /// Ticks from the start.
    pub(super) at: i64,
    /// Ticks from row to row.
    pub(super) step: i64,
}

/// Times settled.
#[derive(Clone, Debug, Default)]
pub(super) struct Timeline {
    pub(super) spans: Vec<Span>,
    pub(super) rows: u32,
    /// The first moment: day and tick.
    pub(super) start: (i64, i64),
    pub(super) reversed: bool,
    /// The nominal step, s; nothing when the times do not tell.
    pub(super) step_s: Option<f64>,
    pub(super) dates: Option<Dates>,
    pub(super) gaps: Vec<Gap>,
    pub(super) gap_count: u32,
    pub(super) missing: u64,
    pub(super) jumps: Vec<Jump>,
    pub(super) jump_count: u32,
    pub(super) same_time: u32,
    pub(super) midnights: u32,
    /// Rows to drop, in the order of time before dropping.
    pub(super) dropped: Vec<u32>,
    pub(super) dropped_lines: Vec<u32>,
    /// Rows to each time shown.
    pub(super) shared: Option<u32>,
    pub(super) drift: bool,
}

/// Rows at equal steps with absolute times, in the order of time.
#[derive(Clone, Copy, Debug)]
struct Piece {
    row: u32,
    count: u32,
    at: i64,
    step: i64,
    line: u32,
}

/// Settles the times. `same` tells whether two rows, counted as they stand in the file, have the same level.
#[inline(never)]
pub(super) fn settle(raw: &Raw, rules: Rules, same: impl Fn(u32, u32) -> bool) -> Timeline {
    let mut out = Timeline::default();
    let days = if rules.calendar {
        let (days, dates) = settle_dates(&raw.dates, rules);
        out.dates = dates;
        days
    } else {
        Vec::new()
    };
    let absolute = |stretch: &Stretch| {
        let day = if rules.calendar {
            let place = usize::try_from(stretch.day).unwrap_or_default();
            days.get(place).copied().map_or(0, i64::from)
        } else {
            i64::from(stretch.day)
        };
        day * DAY + i64::from(stretch.tick)
    };
    let (mut up, mut down) = (0_u64, 0_u64);
    visit_deltas(raw, absolute, rules, |delta, count| match delta.signum() {
        1 => up += u64::from(count),
        -1 => down += u64::from(count),
        _ => {}
    });
    let reversed = down > up;
    out.reversed = reversed;
    let stretches = &raw.stretches;
    let total = stretches.len();
    let piece = |place: usize| {
        let at = if reversed { total.checked_sub(place + 1)? } else { place };
        let stretch = stretches.get(at)?;
        let end = stretches.get(at + 1).map_or(raw.rows, |next| next.row);
        let count = end - stretch.row;
        let step = i64::from(stretch.step);
        Some(if reversed {
            // The line after the break is the one that stands later in the file: the next stretch there.
            let line = stretches.get(at + 1).map_or(stretch.line, |next| next.line);
            let last = absolute(stretch) + step * i64::from(count - 1);
            Piece { row: raw.rows - end, count, at: last, step: -step, line }
        } else {
            Piece { row: stretch.row, count, at: absolute(stretch), step, line: stretch.line }
        })
    };
    let pieces = || (0..total).map_while(piece);
    let Some(first) = pieces().next() else { return out };
    out.start = (first.at.div_euclid(DAY), first.at.rem_euclid(DAY));

    let step = nominal(pieces, raw.rows, rules);
    if let Some((shared, stamp_step)) = step.shared {
        out.shared = Some(shared);
        let nominal = rules.step_s.unwrap_or_else(|| i64_to_f64(stamp_step) / f64::from(shared) / i64_to_f64(SECOND));
        out.step_s = Some(nominal);
        let mut walk = Walk::new(&mut out, rules, stamp_step);
        spread(pieces, &mut walk, shared, stamp_step);
        walk.finish();
        return out;
    }
    out.step_s = step.seconds;
    let ticks = step.seconds.map_or(0, |step| round(step * i64_to_f64(SECOND)));
    let last_row = raw.rows.saturating_sub(1);
    let in_file = |row: u32| if reversed { last_row - row } else { row };
    let mut walk = Walk::new(&mut out, rules, ticks.max(1));
    for piece in pieces() {
        walk.piece(piece, |a, b| same(in_file(a), in_file(b)));
    }
    walk.finish();
    settle_drift(&mut out, rules);
    out
}

/// Each time from row to row, in the order of the file, with how often it occurs in a stretch.
fn visit_deltas(raw: &Raw, absolute: impl Fn(&Stretch) -> i64, rules: Rules, mut visit: impl FnMut(i64, u32)) {
    let mut before: Option<i64> = None;
    for (place, stretch) in raw.stretches.iter().enumerate() {
        let end = raw.stretches.get(place + 1).map_or(raw.rows, |next| next.row);
        let count = end - stretch.row;
        let at = absolute(stretch);
        if let Some(before) = before {
            visit(wrapped(at - before, rules), 1);
        }
        if count > 1 {
            visit(wrapped(i64::from(stretch.step), rules), count - 1);
        }
        before = Some(at + i64::from(stretch.step) * i64::from(count - 1));
    }
}

/// A clock without dates may pass midnight either way.
const fn wrapped(delta: i64, rules: Rules) -> i64 {
    if !rules.wraps {
        delta
    } else if delta < -DAY / 2 {
        delta + DAY
    } else if delta > DAY / 2 {
        delta - DAY
    } else {
        delta
    }
}

/// The usual step.
struct Nominal {
    seconds: Option<f64>,
    /// Rows that share a time, and the step from time to time, ticks.
    shared: Option<(u32, i64)>,
}

/// Steps people set a logger to, s.
const ROUND: &[f64] = &[
    0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.125, 0.2, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 300.0,
    600.0, 900.0, 1800.0, 3600.0,
];

#[inline(never)]
fn nominal<I: Iterator<Item = Piece>>(pieces: impl Fn() -> I, rows: u32, rules: Rules) -> Nominal {
    let mut positive: Vec<(i64, u32)> = Vec::new();
    let mut zero = 0_u32;
    // A log of very uneven times has as many stretches as rows; a sample of them tells the middle as well.
    let stride = (pieces().count() / 20_000).max(1);
    let mut before: Option<Piece> = None;
    for (place, piece) in pieces().enumerate() {
        if let Some(before) = before {
            let delta = wrapped(piece.at - before.at - before.step * i64::from(before.count - 1), rules);
            if delta == 0 {
                zero += 1;
            } else if delta > 0 && place % stride == 0 {
                positive.push((delta, 1));
            }
        }
        let step = wrapped(piece.step, rules);
        if piece.count > 1 && step == 0 {
            zero += piece.count - 1;
        } else if piece.count > 1 && step > 0 && place % stride == 0 {
            positive.push((step, piece.count - 1));
        }
        before = Some(piece);
    }
    positive.sort_unstable();
    let total: u64 = positive.iter().map(|(_, count)| u64::from(*count)).sum();
    let mut passed = 0;
    let middle = positive.iter().find(|(_, count)| {
        passed += u64::from(*count);
        2 * passed > total
    });
    let Some(&(middle, _)) = middle else { return Nominal { seconds: rules.step_s, shared: None } };
    let middle = without_lost(&positive, middle, total);
    // Four rows in ten without a time of their own: the clock is coarser than the log.
    if u64::from(zero) * 10 >= u64::from(rows) * 4 && rows > 3 {
        let mut sizes = Sizes::default();
        sizes.count(pieces());
        if let Some(shared) = sizes.usual()
            && shared > 1
        {
            return Nominal { seconds: None, shared: Some((shared, middle)) };
        }
    }
    if let Some(step) = rules.step_s {
        return Nominal { seconds: Some(step), shared: None };
    }
    let (mut sum, mut count) = (0.0, 0.0);
    for &(delta, times) in &positive {
        if 2 * delta > middle && 2 * delta < 3 * middle {
            sum += i64_to_f64(delta) * f64::from(times);
            count += f64::from(times);
        }
    }
    let mean = if count > 0.0 { sum / count / i64_to_f64(SECOND) } else { i64_to_f64(middle) / i64_to_f64(SECOND) };
    // The ends of a series are known to one step of the clock's display.
    let slack = i64_to_f64(rules.quantum) / i64_to_f64(SECOND) / count.max(1.0);
    let near = |nice: &&f64| (mean - **nice).abs() <= (0.002 * **nice).max(slack.min(0.2 * **nice));
    let seconds = ROUND.iter().find(near).copied().unwrap_or_else(|| four_digits(mean));
    Nominal { seconds: Some(seconds), shared: None }
}

/// Where half of the rows are lost, the middle of the times between those left is a multiple of the step. Steps are rising.
fn without_lost(steps: &[(i64, u32)], middle: i64, total: u64) -> i64 {
    let Some(&(least, _)) = steps.first() else { return middle };
    let near = |step: i64| 20 * (step - least) <= least;
    let often: u64 = steps.iter().take_while(|(step, _)| near(*step)).map(|(_, count)| u64::from(*count)).sum();
    let times = (middle + least / 2) / least;
    if times >= 2 && 20 * (middle - times * least).abs() <= middle && often * 5 >= total { least } else { middle }
}

/// How many rows share a time, over a whole file.
#[derive(Default)]
struct Sizes {
    counts: Vec<u32>,
}

impl Sizes {
    fn count(&mut self, pieces: impl Iterator<Item = Piece>) {
        let (mut time, mut size, mut groups) = (None, 0_u32, 0_u32);
        let mut done = |size: u32, groups: u32| {
            // The first group may have begun before the log did.
            if groups > 1 {
                let place = (size as usize).min(4095);
                if self.counts.len() <= place {
                    self.counts.resize(place + 1, 0);
                }
                if let Some(count) = self.counts.get_mut(place) {
                    *count += 1;
                }
            }
        };
        for piece in pieces {
            for (at, many) in grouped(piece) {
                if time == Some(at) {
                    size += many;
                } else {
                    if size > 0 {
                        done(size, groups);
                    }
                    groups += 1;
                    time = Some(at);
                    size = many;
                }
            }
        }
        if groups <= 2 {
            done(size, groups.max(2));
        }
    }

    /// The middle size.
    fn usual(&self) -> Option<u32> {
        let total: u64 = self.counts.iter().map(|count| u64::from(*count)).sum();
        let mut passed = 0;
        let place = self.counts.iter().position(|count| {
            passed += u64::from(*count);
            2 * passed > total
        })?;
        u32::try_from(place).ok()
    }
}

/// The times of a piece with how many rows have each.
fn grouped(piece: Piece) -> impl Iterator<Item = (i64, u32)> {
    let (times, many) = if piece.step == 0 { (1, piece.count) } else { (piece.count, 1) };
    (0..times).map(move |place| (piece.at + piece.step * i64::from(place), many))
}

/// Spreads rows that share a time evenly to the next time.
#[inline(never)]
fn spread<I: Iterator<Item = Piece>>(pieces: impl Fn() -> I, walk: &mut Walk<'_>, shared: u32, stamp_step: i64) {
    let mut group: Option<(i64, u32, u32, u32)> = None;
    let mut groups = 0_u32;
    let mut emit = |walk: &mut Walk<'_>, (at, row, count, line): (i64, u32, u32, u32)| {
        groups += 1;
        let base = walk.advance(at, row, line);
        let per = i64::from(count.max(shared));
        let lead = if groups == 1 { per - i64::from(count) } else { 0 };
        for place in 0..i64::from(count) {
            // Where times that few rows share are nearer than usual, what was spread before them may reach beyond: no row is earlier.
            walk.emit((base + (lead + place) * stamp_step / per).max(walk.last));
        }
    };
    for piece in pieces() {
        let mut row = piece.row;
        for (at, many) in grouped(piece) {
            group = match group {
                Some((time, first, count, line)) if time == at => Some((time, first, count + many, line)),
                before => {
                    if let Some(before) = before {
                        emit(walk, before);
                    }
                    Some((at, row, many, piece.line))
                }
            };
            row += many;
        }
    }
    if let Some(group) = group {
        emit(walk, group);
    }
}

/// Goes through the rows in the order of time and writes down when each was.
struct Walk<'a> {
    out: &'a mut Timeline,
    rules: Rules,
    /// The nominal step, ticks.
    step: i64,
    /// The time of the row before as the file has it, and from the start.
    before: Option<(i64, i64)>,
    /// The same for the row emitted last: ticks from the start.
    last: i64,
}

impl<'a> Walk<'a> {
    const fn new(out: &'a mut Timeline, rules: Rules, step: i64) -> Self {
        Self { out, rules, step, before: None, last: 0 }
    }

    /// The time from the start of a row that the file puts at `at`, with what is to be said about the way there.
    fn advance(&mut self, at: i64, row: u32, line: u32) -> i64 {
        let Some((before, offset)) = self.before else {
            self.before = Some((at, 0));
            return 0;
        };
        let delta = wrapped(at - before, self.rules);
        if delta != at - before {
            self.out.midnights += 1;
        }
        let shift = delta - self.step;
        let slack = self.rules.quantum.max(self.step / 2);
        let an_hour = (shift.abs() - 3600 * SECOND).abs() <= slack && self.step < 1800 * SECOND;
        let now = if delta < 0 {
            self.jump(row, line, shift, an_hour);
            offset + self.step
        } else if 2 * delta > 3 * self.step {
            // At a full hour of the night, an hour forward is the change to summer time.
            let of_day = (before + self.step).rem_euclid(DAY);
            let night = of_day <= 3 * 3600 * SECOND + self.step
                && (of_day % (3600 * SECOND)).min(3600 * SECOND - of_day % (3600 * SECOND)) <= self.step;
            if an_hour && self.rules.of_day && night || delta > 366 * DAY {
                self.jump(row, line, shift, an_hour);
                offset + self.step
            } else {
                self.gap(row, line, delta);
                offset + delta
            }
        } else {
            offset + delta
        };
        self.before = Some((at, now));
        now
    }

    fn jump(&mut self, row: u32, line: u32, by: i64, hour: bool) {
        self.out.jump_count += 1;
        if self.out.jumps.len() < NAMED {
            let at_s = i64_to_f64(self.last) / i64_to_f64(SECOND);
            self.out.jumps.push(Jump { line, row: row.saturating_sub(1), at_s, by_s: i64_to_f64(by) / i64_to_f64(SECOND), hour });
        }
    }

    fn gap(&mut self, row: u32, line: u32, delta: i64) {
        self.out.gap_count += 1;
        let missing = ((delta + self.step / 2) / self.step - 1).max(1);
        self.out.missing += u64::try_from(missing).unwrap_or(0);
        if self.out.gaps.len() < KEPT {
            let at_s = i64_to_f64(self.last) / i64_to_f64(SECOND);
            let missing = u32::try_from(missing).unwrap_or(u32::MAX);
            self.out.gaps.push(Gap { line, row: row.saturating_sub(1), at_s, long_s: i64_to_f64(delta) / i64_to_f64(SECOND), missing });
        }
    }

    /// Takes a piece in. `same` tells whether two rows have the same level.
    fn piece(&mut self, piece: Piece, same: impl Fn(u32, u32) -> bool) {
        let mut done = 0;
        while done < piece.count {
            let at = piece.at + piece.step * i64::from(done);
            let row = piece.row + done;
            if row > 0 && self.before.is_some_and(|(before, _)| at == before) {
                if same(row - 1, row) {
                    self.out.dropped.push(row);
                    if self.out.dropped_lines.len() < NAMED {
                        self.out.dropped_lines.push(piece.line);
                    }
                    done += 1;
                    continue;
                }
                self.out.same_time += 1;
            }
            let now = self.advance(at, row - count_of(&self.out.dropped), piece.line);
            self.emit(now);
            done += 1;
            // The rest of the piece follows by itself when its step is an ordinary one.
            let rest = piece.count - done;
            if rest > 0 && piece.step > 0 && 2 * piece.step <= 3 * self.step {
                self.emit_many(now + piece.step, piece.step, rest);
                self.before = Some((at + piece.step * i64::from(rest), now + piece.step * i64::from(rest)));
                done = piece.count;
            }
        }
    }

    /// Writes one row down.
    fn emit(&mut self, at: i64) {
        self.emit_many(at, 0, 1);
    }

    /// Writes rows at equal steps down, joined to the span before where they go on with it.
    fn emit_many(&mut self, at: i64, step: i64, count: u32) {
        let row = self.out.rows;
        self.out.rows += count;
        self.last = at + step * i64::from(count - 1);
        if let Some(span) = self.out.spans.last_mut() {
            let held = row - span.row;
            if held == 1 && (count == 1 || step == at - span.at) && at >= span.at {
                span.step = at - span.at;
                return;
            }
            if held > 1 && at == span.at + span.step * i64::from(held) && (count == 1 || step == span.step) {
                return;
            }
        }
        self.out.spans.push(Span { row, at, step });
    }

    /// Ends the walk: times begin at 0.
    fn finish(self) {
        if let Some(first) = self.out.spans.first().map(|span| span.at).filter(|first| *first != 0) {
            for span in &mut self.out.spans {
                span.at -= first;
            }
            self.out.start.1 += first;
        }
    }
}

/// Gaps kept while the file is settled; more are only counted.
const KEPT: usize = 4096;

fn count_of(rows: &[u32]) -> u32 {
    u32::try_from(rows.len()).unwrap_or(u32::MAX)
}

/// Single readings missing at even distances are no gaps: the logger is a little slower than its clock shows.
fn settle_drift(out: &mut Timeline, rules: Rules) {
    let few = out.gaps.len() < 5 || out.gaps.len() >= KEPT || rules.step_s.is_some() || rules.lost;
    if !few && out.gaps.iter().all(|gap| gap.missing == 1) && out.jump_count == 0 {
        let between: Vec<u32> = out.gaps.windows(2).filter_map(|pair| Some(pair.get(1)?.row - pair.first()?.row)).collect();
        let (least, most) = (between.iter().min().copied().unwrap_or(0), between.iter().max().copied().unwrap_or(0));
        if least > 2 && most - least <= 1 && out.rows > 1 {
            let end = out.spans.last().map_or(0, |span| span.at + span.step * i64::from(out.rows - 1 - span.row));
            out.step_s = Some(four_digits(i64_to_f64(end) / i64_to_f64(SECOND) / f64::from(out.rows - 1)));
            out.drift = true;
            out.gaps.clear();
            out.gap_count = 0;
            out.missing = 0;
        }
    }
    out.gaps.truncate(NAMED);
}

/// The days of all dates, in the order that suits them best.
#[inline(never)]
fn settle_dates(dates: &[RawDate], rules: Rules) -> (Vec<i32>, Option<Dates>) {
    let orders = [DateOrder::DayMonthYear, DateOrder::MonthDayYear, DateOrder::YearMonthDay];
    if dates.is_empty() {
        return (Vec::new(), None);
    }
    let open = dates.iter().any(|date| date.is_open());
    let days_in = |order: DateOrder| {
        let mut days = Vec::with_capacity(dates.len());
        let mut wrong = 0_usize;
        for date in dates {
            let day = date.day(order);
            wrong += usize::from(day.is_none());
            // A date that does not exist leaves the day as it was.
            days.push(day.or_else(|| days.last().copied()).unwrap_or(0));
        }
        (days, wrong)
    };
    let distance = |days: &[i32]| days.windows(2).filter_map(|pair| Some(i64::from(pair.get(1)?.abs_diff(*pair.first()?)))).sum::<i64>();
    if !open {
        let order = match dates.first().map(|date| date.form) {
            Some(Form::Named(order)) => order,
            _ => DateOrder::YearMonthDay,
        };
        return (days_in(order).0, Some(Dates { order, from: OrderFrom::Written, other: None }));
    }
    if let Some(order) = rules.order {
        return (days_in(order).0, Some(Dates { order, from: OrderFrom::Wanted, other: None }));
    }
    // Fewest dates that do not exist, then days that follow each other best, then the usual order.
    let mut best: Vec<(usize, i64, bool, DateOrder)> = orders
        .into_iter()
        .map(|order| {
            let (days, wrong) = days_in(order);
            (wrong, distance(&days), order != rules.custom, order)
        })
        .collect();
    crate::units::sort_few(&mut best, |a, b| (a.0, a.1, a.2).cmp(&(b.0, b.1, b.2)));
    let mut ranked = best.into_iter();
    let Some((wrong, length, _, order)) = ranked.next() else { return (Vec::new(), None) };
    let days = days_in(order).0;
    let mut from = OrderFrom::Possible;
    let mut other = None;
    for (also_wrong, also_length, _, also) in ranked {
        if also_wrong > wrong {
            continue;
        }
        if also_length > length {
            from = if from == OrderFrom::Possible { OrderFrom::Following } else { from };
        } else if days_in(also).0 != days && other.is_none() {
            from = OrderFrom::Custom;
            other = Some(also);
        }
    }
    (days, Some(Dates { order, from, other }))
}

/// A number of ticks for arithmetic.
#[expect(clippy::cast_precision_loss, reason = "ticks of some centuries at most; exact to a tick over those a log lasts")]
pub(super) const fn i64_to_f64(value: i64) -> f64 {
    value as f64
}

/// The nearest whole number of ticks.
#[expect(clippy::cast_possible_truncation, reason = "a cast of a float stops at the ends of its range")]
pub(super) fn round(value: f64) -> i64 {
    value.round() as i64
}

/// A positive number to four digits.
fn four_digits(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10_f64.powf(3.0 - value.log10().floor());
    (value * scale).round() / scale
}

/// The row at or after some ticks from the start.
pub(super) fn row_at(spans: &[Span], rows: u32, at: i64) -> u32 {
    let place = spans.partition_point(|span| span.at < at);
    let Some(span) = place.checked_sub(1).and_then(|place| spans.get(place)) else { return 0 };
    let end = spans.get(place).map_or(rows, |next| next.row);
    if span.step <= 0 {
        return end;
    }
    let ahead = (at - span.at + span.step - 1) / span.step;
    u32::try_from(i64::from(span.row) + ahead).unwrap_or(u32::MAX).min(end)
}

/// When a row was, ticks from the start.
pub(super) fn at_row(spans: &[Span], row: u32) -> i64 {
    let place = spans.partition_point(|span| span.row <= row);
    place.checked_sub(1).and_then(|place| spans.get(place)).map_or(0, |span| span.at + span.step * i64::from(row - span.row))
}

/// A share of rows.
pub(super) fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { count_to_f64(part) / count_to_f64(whole) }
}
