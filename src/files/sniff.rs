//! Finds out how a file is written, from its first lines.
//!
//! For each separator the lines are split and every cell is given a kind; the separator under which most lines look like the
//! same kind of row of figures wins. Then each column is given a part to play, by its figures first and its name second, and
//! whatever the person has said stands above both.

use super::cells::{self, Cell};
use super::clock::{self, Form, RawDate, SECOND};
use super::names;
use super::timeline::{Rules, i64_to_f64, share};
use super::understood::{Column, LevelName, Question, Role, Statistic, TimeFound};
use super::wanted::{DateOrder, Decimal, Separator, TimeFrom, Wanted};
use crate::units::{Weighting, count_to_f64};

/// Where the time of a row stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Plan {
    /// As date and clock.
    Stamp { column: usize, date: Option<usize>, millis: Option<usize>, dotted: bool, minutes: bool },
    /// As a number, so many ticks to one.
    Number { column: usize, ticks: f64, decimal: u8, since: Since },
    /// In the row's number; so many ticks from one to the next.
    Index { column: usize, ticks: f64 },
    /// Nowhere; so many ticks from row to row.
    Nowhere { ticks: f64 },
}

/// What a number counts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Since {
    /// Its own start.
    Start,
    /// The end of 1899, as spreadsheets do.
    Spreadsheets,
    /// 1970.
    Epoch,
}

/// How a file is written.
#[derive(Clone, Debug)]
pub(super) struct Dialect {
    pub(super) separator: Separator,
    pub(super) decimal: Decimal,
    pub(super) level: usize,
    pub(super) plan: Plan,
    /// How many cells a row of figures has, empty ones at its end not counted.
    pub(super) width: usize,
    /// Where the columns stand, where blanks line them up.
    pub(super) aligned: Vec<Cell>,
    pub(super) columns: Vec<Column>,
    /// The line of the first row of figures, from 0.
    pub(super) first: usize,
    pub(super) rules: Rules,
    pub(super) time: TimeFound,
    /// When the log began, as the head of the file says.
    pub(super) began: Option<clock::Stamp>,
    pub(super) interval_s: Option<f64>,
    pub(super) questions: Vec<Question>,
}

/// Why a file cannot be read as it is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Stuck {
    /// No line looks like a row of figures.
    Rows,
    /// No column looks like one of levels; these are the columns.
    Level(Vec<Column>),
    /// No column tells the time; these are the columns and the one of the level.
    Time(Vec<Column>, usize),
}

/// What a cell looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Empty,
    Number,
    Void,
    Date,
    Clock,
    Stamp,
    Words,
}

#[inline(never)]
fn kind(cell: &[u8]) -> Kind {
    if cell.is_empty() {
        return Kind::Empty;
    }
    if let Some(stamp) = clock::stamp(cell, false) {
        return match (stamp.date, stamp.clock) {
            (Some(_), Some(_)) => Kind::Stamp,
            (Some(_), None) => Kind::Date,
            _ => Kind::Clock,
        };
    }
    if let Some(number) = cells::number(cell, None)
        && (number.unit.is_empty() || std::str::from_utf8(number.unit).is_ok_and(names::is_unit_cell))
    {
        return Kind::Number;
    }
    if clock::stamp(cell, true).is_some() {
        return Kind::Date;
    }
    if cells::is_void(cell) { Kind::Void } else { Kind::Words }
}

/// The letter of a kind in a row's pattern. Signs for missing values stand where figures do; words may come and go.
const fn letter(kind: Kind) -> u8 {
    match kind {
        Kind::Number | Kind::Void => b'n',
        Kind::Date => b'd',
        Kind::Clock => b'c',
        Kind::Stamp => b's',
        Kind::Empty | Kind::Words => b'*',
    }
}

/// Lines that look alike under one separator.
struct Block {
    separator: Separator,
    pattern: Vec<u8>,
    /// The places of its lines.
    lines: Vec<usize>,
    score: f64,
}

