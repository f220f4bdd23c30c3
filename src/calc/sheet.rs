//! What a sheet is.

use super::draft::{Draft, Path};
use super::error::FieldError;
use super::link::{self, Mode};
use super::quantity::Quantity;
use super::read::{self, Reader};
use super::report::{Refusal, Report};
use super::schema::{Key, Schema};
use crate::formulas::source::Source;
use crate::text::{Arg, Msg, Said, common_words as words, say};
use crate::units::{Weighting, count_to_f64};
use std::rc::Rc;

/// A calculation: typed inputs, a pure solve, an answer in words.
///
/// `read` turns the draft into inputs and notes every problem on the way; `solve` is plain arithmetic without text, clock
/// or randomness; `report` says the answer and does no arithmetic beyond what a sentence or a picture needs.
pub trait Calc {
    /// Identity, words, sources.
    const META: Meta;
    /// Everything it asks for.
    const SCHEMA: Schema;
    /// The typed inputs.
    type Inputs;
    /// The typed answer.
    type Answer;
    /// Why inputs that are each fine have no answer together.
    type Impossible;

    /// Turns the draft into inputs. `None` when something needed is missing or wrong: say which with [`Reader::need`].
    fn read(reader: &mut Reader<'_>) -> Option<Self::Inputs>;

    /// The arithmetic. Same inputs, same answer.
    ///
    /// # Errors
    ///
    /// Why there is no answer.
    fn solve(inputs: &Self::Inputs) -> Result<Self::Answer, Self::Impossible>;

    /// The words. `refined` is what [`Refine::work`] found, when it has finished for these very inputs.
    fn report(inputs: &Self::Inputs, answer: &Self::Answer, refined: Option<&[f64]>) -> Report;

    /// The words for no answer.
    fn refuse(inputs: &Self::Inputs, impossible: &Self::Impossible) -> Refusal;
}

/// A calculation with a longer part that refines its answer, done off the page's main thread.
///
/// It stands apart from [`Calc`] so that only the worker carries its code; [`Meta::refines`] tells the page to ask.
pub trait Refine: Calc {
    /// The longer part, when these inputs have one.
    fn work(inputs: &Self::Inputs, seed: u64) -> Option<Box<dyn Work>>;
}

/// The longer part for a draft, if it has an answer and there is one.
pub fn work<C: Refine>(draft: &Draft, seed: u64) -> Option<Box<dyn Work>> {
    let inputs = C::read(&mut Reader::new(draft))?;
    C::solve(&inputs).ok()?;
    C::work(&inputs, seed)
}

/// Work in steps, so that it can report progress and be cancelled between them.
pub trait Work {
    /// Does a step of some milliseconds. The share done so far, 1.0 at the end.
    fn step(&mut self) -> f64;
    /// What was found; read after the last step.
    fn found(&self) -> Vec<f64>;
}

/// What a sheet is called, where it belongs and what it rests on.
#[derive(Debug)]
pub struct Meta {
    /// The permanent id in links.
    pub id: Key,
    /// The menu group.
    pub group: Group,
    /// The question.
    pub title: Msg,
    /// A few words under the question in the menu; may be empty.
    pub hint: Msg,
    /// What to say while fields are still empty.
    pub empty: Msg,
    /// The version of its formulas. Raised when the same inputs give another answer.
    pub version: u32,
    /// What changed, newest last. `since` is the version that brought the change.
    pub changes: &'static [Change],
    /// How far its answers go.
    pub limits: &'static [Msg],
    /// Cautions that always stand on this sheet.
    pub cautions: &'static [Msg],
    /// What its formulas rest on.
    pub sources: &'static [&'static Source],
    /// A link with made-up numbers from the library's engraver.
    pub example: &'static str,
    /// Whether the worker has a longer part that refines the answer: it is then in `sheets::REFINED` too.
    pub refines: bool,
    /// All texts of its folder.
    pub words: &'static [Msg],
}

/// A change of answers.
#[derive(Debug)]
pub struct Change {
    /// The version that brought it.
    pub since: u32,
    /// What was corrected, a whole sentence.
    pub what: Msg,
}

/// The groups of the menu, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// What makes the noise.
    Find,
    /// What to change.
    Change,
    /// Whether it worked.
    Check,
    /// Steps and speeds.
    Movement,
    /// Air and heat.
    Cooling,
}

