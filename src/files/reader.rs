//! Reads a log, piece by piece as it comes, into a [`Log`].
//!
//! The first 32 kB decide how the file is written; from there on each row is read by what was found, and nothing but levels and
//! stretches of time is kept. However the file is cut into pieces, the result is the same.

use super::cells::{self, Bound, Cell, Void};
use super::clock::{self, DAY, SECOND, Stamp};
use super::decode::{self, Wide};
use super::error::{self, FileError, Thing};
use super::fast::Shape;
use super::hash::Hash;
use super::log::{Counts, Levels, Log, Mark, row_of};
use super::names;
use super::sniff::{self, Dialect, Plan, Since, Stuck, uncommented};
use super::timeline::{self, Raw, Timeline, i64_to_f64, round};
use super::understood::{Beyond, FirstRow, NAMED, Question, Reason, Skipped, Start, Understood};
use super::wanted::{Censored, Encoding, Separator, Wanted};
use crate::units::Weighting;

/// How many bytes are looked at before the first row is read.
const HEAD: usize = 32 * 1024;
/// How many of their lines.
const HEAD_LINES: usize = 200;
/// No row of a log is longer, bytes.
pub(super) const LONGEST: usize = 64 * 1024;
/// The most rows that are held: 32 MB of levels in tenths.
pub const MOST_ROWS: u32 = 16 * 1024 * 1024;
/// How many of the first rows are shown as understood.
const FIRST_ROWS: usize = 5;

/// Reads one file.
///
/// # Example
///
/// ```
/// use lessdin::files::{Reader, Wanted};
///
/// let mut reader = Reader::new(&Wanted::default());
/// reader.push(b"Time;LAeq\r\n19:00:00;36,2\r\n19:00:01;");
/// reader.push(b"36,0\r\n19:00:02;36,4\r\n");
/// let log = reader.finish().unwrap();
/// assert_eq!(log.len(), 3);
/// assert_eq!(log.step_s(), 1.0);
///
/// assert!(Reader::new(&Wanted::default()).finish().is_err());
/// ```
#[derive(Debug)]
pub struct Reader {
    wanted: Wanted,
    hash: Hash,
    bytes: u64,
    state: State,
}

#[derive(Debug)]
enum State {
    /// Not enough to tell how the file is written.
    Head(Vec<u8>),
    /// Reading rows.
    Rows(Box<Rows>),
    /// It cannot be read.
    Failed(FileError),
}

impl Reader {
    /// A reader for one file. Whatever is left open in `wanted` is found out.
    pub fn new(wanted: &Wanted) -> Self {
        Self { wanted: wanted.clone(), hash: Hash::new(), bytes: 0, state: State::Head(Vec::new()) }
    }

    /// Takes the next bytes of the file in.
    pub fn push(&mut self, bytes: &[u8]) {
        self.hash.push(bytes);
        self.bytes += bytes.len() as u64;
        let mut rest = bytes;
        if let State::Head(head) = &mut self.state {
            let (now, later) = rest.split_at_checked(HEAD - head.len()).unwrap_or((rest, &[]));
            head.extend_from_slice(now);
            rest = later;
            if head.len() == HEAD {
                let head = std::mem::take(head);
                self.begin(&head, false);
            }
        }
        if let State::Rows(rows) = &mut self.state
            && !rest.is_empty()
            && let Err(error) = rows.take(rest)
        {
            self.state = State::Failed(error);
        }
    }

    /// Why reading on is useless, if it is.
    pub fn failed(&self) -> Option<&FileError> {
        match &self.state {
            State::Failed(error) => Some(error),
            _ => None,
        }
    }

    /// Bytes taken in so far.
    pub fn bytes(&self) -> u64 {
        self.bytes
    }

    /// Rows read so far.
    pub fn rows(&self) -> u32 {
        match &self.state {
            State::Rows(rows) => rows.raw.rows(),
            _ => 0,
        }
    }

