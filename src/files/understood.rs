//! What was understood of a file: everything the person can check and change.

use super::clock;
use super::wanted::{Censored, DateOrder, Decimal, Encoding, Separator};
use crate::units::Weighting;

/// How many lines, gaps or jumps are named one by one; beyond that they are only counted.
pub const NAMED: usize = 8;

/// A date and a time of day, as far as the file tells.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Start {
    /// Days from 1970-01-01.
    pub day: Option<i32>,
    /// Seconds after midnight, 0 to below 86,400.
    pub clock_s: Option<f64>,
}

impl Start {
    /// Year, month and day.
    pub fn date(&self) -> Option<(i32, u8, u8)> {
        self.day.map(clock::civil)
    }
}

/// A time weighting, or what stands in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detector {
    /// Fast, 125 ms.
    Fast,
    /// Slow, 1 s.
    Slow,
    /// Impulse.
    Impulse,
    /// Energy average over each interval.
    Average,
}

/// What a column says of each interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Statistic {
    /// The level at that moment, or nothing said.
    Sample,
    /// The energy average, Leq.
    Average,
    /// The lowest.
    Lowest,
    /// Exceeded so many per cent of the time.
    Exceeded(u8),
    /// The highest.
    Highest,
    /// The highest instantaneous pressure.
    Peak,
    /// The sound exposure.
    Exposure,
}

/// What a level column's name says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelName {
    /// A, C or Z, where said.
    pub weighting: Option<Weighting>,
    /// Fast, Slow, Impulse or average, where said.
    pub detector: Option<Detector>,
    /// What it says of each interval.
    pub statistic: Statistic,
    /// The interval it is taken over, s, where said.
    pub interval_s: Option<f64>,
}

/// What a column is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Role {
    /// A level.
    Level(LevelName),
    /// The date.
    Date,
    /// The time of day.
    Clock,
    /// Date and time of day.
    Stamp,
    /// Time since the start.
    Elapsed,
    /// Days with a fraction, as spreadsheets count them.
    SerialDays,
    /// Seconds or milliseconds since 1970.
    Epoch,
    /// Thousandths of a second, beside the clock.
    Milliseconds,
    /// The row's number.
    Index,
    /// A number that is no level: temperature, battery and so on.
    Other,
    /// Words and flags.
    Words,
    /// Nothing in it.
    Blank,
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its name as the file writes it, or nothing.
    pub name: String,
    /// Its unit as the file writes it, or nothing.
    pub unit: String,
    /// What it is for.
    pub role: Role,
}

/// Where the time of a row was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimeFound {
    /// In these columns.
    Columns {
        /// The clock, the elapsed time or the whole stamp.
        clock: usize,
        /// The date, where it stands apart.
        date: Option<usize>,
    },
    /// In the rows' numbers and an interval stated in the head of the file, s.
    Numbered(usize, f64),
    /// Nowhere; the step, s, was stated by the person or in the head of the file.
    Stated(f64),
}

/// Why this order of dates and no other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OrderFrom {
    /// The person said so.
    Wanted,
    /// The way dates are written leaves no choice.
    Written,
    /// Any other order would make a date that does not exist.
    Possible,
    /// In any other order, days would not follow each other.
    Following,
    /// It is only the more usual one for dates written so; common practice, no source.
    Custom,
}

/// How dates were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dates {
    /// The order used.
    pub order: DateOrder,
    /// Why.
    pub from: OrderFrom,
    /// Another order that would do as well, with another date: the person should choose.
    pub other: Option<DateOrder>,
}

/// Why rows were left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Before the readings: title, settings, names of columns.
    Head,
    /// The names of the columns, or a page's head, once more.
    HeadAgain,
    /// Nothing on the line.
    Blank,
    /// A remark.
    Remark,
    /// A figure worked out by the logger: average, largest, smallest.
    Summary,
    /// The time cannot be read.
    Time,
    /// Words where the level should be.
    Words,
    /// No level in its cell.
    Empty,
    /// A sign for a missing value.
    Missing,
    /// Over the meter's range.
    Over,
    /// Under the meter's range, without saying where that ends.
    Under,
    /// A number no level can be, such as 0.0 or 999.9.
    Code,
    /// The row before once more: same time, same level.
    Repeated,
}

impl Reason {
    /// All of them.
    pub const ALL: [Self; 13] = [
        Self::Head,
        Self::HeadAgain,
        Self::Blank,
        Self::Remark,
        Self::Summary,
        Self::Time,
        Self::Words,
        Self::Empty,
        Self::Missing,
        Self::Over,
        Self::Under,
        Self::Code,
        Self::Repeated,
    ];

    /// Whether a reading was lost, rather than a line that never held one.
    pub const fn is_loss(self) -> bool {
        matches!(self, Self::Time | Self::Words | Self::Empty | Self::Missing | Self::Over | Self::Under | Self::Code)
    }
}

/// Rows left out for one reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// Why.
    pub reason: Reason,
    /// How many.
    pub count: u32,
    /// The first few line numbers, from 1.
    pub lines: Vec<u32>,
}