/// The best block under a separator.
#[inline(never)]
fn block(lines: &[Vec<u8>], separator: Separator, scratch: &mut Vec<Cell>) -> Option<Block> {
    let mut groups: Vec<Block> = Vec::new();
    for (place, line) in lines.iter().enumerate() {
        cells::split(line, separator, scratch);
        let kinds: Vec<Kind> = scratch.iter().map(|cell| kind(cell.of(line))).collect();
        let mut pattern: Vec<u8> = kinds.iter().map(|kind| letter(*kind)).collect();
        while pattern.last() == Some(&b'*') {
            pattern.pop();
        }
        if !kinds.contains(&Kind::Number) {
            // A row of signs only still belongs to its block, but makes none.
            continue;
        }
        let filled = kinds.iter().filter(|kind| **kind != Kind::Empty).count();
        let typed = kinds.iter().filter(|kind| !matches!(kind, Kind::Empty | Kind::Words)).count();
        let score = share(typed, filled).powi(2);
        if let Some(group) = groups.iter_mut().find(|group| group.pattern == pattern) {
            group.lines.push(place);
            group.score += score;
        } else {
            groups.push(Block { separator, pattern, lines: vec![place], score });
        }
    }
    // Of two patterns as frequent, the one that says more.
    groups
        .into_iter()
        .reduce(|best, other| if (other.score, other.pattern.len()) > (best.score, best.pattern.len()) { other } else { best })
}

/// What the cells of a column have in common, over the lines of a block.
#[derive(Clone, Debug, Default)]
struct Stats {
    numbers: usize,
    voids: usize,
    dates: usize,
    clocks: usize,
    stamps: usize,
    dotted: usize,
    words: usize,
    commas: usize,
    points: usize,
    decimals: u8,
    values: Vec<f64>,
    in_range: usize,
    unit: String,
    weightings: u8,
}

/// Finds out how a file is written.
///
/// # Errors
///
/// [`Stuck`] when there is nothing to read.
#[inline(never)]
pub(super) fn sniff(lines: &[Vec<u8>], wanted: &Wanted) -> Result<Dialect, Stuck> {
    let mut scratch = Vec::new();
    let candidates = Separator::ALL.into_iter().filter(|separator| wanted.separator.is_none_or(|wanted| wanted == *separator));
    let mut best: Option<Block> = None;
    for separator in candidates {
        let Some(mut found) = block(lines, separator, &mut scratch) else { continue };
        // A separator that separates nothing.
        if wanted.separator.is_none() && found.pattern.len() < 2 && separator != Separator::Blanks && !has_separator(lines, &found) {
            continue;
        }
        if separator == Separator::Comma && splits_decimals(lines, &found, &mut scratch) {
            found.score *= 0.5;
        }
        if best.as_ref().is_none_or(|best| found.score > best.score * 1.001) {
            best = Some(found);
        }
    }
    let block = best.ok_or(Stuck::Rows)?;
    let rows: Vec<&Vec<u8>> = block.lines.iter().filter_map(|place| lines.get(*place)).collect();
    let width = block.pattern.len();
    let stats = columns_of(&rows, block.separator, width, &mut scratch);
    let first = block.lines.first().copied().unwrap_or(0);
    let head = head_of(lines, first, &stats, block.separator, &mut scratch);
    let mut sniffed = Sniffed { wanted, stats, names: head.names, units: head.units, questions: Vec::new(), began: None, interval_s: None };
    let names_short = !sniffed.names.is_empty()
        && head.filled < width
        && block.separator == Separator::Comma
        && splits_decimals(lines, &block, &mut scratch);
    if names_short {
        sniffed.questions.push(Question::SplitNumbers);
    }
    sniffed.read_head(lines.get(..first).unwrap_or_default());
    let mut roles = sniffed.time_roles();
    let (level, level_roles) = sniffed.level_role(&roles)?;
    for (role, found) in roles.iter_mut().zip(level_roles) {
        if let Some(found) = found {
            *role = found;
        }
    }
    let columns = sniffed.columns(&roles);
    let decimal = wanted.decimal.unwrap_or_else(|| sniffed.decimal(level));
    let Some((mut plan, time)) = sniffed.plan(&roles) else { return Err(Stuck::Time(columns, level)) };
    let time_rules = sniffed.rules(&mut plan, &rows, block.separator, &mut scratch);
    let aligned = if block.separator == Separator::Blanks { alignment(&rows, width, &mut scratch) } else { Vec::new() };
    Ok(Dialect {
        separator: block.separator,
        decimal,
        level,
        plan,
        width,
        aligned,
        columns,
        first,
        rules: time_rules,
        time,
        began: sniffed.began,
        interval_s: sniffed.interval_s,
        questions: sniffed.questions,
    })
}