    /// The log.
    ///
    /// # Errors
    ///
    /// [`FileError`]: what was found instead of a log, and what would work.
    pub fn finish(mut self) -> Result<Log, FileError> {
        if let State::Head(head) = &mut self.state {
            let head = std::mem::take(head);
            self.begin(&head, true);
        }
        match self.state {
            State::Rows(rows) => rows.finish(&self.wanted, self.hash.value(), self.bytes),
            State::Failed(error) => Err(error),
            State::Head(_) => Err(FileError::Empty),
        }
    }

    fn begin(&mut self, head: &[u8], whole: bool) {
        self.state = match Rows::begin(&self.wanted, head, whole) {
            Ok(rows) => State::Rows(Box::new(rows)),
            Err(error) => State::Failed(error),
        };
    }
}

/// Reads rows by what was found out.
#[derive(Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each says one thing that was met or not")]
struct Rows {
    encoding: Encoding,
    marked: bool,
    wide: Wide,
    decoded: Vec<u8>,
    dialect: Dialect,
    /// Whether a column says which weighting or response was on.
    setting: Option<usize>,
    first_setting: Vec<u8>,
    /// Lines before the rows, without their digits, to know them again.
    head_lines: Vec<Vec<u8>>,
    /// The beginning of a line whose end has not come yet.
    carry: Vec<u8>,
    after_return: bool,
    /// Bytes before the line that is being read.
    passed: u64,
    line: u32,
    raw: Raw,
    levels: Levels,
    marks: Vec<Mark>,
    skipped: Vec<Skipped>,
    below: Beyond,
    above: Beyond,
    weightings: u8,
    mixed: bool,
    /// Whether readings beyond the range are left out.
    left_out: bool,
    whole: bool,
    first: Vec<(u32, u32)>,
    /// Rows counted where nothing else tells the time.
    counted: i64,
    shape: Option<Shape>,
    plain: Vec<u8>,
    cells: Vec<Cell>,
    moved: Vec<Cell>,
}

/// Where the line ends that some bytes begin with: its length, and with its end. Nothing when it goes on.
fn line_end(bytes: &[u8]) -> Option<(usize, usize)> {
    let end = bytes.iter().position(|byte| matches!(byte, b'\n' | b'\r'))?;
    let long = if bytes.get(end) == Some(&b'\r') && bytes.get(end + 1) == Some(&b'\n') { 2 } else { 1 };
    Some((end, end + long))
}

