//! Tables of results as text for spreadsheets.

use crate::calc::number;
use crate::calc::quantity::Quantity;
use crate::calc::report::Grid;
use crate::text::{Arg, Style};

/// A table as tab-separated text, for pasting into a spreadsheet. Numbers are bare, with the unit in the heading; a column
/// with ± is followed by one that holds them.
pub fn tsv(grid: &Grid, style: Style) -> String {
    separated(grid, '\t', style)
}

/// A table as CSV, RFC 4180: a comma, or a semicolon where the decimal sign is a comma; CR LF; otherwise as [`tsv`].
pub fn csv(grid: &Grid, style: Style) -> String {
    separated(grid, if style.decimal == ',' { ';' } else { ',' }, style)
}

fn separated(grid: &Grid, separator: char, style: Style) -> String {
    let mut out = String::new();
    let spread: Vec<bool> =
        (0..grid.columns.len()).map(|at| grid.rows.iter().any(|row| matches!(row.cells.get(at), Some(Arg::PlusMinus(..))))).collect();
    let with_unit = |label: String, quantity: Option<Quantity>| {
        let symbol = quantity.map_or("", Quantity::symbol);
        if symbol.is_empty() { label } else { format!("{label} [{symbol}]") }
    };
    let mut head = Vec::new();
    for (column, spread) in grid.columns.iter().zip(&spread) {
        head.push(harmless(with_unit(column.label.text(style), column.quantity)));
        if *spread {
            head.push(with_unit("±".to_owned(), column.quantity));
        }
    }
    push_line(&mut out, &head, separator);
    for row in &grid.rows {
        let mut line = Vec::new();
        for (cell, spread) in row.cells.iter().zip(&spread) {
            line.push(cell_text(cell, style));
            if *spread {
                line.push(match cell {
                    Arg::PlusMinus(quantity, _, half) => number::copyable(*half, *quantity, style),
                    _ => String::new(),
                });
            }
        }
        push_line(&mut out, &line, separator);
    }
    out
}

fn cell_text(cell: &Arg, style: Style) -> String {
    match cell {
        Arg::Number(quantity, value) | Arg::PlusMinus(quantity, value, _) => number::copyable(*value, *quantity, style),
        Arg::Nothing => String::new(),
        other => harmless(other.text(style)),
    }
}

/// Text that a spreadsheet would run as a formula gets an apostrophe in front. Blanks before the sign do not hide it.
fn harmless(text: String) -> String {
    let starts = text.starts_with(['\t', '\r', '\n']) || text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    if starts { format!("'{text}") } else { text }
}

