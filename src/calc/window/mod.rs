//! The window through which curves over time are seen: pan and zoom, ticks, what is drawn of a curve, what lies under a finger.
//!
//! Times are seconds, levels dB, places pixels with y downwards. [`clip`] keeps lines inside the frame, [`hand`] makes pans,
//! pinches and moved edges of pointers.

pub mod clip;
pub mod hand;

use super::moment;
use crate::units::{count_to_f64, within};
use std::rc::Rc;

/// No less than this is shown, s, unless there is less.
pub const LEAST_S: f64 = 1.0;
/// No stretch between two edges gets shorter than this, s.
pub const SHORTEST_S: f64 = 1.0;
/// Stretches nearer than this touch, s.
const TOUCH_S: f64 = 1e-6;
/// How far from an edge a finger may be, px: half of a 44 px target.
pub const REACH_PX: f64 = 22.0;

/// From one value to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The smaller.
    pub from: f64,
    /// The larger.
    pub to: f64,
}

impl Span {
    /// From the smaller of two values to the larger.
    pub fn new(one: f64, other: f64) -> Self {
        Self { from: one.min(other), to: one.max(other) }
    }

    /// How far it is from end to end.
    pub fn length(self) -> f64 {
        self.to - self.from
    }

    /// Whether a value lies in it, ends included.
    pub fn holds(self, value: f64) -> bool {
        self.from <= value && value <= self.to
    }

    /// What two spans share; nothing when they only touch.
    pub fn shared(self, other: Self) -> Option<Self> {
        let shared = Self { from: self.from.max(other.from), to: self.to.min(other.to) };
        (shared.from < shared.to).then_some(shared)
    }

    /// Of the same length, or that of `whole` where that is less, and inside `whole`.
    #[must_use]
    pub fn kept_in(self, whole: Self) -> Self {
        let length = self.length();
        if length.is_nan() || length >= whole.length() {
            return whole;
        }
        let from = within(self.from, whole.from, whole.to - length);
        Self { from, to: from + length }
    }

    /// Moved by so much, as far as `whole` goes.
    #[must_use]
    pub fn moved(self, by: f64, whole: Self) -> Self {
        Self { from: self.from + by, to: self.to + by }.kept_in(whole)
    }

    /// So many times as long, with `at` where it was. Never shorter than [`LEAST_S`], never beyond `whole`.
    #[must_use]
    pub fn zoomed(self, at: f64, times: f64, whole: Self) -> Self {
        let length = within(self.length() * times, LEAST_S.min(whole.length()), whole.length());
        let share = if self.length() > 0.0 { (at - self.from) / self.length() } else { 0.5 };
        let from = at - length * share;
        Self { from, to: from + length }.kept_in(whole)
    }

    /// The span in which two moments stand at two places, given as shares of its length: what two fingers hold.
    #[must_use]
    pub fn pinched(self, held: (f64, f64), places: (f64, f64), whole: Self) -> Self {
        let apart = places.1 - places.0;
        let length = (held.1 - held.0) / apart;
        if !(length.is_finite() && length > 0.0) || apart.abs() < 0.01 {
            return self;
        }
        let limited = within(length, LEAST_S.min(whole.length()), whole.length());
        // Where the limit is reached, what lies between the fingers stays there.
        let from = f64::midpoint(held.0, held.1) - f64::midpoint(places.0, places.1) * limited;
        Self { from, to: from + limited }.kept_in(whole)
    }

    /// Moved no further than needed to show a value, with a tenth of its length beyond it.
    #[must_use]
    pub fn showing(self, value: f64, whole: Self) -> Self {
        let margin = self.length() / 10.0;
        let by = if value < self.from + margin {
            value - margin - self.from
        } else if value > self.to - margin {
            value + margin - self.to
        } else {
            0.0
        };
        self.moved(by, whole)
    }
}

/// Where curves are drawn, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Left end.
    pub left: f64,
    /// Upper end.
    pub top: f64,
    /// Right end.
    pub right: f64,
    /// Lower end.
    pub bottom: f64,
}

