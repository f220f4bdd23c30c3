//! The heavy parts by themselves, for timing in a browser: `cargo timing-page`. Never part of the site.
//!
//! A job goes from a file's bytes, or from figures, to plain numbers, by the very code that the site runs.

use js_sys::{Float64Array, Uint8Array, Uint32Array};
use lessdin::files::statistics::statistics;
use lessdin::files::{Reader, Wanted};
use lessdin::formulas::active_set::resample;
use lessdin::formulas::partition::{Rule, optimal};
use lessdin::units::count_to_f64;
use wasm_bindgen::prelude::*;

/// How much of a file is copied at a time, bytes: as much as stays near the processor.
const PIECE: u32 = 64 * 1024;

fn main() {}

/// Works a job out. The page names the numbers.
///
/// # Errors
///
/// What is wrong with the job or its input, as text.
#[wasm_bindgen]
pub fn run(job: &str, input: &Uint8Array) -> Result<Vec<f64>, JsError> {
    match job {
        "j1-dot" | "j1-comma" => log(input),
        _ => Err(JsError::new("there is no such job here")),
    }
}

/// The cheapest partition of a series at 50 for each change, ten samples at least to a stretch: its cost, then the changes.
///
/// # Errors
///
/// What is wrong with the series, as text.
#[wasm_bindgen]
pub fn partition(levels: &Float64Array) -> Result<Vec<f64>, JsError> {
    let rule = Rule { shortest: 10, penalty: 50.0, floor: 1e-6 };
    let found = optimal(&levels.to_vec(), rule, &mut |_| true).map_err(|error| JsError::new(&error.to_string()))?;
    let found = found.ok_or_else(|| JsError::new("stopped"))?;
    Ok([found.cost].into_iter().chain(found.changes.into_iter().map(count_to_f64)).collect())
}

/// Sources from readings, and from rows drawn from them again and again: residual, then values, 2.5 %, 50 % and 97.5 %.
///
/// # Errors
///
/// What is wrong with the readings, as text.
#[wasm_bindgen]
pub fn sources(columns: &Float64Array, target: &Float64Array, draws: &Uint32Array) -> Result<Vec<f64>, JsError> {
    let target = target.to_vec();
    let columns: Vec<Vec<f64>> = columns.to_vec().chunks(target.len().max(1)).map(<[f64]>::to_vec).collect();
    let found = resample(&columns, &target, &draws.to_vec()).map_err(|error| JsError::new(&error.to_string()))?;
    Ok([found.residual].into_iter().chain([found.values, found.low, found.middle, found.high].concat()).collect())
}

/// A level log from its bytes: rows, Leq, highest, lowest, L10, L50, L90; minutes, the first, the last, the highest of them, and
/// their sum weighted by place.
fn log(input: &Uint8Array) -> Result<Vec<f64>, JsError> {
    let mut reader = Reader::new(&Wanted::default());
    let mut piece = vec![0; PIECE as usize];
    let mut from = 0;
    while from < input.length() {
        let to = (from + PIECE).min(input.length());
        let part = piece.get_mut(..(to - from) as usize).unwrap_or_default();
        input.subarray(from, to).copy_to(part);
        reader.push(part);
        from = to;
    }
    let log = reader.finish().map_err(|_| JsError::new("this is no log"))?;
    let found = statistics(&log);
    let minutes: Vec<f64> = found.minutes.iter().filter_map(|minute| Some(minute.level?.0)).collect();
    let end = |minute: Option<&f64>| minute.copied().unwrap_or_default();
    let count = |count: usize| f64::from(u32::try_from(count).unwrap_or(u32::MAX));
    let mut weight = (1..=97_u32).cycle();
    let checksum: f64 = minutes.iter().map(|minute| minute * f64::from(weight.next().unwrap_or_default())).sum();
    Ok(vec![
        count(found.rows),
        found.leq.map_or(0.0, |leq| leq.0),
        found.max.0,
        found.min.0,
        found.l10.0,
        found.l50.0,
        found.l90.0,
        count(minutes.len()),
        end(minutes.first()),
        end(minutes.last()),
        minutes.iter().copied().fold(f64::MIN, f64::max),
        checksum,
    ])
}
