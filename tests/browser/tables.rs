use serde_json::json;

use crate::engine::on_every_engine;
use crate::page::Browser;

/// Pastes a text into a field as a person does from a spreadsheet.
fn paste_into(page: &Browser, id: &str, text: &str) {
    page.script(
        "const field = document.getElementById(arguments[0]);
         const data = new DataTransfer();
         data.setData('text/plain', arguments[1]);
         field.focus();
         // Firefox takes the text by itself, the others in a transfer.
         const text = { clipboardData: data, dataType: 'text/plain', data: arguments[1] };
         field.dispatchEvent(new ClipboardEvent('paste', { ...text, bubbles: true, cancelable: true }))",
        &json!([id, text]),
    );
}

/// Name, level and count of every row.
fn rows(page: &Browser) -> Vec<[String; 3]> {
    let count = usize::try_from(page.rows("source")).unwrap();
    (1..=count).map(|row| ["name", "level", "each"].map(|column| page.field(&page.cell("source", row, column)))).collect()
}

fn row(name: &str, level: &str, each: &str) -> [String; 3] {
    [name, level, each].map(str::to_owned)
}

#[test]
fn cells_pasted_from_a_spreadsheet_fill_rows() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/tally");
        paste_into(&page, &page.cell("source", 1, "level"), "supply fan\t38,6\ncabinet fan\t41.1\t2\r\ntool fan\t41\n");
        page.answered();
        assert_eq!(rows(&page), [row("supply fan", "38,6", ""), row("cabinet fan", "41.1", "2"), row("tool fan", "41", "")]);
        page.expect_text(".told", "3 added");

        // Two identical columns of numbers go on where they were put.
        page.tap("Undo");
        page.until("the rows are gone again", || page.field(&page.cell("source", 1, "level")).is_empty().then_some(()));
        paste_into(&page, &page.cell("source", 1, "level"), "38.6\n41.1\n41.0\n39.5\n");
        page.answered();
        let levels: Vec<String> = rows(&page).into_iter().map(|[_, level, _]| level).collect();
        assert_eq!(levels, ["38.6", "41.1", "41.0", "39.5"]);
    });
}

#[test]
fn forty_rows_are_answered_and_more_are_left_out_in_words() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/tally");
        let list: Vec<String> = (1..=45).map(|n| format!("part {n}\t40")).collect();
        paste_into(&page, &page.cell("source", 1, "level"), &list.join("\n"));
        page.answered();
        assert_eq!(page.rows("source"), 40);
        page.expect_text(".told", "40 added");
        // Forty equal sources: 10 lg 40 above one of them.
        let total = 40.0 + 10.0 * 40_f64.log10();
        assert!(page.sentence().contains(&format!("{total:.1}")), "{}", page.sentence());
    });
}

#[test]
fn a_list_without_a_number_in_it_is_answered_in_words() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/tally");
        page.tap("Paste a list");
        page.tap("Take the list over");
        page.expect_text(".told", "No line with a name or a number was found");
    });
}

#[test]
fn rows_are_added_moved_and_removed() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/tally/v1/source=first~level=40/source=second~level=41");
        page.answered();
        page.script("document.querySelectorAll('.row-more').forEach((e) => { e.open = true; })", &json!([]));
        page.follow("button[aria-label=\"Move second up\"]");
        page.until("they have changed places", || (page.field(&page.cell("source", 1, "name")) == "second").then_some(()));
        page.follow("button[aria-label=\"Remove second\"]");
        page.until("one is left", || (page.field(&page.cell("source", 1, "name")) == "first").then_some(()));
        let before = page.rows("source");
        page.follow(".table > .acts button");
        page.until("a row is added", || (page.rows("source") == before + 1).then_some(()));
        let last = page.cell("source", usize::try_from(before + 1).unwrap(), "name");
        page.until("the new row has the focus", || {
            (page.script("return document.activeElement.id", &json!([])) == last.as_str()).then_some(())
        });
    });
}