/// What is shown, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The times shown, s.
    pub time: Span,
    /// The levels shown, dB.
    pub level: Span,
    /// Where.
    pub frame: Frame,
}

impl View {
    /// Where a moment stands.
    pub fn x(&self, time: f64) -> f64 {
        self.frame.left + (time - self.time.from) / self.time.length() * (self.frame.right - self.frame.left)
    }

    /// Where a level stands.
    pub fn y(&self, level: f64) -> f64 {
        self.frame.bottom - (level - self.level.from) / self.level.length() * (self.frame.bottom - self.frame.top)
    }

    /// Which moment stands at some place.
    pub fn time_at(&self, x: f64) -> f64 {
        self.time.from + (x - self.frame.left) * self.seconds_per_pixel()
    }

    /// How long a pixel is, s.
    pub fn seconds_per_pixel(&self) -> f64 {
        self.time.length() / (self.frame.right - self.frame.left).max(1.0)
    }

    /// The place as a share of the frame's width.
    pub fn share_at(&self, x: f64) -> f64 {
        (x - self.frame.left) / (self.frame.right - self.frame.left).max(1.0)
    }

    /// The same with so many times the pixels, and a corner elsewhere.
    #[must_use]
    pub fn scaled(&self, times: f64, (x, y): (f64, f64)) -> Self {
        let Frame { left, top, right, bottom } = self.frame;
        let frame = Frame { left: x + left * times, top: y + top * times, right: x + right * times, bottom: y + bottom * times };
        Self { frame, ..*self }
    }
}

/// Steps between labels that people read at a glance, s.
const TIME_STEPS: [f64; 24] = [
    0.1,
    0.2,
    0.5,
    1.0,
    2.0,
    5.0,
    10.0,
    15.0,
    30.0,
    60.0,
    120.0,
    300.0,
    600.0,
    900.0,
    1800.0,
    3600.0,
    7200.0,
    10_800.0,
    21_600.0,
    43_200.0,
    86_400.0,
    172_800.0,
    604_800.0,
    2_592_000.0,
];
/// The same for levels, dB.
const LEVEL_STEPS: [f64; 6] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0];

fn step(steps: &[f64], length: f64, most: usize) -> f64 {
    let least = length / count_to_f64(most.max(1));
    steps.iter().copied().find(|step| *step >= least).or(steps.last().copied()).unwrap_or(1.0)
}

/// The shortest step, s, by which a span of time of this length, s, has no more than so many parts.
pub fn time_step(length: f64, most: usize) -> f64 {
    step(&TIME_STEPS, length, most)
}

/// The same for levels, dB.
pub fn level_step(length: f64, most: usize) -> f64 {
    step(&LEVEL_STEPS, length, most)
}

/// The multiples of a step within a span; never more than two hundred.
pub fn ticks(span: Span, step: f64) -> Vec<f64> {
    let first = (span.from / step - 1e-9).ceil();
    let mut out = Vec::new();
    let mut place = 0.0;
    while out.len() < 200 {
        let at = (first + place) * step;
        if at.is_nan() || at > span.to + step * 1e-9 {
            break;
        }
        // No negative zero.
        out.push(at + 0.0);
        place += 1.0;
    }
    out
}

/// The levels to show for a lowest and a highest one: whole fives around them, ten at least. Nothing for no levels.
pub fn level_span(extent: Option<(f64, f64)>) -> Option<Span> {
    let (low, high) = extent.filter(|(low, high)| low.is_finite() && high.is_finite() && low <= high)?;
    let (mut from, mut to) = (((low - 0.5) / 5.0).floor() * 5.0, ((high + 0.5) / 5.0).ceil() * 5.0);
    while to - from < 9.9 {
        // To the side where there is less room.
        if to - high < low - from {
            to += 5.0;
        } else {
            from -= 5.0;
        }
    }
    Some(Span { from, to })
}

/// How times are written along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// `2:05`, also `2:05.5`.
    MinutesSeconds,
    /// `1:05`, hours and minutes.
    HoursMinutes,
    /// `1:02:05`.
    HoursMinutesSeconds,
}