/// A stretch without readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The line after it.
    pub line: u32,
    /// The row before it, counted from 0 in the order of time.
    pub row: u32,
    /// When the row before it was, s from the start.
    pub at_s: f64,
    /// From the row before to the row after, s.
    pub long_s: f64,
    /// How many readings would have fitted in.
    pub missing: u32,
}

/// A clock that was set while logging.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jump {
    /// The line after it.
    pub line: u32,
    /// The row before it, counted from 0 in the order of time.
    pub row: u32,
    /// When it was, s from the start.
    pub at_s: f64,
    /// How far the clock was set, s; negative: backwards.
    pub by_s: f64,
    /// An hour, as at the change from or to summer time.
    pub hour: bool,
}

/// Readings that only say “below” or “above”.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Beyond {
    /// How many.
    pub count: u32,
    /// The lowest limit met, dB; 0 when there is none.
    pub lowest: f32,
    /// The highest limit met, dB; 0 when there is none.
    pub highest: f32,
}

/// Something about the log that a person should look at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Question {
    /// The level never falls: was the display set to hold the highest?
    NeverFalls,
    /// So many readings (share) are at the lowest level (dB): the meter's range ends there.
    Floor(f32, f64),
    /// So many readings (share) are at the highest level (dB): the meter's range ends there.
    Ceiling(f32, f64),
    /// Two series take turns, row by row, so many dB apart.
    Alternating(f64),
    /// Cells of different weighting, or a column that says so.
    MixedWeighting,
    /// The chosen column holds highest or peak levels, which average too high.
    HighestChosen,
    /// The chosen column holds levels exceeded for a share of time; they are no averages.
    ExceededChosen,
    /// More columns would do as well; the first was taken.
    SeveralLevels,
    /// Whole decibels only.
    WholeNumbers,
    /// The column is in per cent.
    PerCent,
    /// Many rows share one time; they were spread evenly, so many to each.
    SharedTimes(u32),
    /// The step is not quite the round one the clock shows, s.
    Drift(f64),
    /// Two parts of a clock were taken as minutes and seconds.
    MinutesSeconds,
    /// Two parts of a clock were taken as hours and minutes.
    HoursMinutes,
    /// Readings beyond the meter's range are missing: the averages are wrong by an unknown amount.
    OutOfRangeLost,
    /// Column names are fewer than cells: a decimal comma may have split the numbers.
    SplitNumbers,
    /// Only one row, so that the step is not known; one second is assumed.
    OneRow,
    /// The clock was set back or forward while logging.
    ClockSet,
    /// The interval the head of the file states, s, is not the one from row to row.
    IntervalDiffers(f64),
}

/// One of the first rows, as understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstRow {
    /// Its line, from 1.
    pub line: u32,
    /// When, s from the start.
    pub at_s: f64,
    /// Date and clock.
    pub when: Start,
    /// Its level, dB.
    pub level: f32,
}

/// What was understood of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Understood {
    /// How the characters are written.
    pub encoding: Encoding,
    /// Whether the file says so itself, by a mark at its start.
    pub marked: bool,
    /// What stands between cells.
    pub separator: Separator,
    /// The decimal sign of the levels.
    pub decimal: Decimal,
    /// How dates were read; nothing without dates.
    pub dates: Option<Dates>,
    /// The nominal time from row to row, s.
    pub step_s: f64,
    /// The columns, in the order of the file.
    pub columns: Vec<Column>,
    /// The column of the level.
    pub level: usize,
    /// Where the time was found.
    pub time: TimeFound,
    /// What readings beyond the range stand for.
    pub censored: Censored,
    /// Bytes read.
    pub bytes: u64,
    /// Lines read.
    pub lines: u32,
    /// Rows used.
    pub rows: u32,
    /// Rows left out, by reason.
    pub skipped: Vec<Skipped>,
    /// Stretches without readings: the first few.
    pub gaps: Vec<Gap>,
    /// How many there are.
    pub gap_count: u32,
    /// How many readings would have fitted into all of them.
    pub missing: u64,
    /// Clocks set while logging: the first few.
    pub jumps: Vec<Jump>,
    /// How many there are.
    pub jump_count: u32,
    /// Rows with the time of the row before but another level; they are used.
    pub same_time: u32,
    /// Midnights passed without a date in the file.
    pub midnights: u32,
    /// Whether the newest row stood first.
    pub newest_first: bool,
    /// Readings below the meter's range.
    pub below: Beyond,
    /// Readings above the meter's range.
    pub above: Beyond,
    /// The finest step of the levels, dB.
    pub resolution_db: f64,
    /// What to look at.
    pub questions: Vec<Question>,
    /// The first rows of the file, as understood.
    pub first: Vec<FirstRow>,
}

impl Understood {
    /// Whether some question of this kind is raised.
    pub fn asks(&self, question: impl Fn(&Question) -> bool) -> bool {
        self.questions.iter().any(question)
    }

    /// Rows left out for this reason.
    pub fn skipped(&self, reason: Reason) -> u32 {
        self.skipped.iter().find(|skipped| skipped.reason == reason).map_or(0, |skipped| skipped.count)
    }
}
