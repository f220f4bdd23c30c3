//! From a copied range of cells to rows with a column for each row of another table: which parts were on, and the level; or the
//! levels of a phase, run by run.

use super::paste::{Role, level_cell, name_cell};
use super::paste::{is_number, put_rows, records, role_named, rows_from_text, tidy_lines, value};
use crate::calc::draft::{Draft, Path, RowAt, RowId};
use crate::calc::read::fold;
use crate::calc::schema::{Key, Kind, Per, Schema, Table};

/// What a column of the range is.
#[derive(Clone, Debug, PartialEq)]
enum Column {
    /// A column of the table itself.
    Own(Key),
    /// One that follows the row of this name.
    Named(String),
    /// One that follows the row at this place, from 0.
    Nth(usize),
    /// Nothing for us: numbers of rows, other remarks.
    Ignored,
}

/// A range as understood.
struct Range {
    columns: Vec<Column>,
    rows: Vec<Vec<String>>,
}

/// How many rows a pasted text has for this table.
pub fn count_rows(text: &str, table: &Table) -> usize {
    match table.per.as_ref().and_then(|_| range(text, table)) {
        Some(range) => range.rows.len(),
        None => rows_from_text(text, table).len(),
    }
}

/// Puts a pasted text into a table: empty rows first, then new ones, as many as fit. How many were put.
///
/// For a table with columns that follow another table's rows, a heading names these rows; a name that is not there yet becomes
/// one. Without a heading the columns follow the rows in order, and the one with the largest numbers is the level, where the
/// table itself has one.
pub fn put_text(draft: &mut Draft, schema: &Schema, table: &'static Table, text: &str) -> usize {
    let found = table.per.as_ref().and_then(|per| Some((per, schema.table(per.table)?, range(text, table)?)));
    let Some((per, other, range)) = found else {
        return put_rows(draft, table, &rows_from_text(text, table));
    };
    let columns: Vec<(Option<RowId>, &Column)> = range.columns.iter().map(|column| (target(draft, other, column), column)).collect();
    let rows: Vec<Vec<(Key, String)>> = range
        .rows
        .iter()
        .map(|cells| {
            let own = cells.iter().zip(&columns).filter_map(|(text, (_, column))| match column {
                Column::Own(key) if !text.is_empty() => Some((*key, text.clone())),
                _ => None,
            });
            own.collect()
        })
        .collect();
    let kept = put_rows(draft, table, &rows);
    // They are the last ones, in order: their other cells are filled by place.
    let first = draft.rows(table.key).len() - kept;
    for (place, cells) in range.rows.iter().enumerate().take(kept) {
        let Some(row) = draft.row_at(table.key, first + place + 1) else { break };
        for (text, (of, _)) in cells.iter().zip(&columns) {
            if let (Some(of), Some(count)) = (of, count(text, per)) {
                draft.set(Path::per(table.key, row, *of), count);
            }
        }
    }
    kept
}

/// How many are on, as a field takes it; what cannot be read stays as it is.
fn count(text: &str, per: &Per) -> Option<String> {
    if holds_levels(per) {
        return Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    }
    let folded = text.trim().to_ascii_lowercase();
    match folded.as_str() {
        "" | "off" | "no" | "n" | "-" | "–" | "—" => None,
        "on" | "yes" | "y" | "x" | "✓" | "✔" | "×" => Some("1".to_owned()),
        _ => {
            let plain = value(&folded).filter(|value| value.fract() == 0.0).map(crate::calc::link::field_text);
            Some(plain.unwrap_or_else(|| text.to_owned())).filter(|text| *text != per.cell.default)
        }
    }
}

/// The row of the other table that a column follows; made when its name is new and there is room.
fn target(draft: &mut Draft, other: &'static Table, column: &Column) -> Option<RowId> {
    let name = |draft: &Draft, row: RowId| RowAt { table: other.key, row }.table_name(draft).to_lowercase();
    let fresh = |draft: &mut Draft| {
        let rows = draft.rows(other.key).to_vec();
        let unused = rows.iter().copied().find(|row| draft.row_is_empty(RowAt { table: other.key, row: *row }));
        unused.or_else(|| (rows.len() < other.max_rows).then(|| draft.add_row(other.key)))
    };
    match column {
        Column::Own(_) | Column::Ignored => None,
        Column::Nth(place) => {
            while draft.rows(other.key).len() <= *place && draft.rows(other.key).len() < other.max_rows {
                draft.add_row(other.key);
            }
            draft.row_at(other.key, place + 1)
        }
        Column::Named(wanted) => {
            let known = draft.rows(other.key).iter().copied().find(|row| name(draft, *row) == wanted.to_lowercase());
            known.or_else(|| {
                let row = fresh(draft)?;
                draft.set(Path::cell(other.key, row, name_cell(other)?.key), wanted.clone());
                Some(row)
            })
        }
    }
}