impl Clock {
    /// What suits labels so far apart, s, in times up to `latest`, s.
    pub fn of(step: f64, latest: f64) -> Self {
        match (latest >= 3600.0, step >= 60.0) {
            (false, _) => Self::MinutesSeconds,
            (true, true) => Self::HoursMinutes,
            (true, false) => Self::HoursMinutesSeconds,
        }
    }

    /// A moment, s; a true minus before the start.
    pub fn show(self, time: f64) -> String {
        let mut text = match self {
            Self::HoursMinutes => {
                let minutes = whole_number((time.abs() / 60.0).round()).unwrap_or(0);
                format!("{}:{:02}", minutes / 60, minutes % 60)
            }
            _ => moment::show(time.abs()),
        };
        if self == Self::HoursMinutesSeconds && time.abs() < 3599.95 {
            text.insert_str(0, if text.as_bytes().get(1) == Some(&b':') { "0:0" } else { "0:" });
        }
        if time < -0.05 {
            text.insert(0, '−');
        }
        text
    }
}

/// Lowest and highest levels, column by column.
#[derive(Clone, Debug, PartialEq)]
pub struct Tile {
    /// The times it covers, s from the start of its log.
    pub span: Span,
    /// Low, high, low, high, …; not numbers where there is a gap.
    pub pairs: Rc<Vec<f32>>,
}

/// A stretch of a curve without a gap: across, and down to its highest and to its lowest level, px.
pub type Run = Vec<(f64, f64, f64)>;

impl Tile {
    /// How many columns it has.
    pub fn columns(&self) -> usize {
        self.pairs.len() / 2
    }

    /// How long a column is, s.
    pub fn column_s(&self) -> f64 {
        self.span.length() / count_to_f64(self.columns().max(1))
    }

    /// Whether it has everything of a span.
    pub fn covers(&self, span: Span) -> bool {
        let slack = self.column_s() * 1e-6;
        self.columns() > 0 && self.span.from <= span.from + slack && span.to <= self.span.to + slack
    }

    fn pair(&self, column: usize) -> Option<(f64, f64)> {
        let low = f64::from(*self.pairs.get(column * 2)?);
        let high = f64::from(*self.pairs.get(column * 2 + 1)?);
        (low.is_finite() && high.is_finite()).then_some((low, high))
    }

    /// The column of a moment, which may lie before the first or after the last.
    fn column(&self, time: f64) -> f64 {
        ((time - self.span.from) / self.column_s()).floor()
    }

    /// Lowest and highest level at a moment; nothing in a gap or outside.
    pub fn at(&self, time: f64) -> Option<(f64, f64)> {
        self.pair(whole_number(self.column(time))?)
    }

    /// Lowest and highest level of a span.
    pub fn extent(&self, span: Span) -> Option<(f64, f64)> {
        self.seen(span).filter_map(|column| self.pair(column)).reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)))
    }

    /// The columns that a span touches.
    fn seen(&self, span: Span) -> std::ops::Range<usize> {
        let last = count_to_f64(self.columns());
        let place = |value: f64| whole_number(within(value, 0.0, last)).unwrap_or(0);
        place(self.column(span.from))..place(self.column(span.to) + 1.0)
    }

    /// What a view shows of it, `shift` s later than in its log, one column beyond each end: stretches without gaps.
    pub fn runs(&self, view: &View, shift: f64) -> Vec<Run> {
        let seen = self.seen(Span { from: view.time.from - shift, to: view.time.to - shift });
        if seen.is_empty() {
            return Vec::new();
        }
        let seen = seen.start.saturating_sub(1)..(seen.end + 1).min(self.columns());
        let width = self.column_s();
        let place = |column: f64| view.x(self.span.from + column * width + shift);
        let mut runs: Vec<Run> = Vec::new();
        let mut open: Run = Vec::new();
        for column in seen.start..=seen.end {
            let left = count_to_f64(column);
            if let Some((low, high)) = (column < seen.end).then(|| self.pair(column)).flatten() {
                let (low, high) = (view.y(low), view.y(high));
                if open.is_empty() {
                    open.push((place(left), high, low));
                }
                open.push((place(left + 0.5), high, low));
            } else if let Some((_, high, low)) = open.last().copied() {
                open.push((place(left), high, low));
                runs.push(std::mem::take(&mut open));
            }
        }
        runs
    }
}

