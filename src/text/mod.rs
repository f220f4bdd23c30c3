//! Words. Every text on the page is a [`Msg`]: an id and its English. A second language is a table from ids to texts.
//!
//! Calculations never build sentences out of strings. They *say* something: a [`Said`] holds a message and its arguments
//! as values, and becomes text last, in [`Style`]: language, decimal sign.

mod common;

use crate::calc::number;
use crate::calc::quantity::Quantity;

pub use common::WORDS as COMMON;
pub use common::say as common_words;

/// A text. `{name}` marks where an argument goes. One word wide: texts are handed about by the hundred.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Msg(pub &'static Text);

/// A text with its permanent id.
#[derive(Debug, PartialEq, Eq)]
pub struct Text {
    /// Permanent name, `sheet.NAME`.
    pub id: &'static str,
    /// The English text.
    pub en: &'static str,
}

impl std::ops::Deref for Msg {
    type Target = Text;
    fn deref(&self) -> &Text {
        self.0
    }
}

/// Declares a folder's texts: `words! { "alone"; DROP = "Stopping it gained {drop}."; }` makes `DROP` and `WORDS`.
#[macro_export]
macro_rules! words {
    ($folder:literal; $($name:ident = $text:literal;)*) => {
        $(#[doc = $text] pub const $name: $crate::text::Msg = $crate::text::Msg(&$crate::text::Text {
            id: concat!($folder, ".", stringify!($name)),
            en: $text,
        });)*
        /// Every text of this folder, for the table of all texts.
        pub static WORDS: &[$crate::text::Msg] = &[$($name),*];
    };
}

/// The languages there are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Language {
    /// British English.
    #[default]
    English,
}

/// How text is made: language and decimal sign are separate choices.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// The language of the words.
    pub language: Language,
    /// `.` or `,`.
    pub decimal: char,
}

impl Default for Style {
    fn default() -> Self {
        Self { language: Language::English, decimal: '.' }
    }
}

/// An argument of a message.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A number with its quantity.
    Number(Quantity, f64),
    /// A number, its quantity and the half width of its 95 % interval.
    PlusMinus(Quantity, f64, f64),
    /// A number that was typed or that limits what may be, with no more digits than it takes.
    AsTyped(Quantity, f64),
    /// Text the person typed, such as a name. Shown as it is, never read as a message.
    Typed(String),
    /// Another message.
    Msg(Msg),
    /// Another message with arguments.
    Said(Box<Said>),
    /// Several things in a row: "a, b and c".
    List(Vec<Arg>),
    /// No value.
    Nothing,
}

/// A message with its arguments.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// The text.
    pub msg: Msg,
    /// What goes where.
    pub args: Vec<(&'static str, Arg)>,
}

/// Starts a sentence.
#[inline(never)]
pub fn say(msg: Msg) -> Said {
    Said { msg, args: Vec::new() }
}

impl From<Msg> for Said {
    fn from(msg: Msg) -> Self {
        say(msg)
    }
}

impl From<Msg> for Arg {
    fn from(msg: Msg) -> Self {
        Self::Msg(msg)
    }
}

impl From<Said> for Arg {
    fn from(said: Said) -> Self {
        Self::Said(Box::new(said))
    }
}

impl Said {
    /// Fills `{name}` with any argument.
    #[must_use]
    pub fn with(self, name: &'static str, arg: impl Into<Arg>) -> Self {
        self.and(name, arg.into())
    }

    /// One copy in the program, where each of the hundreds of callers would have its own.
    #[inline(never)]
    fn and(mut self, name: &'static str, arg: Arg) -> Self {
        self.args.push((name, arg));
        self
    }

    /// Fills `{name}` with a number.
    #[must_use]
    #[inline(never)]
    pub fn num(self, name: &'static str, quantity: Quantity, value: f64) -> Self {
        self.with(name, Arg::Number(quantity, value))
    }

    /// Fills `{name}` with a number and its ±.
    #[must_use]
    #[inline(never)]
    pub fn pm(self, name: &'static str, quantity: Quantity, value: f64, half_width: f64) -> Self {
        self.with(name, Arg::PlusMinus(quantity, value, half_width))
    }

