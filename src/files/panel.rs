//! What was understood of a file, as lines of a panel: everything a person can check and change.

use super::export::push_when;
use super::log::Log;
use super::statistics::Statistics;
use super::understood::{Beyond, Column, Gap, Jump, Role, Start, TimeFound, Understood};
use super::wanted::{Censored, Decimal, Encoding, Separator};
use super::words;
use crate::calc::quantity::Quantity;
use crate::text::{Arg, Msg, Said, say};
use crate::units::{Level, Weighting, count_to_f64};

/// A line of the panel: what it is about, and what was found.
pub type Fact = (Msg, Vec<Said>);

/// How an encoding is called.
pub const fn encoding(encoding: Encoding) -> Msg {
    match encoding {
        Encoding::Utf8 => words::UTF_8,
        Encoding::Utf16Little => words::UTF_16_LITTLE,
        Encoding::Utf16Big => words::UTF_16_BIG,
        Encoding::Windows1252 => words::WINDOWS_1252,
    }
}

/// How a separator is called.
pub const fn separator(separator: Separator) -> Msg {
    match separator {
        Separator::Tab => words::TAB,
        Separator::Semicolon => words::SEMICOLON,
        Separator::Bar => words::BAR,
        Separator::Comma => words::COMMA,
        Separator::Blanks => words::BLANKS,
    }
}

/// How a decimal sign is called.
pub const fn decimal(decimal: Decimal) -> Msg {
    match decimal {
        Decimal::Point => words::POINT,
        Decimal::Comma => words::COMMA,
    }
}

/// What readings beyond the range are taken for, in words.
pub const fn censored(censored: Censored) -> Msg {
    match censored {
        Censored::AtLimit => words::AT_LIMIT,
        Censored::Silent => words::SILENT,
        Censored::LeftOut => words::LEFT_OUT,
    }
}

/// A column's name, or its number, with its unit.
pub fn column(columns: &[Column], place: usize) -> Said {
    let number = Arg::Number(Quantity::Count, count_to_f64(place + 1));
    match columns.get(place) {
        Some(column) if !column.name.is_empty() && !column.unit.is_empty() => {
            say(words::COLUMN_UNIT).typed("name", column.name.clone()).typed("unit", column.unit.clone())
        }
        Some(column) if !column.name.is_empty() => say(words::COLUMN_NAMED).typed("name", column.name.clone()),
        _ => say(words::COLUMN).with("number", number),
    }
}

/// The weighting the column of the level names.
pub fn named_weighting(understood: &Understood) -> Option<Weighting> {
    match understood.columns.get(understood.level).map(|column| column.role) {
        Some(Role::Level(name)) => name.weighting,
        _ => None,
    }
}

/// The same; A where it names none.
pub fn weighting(understood: &Understood) -> Weighting {
    named_weighting(understood).unwrap_or_default()
}

/// Every line of the panel.
pub fn facts(log: &Log, figures: &Statistics) -> Vec<Fact> {
    let understood = log.understood();
    let count = |count: f64| Arg::Number(Quantity::Count, count);
    let level = |level: Level| Arg::Number(Quantity::Level(weighting(understood)), level.0);
    let mut facts: Vec<Fact> = Vec::new();
    let mut rows =
        vec![say(words::ROWS_USED).with("rows", count(f64::from(understood.rows))).with("lines", count(f64::from(understood.lines)))];
    rows.push(say(words::LASTS).num("time", Quantity::Duration, log.duration_s()));
    if understood.newest_first {
        rows.push(words::NEWEST_FIRST.into());
    }
    facts.push((words::ROWS, rows));
    if let Some(start) = moment(log.start()) {
        facts.push((words::START, vec![say(words::MOMENT).typed("at", start)]));
    }
    facts.push((words::ENCODING, vec![encoding(understood.encoding).into()]));
    facts.push((words::SEPARATOR, vec![separator(understood.separator).into()]));
    facts.push((words::DECIMAL, vec![decimal(understood.decimal).into()]));
    if let Some(said) = understood.dates_said() {
        facts.push((words::DATES, vec![said]));
    }
    facts.push((words::STEP, vec![say(words::SECONDS).with("seconds", Arg::AsTyped(Quantity::Count, understood.step_s))]));
    facts.push((words::LEVEL_COLUMN, vec![column(&understood.columns, understood.level)]));
    let time = match understood.time {
        TimeFound::Columns { clock, date } => date.into_iter().chain([clock]).map(|place| column(&understood.columns, place)).collect(),
        TimeFound::Numbered(..) => vec![words::TIME_NUMBERED.into()],
        TimeFound::Stated(_) => vec![words::TIME_STATED.into()],
    };
    facts.push((words::TIME_COLUMN, time));
    let skipped: Vec<Said> = understood
        .skipped
        .iter()
        .map(|skipped| {
            let lines: Vec<Arg> = skipped.lines.iter().map(|line| count(f64::from(*line))).collect();
            say(words::SKIPPED_LINES)
                .with("count", count(f64::from(skipped.count)))
                .with("reason", skipped.reason.msg())
                .with("lines", Arg::List(lines))
        })
        .collect();
    if !skipped.is_empty() {
        facts.push((words::SKIPPED, skipped));
    }
    if understood.gap_count > 0 {
        let mut gaps: Vec<Said> = understood.gaps.iter().map(|gap| gap_said(*gap)).collect();
        #[expect(clippy::cast_precision_loss, reason = "readings in a log, far below 2^53")]
        let missing = understood.missing as f64;
        gaps.push(say(words::GAPS_IN_ALL).with("gaps", count(f64::from(understood.gap_count))).with("missing", count(missing)));
        facts.push((words::GAPS, gaps));
    }
    if understood.jump_count > 0 {
        facts.push((words::JUMPS, understood.jumps.iter().map(|jump| jump_said(*jump)).collect()));
    }
    let beyond = [(understood.below, words::BELOW_RANGE), (understood.above, words::ABOVE_RANGE)];
    let beyond: Vec<Said> = beyond.into_iter().filter_map(|(beyond, msg)| beyond_said(beyond, msg, weighting(understood))).collect();
    if !beyond.is_empty() {
        facts.push((words::BEYOND, beyond.into_iter().chain([censored(understood.censored).into()]).collect()));
    }
    let mut whole = Vec::new();
    if let Some(leq) = figures.leq {
        whole.push(say(words::WHOLE_AVERAGE).with("level", level(leq)));
    }
    if let (Some(leq), Some(silent)) = (figures.leq, figures.leq_silent)
        && (leq - silent).0.abs() >= 0.05
    {
        whole.push(say(words::WHOLE_BETWEEN).with("low", level(silent)).with("high", level(leq)));
    }
    whole.push(say(words::WHOLE_RANGE).with("low", level(figures.min)).with("high", level(figures.max)));
    whole.push(
        say(words::WHOLE_EXCEEDED).with("ten", level(figures.l10)).with("half", level(figures.l50)).with("ninety", level(figures.l90)),
    );
    facts.push((words::WHOLE, whole));
    facts
}

