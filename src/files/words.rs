//! Every text about files.

use super::understood::{OrderFrom, Question, Reason, Understood};
use super::wanted::DateOrder;
use crate::calc::quantity::Quantity;
use crate::text::{Arg, Msg, Said, say};
use crate::units::Weighting;

crate::words! { "files";
    COLUMN = "column {number}";

    EMPTY = "This file is empty. Export the log from the meter once more.";
    LONG_LINE = "Line {line} (from byte {byte}) is longer than any row of a log. A log is text with one reading on each line.";
    NO_LEVEL = "Rows of figures were found, but no column looks like levels in dB: {columns}. Choose the column of the level.";
    NO_ROWS = "No rows of figures were found in {lines} lines; the first says “{first}”. A log has a time and a level on each line: CSV or text, as meters export it.";
    NO_USABLE_ROW = "{rows} rows were found from line {line} on, but not one level in them. Choose another column, or look whether the meter was out of its range.";
    NO_TIME = "{rows} rows have levels but no time that goes on: {columns}. Say how many seconds lie between two rows.";
    IS_PICTURE = "This is a picture. Export the log from the meter as CSV or text; a picture of a curve cannot be read.";
    IS_PACKED = "This is a packed file. Unpack it and open the text or CSV file inside.";
    IS_SPREADSHEET = "This is a spreadsheet in its own format. Save it as CSV there and open that.";
    IS_PDF = "This is a PDF. Export the log as CSV or text instead.";
    IS_SOUND = "This is a sound recording. Here logs of levels are read: text with a level on each line.";
    IS_FILM = "This is a film. Here logs of levels are read: text with a level on each line.";
    IS_PAGE = "This is a page of the web. Save the log itself, as CSV or text.";
    IS_BINARY = "This is not text. Export the log from the meter as CSV or text.";
    TOO_MANY_ROWS = "This log has more than {most} rows, and more do not fit into memory. Split it, or export it with a longer step.";

    COLUMN_NAMED = "{name}";
    COLUMN_UNIT = "{name}, {unit}";
    UTF_8 = "UTF-8";
    UTF_16_LITTLE = "UTF-16, low byte first";
    UTF_16_BIG = "UTF-16, high byte first";
    WINDOWS_1252 = "Windows-1252";
    TAB = "tab";
    SEMICOLON = "semicolon";
    BAR = "upright bar";
    COMMA = "comma";
    BLANKS = "blanks";
    POINT = "point";
    AT_LIMIT = "They count as the limit itself.";
    SILENT = "Those below count as no sound at all.";
    LEFT_OUT = "They are left out.";

    ROWS = "Rows";
    ROWS_USED = "{rows} rows used, of {lines} lines.";
    LASTS = "They last {time}.";
    NEWEST_FIRST = "The newest row stood first; they were turned round.";
    START = "Begins";
    MOMENT = "{at}";
    ENCODING = "Characters";
    SEPARATOR = "Between cells";
    DECIMAL = "Decimal sign";
    DATES = "Dates";
    STEP = "From row to row";
    SECONDS = "{seconds} s";
    LEVEL_COLUMN = "Level taken from";
    TIME_COLUMN = "Time taken from";
    TIME_NUMBERED = "the rows’ numbers and the interval in the head of the file";
    TIME_STATED = "the step alone: each row follows the one before";
    SKIPPED = "Left out";
    SKIPPED_LINES = "{count}: {reason} (line {lines}).";
    GAPS = "Gaps";
    GAP = "After {at}, before line {line}: {long} without a reading.";
    GAPS_IN_ALL = "{gaps} in all; {missing} readings would have fitted. A gap counts for nothing.";
    JUMPS = "Clock set";
    JUMP_BACK = "Before line {line}, after {at}: back by {by}.";
    JUMP_FORWARD = "Before line {line}, after {at}: forward by {by}.";
    JUMP_HOUR = "Before line {line}, after {at}: by an hour, as at the change of summer time.";
    BEYOND = "Beyond the meter’s range";
    BELOW_RANGE = "{count} below {limit}.";
    ABOVE_RANGE = "{count} above {limit}.";
    WHOLE = "The whole log";
    WHOLE_AVERAGE = "Its energy average is {level}.";
    WHOLE_BETWEEN = "With the readings below the range it lies between {low} and {high}.";
    WHOLE_RANGE = "From {low} to {high}.";
    WHOLE_EXCEEDED = "Exceeded 10 % of the time: {ten}; half of it: {half}; 90 %: {ninety}.";
    FIRST_ROW = "Line {line}: {at}, {level}";

    REASON_HEAD = "before the readings: title, settings, names of columns";
    REASON_HEAD_AGAIN = "names of columns or a page’s head, once more";
    REASON_BLANK = "empty";
    REASON_REMARK = "a remark";
    REASON_SUMMARY = "worked out by the logger, such as an average or a maximum";
    REASON_TIME = "the time cannot be read";
    REASON_WORDS = "words where the level should be";
    REASON_EMPTY = "no level";
    REASON_MISSING = "a sign for a missing value";
    REASON_OVER = "over the meter’s range";
    REASON_UNDER = "under the meter’s range";
    REASON_CODE = "a number no level can be, such as 0.0 or 999.9";
    REASON_REPEATED = "the row before once more: same time, same level";

    ASK_NEVER_FALLS = "The level never falls. Was the display set to hold the highest value? Then this log shows no average.";
    ASK_FLOOR = "{share} of the readings stand at {level}, the lowest. The meter’s range probably ends there: quiet phases were quieter than this says.";
    ASK_CEILING = "{share} of the readings stand at {level}, the highest. The meter’s range probably ends there: loud phases were louder than this says.";
    ASK_ALTERNATING = "Two series take turns from row to row, {apart} apart. Are there two weightings or two meters in one column?";
    ASK_MIXED_WEIGHTING = "The weighting or the response changes within the log. Levels of different weighting cannot be averaged.";
    ASK_HIGHEST_CHOSEN = "The chosen column holds the highest level of each interval. Its average is too high; an average or sampled level is better, if there is one.";
    ASK_EXCEEDED_CHOSEN = "The chosen column holds percentile or lowest levels. They do not average to an equivalent level.";
    ASK_SEVERAL_LEVELS = "More than one column holds levels of this kind. The first of them was taken: choose another if that is not yours.";
    ASK_WHOLE_NUMBERS = "Whole decibels only. Differences below about half a decibel will not show.";
    ASK_PER_CENT = "This column is in per cent, not in dB. Averages of it say nothing about sound.";
    ASK_SHARED_TIMES = "{rows} rows share each time shown. They were spread evenly over it.";
    ASK_DRIFT = "The clock skips at even distances: the real step is {step} s. It was taken so; no readings are missing.";
    ASK_MINUTES_SECONDS = "Times such as 0:01 were read as minutes and seconds. If they are hours and minutes, say so.";
    ASK_HOURS_MINUTES = "Times such as 10:01 were read as hours and minutes. If they are minutes and seconds, say so.";
    ASK_OUT_OF_RANGE_LOST = "Readings outside the meter’s range give no number, so they are missing here. The averages are off by an unknown amount.";
    ASK_SPLIT_NUMBERS = "There are more cells than names of columns. A decimal comma may have split the numbers: export with another separator.";
    ASK_ONE_ROW = "There is only one reading, so that nothing tells the step; one second is assumed.";
    ASK_CLOCK_SET = "The clock was set while logging. Rows are taken in the order of the file; the time goes on by one step there.";
    ASK_INTERVAL_DIFFERS = "The head of the file says {stated} s from row to row, the rows themselves {found} s. The rows were believed.";

    ORDER_DMY = "day, month, year";
    ORDER_MDY = "month, day, year";
    ORDER_YMD = "year, month, day";
    ORDER_WANTED = "Dates read as {order}, as you said.";
    ORDER_WRITTEN = "Dates read as {order}: the way they are written leaves no choice.";
    ORDER_POSSIBLE = "Dates read as {order}: in any other order some of them would not exist.";
    ORDER_FOLLOWING = "Dates read as {order}: in any other order the days would not follow each other.";
    ORDER_CUSTOM = "Dates read as {order}, which is the more usual one here.";
    ORDER_OPEN = "Dates read as {order}; {other} would do as well. Nothing in the file decides it: choose the right one.";
}