/// Whether each row of the other table has levels here, and not how many of it were on.
const fn holds_levels(per: &Per) -> bool {
    matches!(per.cell.kind, Kind::Text { .. })
}

/// A name and what is behind it, from its first number on.
fn split_name(line: &str) -> Vec<String> {
    let at = line.find(|c: char| c.is_ascii_digit()).unwrap_or(line.len());
    let (name, levels) = line.split_at(at);
    vec![name.trim().trim_end_matches([':', '=', '-', '–']).trim_end().to_owned(), levels.trim().to_owned()]
}

/// The cells, when the text is a range of two columns or more: with a level in each row, or with levels for rows of the other
/// table, where a list of names and levels does as well.
fn range(text: &str, table: &Table) -> Option<Range> {
    let text = tidy_lines(text);
    let levels = table.per.as_ref().is_some_and(holds_levels);
    let separator = ['\t', ';', '|', ','].into_iter().find(|separator| text.contains(*separator));
    let mut cells = match separator {
        Some(separator) => records(&text, separator),
        None if levels => text.lines().map(split_name).collect(),
        None => return None,
    };
    cells.retain(|record| record.iter().any(|cell| !cell.is_empty()));
    let headed = cells.len() > 1 && cells.first().is_some_and(|first| !first.iter().any(|cell| is_number(cell)));
    let heading = if headed { Some(cells.remove(0)) } else { None };
    let width = cells.iter().chain(&heading).map(Vec::len).max().filter(|width| *width > 1)?;
    let level = level_cell(table).map(|cell| cell.key);
    if level.is_none() && !levels {
        return None;
    }
    let of = |at: usize| cells.iter().filter_map(move |record| record.get(at)).filter_map(|cell| value(cell));
    let counts_rows =
        |at: usize| cells.len() > 2 && of(at).count() == cells.len() && of(at).zip(1_u32..).all(|(a, b)| (a - f64::from(b)).abs() < 1e-9);
    // Without a heading, the level is where the numbers are largest, and no count is as large.
    let largest = (0..width).map(|at| of(at).fold(0.0, f64::max)).fold(0.0, f64::max);
    let is_level = |at: usize| of(at).fold(0.0, f64::max) >= largest;
    let filled = |at: usize| cells.iter().filter_map(|record| record.get(at)).filter(|cell| !cell.is_empty()).count();
    let is_name = |at: usize| of(at).count() * 2 < filled(at);
    let name_key = name_cell(table).map(|cell| cell.key);
    let mut named = false;
    let mut headings: Vec<String> = Vec::new();
    let mut places = 0..;
    let columns: Vec<Column> = (0..width)
        .map(|at| {
            if counts_rows(at) {
                return Column::Ignored;
            }
            let heading = heading.as_ref().map(|heading| fold(heading.get(at).map_or("", String::as_str)));
            if levels && !named && is_name(at) && heading.as_ref().is_none_or(String::is_empty) {
                named = true;
                return name_key.map_or(Column::Ignored, Column::Own);
            }
            let next = || places.next().map_or(Column::Ignored, Column::Nth);
            let Some(name) = heading else {
                return level.filter(|_| is_level(at)).map_or_else(next, Column::Own);
            };
            match role_named(&name, table) {
                Some(Role::Level) => level.map_or_else(next, Column::Own),
                Some(Role::Name) => name_key.map_or(Column::Ignored, Column::Own),
                Some(Role::More(key)) => Column::Own(key),
                Some(Role::Count | Role::Ignored) => Column::Ignored,
                None if name.is_empty() => Column::Ignored,
                None if levels && table.row.en == name.to_lowercase() => name_key.map_or(Column::Ignored, Column::Own),
                // Two columns of one name are two rows of the other table.
                None => {
                    let before = headings.iter().filter(|other| **other == name).count();
                    headings.push(name.clone());
                    Column::Named(if before == 0 { name } else { [name.as_str(), " ", &(before + 1).to_string()].concat() })
                }
            }
        })
        .collect();
    let has_parts = columns.iter().any(|column| matches!(column, Column::Named(_) | Column::Nth(_)));
    let has_level = level.is_none_or(|level| columns.contains(&Column::Own(level)));
    (has_parts && has_level && !cells.is_empty()).then_some(Range { columns, rows: cells })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::sheet::Sheet;
    use crate::sheets;

    fn pasted(text: &str, before: &str) -> String {
        pasted_into("on-off", "read", text, before)
    }

    fn pasted_into(id: &str, table: &str, text: &str, before: &str) -> String {
        let sheet: &dyn Sheet = sheets::find(id).unwrap();
        let mut draft = sheets::open(before).draft.unwrap();
        let table = sheet.schema().table(table).unwrap();
        assert_eq!(put_text(&mut draft, sheet.schema(), table, text), count_rows(text, table));
        sheet.link(&draft)
    }

    const THREE: &str = "#/on-off/v1/part=supply.fan/part=axes/read=level=31.0/read=level=38.5~p1=1/read=level=42.1~p1=1~p2=2";

    #[test]
    fn a_range_with_names_above_fills_the_grid_and_makes_the_parts() {
        assert_eq!(pasted("supply fan\taxes\tLevel\n\t\t31.0\nx\t\t38.5\n1\t2\t42.1\n", "#/on-off"), THREE);
        // In another order, with decimal commas, a ± and the numbers of the rows.
        let text = "Reading;dB;axes;Supply fan;±\n1;31,0;off;off;\n2;38,5;;on;\n3;42,1;2;1;\n";
        assert_eq!(pasted(text, "#/on-off/v1/part=supply.fan/part=axes"), THREE);
        let stated = pasted("a,Level,±\n1,40.5,0.3\n0,31.0,0.3", "#/on-off");
        assert_eq!(stated, "#/on-off/v1/part=a/read=level=40.5~pm=0.3~p1=1/read=level=31.0~pm=0.3");
    }

    #[test]
    fn a_range_without_names_follows_the_parts_in_order() {
        let named = "#/on-off/v1/part=supply.fan/part=axes";
        assert_eq!(pasted("0\t0\t31.0\n1\t0\t38.5\n1\t2\t42.1", named), THREE);
        assert_eq!(pasted("31.0\t0\t0\n38.5\t1\t0\n42.1\t1\t2", named), THREE);
    }

    #[test]
    fn what_is_there_stays_and_what_is_no_count_is_left_to_its_field() {
        let after = pasted("a\tLevel\nmany\t40.5\n", "#/on-off/v1/part=b/read=level=30.0~p1=1");
        assert_eq!(after, "#/on-off/v1/part=b/part=a/read=level=30.0~p1=1/read=level=40.5~p2=many");
    }

    #[test]
    fn levels_alone_are_rows_with_everything_off() {
        assert_eq!(pasted("31.0\n31.2", "#/on-off/v1/part=a"), "#/on-off/v1/part=a/read=level=31.0/read=level=31.2");
    }

    #[test]
    fn levels_of_phases_follow_the_runs() {
        let phases = |text: &str, before: &str| pasted_into("runs", "phase", text, before);
        let two = "#/runs/v1/run=a/run=b~set=after/phase=parked~r1=38%2E4~r2=39%2E5/phase=fill~r1=46%2E1~r2=43%2E5";
        let named = "#/runs/v1/run=a/run=b~set=after";
        assert_eq!(phases("parked\t38.4\t39.5\nfill\t46.1\t43.5", named), two);
        assert_eq!(phases("Phase;b;a\nparked;39.5;38.4\nfill;43.5;46.1\n", named), two);
        // Names above and how long each lasts; a run that is not there yet.
        let made = phases("\tUsually lasts\tMonday\nparked\t3min\t38.4\nfill\t\t46.1 46.3", "#/runs");
        assert_eq!(made, "#/runs/v1/run=Monday/phase=parked~usual=3min~r1=38%2E4/phase=fill~r1=46%2E1.46%2E3");
        // Two columns of one name.
        let twice = phases("Phase\tjob\tjob\nfill\t46.1\t46.3", "#/runs");
        assert_eq!(twice, "#/runs/v1/run=job/run=job.2/phase=fill~r1=46%2E1~r2=46%2E3");
        // A list, as people write it down.
        let list = phases("parked: 38.4\nfill 46.1 46.3\nhoming", "#/runs");
        assert_eq!(list, "#/runs/v1/run=%20/phase=parked~r1=38%2E4/phase=fill~r1=46%2E1.46%2E3/phase=homing");
    }

    #[test]
    fn a_thirteenth_part_has_no_place() {
        let names: Vec<String> = (1..=13).map(|part| ["fan ", &part.to_string()].concat()).collect();
        let text = [names.join("\t").as_str(), "\tLevel\n", &"1\t".repeat(13), "40.5\n"].concat();
        let link = pasted(&text, "#/on-off");
        assert!(link.contains("p12=1") && !link.contains("p13") && !link.contains("fan.13"), "{link}");
    }
}