impl Rows {
    /// Finds out how the file is written and reads what has come.
    #[inline(never)]
    fn begin(wanted: &Wanted, head: &[u8], whole: bool) -> Result<Self, FileError> {
        if head.is_empty() {
            return Err(FileError::Empty);
        }
        if let Some(thing) = error::thing(head) {
            return Err(FileError::NotALog(thing));
        }
        let (found, mark) = decode::encoding(head);
        let encoding = wanted.encoding.unwrap_or(found);
        let body = head.get(mark..).unwrap_or_default();
        let mut wide = Wide::default();
        let mut text = Vec::new();
        if matches!(encoding, Encoding::Utf16Little | Encoding::Utf16Big) {
            wide.push(body, encoding == Encoding::Utf16Big, &mut text);
        } else {
            text.extend_from_slice(body);
        }
        if error::is_binary(&text) {
            return Err(FileError::NotALog(Thing::Binary));
        }
        let mut lines: Vec<Vec<u8>> = Vec::new();
        let mut rest = text.as_slice();
        let mut plain = Vec::new();
        while lines.len() < HEAD_LINES && !rest.is_empty() {
            let Some((end, long)) = line_end(rest).or_else(|| whole.then_some((rest.len(), rest.len()))) else { break };
            decode::plain(rest.get(..end).unwrap_or_default(), encoding, &mut plain);
            lines.push(plain.clone());
            rest = rest.get(long..).unwrap_or_default();
        }
        if lines.iter().all(|line| line.trim_ascii().is_empty()) && whole {
            return Err(FileError::Empty);
        }
        let mut dialect = sniff::sniff(&lines, wanted).map_err(|stuck| explain(stuck, &lines))?;
        // Rows of another look may stand before the first of the usual one.
        let mut cells = Vec::new();
        while let Some(line) = dialect.first.checked_sub(1).and_then(|place| lines.get(place)) {
            cells::split(line, dialect.separator, &mut cells);
            let level = cells.get(dialect.level).map(|cell| cells::level(cell.of(line), dialect.decimal.byte()));
            if !matches!(level, Some(Ok(_))) || dialect.plan_time(line, &cells, &Raw::default(), 0).is_none() {
                break;
            }
            dialect.first -= 1;
        }
        let head_lines = lines.iter().take(dialect.first).map(|line| masked(line)).filter(|line| !line.is_empty()).collect();
        let setting = dialect.columns.iter().position(|column| {
            let name = names::folded(&column.name);
            ["weight", "bewert", "ponder", "respon", "wtg"].iter().any(|key| name.contains(key))
        });
        let mut rows = Self {
            encoding,
            marked: mark > 0,
            wide,
            decoded: Vec::new(),
            dialect,
            setting,
            first_setting: Vec::new(),
            head_lines,
            carry: Vec::new(),
            after_return: false,
            passed: mark as u64,
            line: 0,
            raw: Raw::default(),
            levels: Levels::Tenths(Vec::new()),
            marks: Vec::new(),
            skipped: Vec::new(),
            below: Beyond::default(),
            above: Beyond::default(),
            weightings: 0,
            mixed: false,
            left_out: wanted.censored == Censored::LeftOut,
            whole: true,
            first: Vec::new(),
            counted: 0,
            shape: None,
            plain: Vec::new(),
            cells: Vec::new(),
            moved: Vec::new(),
        };
        rows.feed(&text)?;
        Ok(rows)
    }

    /// Takes bytes of the file in.
    fn take(&mut self, bytes: &[u8]) -> Result<(), FileError> {
        if matches!(self.encoding, Encoding::Utf16Little | Encoding::Utf16Big) {
            let mut text = std::mem::take(&mut self.decoded);
            text.clear();
            self.wide.push(bytes, self.encoding == Encoding::Utf16Big, &mut text);
            let done = self.feed(&text);
            self.decoded = text;
            return done;
        }
        self.feed(bytes)
    }

    /// Takes text in.
    fn feed(&mut self, text: &[u8]) -> Result<(), FileError> {
        let mut rest = text;
        if self.after_return && !rest.is_empty() {
            self.after_return = false;
            if let [b'\n', later @ ..] = rest {
                rest = later;
                self.passed += 1;
            }
        }
        if !self.carry.is_empty() {
            let Some((end, long)) = line_end(rest) else {
                self.carry.extend(rest.iter().filter(|byte| **byte != 0));
                return self.not_too_long(self.carry.len());
            };
            let mut line = std::mem::take(&mut self.carry);
            line.extend_from_slice(rest.get(..end).unwrap_or_default());
            self.not_too_long(line.len())?;
            self.read(&line);
            self.end_line(rest, end, long);
            self.passed += line.len() as u64;
            line.clear();
            self.carry = line;
            rest = rest.get(long..).unwrap_or_default();
        }
        loop {
            rest = self.run(rest);
            let Some((end, long)) = line_end(rest) else { break };
            self.not_too_long(end)?;
            self.read(rest.get(..end).unwrap_or_default());
            self.end_line(rest, end, long);
            self.passed += long as u64;
            rest = rest.get(long..).unwrap_or_default();
            if self.raw.rows() > MOST_ROWS {
                return Err(FileError::TooManyRows { most: MOST_ROWS });
            }
        }
        self.carry.extend(rest.iter().filter(|byte| **byte != 0));
        self.not_too_long(self.carry.len())
    }

    /// Remembers a carriage return at the very end: a line feed may belong to it.
    fn end_line(&mut self, rest: &[u8], end: usize, long: usize) {
        self.after_return = long == rest.len() && rest.get(end) == Some(&b'\r') && long == end + 1;
    }