impl Reason {
    /// Why, in words.
    pub const fn msg(self) -> Msg {
        match self {
            Self::Head => REASON_HEAD,
            Self::HeadAgain => REASON_HEAD_AGAIN,
            Self::Blank => REASON_BLANK,
            Self::Remark => REASON_REMARK,
            Self::Summary => REASON_SUMMARY,
            Self::Time => REASON_TIME,
            Self::Words => REASON_WORDS,
            Self::Empty => REASON_EMPTY,
            Self::Missing => REASON_MISSING,
            Self::Over => REASON_OVER,
            Self::Under => REASON_UNDER,
            Self::Code => REASON_CODE,
            Self::Repeated => REASON_REPEATED,
        }
    }
}

impl DateOrder {
    /// The order in words.
    pub const fn msg(self) -> Msg {
        match self {
            Self::DayMonthYear => ORDER_DMY,
            Self::MonthDayYear => ORDER_MDY,
            Self::YearMonthDay => ORDER_YMD,
        }
    }
}

impl Question {
    /// The question in words. `understood` is what it is about; `weighting` that of the level.
    pub fn said(&self, understood: &Understood, weighting: Weighting) -> Said {
        let edge = |msg: Msg, level: f32, share: f64| {
            say(msg).num("share", Quantity::Share, share).num("level", Quantity::Level(weighting), f64::from(level))
        };
        match *self {
            Self::NeverFalls => say(ASK_NEVER_FALLS),
            Self::Floor(level, share) => edge(ASK_FLOOR, level, share),
            Self::Ceiling(level, share) => edge(ASK_CEILING, level, share),
            Self::Alternating(apart) => say(ASK_ALTERNATING).num("apart", Quantity::Gain, apart),
            Self::MixedWeighting => say(ASK_MIXED_WEIGHTING),
            Self::HighestChosen => say(ASK_HIGHEST_CHOSEN),
            Self::ExceededChosen => say(ASK_EXCEEDED_CHOSEN),
            Self::SeveralLevels => say(ASK_SEVERAL_LEVELS),
            Self::WholeNumbers => say(ASK_WHOLE_NUMBERS),
            Self::PerCent => say(ASK_PER_CENT),
            Self::SharedTimes(rows) => say(ASK_SHARED_TIMES).num("rows", Quantity::Count, f64::from(rows)),
            Self::Drift(step) => say(ASK_DRIFT).with("step", seconds(step)),
            Self::MinutesSeconds => say(ASK_MINUTES_SECONDS),
            Self::HoursMinutes => say(ASK_HOURS_MINUTES),
            Self::OutOfRangeLost => say(ASK_OUT_OF_RANGE_LOST),
            Self::SplitNumbers => say(ASK_SPLIT_NUMBERS),
            Self::OneRow => say(ASK_ONE_ROW),
            Self::ClockSet => say(ASK_CLOCK_SET),
            Self::IntervalDiffers(stated) => {
                say(ASK_INTERVAL_DIFFERS).with("stated", seconds(stated)).with("found", seconds(understood.step_s))
            }
        }
    }
}

impl Understood {
    /// How dates were read, in words; nothing without dates.
    pub fn dates_said(&self) -> Option<Said> {
        let dates = self.dates?;
        let said = match (dates.from, dates.other) {
            (_, Some(other)) => say(ORDER_OPEN).with("other", other.msg()),
            (OrderFrom::Wanted, _) => say(ORDER_WANTED),
            (OrderFrom::Written, _) => say(ORDER_WRITTEN),
            (OrderFrom::Possible, _) => say(ORDER_POSSIBLE),
            (OrderFrom::Following, _) => say(ORDER_FOLLOWING),
            (OrderFrom::Custom, _) => say(ORDER_CUSTOM),
        };
        Some(said.with("order", dates.order.msg()))
    }
}

/// A length of time, s, with no more digits than it takes.
const fn seconds(value: f64) -> Arg {
    Arg::AsTyped(Quantity::Count, value)
}
