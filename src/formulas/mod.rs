//! What the standards and handbooks say, as plain functions: no pages, no text, no links.

pub mod levels;