/// What came of running a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// What is wrong with single fields.
    pub errors: Vec<FieldError>,
    /// How unclear text was read.
    pub remarks: Vec<(Path, Said)>,
    /// The answer, or why there is none.
    pub outcome: Outcome,
}

/// The answer, or why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// An answer.
    Answer(Rc<Report>),
    /// Something needed is still missing or wrong: these fields.
    Waiting(Vec<Path>),
    /// The fields are fine, but have no answer together.
    Impossible(Refusal),
}

/// The object-safe face of a [`Calc`]: what the list, the page and the tests use.
pub trait Sheet: Sync {
    /// Identity, words, sources.
    fn meta(&self) -> &'static Meta;
    /// Everything it asks for.
    fn schema(&self) -> &'static Schema;
    /// Reads, solves, reports.
    fn run(&self, draft: &Draft, refined: Option<&[f64]>) -> Run;
    /// The draft as a link, from `#` on.
    fn link(&self, draft: &Draft) -> String {
        link::write(self.meta().id, self.meta().version, self.schema(), draft, Mode::Link)
    }

    /// The draft as the device keeps it.
    fn keep(&self, draft: &Draft) -> String {
        link::write(self.meta().id, self.meta().version, self.schema(), draft, Mode::Keep)
    }

    /// What to say about a draft that came from a link of another version.
    fn version_notes(&self, draft: &Draft) -> Vec<Said> {
        let made_with = draft.version.unwrap_or(self.meta().version);
        let newer = self.meta().changes.iter().filter(|change| change.since > made_with);
        newer.map(|change| say(words::LINK_CHANGED).with("what", change.what)).collect()
    }

    /// What to say about a link that is long.
    fn length_note(&self, link: &str) -> Option<Said> {
        (link.len() > link::LONG_LINK).then(|| say(words::LINK_LONG).num("length", Quantity::Count, count_to_f64(link.len())))
    }
}

impl<C: Calc + Sync> Sheet for C {
    fn meta(&self) -> &'static Meta {
        const { &C::META }
    }

    fn schema(&self) -> &'static Schema {
        const { &C::SCHEMA }
    }

    fn run(&self, draft: &Draft, refined: Option<&[f64]>) -> Run {
        let mut reader = Reader::new(draft);
        let inputs = C::read(&mut reader);
        reader.check_the_rest(self.schema());
        let outcome = match inputs {
            None => {
                let wrong = reader.errors.iter().map(|error| error.path);
                Outcome::Waiting(reader.missing.iter().copied().chain(wrong).collect())
            }
            Some(inputs) => {
                if let Some(refusal) = mixed_weighting(&reader, self.schema()) {
                    Outcome::Impossible(refusal)
                } else {
                    match C::solve(&inputs) {
                        Ok(answer) => Outcome::Answer(Rc::new(C::report(&inputs, &answer, refined))),
                        Err(impossible) => Outcome::Impossible(C::refuse(&inputs, &impossible)),
                    }
                }
            }
        };
        Run { errors: reader.errors, remarks: reader.remarks, outcome }
    }
}

/// Levels of different weighting in one sheet, named as they stand on the page.
fn mixed_weighting(reader: &Reader<'_>, schema: &'static Schema) -> Option<Refusal> {
    let (first, second) = reader.mixed_weighting()?;
    let named = |(path, weighting): (Path, Weighting)| -> Option<Arg> {
        let draft = reader.draft();
        let cell = schema.cell_at(path)?;
        let level =
            read::readings(cell, draft.get(path)).ok()?.iter().find(|typed| typed.weighting().unwrap_or(weighting) == weighting)?.base;
        let name: Arg = match path.row {
            None => cell.label.into(),
            Some(at) => match at.table_name(draft) {
                name if name.is_empty() => say(words::ROW).num("number", Quantity::Count, count_to_f64(draft.ordinal(at)?)).into(),
                name => Arg::Typed(name),
            },
        };
        Some(say(words::NAMED_LEVEL).with("name", name).num("level", Quantity::Level(weighting), level).into())
    };
    Some(Refusal {
        said: say(words::MIXED_WEIGHTING).with("first", named(first)?).with("second", named(second)?),
        paths: vec![first.0, second.0],
    })
}