/// A value as a place in a list.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be small and not negative")]
fn whole_number(value: f64) -> Option<usize> {
    (0.0..1e9).contains(&value).then_some(value as usize)
}

/// Which tile to ask for: the times shown and half as much again on both sides, of what there is of a log `duration` s long, in
/// columns of a pixel. Moved by a little, it stays the same columns, so that curves do not flicker. Nothing when the view shows
/// nothing of the log.
pub fn wanted(seen: Span, pixel_s: f64, duration: f64) -> Option<(Span, usize)> {
    seen.shared(Span { from: 0.0, to: duration }).filter(|_| pixel_s > 0.0)?;
    // Never more than some thousand columns.
    let column = pixel_s.max(seen.length() / 4000.0);
    let margin = seen.length() / 2.0;
    let first = ((seen.from - margin).max(0.0) / column).floor();
    let last = ((seen.to + margin).min(duration) / column).ceil();
    let columns = whole_number(last - first).filter(|columns| *columns > 0)?;
    Some((Span { from: first * column, to: last * column }, columns))
}

/// Whether a tile serves a view: it has everything of the log that is shown, in columns about as wide as a pixel.
pub fn serves(tile: &Tile, seen: Span, pixel_s: f64, duration: f64) -> bool {
    let Some(shared) = seen.shared(Span { from: 0.0, to: duration }) else { return true };
    let ratio = tile.column_s() / pixel_s.max(seen.length() / 4000.0);
    tile.covers(shared) && ratio > 0.9 && ratio < 1.1
}

/// The moments of the edges of stretches: where each begins, and where the last one ends.
pub fn edges(stretches: &[Span]) -> Vec<f64> {
    stretches.iter().map(|stretch| stretch.from).chain(stretches.last().map(|last| last.to)).collect()
}

/// How far an edge may be moved in a log `duration` s long: up to its neighbours, no stretch shorter than [`SHORTEST_S`].
pub fn edge_limits(stretches: &[Span], place: usize, duration: f64) -> Option<Span> {
    if place > stretches.len() {
        return None;
    }
    let before = place.checked_sub(1).and_then(|before| stretches.get(before));
    let stretch = stretches.get(place);
    let low = match (before, stretch) {
        (None, _) => 0.0,
        // A hole between two stretches: the one before keeps its end.
        (Some(before), Some(stretch)) if stretch.from - before.to > TOUCH_S => before.to,
        (Some(before), _) => before.from + SHORTEST_S,
    };
    let high = stretch.map_or(duration, |stretch| stretch.to - SHORTEST_S);
    (low <= high).then_some(Span { from: low, to: high })
}

/// The stretches with an edge at another moment. The stretch before it ends there too, unless there is a hole between them.
pub fn with_edge(stretches: &[Span], place: usize, time: f64) -> Vec<Span> {
    let mut all = stretches.to_vec();
    let begins = stretches.get(place).map(|stretch| stretch.from);
    if let Some(before) = place.checked_sub(1).and_then(|before| all.get_mut(before))
        && begins.is_none_or(|begins| begins - before.to <= TOUCH_S)
    {
        before.to = time;
    }
    if let Some(stretch) = all.get_mut(place) {
        stretch.from = time;
    }
    all
}

/// The nearest of some places, no further than `reach`.
pub fn nearest(places: &[f64], x: f64, reach: f64) -> Option<usize> {
    let mut found: Option<(usize, f64)> = None;
    for (place, at) in places.iter().enumerate() {
        let apart = (at - x).abs();
        if apart <= reach && found.is_none_or(|(_, least)| apart < least) {
            found = Some((place, apart));
        }
    }
    found.map(|(place, _)| place)
}

