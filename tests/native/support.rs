//! What the other modules share.

use crate::sample::Sample;
use lessdin::calc::draft::{Draft, Path};
use lessdin::calc::link::{self, Opened};
use lessdin::calc::number;
use lessdin::calc::picture::{self, Mark};
use lessdin::calc::read;
use lessdin::calc::report::{Filled, Grid, Report};
use lessdin::calc::schema::{Cell, Kind};
use lessdin::calc::sheet::{Outcome, Run, Sheet};
use lessdin::calc::table_text;
use lessdin::sheets::SHEETS;
use lessdin::text::{Arg, Said, Style};
use rand_core::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Every sheet, and the sample.
pub(crate) fn sheets() -> impl Iterator<Item = &'static dyn Sheet> {
    SHEETS.iter().copied().chain([&Sample as &dyn Sheet])
}

/// The sheet with this id, the sample included.
pub(crate) fn find(id: &str) -> Option<&'static dyn Sheet> {
    sheets().find(|sheet| sheet.meta().id == id)
}

/// Opens a link, the sample's too.
pub(crate) fn open(link: &str) -> Opened {
    link::open(link, |id| find(id).map(|sheet| (sheet.meta().version, sheet.schema())))
}

/// Opens a link that must open.
#[track_caller]
pub(crate) fn open_whole(link: &str) -> (&'static dyn Sheet, Draft) {
    let opened = open(link);
    assert!(opened.notes.is_empty(), "{link} should open without notes, but says: {}", say_all(&opened.notes));
    let sheet = find(&opened.sheet).unwrap_or_else(|| panic!("{link} asks for a sheet that is not there"));
    (sheet, opened.draft.unwrap_or_default())
}

/// Sentences, one after the other.
pub(crate) fn say_all(said: &[Said]) -> String {
    said.iter().map(|said| said.text(Style::default())).collect::<Vec<_>>().join(" | ")
}

/// The first thing a person reads, as `cases.txt` and `links.txt` write it.
pub(crate) fn headline(run: &Run) -> String {
    match &run.outcome {
        Outcome::Answer(report) => report.headline.text(Style::default()),
        Outcome::Impossible(refusal) => format!("! {}", refusal.said.text(Style::default())),
        Outcome::Waiting(_) => "?".to_owned(),
    }
}

/// The lines `link => expected` of a file, with their numbers.
pub(crate) fn pairs(text: &str) -> Vec<(usize, &str, &str)> {
    let lines = text.lines().enumerate().map(|(at, line)| (at + 1, line.trim()));
    let lines = lines.filter(|(_, line)| !line.is_empty() && !line.starts_with("# ") && *line != "#");
    lines
        .map(|(at, line)| {
            let (link, expected) =
                line.split_once("=>").unwrap_or_else(|| panic!("line {at} needs “=>” between link and headline: {line}"));
            (at, link.trim(), expected.trim())
        })
        .collect()
}

/// Every cell of the schema that stands in this draft, rows included.
pub(crate) fn cells(sheet: &dyn Sheet, draft: &Draft) -> Vec<(Path, &'static Cell)> {
    sheet.schema().cells(draft).collect()
}

/// Whether a cell applies in this draft.
pub(crate) fn is_shown(sheet: &dyn Sheet, draft: &Draft, path: Path, cell: &Cell) -> bool {
    let siblings = match path.row {
        None => sheet.schema().fields,
        Some(at) => sheet.schema().table(at.table).map_or(&[][..], |table| table.cells),
    };
    read::shown(draft, path.row, siblings, cell)
}

/// Checks everything that must hold for any draft whatever, and gives what came of it.
///
/// The link opens to the same answer and is canonical; what the device keeps comes back exactly; every text is sound.
///
/// # Errors
///
/// What does not hold, as a sentence.
pub(crate) fn examine(sheet: &'static dyn Sheet, draft: &Draft) -> Result<Run, String> {
    let run = sheet.run(draft, None);
    sound(sheet, draft, &run)?;

    let link = sheet.link(draft);
    safe(&link)?;
    let opened = open(&link);
    if opened.sheet != sheet.meta().id {
        return Err(format!("{link} opens another sheet: {}", opened.sheet));
    }
    let whole = link.chars().count() <= 20_000;
    if whole && !opened.notes.is_empty() {
        return Err(format!("{link} should open without notes: {}", say_all(&opened.notes)));
    }
    let back = opened.draft.unwrap_or_default();
    if whole {
        let (before, after) = (headline(&run), headline(&sheet.run(&back, None)));
        if before != after {
            return Err(format!("the link says something else than the page.\n page: {before}\n link: {after}\n{link}"));
        }
        let again = sheet.link(&back);
        if again != link {
            return Err(format!("the link is not canonical.\n first: {link}\n again: {again}"));
        }
    }

    let kept = sheet.keep(draft);
    let restored = lessdin::calc::link::restore(&kept, |id| find(id).map(|sheet| (sheet.meta().version, sheet.schema())));
    let newer = draft.version.is_some_and(|version| version > sheet.meta().version);
    if !restored.notes.is_empty() && !newer {
        return Err(format!("what the device keeps comes back with notes: {}\n{kept}", say_all(&restored.notes)));
    }
    let restored = restored.draft.unwrap_or_default();
    for ((path, cell), (other, _)) in cells(sheet, draft).into_iter().zip(cells(sheet, &restored)) {
        if draft.get(path) != restored.get(other) && !matches!(cell.kind, Kind::Row(_)) {
            return Err(format!(
                "what the device keeps does not come back: {:?} became {:?} in {}",
                draft.get(path),
                restored.get(other),
                path.dom_id()
            ));
        }
    }
    for table in sheet.schema().tables {
        if draft.rows(table.key).len() != restored.rows(table.key).len() {
            return Err(format!("what the device keeps loses rows of {}: {kept}", table.key));
        }
    }
    if sheet.keep(&restored) != kept {
        return Err(format!("what the device keeps is not stable: {kept}"));
    }
    Ok(run)
}