    fn not_too_long(&self, long: usize) -> Result<(), FileError> {
        if long > LONGEST { Err(FileError::LongLine { line: self.line + 1, byte: self.passed }) } else { Ok(()) }
    }

    /// Reads rows of the shape last seen, as long as they come; what is left over.
    ///
    /// Kept apart: browsers make the fast code of a small function long before that of a large one.
    #[inline(never)]
    fn run<'a>(&mut self, text: &'a [u8]) -> &'a [u8] {
        let (Some(shape), Levels::Tenths(values)) = (&self.shape, &mut self.levels) else { return text };
        if self.raw.rows() > MOST_ROWS || self.first.len() < FIRST_ROWS {
            return text;
        }
        let mut rest = text;
        let same_day = self.raw.day() == Some(shape.day);
        let mut expected = if same_day && self.raw.is_under_way() { self.raw.next } else { i64::MIN };
        let mut followed = 0_u32;
        let mut whole = true;
        while let Some(row) = shape.row(rest) {
            self.line += 1;
            if row.tick == expected {
                followed += 1;
                expected += self.raw.step;
            } else {
                self.raw.follow(followed);
                followed = 0;
                self.raw.push(shape.day, row.tick, self.line);
                expected = if self.raw.is_under_way() { self.raw.next } else { i64::MIN };
            }
            values.push(row.tenths);
            whole &= row.tenths % 10 == 0;
            rest = rest.get(row.long..).unwrap_or_default();
        }
        self.raw.follow(followed);
        self.whole &= whole;
        self.passed += (text.len() - rest.len()) as u64;
        rest
    }

    /// Reads one line.
    #[inline(never)]
    fn read(&mut self, raw: &[u8]) {
        self.line = self.line.saturating_add(1);
        if decode::is_plain(raw) {
            self.row(raw, true);
        } else {
            let mut plain = std::mem::take(&mut self.plain);
            decode::plain(raw, self.encoding, &mut plain);
            self.row(&plain, plain == raw);
            self.plain = plain;
        }
    }

    /// Reads one line of plain text. `exact` says that the file has the very same bytes.
    fn row(&mut self, line: &[u8], exact: bool) {
        if line.iter().all(|byte| matches!(byte, b' ' | b'\t' | 0x1a)) {
            return self.skip(Reason::Blank);
        }
        if (self.line as usize) <= self.dialect.first {
            return self.skip(Reason::Head);
        }
        if matches!(line.trim_ascii_start(), [b'#', ..] | [b'/', b'/', ..]) {
            let reason = self.name_reason(line, Reason::Remark);
            return self.skip(reason);
        }
        cells::split(line, self.dialect.separator, &mut self.cells);
        self.align();
        let found = self.dialect.plan_time(line, &self.cells, &self.raw, self.counted);
        let cell = self.cells.get(self.dialect.level).copied().unwrap_or(Cell { start: line.len(), end: line.len() });
        let level = cells::level(cell.of(line), self.dialect.decimal.byte());
        let Some(time) = found else {
            let reason = self.name_reason(line, if level.is_ok() { Reason::Time } else { Reason::Words });
            return self.skip(reason);
        };
        let reading = match level {
            Ok(reading) => reading,
            Err(Void::Words) => {
                let reason = self.name_reason(line, Reason::Words);
                return self.skip(reason);
            }
            Err(void) => {
                self.counted += 1;
                return self.skip(match void {
                    Void::Empty | Void::Words => Reason::Empty,
                    Void::Missing => Reason::Missing,
                    Void::Over => Reason::Over,
                    Void::Under => Reason::Under,
                    Void::Code => Reason::Code,
                });
            }
        };
        self.counted += 1;
        if let Some(bound) = reading.bound {
            let below = bound == Bound::Below;
            let beyond = if below { &mut self.below } else { &mut self.above };
            beyond.lowest = if beyond.count == 0 { reading.level } else { beyond.lowest.min(reading.level) };
            beyond.highest = if beyond.count == 0 { reading.level } else { beyond.highest.max(reading.level) };
            beyond.count += 1;
            if self.left_out {
                return self.skip(if below { Reason::Under } else { Reason::Over });
            }
            let row = self.raw.rows();
            match self.marks.last_mut() {
                Some(mark) if mark.below == below && mark.row + mark.count == row => mark.count += 1,
                _ => self.marks.push(Mark { row, count: 1, below }),
            }
        }
        if let Some(weighting) = reading.weighting {
            self.weightings |= match weighting {
                Weighting::A => 1,
                Weighting::C => 2,
                Weighting::Z => 4,
            };
        }
        if let Some(cell) = self.setting.and_then(|column| self.cells.get(column)) {
            let text = cell.of(line);
            if self.first_setting.is_empty() {
                self.first_setting.extend_from_slice(text);
            } else if !text.is_empty() && text != self.first_setting {
                self.mixed = true;
            }
        }
        if self.first.len() < FIRST_ROWS {
            self.first.push((self.line, self.raw.rows()));
        }
        if let Some(date) = time.date
            && self.raw.dates.last() != Some(&date)
        {
            self.raw.dates.push(date);
        }
        let day = if self.dialect.rules.calendar { i32::try_from(self.raw.dates.len()).unwrap_or(0) - 1 } else { time.day };
        self.raw.push(day, time.tick, self.line);
        self.whole &= reading.hundredths.is_some_and(|scaled| scaled % 100 == 0);
        self.levels.push(reading.hundredths, reading.level);
        self.shape = None;
        if let Some((clock, at)) = time.clock
            && let Some(separator) = self.dialect.separator.byte()
            && exact
            && reading.bound.is_none()
            && reading.place.0 == 0
            && self.setting.is_none()
        {
            let place = (cell.start, cell.start + reading.place.1);
            self.shape = Shape::learn(line, clock, at, place, (self.dialect.decimal.byte(), separator), (day, time.tick));
        }
    }

    /// Where blanks line columns up, a row with a cell missing keeps its cells in their columns.
    fn align(&mut self) {
        if self.dialect.separator != Separator::Blanks || self.dialect.aligned.is_empty() || self.cells.len() == self.dialect.width {
            return;
        }
        let columns = &self.dialect.aligned;
        self.moved.clear();
        self.moved.resize(columns.len(), Cell::default());
        for cell in &self.cells {
            let shared = |column: &Cell| cell.end.min(column.end).saturating_sub(cell.start.max(column.start));
            let best = columns
                .iter()
                .enumerate()
                .map(|(place, column)| (shared(column), place))
                .max_by_key(|(shared, place)| (*shared, usize::MAX - place));
            if let Some((1.., place)) = best
                && let Some(slot) = self.moved.get_mut(place)
                && slot.end == 0
            {
                *slot = *cell;
            }
        }
        std::mem::swap(&mut self.cells, &mut self.moved);
    }

    /// Why a line without a reading is there.
    fn name_reason(&self, line: &[u8], otherwise: Reason) -> Reason {
        let masked = masked(line);
        if self.head_lines.contains(&masked) {
            return Reason::HeadAgain;
        }
        let first = self.cells.iter().map(|cell| cell.of(line)).find(|cell| !cell.is_empty()).unwrap_or_default();
        if uncommented(line, self.dialect.separator).len() < line.trim_ascii_start().len()
            || first.starts_with(b"#")
            || first.starts_with(b"//")
        {
            return Reason::Remark;
        }
        if names::is_summary(first) {
            return Reason::Summary;
        }
        otherwise
    }

    fn skip(&mut self, reason: Reason) {
        if !self.skipped.iter().any(|skipped| skipped.reason == reason) {
            self.skipped.push(Skipped { reason, count: 0, lines: Vec::new() });
        }
        if let Some(skipped) = self.skipped.iter_mut().find(|skipped| skipped.reason == reason) {
            skipped.count = skipped.count.saturating_add(1);
            if skipped.lines.len() < NAMED {
                skipped.lines.push(self.line);
            }
        }
    }

    /// Puts it all together.
    #[inline(never)]
    fn finish(mut self, wanted: &Wanted, hash: u64, bytes: u64) -> Result<Log, FileError> {
        let mut rest = Vec::new();
        self.wide.finish(&mut rest);
        if !rest.is_empty() {
            self.feed(&rest)?;
        }
        if !self.carry.is_empty() {
            let line = std::mem::take(&mut self.carry);
            self.read(&line);
        }
        if self.raw.rows() > MOST_ROWS {
            return Err(FileError::TooManyRows { most: MOST_ROWS });
        }
        let read = self.raw.rows();
        if read == 0 {
            let lost: u32 = self.skipped.iter().filter(|skipped| skipped.reason.is_loss()).map(|skipped| skipped.count).sum();
            return Err(FileError::NoUsableRow { rows: lost, line: row_of(self.dialect.first) + 1 });
        }
        let levels = &self.levels;
        let mut rules = self.dialect.rules;
        rules.step_s = wanted.step_s.or(rules.step_s).filter(|step| *step > 0.0 && step.is_finite());
        rules.lost = self.skipped.iter().any(|skipped| skipped.reason.is_loss());
        let mut timeline = timeline::settle(&self.raw, rules, |one, other| levels.same(one as usize, other as usize));
        let mut questions = std::mem::take(&mut self.dialect.questions);
        let step_s = match timeline.step_s {
            Some(step) if step > 0.0 => step,
            _ if read == 1 || timeline.rows == 1 => {
                questions.push(Question::OneRow);
                self.dialect.interval_s.unwrap_or(1.0)
            }
            _ => return Err(FileError::NoTime { columns: self.dialect.columns, level: self.dialect.level, rows: read }),
        };
        if timeline.reversed {
            self.levels.reverse();
            self.marks.reverse();
            for mark in &mut self.marks {
                mark.row = read - mark.row - mark.count;
            }
        }
        self.drop_repeated(&mut timeline);
        let start = self.start(&timeline);
        let counts = Counts::of(&self.levels);
        self.ask(&timeline, step_s, counts.as_ref(), &mut questions);
        let first = self.first_rows(&timeline, read);
        let understood = self.understood(wanted, &timeline, questions, step_s, bytes);
        let mut log = Log { levels: self.levels, spans: timeline.spans, marks: self.marks, counts, start, hash, understood };
        log.understood.first = first
            .into_iter()
            .filter_map(|(line, row)| {
                let at_s = log.at_s(row);
                Some(FirstRow { line, at_s, when: log.when(at_s), level: log.levels.get(row)? })
            })
            .collect();
        Ok(log)
    }

    fn drop_repeated(&mut self, timeline: &mut Timeline) {
        if timeline.dropped.is_empty() {
            return;
        }
        self.levels.drop_rows(&timeline.dropped);
        for mark in &mut self.marks {
            let before = timeline.dropped.partition_point(|row| *row < mark.row);
            let inside = timeline.dropped.partition_point(|row| *row < mark.row + mark.count) - before;
            mark.row -= row_of(before);
            mark.count -= row_of(inside);
        }
        self.marks.retain(|mark| mark.count > 0);
        let mut lines = std::mem::take(&mut timeline.dropped_lines);
        lines.sort_unstable();
        self.skipped.push(Skipped { reason: Reason::Repeated, count: row_of(timeline.dropped.len()), lines });
    }

    fn start(&self, timeline: &Timeline) -> Start {
        let rules = self.dialect.rules;
        let (day, tick) = timeline.start;
        let clock_s = i64_to_f64(tick) / i64_to_f64(SECOND);
        let number = |day: i64| i32::try_from(day).ok();
        let began = self.dialect.began.unwrap_or_default();
        let order = timeline.dates.map_or(rules.custom, |dates| dates.order);
        let began_day = began.date.and_then(|date| date.day(rules.order.unwrap_or(order)).or_else(|| date.day(clock::any_order(date))));
        let began_clock = began.clock.map(|clock| i64_to_f64(clock.ticks(false)) / i64_to_f64(SECOND));
        if rules.calendar || rules.of_day && matches!(self.dialect.plan, Plan::Number { .. }) {
            Start { day: number(day), clock_s: Some(clock_s) }
        } else if rules.of_day && rules.wraps {
            Start { day: began_day, clock_s: Some(clock_s) }
        } else {
            Start { day: began_day, clock_s: began_clock }
        }
    }

    /// The first rows of the file and where they are now.
    fn first_rows(&self, timeline: &Timeline, read: u32) -> Vec<(u32, usize)> {
        let now = |(line, row): &(u32, u32)| {
            let row = if timeline.reversed { read - 1 - row } else { *row };
            let dropped = timeline.dropped.binary_search(&row);
            match dropped {
                Ok(_) => None,
                Err(before) => Some((*line, row as usize - before)),
            }
        };
        self.first.iter().filter_map(now).collect()
    }

    /// What a person should look at.
    fn ask(&self, timeline: &Timeline, step_s: f64, counts: Option<&Counts>, questions: &mut Vec<Question>) {
        if self.mixed || self.weightings.count_ones() > 1 {
            questions.retain(|question| *question != Question::MixedWeighting);
            questions.push(Question::MixedWeighting);
        }
        if let Some(shared) = timeline.shared {
            questions.push(Question::SharedTimes(shared));
        }
        if timeline.drift {
            questions.push(Question::Drift(step_s));
        }
        if timeline.jump_count > 0 {
            questions.push(Question::ClockSet);
        }
        if let Some(stated) = self.dialect.interval_s.filter(|stated| sniff::apart(*stated, step_s) > 0.05) {
            questions.push(Question::IntervalDiffers(stated));
        }
        let lost: u32 =
            self.skipped.iter().filter(|skipped| matches!(skipped.reason, Reason::Over | Reason::Under)).map(|skipped| skipped.count).sum();
        if lost > 0 {
            questions.push(Question::OutOfRangeLost);
        }
        super::doubts::ask(&self.levels, counts, self.whole, questions);
    }

    fn understood(&mut self, wanted: &Wanted, timeline: &Timeline, questions: Vec<Question>, step_s: f64, bytes: u64) -> Understood {
        let mut skipped = std::mem::take(&mut self.skipped);
        crate::units::sort_few(&mut skipped, |one, other| (one.reason as u8).cmp(&(other.reason as u8)));
        Understood {
            encoding: self.encoding,
            marked: self.marked,
            separator: self.dialect.separator,
            decimal: self.dialect.decimal,
            dates: timeline.dates,
            step_s,
            columns: std::mem::take(&mut self.dialect.columns),
            level: self.dialect.level,
            time: self.dialect.time,
            censored: wanted.censored,
            bytes,
            lines: self.line,
            rows: row_of(self.levels.len()),
            skipped,
            gaps: timeline.gaps.clone(),
            gap_count: timeline.gap_count,
            missing: timeline.missing,
            jumps: timeline.jumps.clone(),
            jump_count: timeline.jump_count,
            same_time: timeline.same_time,
            midnights: timeline.midnights,
            newest_first: timeline.reversed,
            below: self.below,
            above: self.above,
            resolution_db: match &self.levels {
                _ if self.whole => 1.0,
                Levels::Tenths(_) => 0.1,
                Levels::Hundredths(_) => 0.01,
                Levels::Single(_) => 0.001,
            },
            questions,
            first: Vec::new(),
        }
    }
}

