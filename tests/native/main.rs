//! Native tests. One binary; one sentence per module on what belongs there.

#![allow(clippy::indexing_slicing, clippy::unwrap_used, reason = "a test that finds nothing there is to fail loudly")]

/// What a person may type or open by mistake, one test for each, named after what they see.
mod bad_input;
/// Every line of every sheet's `cases.txt`.
mod cases;
/// One input of each example changes, and everything that rests on it changes along.
mod changes;
/// Logs of meters: whatever a logger writes is read for what it is, and said.
mod files;
/// Rules about the code, the words and the papers. Each failure is a sentence that says what to do.
mod house_rules;
/// How often the intervals of logs hold the truth, on made-up logs whose truth is known.
mod intervals;
/// Links people have shared still open as they did, and links survive what chat and mail programs do to them.
mod links;
/// Random and hostile drafts and links for every sheet.
mod properties;
/// The sheets that compare runs and plan them: mistakes with runs and phases, and what must hold whatever they are.
mod runs;
/// A sheet that uses every part of the contract, so that the parts no real sheet needs yet are tested too.
mod sample;
/// Outside checks: published numbers and general-purpose libraries against our formulas.
mod standards;
/// What the other modules share: reading an outcome as text, seeded dice, round trips.
mod support;