/// Whether a link survives chat and mail programs.
///
/// # Errors
///
/// What is wrong with it.
pub(crate) fn safe(link: &str) -> Result<(), String> {
    if let Some(c) = link.chars().find(|c| !(c.is_ascii_alphanumeric() || "#/=~.,-%".contains(*c))) {
        return Err(format!("the link holds “{c}”, which chat programs may strip or mark up: {link}"));
    }
    for mark in ["//", "==", "~~", "..", ",,", "--", "##", "=/", "=~", "~/", "/~"] {
        if link.contains(mark) {
            return Err(format!("the link holds “{mark}”, a doubled separator: {link}"));
        }
    }
    if !link.ends_with(|c: char| c.is_ascii_alphanumeric()) {
        return Err(format!("the link should end in a letter or a digit: {link}"));
    }
    Ok(())
}

/// Checks every text and every drawing of a run.
///
/// # Errors
///
/// Where, which text, and what is wrong with it.
pub(crate) fn sound(sheet: &dyn Sheet, draft: &Draft, run: &Run) -> Result<(), String> {
    for style in [Style::default(), Style { decimal: ',', ..Style::default() }] {
        let typed = typed_texts(sheet, draft);
        for (place, text) in texts(run, style) {
            // What the person typed may look like a fault, and may stand anywhere.
            if fault(&text).is_some()
                && let Some(fault) = fault(&without(&text, &typed))
            {
                return Err(format!("{place} holds {fault}: {text}"));
            }
        }
    }
    for (place, said) in saids(run) {
        unfilled(said).map_err(|fault| format!("{place}: {fault}"))?;
    }
    if let Outcome::Answer(report) = &run.outcome {
        for picture in &report.pictures {
            for width in [320.0, 360.0, 800.0] {
                let drawing = picture::draw(picture, width, Style::default());
                inside(&drawing).map_err(|fault| format!("picture {} at {width} px: {fault}", picture.id))?;
            }
        }
        for target in report.hand_over.iter().filter_map(|hand| Some(find(hand.sheet)?.link(&hand.draft))) {
            safe(&target)?;
        }
        for grid in report.tables.iter().chain(report.pictures.iter().map(|picture| &picture.twin)) {
            if let Some(row) = grid.rows.iter().find(|row| row.cells.len() != grid.columns.len()) {
                return Err(format!("table {} has {} columns, but a row of {} cells", grid.id, grid.columns.len(), row.cells.len()));
            }
        }
    }
    Ok(())
}

/// Texts the person typed, as they may appear in an answer. Longest first.
fn typed_texts(sheet: &dyn Sheet, draft: &Draft) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for (path, cell) in cells(sheet, draft) {
        let raw = draft.get(path);
        out.extend([raw.trim().to_owned(), read::fold(raw), read::text_cut(cell, raw).0]);
    }
    out.retain(|text| !text.is_empty());
    // Never a bare number or a mark: taking that out of another number would make a fault of it.
    out.retain(|text| fault(text).is_some() || (text.chars().count() > 2 && text.contains(char::is_alphabetic)));
    out.sort_by_key(|text| std::cmp::Reverse(text.len()));
    out.dedup();
    out
}

/// A text without what the person typed: quoted in an error, named in a sentence, cut short in a picture.
fn without(text: &str, typed: &[String]) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('“') {
        out.push_str(before);
        rest = after.split_once('”').map_or("", |(_, tail)| tail);
    }
    out.push_str(rest);
    // In a picture a name may be cut short.
    if let Some((cut, tail)) = out.split_once('…') {
        let starts = typed.iter().flat_map(|name| name.char_indices().map(|(at, c)| &name[..at + c.len_utf8()]));
        if let Some(start) = starts.filter(|start| cut.ends_with(start)).max_by_key(|start| start.len()) {
            out = format!("{}{tail}", cut.strip_suffix(start).unwrap_or_default());
        }
    }
    typed.iter().fold(out, |text, name| text.replace(name.as_str(), "·"))
}