/// The time of a row as it stands there.
#[derive(Clone, Copy, Debug)]
struct Time {
    date: Option<clock::RawDate>,
    day: i32,
    tick: i64,
    /// The clock and where its cell begins in the line.
    clock: Option<(clock::RawClock, usize)>,
}

impl Time {
    /// Ticks that may be more than a day.
    fn of_ticks(ticks: i64) -> Option<Self> {
        let day = i32::try_from(ticks.div_euclid(DAY)).ok()?;
        Some(Self { date: None, day, tick: ticks.rem_euclid(DAY), clock: None })
    }
}

impl Dialect {
    /// The time of a row; nothing when it cannot be read.
    #[inline(never)]
    fn plan_time(&self, line: &[u8], cells: &[Cell], raw: &Raw, counted: i64) -> Option<Time> {
        let cell = |column: usize| cells.get(column).copied().unwrap_or_default();
        match self.plan {
            Plan::Stamp { column, date, millis, dotted, minutes } => {
                let own = cell(column);
                let mut stamp = clock::stamp(own.of(line), dotted)?;
                if let Some(date) = date {
                    let text = cell(date).of(line);
                    match clock::stamp(text, false) {
                        Some(Stamp { date: Some(date), .. }) => stamp.date = Some(date),
                        // Written once and left out while it stays the same.
                        _ if text.is_empty() => {}
                        _ => return None,
                    }
                }
                let clock = stamp.clock;
                let mut ticks = clock.map_or(0, |clock| clock.ticks(minutes));
                if let Some(millis) = millis {
                    let number = cells::number(cell(millis).of(line), None)?;
                    ticks += round(number.value() * 10.0);
                }
                if self.rules.calendar {
                    // A day has no more than its own hours; 24:00 is its end.
                    if !(0..=DAY).contains(&ticks) {
                        return None;
                    }
                    let date = stamp.date.or_else(|| raw.dates.last().copied())?;
                    let clock = clock.filter(|_| millis.is_none() && !minutes).map(|clock| (clock, own.start));
                    return Some(Time { date: Some(date), day: 0, tick: ticks, clock });
                }
                clock?;
                let clock = clock.filter(|_| millis.is_none() && !minutes && ticks < DAY).map(|clock| (clock, own.start));
                Some(Time { clock, ..Time::of_ticks(ticks)? })
            }
            Plan::Number { column, ticks, decimal, since } => {
                let number = cells::number(cell(column).of(line), Some(decimal))?;
                let mut value = number.value();
                if since == Since::Spreadsheets {
                    // From the end of 1899 to 1970.
                    value -= 25_569.0;
                }
                let total = value * ticks;
                // More than this is no time a log can have, and would not be exact.
                (total.abs() < 4e16).then(|| Time::of_ticks(round(total))).flatten()
            }
            Plan::Index { column, ticks } => {
                let number = cells::number(cell(column).of(line), None)?;
                (number.decimals == 0 && number.digits < 1 << 40).then(|| Time::of_ticks(round(number.value() * ticks))).flatten()
            }
            Plan::Nowhere { ticks } => {
                let first = cells.iter().map(|cell| cell.of(line)).find(|cell| !cell.is_empty()).unwrap_or_default();
                let filled = cells.iter().rposition(|cell| cell.end > cell.start).map_or(0, |last| last + 1);
                if names::is_summary(first) || self.separator != Separator::Blanks && filled > self.width.max(self.columns.len()) {
                    return None;
                }
                Time::of_ticks(round(i64_to_f64(counted) * ticks))
            }
        }
    }
}

/// A line without its digits, so that page numbers do not matter.
fn masked(line: &[u8]) -> Vec<u8> {
    line.iter().filter(|byte| !byte.is_ascii_digit() && !matches!(byte, b' ' | b'\t' | b';' | b',')).copied().collect()
}

fn explain(stuck: Stuck, lines: &[Vec<u8>]) -> FileError {
    match stuck {
        Stuck::Rows => {
            let first = lines.iter().map(|line| line.trim_ascii()).find(|line| !line.is_empty()).unwrap_or_default();
            let first: String = String::from_utf8_lossy(first).chars().filter(|c| !c.is_control()).take(60).collect();
            FileError::NoRows { lines: row_of(lines.len()), first }
        }
        Stuck::Level(columns) => FileError::NoLevel { columns },
        Stuck::Time(columns, level) => FileError::NoTime { columns, level, rows: row_of(lines.len()) },
    }
}