fn has_separator(lines: &[Vec<u8>], block: &Block) -> bool {
    let Some(byte) = block.separator.byte() else { return true };
    block.lines.iter().filter_map(|place| lines.get(*place)).all(|line| line.contains(&byte))
}

/// Whether commas look like decimal signs that have been taken for separators: a pair of whole numbers, the second always of as
/// many digits, and a line of names that does not have as many cells.
fn splits_decimals(lines: &[Vec<u8>], block: &Block, scratch: &mut Vec<Cell>) -> bool {
    let width = block.pattern.len();
    if width < 2 || block.lines.len() < 2 {
        return false;
    }
    let mut digits = None;
    let mut steps: Vec<f64> = Vec::new();
    let mut before: Option<f64> = None;
    for line in block.lines.iter().filter_map(|place| lines.get(*place)) {
        cells::split(line, Separator::Comma, scratch);
        let cell = |place: usize| scratch.get(place).map(|cell| cell.of(line)).unwrap_or_default();
        let (Some(whole), Some(part)) = (cells::number(cell(width - 2), None), cells::number(cell(width - 1), None)) else { return false };
        let long = part.place.1 - part.place.0;
        let pair = whole.decimals == 0 && whole.unit.is_empty() && part.decimals == 0 && part.place.0 == 0 && long <= 2;
        if line.contains(&b'"') || !pair || *digits.get_or_insert(long) != long {
            return false;
        }
        steps.extend(before.map(|before| whole.value() - before));
        before = Some(whole.value());
    }
    let steady = steps.windows(2).all(|pair| matches!(pair, [one, other] if (one - other).abs() < 1e-9 && *one > 0.0));
    let named = block.lines.first().and_then(|first| first.checked_sub(1)).and_then(|place| lines.get(place)).is_some_and(|line| {
        cells::split(line, Separator::Comma, scratch);
        scratch.len() >= width
    });
    !steady && !named
}

#[inline(never)]
fn columns_of(rows: &[&Vec<u8>], separator: Separator, width: usize, scratch: &mut Vec<Cell>) -> Vec<Stats> {
    let mut stats = vec![Stats::default(); width];
    for row in rows {
        cells::split(row, separator, scratch);
        for (stats, cell) in stats.iter_mut().zip(scratch.iter()) {
            let text = cell.of(row);
            match kind(text) {
                Kind::Empty => {}
                Kind::Void => stats.voids += 1,
                Kind::Date => stats.dates += 1,
                Kind::Clock => stats.clocks += 1,
                Kind::Stamp => stats.stamps += 1,
                Kind::Words => stats.words += 1,
                Kind::Number => stats.number(text),
            }
            if clock::stamp(text, true).is_some() {
                stats.dotted += 1;
            }
        }
    }
    stats
}

impl Stats {
    fn number(&mut self, text: &[u8]) {
        let Some(number) = cells::number(text, None) else { return };
        self.numbers += 1;
        match number.sign {
            Some(b',') => self.commas += 1,
            Some(_) => self.points += 1,
            None => {}
        }
        self.decimals = self.decimals.max(number.decimals);
        let value = number.value();
        self.in_range += usize::from((10.0..=140.0).contains(&value));
        if self.values.len() < 100 {
            self.values.push(value);
        }
        if !number.unit.is_empty() {
            if let Some(weighting) = cells::weighting(number.unit) {
                self.weightings |= 1 << (weighting as u8);
            }
            if self.unit.is_empty() {
                self.unit = String::from_utf8_lossy(number.unit).into_owned();
            }
        }
    }

    fn filled(&self) -> usize {
        self.numbers + self.voids + self.dates + self.clocks + self.stamps + self.words
    }

    /// Whether most of its cells are of a kind.
    fn mostly(&self, count: usize) -> bool {
        count > 0 && count * 10 >= self.filled() * 8
    }

    fn is_numeric(&self) -> bool {
        self.numbers > 0 && self.mostly(self.numbers + self.voids)
    }

    /// The usual difference from row to row, if eight in ten are that.
    fn steady_step(&self) -> Option<f64> {
        let mut steps: Vec<f64> = self.values.windows(2).filter_map(|pair| Some(pair.get(1)? - pair.first()?)).collect();
        if steps.len() < 2 {
            return None;
        }
        crate::units::sort_few(&mut steps, f64::total_cmp);
        let middle = *steps.get(steps.len() / 2)?;
        let slack = 10_f64.powi(-i32::from(self.decimals)) * 1.01 + middle.abs() * 0.05;
        let steady = steps.iter().filter(|step| (**step - middle).abs() <= slack && (**step > 0.0) == (middle > 0.0)).count();
        (middle.abs() > 0.0 && steady * 10 >= steps.len() * 8).then_some(middle)
    }
}