/// What no text on the page may hold.
pub(crate) fn fault(text: &str) -> Option<&'static str> {
    if text.contains(['{', '}']) {
        return Some("a place that nothing filled");
    }
    for word in text.split(|c: char| !c.is_alphanumeric()) {
        if ["nan", "inf", "infinity"].contains(&word.to_lowercase().as_str()) {
            return Some("something that is not a number");
        }
    }
    let chars: Vec<char> = text.chars().collect();
    for (at, c) in chars.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| chars.get(at)).copied().unwrap_or(' ');
        let rest = chars.get(at + 1..).unwrap_or_default();
        if matches!(c, 'e' | 'E') && before.is_ascii_digit() {
            let digits = if matches!(rest.first(), Some('-' | '+' | '\u{2212}')) { rest.get(1..).unwrap_or_default() } else { rest };
            if digits.first().is_some_and(char::is_ascii_digit) {
                return Some("an exponent");
            }
        }
        if matches!(c, '-' | '\u{2212}') && !before.is_alphanumeric() && rest.first().is_some_and(char::is_ascii_digit) {
            let number: Vec<char> =
                rest.iter().copied().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '\u{2009}')).collect();
            if number.iter().all(|c| !c.is_ascii_digit() || *c == '0') {
                return Some("a negative zero");
            }
        }
    }
    None
}

/// Every sentence of a run, with where it stands.
pub(crate) fn saids(run: &Run) -> Vec<(String, Said)> {
    let mut out: Vec<(String, Said)> = Vec::new();
    out.extend(run.errors.iter().map(|error| (format!("error at {}", error.path.dom_id()), error.problem.said())));
    out.extend(run.remarks.iter().map(|(path, said)| (format!("remark at {}", path.dom_id()), said.clone())));
    match &run.outcome {
        Outcome::Answer(report) => saids_of_report(report, &mut out),
        Outcome::Impossible(refusal) => out.push(("refusal".into(), refusal.said.clone())),
        Outcome::Waiting(_) => {}
    }
    out
}

fn saids_of_report(report: &Report, out: &mut Vec<(String, Said)>) {
    out.push(("headline".into(), report.headline.clone()));
    out.extend(report.support.iter().map(|said| ("support".into(), said.clone())));
    for value in &report.values {
        out.push((format!("label of value {}", value.id), value.label.clone()));
        out.extend(value.note.iter().map(|said| (format!("note of value {}", value.id), said.clone())));
        if let Arg::Said(said) = value.amount.arg(value.quantity) {
            out.push((format!("value {}", value.id), *said));
        }
    }
    for grid in report.tables.iter().chain(report.pictures.iter().map(|picture| &picture.twin)) {
        out.push((format!("title of table {}", grid.id), grid.title.clone()));
        out.extend(grid.columns.iter().map(|column| (format!("column of table {}", grid.id), column.label.clone())));
        for cell in grid.rows.iter().flat_map(|row| &row.cells) {
            if let Arg::Said(said) = cell {
                out.push((format!("cell of table {}", grid.id), *said.clone()));
            }
        }
    }
    out.extend(report.pictures.iter().map(|picture| (format!("title of picture {}", picture.id), picture.title.clone())));
    out.extend(report.notes.iter().map(|note| ("note".into(), note.said.clone())));
    out.extend(report.working.iter().map(|step| ("working".into(), step.what.clone())));
    out.extend(report.hand_over.iter().map(|hand| (format!("hand-over to {}", hand.sheet), hand.label.clone())));
}

/// Every text of a run, with where it stands.
pub(crate) fn texts(run: &Run, style: Style) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = saids(run).into_iter().map(|(place, said)| (place, said.text(style))).collect();
    let Outcome::Answer(report) = &run.outcome else { return out };
    for value in &report.values {
        out.push((format!("value {}", value.id), value.amount.arg(value.quantity).text(style)));
        if let Some(number) = value.amount.value() {
            out.push((format!("copy of value {}", value.id), number::copyable(number, value.quantity, style)));
        }
    }
    for grid in report.tables.iter().chain(report.pictures.iter().map(|picture| &picture.twin)) {
        grid_texts(grid, style, &mut out);
    }
    for picture in &report.pictures {
        for width in [320.0, 360.0, 800.0] {
            for mark in picture::draw(picture, width, style).marks {
                if let Mark::Text { text, .. } = mark {
                    out.push((format!("picture {}", picture.id), text));
                }
            }
        }
    }
    for step in &report.working {
        out.push(("working".into(), filled_text(&step.filled, style)));
    }
    out
}