    /// Fills `{name}` with text the person typed.
    #[must_use]
    pub fn typed(self, name: &'static str, text: impl Into<String>) -> Self {
        self.with(name, Arg::Typed(text.into()))
    }

    /// The pieces of the sentence: words, and numbers to set apart.
    pub fn pieces(&self, style: Style) -> Vec<Piece> {
        let mut pieces = Vec::new();
        self.push_to(style, &mut pieces);
        pieces
    }

    /// The sentence as one string.
    pub fn text(&self, style: Style) -> String {
        self.pieces(style).into_iter().map(|piece| piece.text).collect()
    }

    fn push_to(&self, style: Style, pieces: &mut Vec<Piece>) {
        let mut rest = style.language.text(self.msg);
        while let Some((before, after)) = rest.split_once('{') {
            push_words(pieces, before);
            let Some((name, tail)) = after.split_once('}') else {
                break;
            };
            if let Some((_, arg)) = self.args.iter().find(|(key, _)| *key == name) {
                arg.push_to(style, pieces);
            }
            rest = tail;
        }
        push_words(pieces, rest);
    }
}

impl Arg {
    /// The argument as text.
    pub fn text(&self, style: Style) -> String {
        let mut pieces = Vec::new();
        self.push_to(style, &mut pieces);
        pieces.into_iter().map(|piece| piece.text).collect()
    }

    fn push_to(&self, style: Style, pieces: &mut Vec<Piece>) {
        match self {
            Self::Number(quantity, value) => push_number(pieces, number::show(*value, *quantity, style)),
            Self::PlusMinus(quantity, value, half_width) => {
                push_number(pieces, number::show_plus_minus(*value, *half_width, *quantity, style));
            }
            Self::AsTyped(quantity, value) => push_number(pieces, number::show_as_typed(*value, *quantity, style)),
            Self::Typed(text) => push_words(pieces, text),
            Self::Msg(msg) => push_words(pieces, style.language.text(*msg)),
            Self::Said(said) => said.push_to(style, pieces),
            Self::List(items) => {
                let last = items.len().saturating_sub(1);
                for (at, item) in items.iter().enumerate() {
                    if at > 0 {
                        let joint = if at == last { common::say::AND } else { common::say::COMMA };
                        push_words(pieces, style.language.text(joint));
                    }
                    item.push_to(style, pieces);
                }
            }
            Self::Nothing => push_words(pieces, "—"),
        }
    }
}

impl Language {
    /// The text of a message in this language. Ids a language lacks fall back to English.
    pub fn text(self, msg: Msg) -> &'static str {
        match self {
            Self::English => msg.en,
        }
    }
}

/// A stretch of text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The characters.
    pub text: String,
    /// Whether this is a number with its unit, which the page sets apart.
    pub number: bool,
}

fn push_words(pieces: &mut Vec<Piece>, words: &str) {
    match pieces.last_mut() {
        _ if words.is_empty() => {}
        Some(last) if !last.number => last.text.push_str(words),
        _ => pieces.push(Piece { text: words.to_owned(), number: false }),
    }
}

fn push_number(pieces: &mut Vec<Piece>, number: String) {
    pieces.push(Piece { text: number, number: true });
}

#[cfg(test)]
mod tests {
    use super::*;

    const HELLO: Msg = Msg(&Text { id: "test.HELLO", en: "{name} gained {drop}, no more." });

    #[test]
    fn arguments_go_where_the_text_says_and_numbers_stand_apart() {
        let said = say(HELLO).typed("name", "the {drop} fan").num("drop", Quantity::Gain, 1.26);
        assert_eq!(said.text(Style::default()), "the {drop} fan gained 1.3\u{202f}dB, no more.");
        assert_eq!(said.pieces(Style::default()).len(), 3);
    }

    #[test]
    fn lists_read_like_a_sentence() {
        let list = Arg::List(vec![Arg::Typed("a".into()), Arg::Typed("b".into()), Arg::Typed("c".into())]);
        assert_eq!(list.text(Style::default()), "a, b and c");
    }
}