/// Where the columns stand in lines of fixed width; nothing when they do not line up.
fn alignment(rows: &[&Vec<u8>], width: usize, scratch: &mut Vec<Cell>) -> Vec<Cell> {
    let mut spans: Vec<Cell> = Vec::new();
    for row in rows {
        cells::split(row, Separator::Blanks, scratch);
        if scratch.len() < width {
            continue;
        }
        if spans.is_empty() {
            spans.clone_from(scratch);
            spans.truncate(width);
        }
        for (span, cell) in spans.iter_mut().zip(scratch.iter()) {
            span.start = span.start.min(cell.start);
            span.end = span.end.max(cell.end);
        }
    }
    let apart = spans.windows(2).all(|pair| matches!(pair, [one, other] if one.end <= other.start));
    if apart { spans } else { Vec::new() }
}

/// The names and units over the columns.
#[derive(Default)]
struct Head {
    names: Vec<String>,
    units: Vec<String>,
    /// How many names there are.
    filled: usize,
}

#[inline(never)]
fn head_of(lines: &[Vec<u8>], first: usize, stats: &[Stats], separator: Separator, scratch: &mut Vec<Cell>) -> Head {
    let mut head = Head::default();
    let width = stats.len();
    for place in (0..first).rev().take(8) {
        let Some(line) = lines.get(place) else { break };
        let line = uncommented(line, separator);
        if line.iter().all(|byte| !byte.is_ascii_alphanumeric() && *byte < 0x80) {
            // Blank, or a rule under the names. A lone “#” may still be a name, but never all of them.
            continue;
        }
        cells::split(line, separator, scratch);
        let mut texts: Vec<String> = scratch.iter().map(|cell| String::from_utf8_lossy(cell.of(line)).replace("\"\"", "\"")).collect();
        // “LAeq,1s” falls apart where names are not quoted.
        while texts.len() > width
            && let Some(at) = torn(&texts)
        {
            let tail = texts.remove(at);
            if let Some(name) = texts.get_mut(at - 1) {
                name.push(',');
                name.push_str(&tail);
            }
        }
        if head.units.is_empty()
            && texts.iter().all(|text| text.is_empty() || names::is_unit_cell(text))
            && texts.iter().any(|text| !text.is_empty())
        {
            head.units = texts;
            continue;
        }
        let filled = texts.iter().filter(|text| !text.is_empty()).count();
        let lettered = texts.iter().filter(|text| text.chars().any(char::is_alphabetic) || text.starts_with('#')).count();
        // One name may stand over a date and its clock.
        let dated =
            stats.windows(2).position(|pair| matches!(pair, [date, clock] if date.mostly(date.dates) && clock.mostly(clock.clocks)));
        if let Some(at) = dated.filter(|_| separator == Separator::Blanks && filled + 1 == width) {
            texts.insert(at + 1, String::new());
        }
        let enough = if separator == Separator::Blanks { texts.len() == width } else { filled >= width.min(2) && texts.len() + 1 >= width };
        let voids = texts.iter().filter(|text| cells::is_void(text.as_bytes())).count();
        if !enough || lettered * 2 < filled || voids * 2 > filled {
            break;
        }
        head.filled = filled;
        head.names = texts;
        break;
    }
    head
}

/// Where a piece stands that belongs to the name before it.
fn torn(texts: &[String]) -> Option<usize> {
    texts
        .windows(2)
        .position(|pair| matches!(pair, [name, tail] if names::level(name, "").is_some() && names::duration(tail).is_some()))
        .map(|at| at + 1)
}

/// A line without the sign of a remark before it.
pub(super) fn uncommented(line: &[u8], separator: Separator) -> &[u8] {
    let text = line.trim_ascii_start();
    for mark in [&b"//"[..], b"#", b";", b"%", b"--"] {
        if separator.byte() == mark.first().copied() {
            continue;
        }
        if let Some(rest) = text.strip_prefix(mark)
            && rest.first().is_some_and(|byte| *byte == b' ' || byte.is_ascii_alphabetic())
        {
            return rest.trim_ascii_start();
        }
    }
    line
}

