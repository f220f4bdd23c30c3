//! What the person says about a file. Whatever is left open is found out from the file itself.

/// How a file writes its characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, plain ASCII included.
    Utf8,
    /// UTF-16, low byte first.
    Utf16Little,
    /// UTF-16, high byte first.
    Utf16Big,
    /// Windows-1252, the older western one.
    Windows1252,
}

/// What stands between two cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    /// A tab.
    Tab,
    /// `;`
    Semicolon,
    /// `|`
    Bar,
    /// `,`
    Comma,
    /// One blank or more; columns of fixed width too.
    Blanks,
}

impl Separator {
    /// All of them, in the order in which they are preferred where two would do.
    pub const ALL: [Self; 5] = [Self::Tab, Self::Semicolon, Self::Bar, Self::Comma, Self::Blanks];

    /// The character, where there is one.
    pub const fn byte(self) -> Option<u8> {
        match self {
            Self::Tab => Some(b'\t'),
            Self::Semicolon => Some(b';'),
            Self::Bar => Some(b'|'),
            Self::Comma => Some(b','),
            Self::Blanks => None,
        }
    }
}

/// The decimal sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `41.2`
    Point,
    /// `41,2`
    Comma,
}

impl Decimal {
    pub(super) const fn byte(self) -> u8 {
        match self {
            Self::Point => b'.',
            Self::Comma => b',',
        }
    }
}

/// The order of the three numbers of a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateOrder {
    /// Day, month, year.
    DayMonthYear,
    /// Month, day, year.
    MonthDayYear,
    /// Year, month, day.
    YearMonthDay,
}

/// What a reading stands for that only says “below 30” or “above 130”.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Censored {
    /// The limit itself.
    #[default]
    AtLimit,
    /// No sound at all. Only for readings below a limit; those above it count as the limit.
    Silent,
    /// Nothing: the row is left out of every figure, but its place in time stays known.
    LeftOut,
}

/// Where the time of a row is found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimeFrom {
    /// In this column, counted from 0, and in the one of the date, if that is another.
    Columns {
        /// The clock, the elapsed time or the whole stamp.
        clock: usize,
        /// The date, where it stands apart.
        date: Option<usize>,
    },
    /// Nowhere: each row is this many seconds, above 0, after the one before.
    Step(f64),
}

/// What the person says about a file. Empty means: find out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// How the characters are written.
    pub encoding: Option<Encoding>,
    /// What stands between cells.
    pub separator: Option<Separator>,
    /// The decimal sign of the levels.
    pub decimal: Option<Decimal>,
    /// The order of numeric dates.
    pub date_order: Option<DateOrder>,
    /// The column of the level, counted from 0.
    pub level: Option<usize>,
    /// Where the time is.
    pub time: Option<TimeFrom>,
    /// Whether a clock of two parts is minutes and seconds, rather than hours and minutes.
    pub minutes_seconds: Option<bool>,
    /// The nominal time from row to row, s, above 0; it is what every row weighs.
    pub step_s: Option<f64>,
    /// What readings outside the meter's range stand for.
    pub censored: Censored,
}