fn push_line(out: &mut String, cells: &[String], separator: char) {
    for (at, cell) in cells.iter().enumerate() {
        if at > 0 {
            out.push(separator);
        }
        // Tabs and line ends inside a cell would part it, whatever a program makes of quotes.
        let cell = if separator == '\t' { cell.replace(['\t', '\n', '\r'], " ") } else { cell.clone() };
        let quoted = if separator == '\t' { cell.starts_with('"') } else { cell.contains([separator, '"', '\n', '\r']) };
        if quoted {
            out.push('"');
            out.push_str(&cell.replace('"', "\"\""));
            out.push('"');
        } else {
            out.push_str(&cell);
        }
    }
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::report::{Column, GridRow};
    use crate::text::{Msg, Text};
    use crate::units::Weighting;

    const TEST: Msg = Msg(&Text { id: "test.TEST", en: "Test" });
    const SOURCE: Msg = Msg(&Text { id: "test.SOURCE", en: "Source" });
    const LEAVES: Msg = Msg(&Text { id: "test.LEAVES", en: "Leaves" });
    const SHARE: Msg = Msg(&Text { id: "test.SHARE", en: "Share" });

    fn grid(rows: Vec<Vec<Arg>>) -> Grid {
        Grid {
            id: "test",
            title: TEST.into(),
            columns: vec![
                Column::words(SOURCE),
                Column::numbers(LEAVES, Quantity::Level(Weighting::A)),
                Column::numbers(SHARE, Quantity::Share),
            ],
            rows: rows.into_iter().map(|cells| GridRow { cells, lead: false }).collect(),
        }
    }

    fn named(name: &str) -> Grid {
        let level = Arg::Number(Quantity::Level(Weighting::A), 41.26);
        grid(vec![vec![Arg::Typed(name.to_owned()), level, Arg::Number(Quantity::Share, 0.47)]])
    }

    const POINT: Style = Style { language: crate::text::Language::English, decimal: '.' };
    const COMMA: Style = Style { language: crate::text::Language::English, decimal: ',' };

    #[test]
    fn units_stand_in_the_heading_and_the_decimal_sign_decides_the_separator() {
        assert_eq!(csv(&named("fan"), POINT), "Source,Leaves [dB(A)],Share [%]\r\nfan,41.3,47\r\n");
        assert_eq!(csv(&named("fan"), COMMA), "Source;Leaves [dB(A)];Share [%]\r\nfan;41,3;47\r\n");
        assert_eq!(tsv(&named("fan"), COMMA), "Source\tLeaves [dB(A)]\tShare [%]\r\nfan\t41,3\t47\r\n");
    }

    #[test]
    fn a_name_never_becomes_a_formula() {
        for (name, cell) in [
            ("=1+1", "'=1+1"),
            ("+1", "'+1"),
            ("-1", "'-1"),
            ("@sum", "'@sum"),
            (" =1", "' =1"),
            ("＝1", "'＝1"),
            ("fan = 1", "fan = 1"),
            ("x-axis", "x-axis"),
        ] {
            for text in [csv(&named(name), POINT), tsv(&named(name), POINT)] {
                let line = text.lines().nth(1).unwrap();
                assert!(line.starts_with(cell) && line.ends_with("47"), "{name}: {line}");
            }
        }
        assert!(csv(&named("=cmd|\"x\""), POINT).contains("\"'=cmd|\"\"x\"\"\","));
    }

    #[test]
    fn a_number_below_zero_stays_a_number() {
        let gain = grid(vec![vec![Arg::Typed("fan".into()), Arg::Number(Quantity::Gain, -1.24), Arg::Number(Quantity::Gain, -0.01)]]);
        assert!(csv(&gain, POINT).ends_with("fan,-1.2,0.0\r\n"), "{}", csv(&gain, POINT));
    }

    #[test]
    fn separators_quotes_and_line_ends_stay_in_their_cell() {
        assert!(csv(&named("left, right"), POINT).contains("\r\n\"left, right\",41.3"));
        assert!(csv(&named("left, right"), COMMA).contains("\r\nleft, right;41,3"));
        assert!(csv(&named("left; right"), COMMA).contains("\r\n\"left; right\";41,3"));
        assert!(csv(&named("the \"big\" one"), POINT).contains("\r\n\"the \"\"big\"\" one\",41.3"));
        assert!(csv(&named("two\nlines"), POINT).contains("\r\n\"two\nlines\",41.3"));
        assert!(tsv(&named("two\tcells\nlines"), POINT).contains("\r\ntwo cells lines\t41.3"));
        assert!(tsv(&named("\"big\" fan"), POINT).contains("\r\n\"\"\"big\"\" fan\"\t41.3"));
    }

    #[test]
    fn every_plus_minus_has_a_column_of_its_own() {
        let grid = grid(vec![
            vec![Arg::Typed("fan".into()), Arg::PlusMinus(Quantity::Level(Weighting::A), 41.1, 0.54), Arg::Number(Quantity::Share, 0.5)],
            vec![Arg::Typed("rest".into()), Arg::Nothing, Arg::Number(Quantity::Share, 0.5)],
        ]);
        assert_eq!(csv(&grid, POINT), "Source,Leaves [dB(A)],± [dB(A)],Share [%]\r\nfan,41.1,0.5,50\r\nrest,,,50\r\n");
    }

    #[test]
    fn what_was_copied_out_is_read_back_in() {
        let table = crate::sheets::find("tally").and_then(|sheet| sheet.schema().table("source")).unwrap();
        for name in ["fan", "=1+1", "the \"big\" one", "\"big\" fan", "left, right"] {
            for style in [POINT, COMMA] {
                for text in [tsv(&named(name), style), csv(&named(name), style)] {
                    let rows = super::super::rows_from_text(&text, table);
                    assert_eq!(rows.len(), 1, "{text:?}");
                    assert_eq!(rows[0].first(), Some(&("name", name.to_owned())), "{text:?}");
                }
            }
        }
    }
}