/// The filled-in formula as the page writes it.
pub(crate) fn filled_text(filled: &[Filled], style: Style) -> String {
    let piece = |piece: &Filled| match piece {
        Filled::Symbols(symbols) => symbols.clone(),
        Filled::Number(value) => number::working(*value, style),
        Filled::NewLine => "\n".to_owned(),
    };
    filled.iter().map(piece).collect()
}

fn grid_texts(grid: &Grid, style: Style, out: &mut Vec<(String, String)>) {
    for cell in grid.rows.iter().flat_map(|row| &row.cells) {
        out.push((format!("cell of table {}", grid.id), cell.text(style)));
    }
    out.push((format!("spreadsheet copy of table {}", grid.id), table_text::tsv(grid, style)));
    out.push((format!("export of table {}", grid.id), table_text::csv(grid, style)));
}

/// Every number and every place of a sentence, down to the last argument.
///
/// # Errors
///
/// The place nothing fills, the argument no place asks for, or the number that is none.
pub(crate) fn unfilled(said: impl std::borrow::Borrow<Said>) -> Result<(), String> {
    let said = said.borrow();
    let names = crate::house_rules::placeholders(said.msg.en).map_err(|fault| format!("{}: {fault}", said.msg.id))?;
    if let Some(name) = names.iter().find(|name| !said.args.iter().any(|(key, _)| key == *name)) {
        return Err(format!("{} says {{{name}}}, but nothing fills it", said.msg.id));
    }
    said.args.iter().try_for_each(|(name, arg)| sound_arg(arg).map_err(|fault| format!("{} at {{{name}}}: {fault}", said.msg.id)))
}

fn sound_arg(arg: &Arg) -> Result<(), String> {
    match arg {
        Arg::Number(_, value) | Arg::AsTyped(_, value) if !value.is_finite() => Err("a number that is not finite".into()),
        Arg::PlusMinus(_, value, half) if !(value.is_finite() && half.is_finite() && *half >= 0.0) => {
            Err(format!("not a value with its ±: {value} ± {half}"))
        }
        Arg::Msg(msg) => unfilled(Said::from(*msg)),
        Arg::Said(said) => unfilled(said.as_ref()),
        Arg::List(items) => items.iter().try_for_each(sound_arg),
        Arg::Number(..) | Arg::AsTyped(..) | Arg::PlusMinus(..) | Arg::Typed(_) | Arg::Nothing => Ok(()),
    }
}

/// Whether everything drawn is finite and lies in the drawing.
///
/// # Errors
///
/// The mark that does not.
pub(crate) fn inside(drawing: &picture::Drawing) -> Result<(), String> {
    const SLACK: f64 = 0.51;
    /// What a character takes at the least; the layout reckons with more.
    const NARROW: f64 = 6.4;
    let within = |x: f64, y: f64| {
        x.is_finite() && y.is_finite() && (-SLACK..=drawing.width + SLACK).contains(&x) && (-SLACK..=drawing.height + SLACK).contains(&y)
    };
    if !(drawing.width.is_finite() && drawing.height.is_finite()) {
        return Err("the drawing has no size".into());
    }
    for mark in &drawing.marks {
        let (class, good) = match mark {
            Mark::Rect { x, y, w, h, class } => (class, *w >= 0.0 && *h >= 0.0 && within(*x, *y) && within(x + w, y + h)),
            Mark::Line { points, class } => (class, points.len() > 1 && points.iter().all(|(x, y)| within(*x, *y))),
            Mark::Dot { x, y, class } => (class, within(*x, *y)),
            Mark::Text { x, y, anchor, text, class } => {
                let width = lessdin::units::count_to_f64(text.chars().count()) * NARROW;
                let left = match anchor {
                    picture::Anchor::Start => *x,
                    picture::Anchor::Middle => x - width / 2.0,
                    picture::Anchor::End => x - width,
                };
                (class, within(left, *y) && within(left + width, *y))
            }
        };
        if !picture::CLASSES.contains(class) {
            return Err(format!("the style sheet knows no “{class}”"));
        }
        if !good {
            return Err(format!("a mark outside the box of {} by {}: {mark:?}", drawing.width, drawing.height));
        }
    }
    Ok(())
}

/// Dice with a seed that can be told.
pub(crate) struct Dice(Pcg64Mcg);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(Pcg64Mcg::seed_from_u64(seed))
    }

    /// A whole number from 0 to below `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end.max(1)).unwrap_or(u64::MAX);
        usize::try_from(self.0.next_u64() % end).unwrap_or(0)
    }

    /// A number from 0 to below 1.
    pub(crate) fn unit(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / 4_294_967_296.0
    }

    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }
}
