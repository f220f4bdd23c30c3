//! What a person may type or open by mistake, one test for each, named after what they see.

use crate::support::{find, headline, open_whole};
use lessdin::calc::sheet::{Outcome, Run};
use lessdin::text::Style;

fn run(link: &str) -> Run {
    let (sheet, draft) = open_whole(link);
    sheet.run(&draft, None)
}

/// The problems beside the fields, as a person reads them.
fn problems(run: &Run) -> Vec<String> {
    run.errors.iter().map(|error| format!("{}: {}", error.path.dom_id(), error.problem.said().text(Style::default()))).collect()
}

#[test]
fn the_sample_refuses_what_is_too_loud_and_says_how_loud() {
    assert!(headline(&run("#/sample/v1/on=44/item=a~level=145")).starts_with("! Nothing is louder than 145.0"));
}

#[test]
fn every_problem_is_shown_at_once() {
    let run = run("#/sample/v1/on=loud/far=999/room=maybe/item=a~level=40~each=1%2E5");
    assert_eq!(
        problems(&run),
        [
            "f-on: “loud” is not a number",
            "f-far: 999\u{202f}m is outside 0.100\u{202f}m to 50.0\u{202f}m",
            "f-room: “maybe” is not one of on and off",
            "f-item-0-each: “1.5” is not a whole number from 1 to 20",
        ]
    );
    assert!(matches!(run.outcome, Outcome::Waiting(_)));
    assert!(find("sample").is_some());
}