struct Sniffed<'a> {
    wanted: &'a Wanted,
    stats: Vec<Stats>,
    names: Vec<String>,
    units: Vec<String>,
    questions: Vec<Question>,
    began: Option<clock::Stamp>,
    interval_s: Option<f64>,
}

impl Sniffed<'_> {
    fn name(&self, column: usize) -> &str {
        self.names.get(column).map_or("", String::as_str)
    }

    fn unit(&self, column: usize) -> &str {
        let row = self.units.get(column).map_or("", |unit| unit.trim_matches(['[', ']', '(', ')']));
        if !row.is_empty() {
            return row;
        }
        if let Some(unit) = names::unit_of(self.name(column)) {
            return unit;
        }
        self.stats.get(column).map_or("", |stats| &stats.unit)
    }

    /// A name with its unit, folded.
    fn folded(&self, column: usize) -> String {
        let unit = self.units.get(column).map_or("", String::as_str);
        names::folded(&[self.name(column), " ", unit].concat())
    }

    /// Interval and start from the lines before the rows.
    fn read_head(&mut self, lines: &[Vec<u8>]) {
        for line in lines {
            let text = String::from_utf8_lossy(line);
            if self.interval_s.is_none() {
                self.interval_s = names::interval(&text);
            }
            if names::is_start(&text) {
                let known = self.began.unwrap_or_default();
                let found = clock::first_stamp(line).unwrap_or_default();
                let alone = if found.date.is_none() { clock::first_clock(line) } else { None };
                let began = clock::Stamp { date: known.date.or(found.date), clock: known.clock.or(found.clock).or(alone) };
                if began != clock::Stamp::default() && names::interval(&text).is_none() {
                    self.began = Some(began);
                }
            }
        }
    }

    /// What each column is for, levels not yet told from other numbers.
    fn time_roles(&self) -> Vec<Role> {
        let mut roles: Vec<Role> = Vec::new();
        let has_date = self.stats.iter().any(|stats| stats.mostly(stats.dates) && stats.dotted < stats.dates)
            || self.stats.iter().filter(|stats| stats.mostly(stats.dates)).count() > 1;
        for (column, stats) in self.stats.iter().enumerate() {
            let folded = self.folded(column);
            roles.push(if stats.filled() == 0 {
                Role::Blank
            } else if stats.mostly(stats.stamps) {
                Role::Stamp
            } else if has_date && stats.mostly(stats.dotted) && (roles.contains(&Role::Date) || names::is_time(&folded)) {
                Role::Clock
            } else if stats.mostly(stats.dates) {
                Role::Date
            } else if stats.mostly(stats.clocks) {
                Role::Clock
            } else if stats.is_numeric() {
                self.number_role(column, &folded, &roles)
            } else {
                Role::Words
            });
        }
        // Thousandths beside a clock are no elapsed time.
        let clocked = roles.iter().any(|role| matches!(role, Role::Clock | Role::Stamp));
        for (column, stats) in self.stats.iter().enumerate() {
            let small = stats.decimals == 0 && stats.numbers > 0 && stats.values.iter().all(|value| (0.0..1000.0).contains(value));
            if let Some(role) = roles.get_mut(column)
                && clocked
                && small
                && matches!(role, Role::Elapsed | Role::Other | Role::Index)
                && names::is_milliseconds(&names::folded(self.names.get(column).map_or("", String::as_str)))
            {
                *role = Role::Milliseconds;
            }
        }
        roles
    }

    /// What a column of numbers is for. Levels and whatever else are `Other` for now.
    fn number_role(&self, column: usize, folded: &str, before: &[Role]) -> Role {
        let Some(stats) = self.stats.get(column) else { return Role::Other };
        let all = |low: f64, high: f64| stats.values.iter().all(|value| (low..=high).contains(value));
        if self.wanted.level == Some(column) {
            return Role::Other;
        }
        let named_level = names::level(self.name(column), self.unit(column)).is_some();
        if all(20_000.0, 80_000.0) && stats.decimals >= 3 && !named_level {
            return Role::SerialDays;
        }
        if (all(9e8, 4.3e9) || all(9e11, 4.3e12)) && !named_level {
            return Role::Epoch;
        }
        if named_level || stats.voids > stats.numbers {
            return Role::Other;
        }
        // An elapsed time has a value in every row.
        if names::is_time(folded) && stats.voids == 0 {
            return Role::Elapsed;
        }
        if names::is_index(folded) && stats.decimals == 0 {
            return Role::Index;
        }
        let others = self.stats.iter().enumerate().any(|(other, stats)| other != column && stats.is_numeric());
        let taken = before.iter().any(|role| matches!(role, Role::Elapsed | Role::Index | Role::SerialDays | Role::Epoch));
        if others
            && !taken
            && stats.voids == 0
            && !names::is_other(folded)
            && let Some(step) = stats.steady_step()
        {
            let by_one = stats.decimals == 0 && (step.abs() - 1.0).abs() < 1e-9;
            return if by_one { Role::Index } else { Role::Elapsed };
        }
        Role::Other
    }

    /// The column of the level, and what the columns of numbers are after all.
    fn level_role(&mut self, roles: &[Role]) -> Result<(usize, Vec<Option<Role>>), Stuck> {
        let mut found: Vec<Option<Role>> = vec![None; roles.len()];
        let mut best: Option<(u8, usize)> = None;
        let mut alike = false;
        let mut fallback = None;
        for (column, role) in roles.iter().enumerate() {
            let Some(stats) = self.stats.get(column) else { continue };
            let wanted = self.wanted.level == Some(column);
            if *role != Role::Other && !wanted {
                continue;
            }
            let folded = self.folded(column);
            let name = names::level(self.name(column), self.unit(column));
            let per_cent = self.unit(column) == "%" || folded.contains('%');
            let plain = LevelName {
                weighting: cells::weighting(self.unit(column).as_bytes()),
                detector: None,
                statistic: Statistic::Sample,
                interval_s: None,
            };
            let rank = match name {
                Some(name) if !names::is_other(&folded) || cells::is_decibel(self.unit(column).as_bytes()) => rank(name),
                Some(_) => 9,
                None if per_cent || names::is_other(&folded) => {
                    fallback = fallback.or(per_cent.then_some(column));
                    255
                }
                // Without a name it has to look like one.
                None if stats.in_range * 2 >= stats.numbers => 6,
                None => {
                    fallback = fallback.or(Some(column));
                    255
                }
            };
            if rank < 255 || wanted {
                if let Some(place) = found.get_mut(column) {
                    *place = Some(Role::Level(name.unwrap_or(plain)));
                }
                if wanted {
                    best = Some((0, column));
                    alike = false;
                    fallback = per_cent.then_some(column);
                } else if self.wanted.level.is_none() {
                    match best {
                        Some((least, _)) if rank > least => {}
                        Some((least, _)) if rank == least => alike = true,
                        _ => {
                            best = Some((rank, column));
                            alike = false;
                        }
                    }
                }
            }
        }
        let per_cent = |column: usize| self.unit(column) == "%" || self.folded(column).contains('%');
        let level = match (best, fallback) {
            (Some((_, column)), _) => column,
            (None, Some(column)) if self.wanted.level.is_none() => {
                if let Some(place) = found.get_mut(column) {
                    *place =
                        Some(Role::Level(LevelName { weighting: None, detector: None, statistic: Statistic::Sample, interval_s: None }));
                }
                column
            }
            _ => return Err(Stuck::Level(self.columns(roles))),
        };
        if per_cent(level) {
            self.questions.push(Question::PerCent);
        }
        if alike {
            self.questions.push(Question::SeveralLevels);
        }
        if let Some(Some(Role::Level(name))) = found.get(level) {
            match name.statistic {
                Statistic::Highest | Statistic::Peak => self.questions.push(Question::HighestChosen),
                Statistic::Exceeded(_) | Statistic::Lowest => self.questions.push(Question::ExceededChosen),
                _ => {}
            }
        }
        if self.stats.get(level).is_some_and(|stats| stats.weightings.count_ones() > 1) {
            self.questions.push(Question::MixedWeighting);
        }
        Ok((level, found))
    }

    fn columns(&self, roles: &[Role]) -> Vec<Column> {
        let width = roles.len().max(self.names.len());
        (0..width)
            .map(|column| Column {
                name: self.name(column).to_owned(),
                unit: self.unit(column).to_owned(),
                role: roles.get(column).copied().unwrap_or(Role::Blank),
            })
            .collect()
    }

    fn decimal(&self, level: usize) -> Decimal {
        let votes = |stats: &Stats| (stats.commas, stats.points);
        let own = self.stats.get(level).map(votes).unwrap_or_default();
        let all = self.stats.iter().map(votes).fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        let (commas, points) = if own.0 + own.1 > 0 { own } else { all };
        if commas > points { Decimal::Comma } else { Decimal::Point }
    }

    /// Where the time is to be taken from.
    fn plan(&mut self, roles: &[Role]) -> Option<(Plan, TimeFound)> {
        let find = |wanted: Role| roles.iter().position(|role| *role == wanted);
        match self.wanted.time {
            Some(TimeFrom::Step(step)) => return Some((Plan::Nowhere { ticks: step * i64_to_f64(SECOND) }, TimeFound::Stated(step))),
            Some(TimeFrom::Columns { clock, date }) => return Some(self.plan_of(clock, date, roles)),
            None => {}
        }
        if let Some(column) = find(Role::Stamp) {
            return Some(self.plan_of(column, None, roles));
        }
        if let Some(column) = find(Role::Clock) {
            return Some(self.plan_of(column, find(Role::Date), roles));
        }
        if let Some(column) = find(Role::SerialDays).or_else(|| find(Role::Epoch)).or_else(|| find(Role::Elapsed)) {
            return Some(self.plan_of(column, None, roles));
        }
        let step = self.wanted.step_s.or(self.interval_s);
        if let Some((column, step)) = find(Role::Index).zip(step) {
            return Some((Plan::Index { column, ticks: step * i64_to_f64(SECOND) }, TimeFound::Numbered(column, step)));
        }
        step.map(|step| (Plan::Nowhere { ticks: step * i64_to_f64(SECOND) }, TimeFound::Stated(step)))
    }

    fn plan_of(&mut self, column: usize, date: Option<usize>, roles: &[Role]) -> (Plan, TimeFound) {
        let time = TimeFound::Columns { clock: column, date };
        let stats = self.stats.get(column).cloned().unwrap_or_default();
        let folded = self.folded(column);
        if stats.is_numeric() {
            let decimal = if stats.commas > stats.points { b',' } else { b'.' };
            let all = |low: f64, high: f64| !stats.values.is_empty() && stats.values.iter().all(|value| (low..=high).contains(value));
            let (seconds, since) = if all(20_000.0, 80_000.0) && stats.decimals >= 3 && roles.get(column) == Some(&Role::SerialDays) {
                (86_400.0, Since::Spreadsheets)
            } else if all(9e11, 4.3e12) {
                (0.001, Since::Epoch)
            } else if all(9e8, 4.3e9) {
                (1.0, Since::Epoch)
            } else {
                (names::seconds_in(&folded), Since::Start)
            };
            return (Plan::Number { column, ticks: seconds * i64_to_f64(SECOND), decimal, since }, time);
        }
        let dotted = stats.mostly(stats.dotted) && (date.is_some() || !stats.mostly(stats.dates)) && !stats.mostly(stats.clocks);
        let millis = roles.iter().position(|role| *role == Role::Milliseconds);
        let minutes = self.wanted.minutes_seconds.unwrap_or_else(|| {
            names::words(&folded).any(|word| matches!(word, "elapsed" | "duration" | "dauer" | "laufzeit"))
                || folded.contains("mm:ss") && !folded.contains("hh")
        });
        (Plan::Stamp { column, date, millis, dotted, minutes }, time)
    }

    /// What the times rest on: how fine the clock is, whether it has dates, and how dates are likely to be ordered.
    fn rules(&mut self, plan: &mut Plan, rows: &[&Vec<u8>], separator: Separator, scratch: &mut Vec<Cell>) -> Rules {
        let mut rules = Rules {
            calendar: false,
            wraps: false,
            of_day: false,
            quantum: 1,
            step_s: self.wanted.step_s,
            lost: false,
            order: self.wanted.date_order,
            custom: DateOrder::DayMonthYear,
        };
        match *plan {
            Plan::Stamp { column, date, millis, dotted, minutes } => {
                let mut stamps: Vec<clock::Stamp> = Vec::new();
                for row in rows {
                    cells::split(row, separator, scratch);
                    let cell = |column: usize| scratch.get(column).map(|cell| cell.of(row)).unwrap_or_default();
                    let mut stamp = clock::stamp(cell(column), dotted).unwrap_or_default();
                    if let Some(date) = date {
                        stamp.date = stamp.date.or_else(|| clock::stamp(cell(date), false).and_then(|stamp| stamp.date));
                    }
                    stamps.push(stamp);
                }
                let minutes = minutes || self.wanted.minutes_seconds.is_none() && self.is_minutes(&stamps);
                *plan = Plan::Stamp { column, date, millis, dotted, minutes };
                Self::stamp_rules(&stamps, minutes, &mut rules);
                if millis.is_some() {
                    rules.quantum = 10;
                }
                let named = names::order(&self.folded(column)).or_else(|| date.and_then(|date| names::order(&self.folded(date))));
                rules.order = rules.order.or(named);
            }
            Plan::Number { column, ticks, since, .. } => {
                let decimals = self.stats.get(column).map_or(0, |stats| stats.decimals);
                rules.quantum = super::timeline::round(ticks / 10_f64.powi(i32::from(decimals))).max(1);
                rules.of_day = since != Since::Start;
            }
            Plan::Index { ticks, .. } | Plan::Nowhere { ticks } => {
                rules.step_s = rules.step_s.or(Some(ticks / i64_to_f64(SECOND)));
            }
        }
        rules
    }

    /// Whether clocks of two parts are minutes and seconds. Where that is open, it is asked.
    fn is_minutes(&mut self, stamps: &[clock::Stamp]) -> bool {
        let clocks: Vec<clock::RawClock> = stamps.iter().filter_map(|stamp| stamp.clock).collect();
        if clocks.is_empty()
            || clocks.iter().any(|clock| clock.three || clock.half.is_some())
            || stamps.iter().any(|stamp| stamp.date.is_some())
        {
            return false;
        }
        if clocks.iter().any(|clock| clock.minutes || clock.parts.first().is_some_and(|first| *first > 23)) {
            return true;
        }
        let from_zero =
            clocks.first().is_some_and(|clock| clock.parts == [0; 3]) && clocks.get(1).is_some_and(|clock| clock.parts != [0; 3]);
        let one_by_one = clocks.windows(2).all(|pair| matches!(pair, [one, other] if other.ticks(true) - one.ticks(true) != 0));
        if from_zero || one_by_one {
            self.questions.push(if from_zero { Question::MinutesSeconds } else { Question::HoursMinutes });
        }
        from_zero
    }

    fn stamp_rules(stamps: &[clock::Stamp], minutes: bool, rules: &mut Rules) {
        let clocks = || stamps.iter().filter_map(|stamp| stamp.clock);
        let dates: Vec<RawDate> = stamps.iter().filter_map(|stamp| stamp.date).collect();
        rules.calendar = !dates.is_empty();
        rules.of_day = true;
        let digits = clocks().map(|clock| clock.digits).max().unwrap_or(0);
        let seconds = clocks().any(|clock| clock.three) || minutes || clocks().any(|clock| clock.minutes);
        rules.quantum = if seconds { SECOND / 10_i64.pow(u32::from(digits.min(4))) } else { 60 * SECOND };
        // A clock that has passed a day is an elapsed time.
        rules.wraps = !rules.calendar && !minutes && clocks().all(|clock| clock.parts.first().is_none_or(|hour| *hour < 24));
        if clocks().any(|clock| clock.half.is_some()) && dates.iter().all(|date| date.mark == b'/') {
            rules.custom = DateOrder::MonthDayYear;
        }
        if dates.iter().any(|date| date.form == Form::Short && date.parts.first().is_some_and(|first| *first > 31)) {
            rules.custom = DateOrder::YearMonthDay;
        }
    }
}

/// Which of several levels to take: averages first, then A-weighted samples, then whatever is at hand; highest levels and peaks last.
fn rank(name: LevelName) -> u8 {
    let flat = matches!(name.weighting, Some(Weighting::C | Weighting::Z));
    match name.statistic {
        Statistic::Average if !flat => 0,
        Statistic::Sample if name.weighting == Some(Weighting::A) => 1,
        Statistic::Sample if !flat => 2,
        Statistic::Average => 3,
        Statistic::Sample => 4,
        Statistic::Exposure => 7,
        Statistic::Lowest => 8,
        Statistic::Exceeded(_) => 10,
        Statistic::Highest => 11,
        Statistic::Peak => 12,
    }
}

/// How far apart two lengths of time are, as a share of the longer one.
pub(super) fn apart(one: f64, other: f64) -> f64 {
    (one - other).abs() / one.max(other).max(count_to_f64(1) * 1e-9)
}