/// What a person should look at.
pub fn doubts(understood: &Understood) -> Vec<Said> {
    understood.questions.iter().map(|question| question.said(understood, weighting(understood))).collect()
}

/// The first rows as understood: line, moment, level.
pub fn first_rows(understood: &Understood) -> Vec<Said> {
    let row = |row: &super::understood::FirstRow| {
        let at = moment(row.when).map_or(Arg::Number(Quantity::Duration, row.at_s), Arg::Typed);
        say(words::FIRST_ROW).with("line", Arg::Number(Quantity::Count, f64::from(row.line))).with("at", at).num(
            "level",
            Quantity::Level(weighting(understood)),
            f64::from(row.level),
        )
    };
    understood.first.iter().map(row).collect()
}

fn gap_said(gap: Gap) -> Said {
    say(words::GAP).with("line", Arg::Number(Quantity::Count, f64::from(gap.line))).num("at", Quantity::Duration, gap.at_s).num(
        "long",
        Quantity::Duration,
        gap.long_s,
    )
}

fn jump_said(jump: Jump) -> Said {
    let msg = match (jump.hour, jump.by_s < 0.0) {
        (true, _) => words::JUMP_HOUR,
        (_, true) => words::JUMP_BACK,
        (_, false) => words::JUMP_FORWARD,
    };
    say(msg).with("line", Arg::Number(Quantity::Count, f64::from(jump.line))).num("by", Quantity::Duration, jump.by_s.abs()).num(
        "at",
        Quantity::Duration,
        jump.at_s,
    )
}

fn beyond_said(beyond: Beyond, msg: Msg, weighting: Weighting) -> Option<Said> {
    (beyond.count > 0).then(|| {
        say(msg).with("count", Arg::Number(Quantity::Count, f64::from(beyond.count))).num(
            "limit",
            Quantity::Level(weighting),
            f64::from(beyond.highest),
        )
    })
}

/// Date and clock, year first, as far as they are known.
fn moment(start: Start) -> Option<String> {
    let mut out = String::new();
    push_when(&mut out, start, ' ');
    (!out.is_empty()).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::super::statistics::statistics;
    use super::super::{Reader, Wanted};
    use super::*;
    use crate::text::Style;

    #[test]
    fn the_panel_names_what_was_found_and_what_was_left_out() {
        let mut reader = Reader::new(&Wanted::default());
        reader.push(b"Datum;Uhrzeit;LAF;\r\n;;dB;\r\n02.04.2031;19:05:00;38,5;\r\n02.04.2031;19:05:01;---;\r\n02.04.2031;19:05:02;44,2;\r\n02.04.2031;19:05:03;44,0;\r\n");
        let log = reader.finish().unwrap();
        let style = Style { decimal: '.', ..Style::default() };
        let lines: Vec<String> = facts(&log, &statistics(&log))
            .iter()
            .map(|(label, found)| {
                let found: Vec<String> = found.iter().map(|said| said.text(style)).collect();
                format!("{}: {}", label.en, found.join(" "))
            })
            .collect();
        let all = lines.join("\n");
        for part in ["3 rows", "semicolon", "comma", "2031-04-02 19:05:00", "LAF", "a sign for a missing value", "line 4"] {
            assert!(all.contains(part), "“{part}” is missing:\n{all}");
        }
        assert_eq!(first_rows(log.understood()).len(), 3);
    }
}