/// A moment rounded to what can be told apart with pixels of this length: seconds, or tenths once a second has four pixels.
pub fn rounded(time: f64, pixel_s: f64) -> f64 {
    if pixel_s > 0.25 { time.round() } else { (time * 10.0).round() / 10.0 }
}

/// Places for labels that want to be at some heights: in the same order, at least `gap` apart, inside the span where there is
/// room, and moved as little as that allows (least squares: pooled blocks of labels that touch).
pub fn spread(wanted: &[f64], gap: f64, span: Span) -> Vec<f64> {
    let at = |place: &usize| wanted.get(*place).copied().unwrap_or(0.0);
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    crate::units::sort_few(&mut order, |one, other| at(one).total_cmp(&at(other)));
    // Without the gaps before it, no label may stand above the one before.
    let mut blocks: Vec<(usize, f64)> = Vec::new();
    for (rank, place) in order.iter().enumerate() {
        let mut block = (1, at(place) - count_to_f64(rank) * gap);
        while let Some((count, mean)) = blocks.pop_if(|(_, mean)| *mean > block.1) {
            let all = count + block.0;
            block = (all, (mean * count_to_f64(count) + block.1 * count_to_f64(block.0)) / count_to_f64(all));
        }
        blocks.push(block);
    }
    let room = span.to - count_to_f64(wanted.len().saturating_sub(1)) * gap;
    let means = blocks.iter().flat_map(|(count, mean)| std::iter::repeat_n(*mean, *count));
    let mut out = vec![0.0; wanted.len()];
    for (rank, (place, mean)) in order.iter().zip(means).enumerate() {
        if let Some(slot) = out.get_mut(*place) {
            *slot = within(mean, span.from, room.max(span.from)) + count_to_f64(rank) * gap;
        }
    }
    out
}

/// As much of a text as fits, with an ellipsis where it is cut. Empty when not even two letters fit.
pub fn fitted(text: &str, room: f64, measure: &dyn Fn(&str) -> f64) -> String {
    if measure(text) <= room {
        return text.to_owned();
    }
    let mut ends: Vec<usize> = text.char_indices().map(|(at, _)| at).skip(2).collect();
    while let Some(end) = ends.pop() {
        let cut = format!("{}…", text.get(..end).unwrap_or_default().trim_end());
        if measure(&cut) <= room {
            return cut;
        }
    }
    String::new()
}

/// A text in one line, or in two where one has no room: parted at the blank that makes the longer one shortest.
pub fn folded(text: &str, room: f64, measure: &dyn Fn(&str) -> f64) -> (String, String) {
    let parts = text.match_indices(' ').map(|(at, _)| (text.get(..at).unwrap_or_default(), text.get(at + 1..).unwrap_or_default()));
    let longer = |(one, other): (&str, &str)| measure(one).max(measure(other));
    let best = parts.reduce(|best, next| if longer(next) < longer(best) { next } else { best });
    match best.filter(|_| measure(text) > room) {
        Some((one, other)) => (fitted(one, room, measure), fitted(other, room, measure)),
        None => (fitted(text, room, measure), String::new()),
    }
}

/// Places for names over their middles, in two rows: each name's row and left end. `names` are middles and widths, from left to
/// right. A name may stand beside its middle as long as it still covers it; one that finds no room has no place.
pub fn rowed(names: &[(f64, f64)], gap: f64, span: Span) -> Vec<Option<(usize, f64)>> {
    let mut ends = [f64::NEG_INFINITY; 2];
    let place = |(middle, width): &(f64, f64)| {
        let wanted = within(middle - width / 2.0, span.from, (span.to - width).max(span.from));
        let left = |end: f64| wanted.max(end + gap);
        let row = usize::from(left(ends[0]) > left(ends[1]));
        let at = left(if row == 0 { ends[0] } else { ends[1] });
        if at > *middle || at + width > span.to {
            return None;
        }
        if let Some(end) = ends.get_mut(row) {
            *end = at + width;
        }
        Some((row, at))
    };
    names.iter().map(place).collect()
}

#[cfg(test)]
mod tests;
