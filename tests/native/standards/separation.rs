//! scipy 1.17.1 and numpy 2.4.6: what readings with parts on and off tell, script `separation.py`; drawn systems kept in
//! `resampled_systems.txt`, made by `resampled_systems.py`.

use super::case::{Case, Evidence, count, or_nan, sweep};
use lessdin::formulas::active_set::resample;
use lessdin::formulas::credit::{Change, shapley};
use lessdin::formulas::nnls::null_space;
use lessdin::formulas::separation::{Fit, LeftOut, Offer, Search, chi_square_outside, fit, leave_one_out, next_readings, unresolved};
use lessdin::units::{Level, PlusMinus, count_to_f64};

const SCIPY: Evidence = Evidence::Library { name: "scipy", version: "1.17.1" };

/// Runs written as digits, the background first; levels; half widths.
type System = (&'static [&'static str], &'static [f64], &'static [f64]);

const SYSTEMS: &[System] = &[
    (&["100", "110", "101", "111", "110", "111"], &[32.0, 41.2, 44.6, 46.1, 40.7, 46.5], &[0.5; 6]),
    (&["100", "111", "111", "100"], &[30.0, 42.0, 42.4, 30.4], &[0.5; 4]),
    (&["1111", "1011", "1101", "1110", "1000"], &[46.5, 45.8, 45.1, 42.9, 28.0], &[0.5, 0.5, 1.0, 0.3, 0.5]),
    (&["100", "120", "110", "111", "121"], &[31.0, 44.3, 41.4, 44.1, 45.6], &[0.5; 5]),
    (&["10", "11", "11", "11"], &[30.0, 40.0, 40.2, 44.0], &[0.5; 4]),
    (&["1000", "1100", "1010", "1001", "1111"], &[31.0, 41.4, 43.0, 40.2, 46.2], &[0.5, 0.5, 0.8, 0.5, 0.5]),
    (&["1000", "1100", "1010", "1111"], &[31.0, 36.4, 39.0, 46.0], &[0.5, 0.5, 1.5, 0.5]),
];

fn digits(code: &str) -> Vec<u32> {
    code.chars().map(|digit| digit.to_digit(10).unwrap()).collect()
}

/// A state from its digits as a number, leading noughts filled in.
fn state(code: f64, width: usize) -> Vec<u32> {
    let digits = digits(&count(code).to_string());
    [vec![0; width - digits.len()], digits].concat()
}

fn system(at: f64) -> (Vec<Vec<u32>>, Vec<PlusMinus<Level>>) {
    let (runs, levels, halves) = SYSTEMS[count(at) as usize];
    let readings = levels.iter().zip(halves).map(|(level, half)| PlusMinus::new(Level(*level), *half));
    (runs.iter().map(|run| digits(run)).collect(), readings.collect())
}

fn fitted(at: f64) -> Fit {
    let (runs, readings) = system(at);
    fit(&runs, &readings).unwrap()
}

fn level(x: &[f64]) -> PlusMinus<Level> {
    let found = fitted(x[0]);
    found.level(&state(x[1], found.energies.len())).unwrap()
}

fn left_out(x: &[f64]) -> LeftOut {
    let (runs, readings) = system(x[0]);
    leave_one_out(&runs, &readings, &fit(&runs, &readings).unwrap()).unwrap()[count(x[1]) as usize]
}

/// What is offered for some watched parts, from none of each to the most that were on.
fn offers(at: f64, watched: &[u32], all_off: bool) -> Vec<Offer> {
    let (runs, readings) = system(at);
    let most = |part: usize| runs.iter().map(|run| run[part]).max().unwrap();
    let choices: Vec<Vec<u32>> = (0..runs[0].len()).map(|part| if part == 0 { vec![1] } else { (0..=most(part)).collect() }).collect();
    let watched: Vec<usize> = watched.iter().map(|part| *part as usize).collect();
    let search = Search { choices: &choices, not: &runs, all_off, watched: &watched, half_width: 0.5 };
    next_readings(&runs, &readings, &fit(&runs, &readings).unwrap(), &search).unwrap()
}

fn offer(x: &[f64]) -> Offer {
    offers(x[0], &[count(x[1])], true)[count(x[2]) as usize].clone()
}

/// How some parts stand beside others.
fn beside(x: &[f64]) -> f64 {
    let (runs, readings) = system(x[0]);
    let found = fit(&runs, &readings).unwrap();
    let (more, less) = (state(x[1], runs[0].len()), state(x[2], runs[0].len()));
    let loudest = readings.iter().map(|reading| reading.value.to_energy().0).fold(0.0, f64::max);
    let (apart, surplus) = (found.apart(&more, &less).unwrap(), found.surplus(&more, &less));
    [apart.value.0, apart.half_width, surplus.0 / loudest, surplus.1 / loudest][count(x[3]) as usize]
}

fn code(counts: &[u32]) -> f64 {
    counts.iter().fold(0.0, |code, count| 10.0 * code + f64::from(*count))
}

/// Levels before and after by turns (−999 for silence), then the rest (−999 for nothing), then which one's credit.
fn credit(x: &[f64]) -> f64 {
    let known = |level: f64| (level > -900.0).then_some(Level(level));
    let (which, x) = x.split_last().unwrap();
    let (rest, pairs) = x.split_last().unwrap();
    let changes: Vec<Change> = pairs.chunks_exact(2).map(|pair| Change { before: Level(pair[0]), after: known(pair[1]) }).collect();
    or_nan(shapley(&changes, known(*rest)).map(|credit| credit[count(*which) as usize].0))
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "separation.fit",
        at: "levels of parts and of sums",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| level(x).value.0,
        rows: &[
            (&[0.0, 100.0], 31.989_063_7),
            (&[0.0, 10.0], 40.384_127_5),
            (&[0.0, 1.0], 44.560_516_9),
            (&[0.0, 111.0], 46.136_832_4),
            (&[1.0, 100.0], 30.186_208_8),
            (&[1.0, 11.0], 41.903_161),
            (&[2.0, 1000.0], 27.999_981_9),
            (&[2.0, 100.0], 38.204_299_9),
            (&[2.0, 10.0], 40.883_103_7),
            (&[2.0, 1.0], 44.004_106_1),
            (&[3.0, 100.0], 31.002_007_1),
            (&[3.0, 10.0], 41.002_410_5),
            (&[3.0, 1.0], 40.485_592_8),
            (&[3.0, 21.0], 45.608_091_1),
            (&[4.0, 10.0], 30.0),
            (&[4.0, 1.0], 40.155_645_2),
            (&[5.0, 1000.0], 31.000_082),
            (&[5.0, 10.0], 42.715_171_6),
            (&[6.0, 11.0], 45.495_618_3),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "their half widths, by the pseudo-inverse",
        evidence: SCIPY,
        tolerance: 1e-7,
        why: "given to 9 digits",
        compute: |x| level(x).half_width,
        rows: &[
            (&[0.0, 100.0], 0.500_914_118),
            (&[0.0, 10.0], 0.398_911_436),
            (&[0.0, 1.0], 0.371_648_933),
            (&[0.0, 111.0], 0.259_392_647),
            (&[1.0, 100.0], 0.353_927_564),
            (&[1.0, 11.0], 0.378_513_988),
            (&[2.0, 1000.0], 0.499_994_849),
            (&[2.0, 100.0], 2.717_497_08),
            (&[2.0, 10.0], 1.481_980_1),
            (&[2.0, 1.0], 0.594_404_501),
            (&[3.0, 100.0], 0.499_397_274),
            (&[3.0, 10.0], 0.375_507_161),
            (&[3.0, 1.0], 1.093_280_64),
            (&[3.0, 21.0], 0.302_058_956),
            (&[5.0, 1000.0], 0.499_472_957),
            (&[5.0, 10.0], 0.697_544_928),
            (&[6.0, 11.0], 0.564_941_258),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "the sum of squares of the misfits",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| fitted(x[0]).chi_square,
        rows: &[
            (&[0.0], 4.461_486_97),
            (&[1.0], 2.449_963_63),
            (&[2.0], 0.000_174_231_938),
            (&[3.0], 0.671_431_012),
            (&[4.0], 94.405_484_3),
            (&[5.0], 4.988_246_44e-05),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "the chance of such misfits",
        evidence: SCIPY,
        tolerance: 1e-7,
        why: "given to 9 digits",
        compute: |x| fitted(x[0]).agreement,
        rows: &[
            (&[0.0], 0.215_751_395),
            (&[1.0], 0.293_763_043),
            (&[2.0], 0.989_468_473),
            (&[3.0], 0.714_826_441),
            (&[4.0], 3.163_075_42e-21),
            (&[5.0], 0.994_364_786),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "contradicting readings: every ± is wider by √(χ²/ν), here √(94.4054843/2)",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| fitted(x[0]).widened,
        rows: &[(&[4.0], 6.870_425_17), (&[0.0], 1.0)],
    },
    Case {
        formula: "separation.fit",
        at: "a part alone: check-values for a corrected level, 0.5 dB on both, 1, 3, 6 and 10 dB apart",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-5,
        why: "given to 4 decimals",
        compute: |x| {
            let reading = |level: f64| PlusMinus::new(Level(level), 0.5);
            let found = fit(&[vec![1, 0], vec![1, 1]], &[reading(40.0), reading(40.0 + x[0])]).unwrap();
            found.level(&[0, 1]).unwrap().half_width
        },
        rows: &[(&[1.0], 3.1047), (&[3.0], 1.1212), (&[6.0], 0.6885), (&[10.0], 0.5583)],
    },
    Case {
        formula: "separation.chi_square_outside",
        at: "scipy.stats.chi2.sf: sum of squares, degrees of freedom",
        evidence: SCIPY,
        tolerance: 1e-9,
        why: "given to 9 digits",
        compute: |x| or_nan(chi_square_outside(x[0], count(x[1]) as usize)),
        rows: &[
            (&[0.5, 1.0], 0.479_500_122),
            (&[3.841_458_821, 1.0], 0.05),
            (&[10.0, 1.0], 0.001_565_402_26),
            (&[5.991_464_547, 2.0], 0.05),
            (&[1.0, 3.0], 0.801_251_957),
            (&[7.814_727_903, 3.0], 0.05),
            (&[20.0, 5.0], 0.001_249_730_56),
            (&[18.307_038_05, 10.0], 0.05),
            (&[40.0, 10.0], 1.694_474_39e-05),
            (&[50.0, 47.0], 0.355_113_593),
            (&[79.081_944_49, 60.0], 0.05),
            (&[150.0, 60.0], 1.161_215_75e-09),
            (&[0.0, 4.0], 1.0),
        ],
    },
    Case {
        formula: "separation.leave_one_out",
        at: "solved anew without the reading: what the others make of its state",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| left_out(x).others.unwrap().value.0,
        rows: &[
            (&[0.0, 1.0], 40.794_539_5),
            (&[0.0, 2.0], 45.013_877_8),
            (&[0.0, 3.0], 46.150_634_7),
            (&[3.0, 1.0], 44.150_839_9),
            (&[3.0, 2.0], 41.430_484_9),
            (&[3.0, 3.0], 43.732_283_3),
            (&[4.0, 1.0], 41.017_430_8),
            (&[4.0, 2.0], 40.816_484_3),
            (&[4.0, 3.0], 40.096_547_6),
        ],
    },
    Case {
        formula: "separation.leave_one_out",
        at: "the half width of that",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| left_out(x).others.unwrap().half_width,
        rows: &[
            (&[0.0, 1.0], 0.470_913_364),
            (&[0.0, 2.0], 0.494_764_919),
            (&[0.0, 3.0], 0.303_411_5),
            (&[3.0, 1.0], 0.507_329_201),
            (&[3.0, 2.0], 0.463_964_021),
            (&[3.0, 3.0], 0.795_530_603),
            (&[4.0, 1.0], 0.382_325_756),
            (&[4.0, 2.0], 0.384_924_504),
            (&[4.0, 3.0], 0.353_647_07),
        ],
    },
    Case {
        formula: "separation.leave_one_out",
        at: "the misfit of the others",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| left_out(x).chi_square,
        rows: &[
            (&[0.0, 1.0], 3.135_006_85),
            (&[0.0, 2.0], 3.135_230_47),
            (&[0.0, 3.0], 4.432_538_37),
            (&[3.0, 1.0], 0.502_975_59),
            (&[3.0, 2.0], 0.663_753_823),
            (&[3.0, 3.0], 0.062_519_132_7),
            (&[4.0, 1.0], 83.962_567_2),
            (&[4.0, 2.0], 90.633_147_3),
            (&[4.0, 3.0], 0.307_056_664),
        ],
    },
    Case {
        formula: "separation.next_readings",
        at: "every state tried by solving anew: the best, by their digits",
        evidence: SCIPY,
        tolerance: 0.0,
        why: "a state",
        compute: |x| code(&offer(x).counts),
        rows: &[
            (&[3.0, 2.0, 0.0], 101.0),
            (&[5.0, 1.0, 0.0], 1101.0),
            (&[5.0, 1.0, 1.0], 1110.0),
            (&[5.0, 1.0, 2.0], 1011.0),
            (&[5.0, 2.0, 0.0], 1011.0),
            (&[5.0, 2.0, 1.0], 1110.0),
            (&[5.0, 2.0, 2.0], 1101.0),
            (&[5.0, 3.0, 0.0], 1101.0),
            (&[5.0, 3.0, 1.0], 1011.0),
            (&[5.0, 3.0, 2.0], 1110.0),
        ],
    },
    Case {
        formula: "separation.next_readings",
        at: "the half width of the watched part afterwards",
        evidence: SCIPY,
        tolerance: 0.002,
        why: "ours takes every part as no louder than three times the loudest reading",
        compute: |x| offer(x).after,
        rows: &[
            (&[3.0, 2.0, 0.0], 0.497_874_178),
            (&[5.0, 1.0, 0.0], 0.475_934_178),
            (&[5.0, 1.0, 1.0], 0.523_419_588),
            (&[5.0, 1.0, 2.0], 0.529_940_046),
            (&[5.0, 2.0, 0.0], 0.545_057_296),
            (&[5.0, 2.0, 1.0], 0.578_364_141),
            (&[5.0, 2.0, 2.0], 0.691_156_041),
            (&[5.0, 3.0, 0.0], 0.527_896_268),
            (&[5.0, 3.0, 1.0], 0.553_500_578),
            (&[5.0, 3.0, 2.0], 0.558_949_024),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "one sum of parts beside another: level difference, half width; surplus and its standard uncertainty over the loudest reading",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: beside,
        rows: &[
            (&[0.0, 10.0, 1.0, 0.0], -4.176_389_44),
            (&[0.0, 10.0, 1.0, 1.0], 0.592_990_081),
            (&[0.0, 10.0, 1.0, 2.0], -0.395_235_599),
            (&[0.0, 10.0, 1.0, 3.0], 0.032_080_664_4),
            (&[3.0, 20.0, 1.0, 0.0], 3.527_117_63),
            (&[3.0, 20.0, 1.0, 1.0], 1.325_133_31),
            (&[3.0, 20.0, 1.0, 2.0], 0.385_852_634),
            (&[3.0, 20.0, 1.0, 3.0], 0.061_153_907_2),
            (&[3.0, 10.0, 100.0, 0.0], 10.000_403_3),
            (&[3.0, 10.0, 100.0, 1.0], 0.652_556_936),
            (&[3.0, 10.0, 100.0, 2.0], 0.312_239_64),
            (&[3.0, 10.0, 100.0, 3.0], 0.015_628_622),
            (&[2.0, 10.0, 101.0, 0.0], -4.135_168_37),
            (&[2.0, 10.0, 101.0, 1.0], 2.258_085_36),
            (&[2.0, 10.0, 101.0, 2.0], -0.436_577_189),
            (&[2.0, 10.0, 101.0, 3.0], 0.114_841_543),
            (&[5.0, 100.0, 11.0, 0.0], -3.471_485_25),
            (&[5.0, 100.0, 11.0, 1.0], 0.783_182_816),
            (&[5.0, 100.0, 11.0, 2.0], -0.368_318_826),
            (&[5.0, 100.0, 11.0, 3.0], 0.045_257_567),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "the share of some parts in others, and its half width",
        evidence: SCIPY,
        tolerance: 1e-7,
        why: "given to 9 digits",
        compute: |x| {
            let found = fitted(x[0]);
            let width = found.energies.len();
            let share = found.share(&state(x[1], width), &state(x[2], width)).unwrap();
            if x[3] > 0.5 { share.half_width } else { share.value }
        },
        rows: &[
            (&[0.0, 10.0, 111.0, 0.0], 0.265_906_839),
            (&[0.0, 10.0, 111.0, 1.0], 0.026_141_502_7),
            (&[3.0, 20.0, 121.0, 0.0], 0.669_389_513),
            (&[3.0, 20.0, 121.0, 1.0], 0.062_194_281_2),
            (&[2.0, 100.0, 1111.0, 0.0], 0.148_144_859),
            (&[2.0, 100.0, 1111.0, 1.0], 0.088_835_059_1),
            (&[5.0, 11.0, 1111.0, 0.0], 0.669_006_562),
            (&[5.0, 11.0, 1111.0, 1.0], 0.038_009_061_3),
        ],
    },
    Case {
        formula: "separation.fit",
        at: "the one-sided limit of a level",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| {
            let found = fitted(x[0]);
            found.limit(&state(x[1], found.energies.len())).unwrap().0
        },
        rows: &[(&[0.0, 10.0], 40.706_650_3), (&[2.0, 100.0], 40.037_464_2), (&[3.0, 21.0], 45.854_481_5), (&[5.0, 10.0], 43.264_374_1)],
    },
    Case {
        formula: "separation.fit",
        at: "what part of the variance comes from each reading, by the pseudo-inverse",
        evidence: SCIPY,
        tolerance: 1e-8,
        why: "given to 9 digits",
        compute: |x| {
            let (runs, readings) = system(x[0]);
            let found = fit(&runs, &readings).unwrap();
            found.blame(&runs, &readings, &state(x[1], found.energies.len()))[count(x[2]) as usize]
        },
        rows: &[
            (&[0.0, 10.0, 0.0], 0.030_236_725_8),
            (&[0.0, 10.0, 1.0], 0.409_950_084),
            (&[0.0, 10.0, 2.0], 0.020_924_473_9),
            (&[0.0, 10.0, 3.0], 0.012_442_728_2),
            (&[0.0, 10.0, 4.0], 0.516_096_578),
            (&[0.0, 10.0, 5.0], 0.010_349_410_6),
            (&[3.0, 1.0, 0.0], 7.292_023_04e-6),
            (&[3.0, 1.0, 1.0], 0.129_206_068),
            (&[3.0, 1.0, 2.0], 0.122_893_262),
            (&[3.0, 1.0, 3.0], 0.582_237_568),
            (&[3.0, 1.0, 4.0], 0.165_655_81),
            (&[2.0, 100.0, 0.0], 0.067_745_559_2),
            (&[2.0, 100.0, 1.0], 0.409_123_038),
            (&[2.0, 100.0, 2.0], 0.506_531_322),
            (&[2.0, 100.0, 3.0], 0.016_551_936_6),
            (&[2.0, 100.0, 4.0], 4.814_445_94e-5),
        ],
    },
    Case {
        formula: "separation.next_readings",
        at: "parts watched by their digits, all off, place: state, whether it shows something new, part, half width before and after, rest",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "given to 9 digits",
        compute: |x| {
            let offer = &offers(x[0], &digits(&count(x[1]).to_string()), x[2] > 0.5)[count(x[3]) as usize];
            let resolves = f64::from(u8::from(offer.resolves));
            [code(&offer.counts), resolves, count_to_f64(offer.part), offer.before, offer.after, offer.left][count(x[4]) as usize]
        },
        rows: &[
            (&[3.0, 12.0, 0.0, 0.0, 0.0], 101.0),
            (&[3.0, 12.0, 0.0, 0.0, 1.0], 0.0),
            (&[3.0, 12.0, 0.0, 0.0, 2.0], 2.0),
            (&[3.0, 12.0, 0.0, 0.0, 3.0], 1.093_181_88),
            (&[3.0, 12.0, 0.0, 0.0, 4.0], 0.497_864_875),
            (&[3.0, 12.0, 0.0, 0.0, 5.0], 0.268_780_899),
            (&[3.0, 2.0, 0.0, 0.0, 0.0], 101.0),
            (&[3.0, 2.0, 0.0, 0.0, 1.0], 0.0),
            (&[3.0, 2.0, 0.0, 0.0, 2.0], 2.0),
            (&[3.0, 2.0, 0.0, 0.0, 3.0], 1.093_181_88),
            (&[3.0, 2.0, 0.0, 0.0, 4.0], 0.497_864_875),
            (&[3.0, 2.0, 0.0, 0.0, 5.0], 0.207_414_027),
            (&[1.0, 12.0, 1.0, 0.0, 0.0], 110.0),
            (&[1.0, 12.0, 1.0, 0.0, 1.0], 1.0),
            (&[1.0, 12.0, 1.0, 0.0, 2.0], 1.0),
            (&[1.0, 12.0, 1.0, 0.0, 3.0], 18.057_832_2),
            (&[1.0, 12.0, 1.0, 0.0, 4.0], 0.036_795_020_8),
            (&[1.0, 12.0, 1.0, 0.0, 5.0], 0.000_177_492_309),
            (&[1.0, 12.0, 1.0, 1.0, 0.0], 101.0),
            (&[1.0, 12.0, 1.0, 1.0, 1.0], 1.0),
            (&[1.0, 12.0, 1.0, 1.0, 2.0], 2.0),
            (&[1.0, 12.0, 1.0, 1.0, 3.0], 18.057_832_2),
            (&[1.0, 12.0, 1.0, 1.0, 4.0], 0.476_291_459),
            (&[1.0, 12.0, 1.0, 1.0, 5.0], 0.000_868_908_296),
            (&[1.0, 1.0, 1.0, 0.0, 0.0], 110.0),
            (&[1.0, 1.0, 1.0, 0.0, 1.0], 1.0),
            (&[1.0, 1.0, 1.0, 0.0, 2.0], 1.0),
            (&[1.0, 1.0, 1.0, 0.0, 3.0], 18.057_832_2),
            (&[1.0, 1.0, 1.0, 0.0, 4.0], 0.036_795_020_8),
            (&[1.0, 1.0, 1.0, 0.0, 5.0], 4.151_899_95e-6),
            (&[1.0, 1.0, 1.0, 1.0, 0.0], 101.0),
            (&[1.0, 1.0, 1.0, 1.0, 1.0], 1.0),
            (&[1.0, 1.0, 1.0, 1.0, 2.0], 1.0),
            (&[1.0, 1.0, 1.0, 1.0, 3.0], 18.057_832_2),
            (&[1.0, 1.0, 1.0, 1.0, 4.0], 0.582_943_305),
            (&[1.0, 1.0, 1.0, 1.0, 5.0], 0.001_042_128_83),
            (&[5.0, 123.0, 0.0, 0.0, 0.0], 1011.0),
            (&[5.0, 123.0, 0.0, 0.0, 1.0], 0.0),
            (&[5.0, 123.0, 0.0, 0.0, 2.0], 2.0),
            (&[5.0, 123.0, 0.0, 0.0, 3.0], 0.697_492_049),
            (&[5.0, 123.0, 0.0, 0.0, 4.0], 0.545_031_576),
            (&[5.0, 123.0, 0.0, 0.0, 5.0], 0.812_884_157),
            (&[5.0, 123.0, 0.0, 1.0, 0.0], 1110.0),
            (&[5.0, 123.0, 0.0, 1.0, 1.0], 0.0),
            (&[5.0, 123.0, 0.0, 1.0, 2.0], 2.0),
            (&[5.0, 123.0, 0.0, 1.0, 3.0], 0.697_492_049),
            (&[5.0, 123.0, 0.0, 1.0, 4.0], 0.578_332_832),
            (&[5.0, 123.0, 0.0, 1.0, 5.0], 0.846_532_156),
            (&[5.0, 123.0, 0.0, 2.0, 0.0], 1101.0),
            (&[5.0, 123.0, 0.0, 2.0, 1.0], 0.0),
            (&[5.0, 123.0, 0.0, 2.0, 2.0], 1.0),
            (&[5.0, 123.0, 0.0, 2.0, 3.0], 0.534_608_849),
            (&[5.0, 123.0, 0.0, 2.0, 4.0], 0.475_925_786),
            (&[5.0, 123.0, 0.0, 2.0, 5.0], 0.903_492_277),
            (&[2.0, 1.0, 1.0, 0.0, 0.0], 1100.0),
            (&[2.0, 1.0, 1.0, 0.0, 1.0], 0.0),
            (&[2.0, 1.0, 1.0, 0.0, 2.0], 1.0),
            (&[2.0, 1.0, 1.0, 0.0, 3.0], 2.716_823_74),
            (&[2.0, 1.0, 1.0, 0.0, 4.0], 0.538_916_344),
            (&[2.0, 1.0, 1.0, 0.0, 5.0], 0.039_347_739_2),
            (&[2.0, 1.0, 1.0, 1.0, 0.0], 1010.0),
            (&[2.0, 1.0, 1.0, 1.0, 1.0], 0.0),
            (&[2.0, 1.0, 1.0, 1.0, 2.0], 1.0),
            (&[2.0, 1.0, 1.0, 1.0, 3.0], 2.716_823_74),
            (&[2.0, 1.0, 1.0, 1.0, 4.0], 1.219_792_67),
            (&[2.0, 1.0, 1.0, 1.0, 5.0], 0.201_580_774),
            (&[2.0, 1.0, 1.0, 2.0, 0.0], 1001.0),
            (&[2.0, 1.0, 1.0, 2.0, 1.0], 0.0),
            (&[2.0, 1.0, 1.0, 2.0, 2.0], 1.0),
            (&[2.0, 1.0, 1.0, 2.0, 3.0], 2.716_823_74),
            (&[2.0, 1.0, 1.0, 2.0, 4.0], 2.626_135_13),
            (&[2.0, 1.0, 1.0, 2.0, 5.0], 0.934_353_49),
            (&[6.0, 123.0, 0.0, 0.0, 0.0], 1110.0),
            (&[6.0, 123.0, 0.0, 0.0, 1.0], 0.0),
            (&[6.0, 123.0, 0.0, 0.0, 2.0], 2.0),
            (&[6.0, 123.0, 0.0, 0.0, 3.0], 1.784_748_54),
            (&[6.0, 123.0, 0.0, 0.0, 4.0], 0.795_519_467),
            (&[6.0, 123.0, 0.0, 0.0, 5.0], 0.379_618_6),
            (&[6.0, 123.0, 0.0, 1.0, 0.0], 1001.0),
            (&[6.0, 123.0, 0.0, 1.0, 1.0], 0.0),
            (&[6.0, 123.0, 0.0, 1.0, 2.0], 2.0),
            (&[6.0, 123.0, 0.0, 1.0, 3.0], 1.784_748_54),
            (&[6.0, 123.0, 0.0, 1.0, 4.0], 1.610_399_65),
            (&[6.0, 123.0, 0.0, 1.0, 5.0], 0.757_794_09),
            (&[6.0, 123.0, 0.0, 2.0, 0.0], 1101.0),
            (&[6.0, 123.0, 0.0, 2.0, 1.0], 0.0),
            (&[6.0, 123.0, 0.0, 2.0, 2.0], 2.0),
            (&[6.0, 123.0, 0.0, 2.0, 3.0], 1.784_748_54),
            (&[6.0, 123.0, 0.0, 2.0, 4.0], 1.621_073_28),
            (&[6.0, 123.0, 0.0, 2.0, 5.0], 0.774_136_736),
            (&[6.0, 1.0, 0.0, 0.0, 0.0], 1110.0),
            (&[6.0, 1.0, 0.0, 0.0, 1.0], 0.0),
            (&[6.0, 1.0, 0.0, 0.0, 2.0], 1.0),
            (&[6.0, 1.0, 0.0, 0.0, 3.0], 0.731_279_497),
            (&[6.0, 1.0, 0.0, 0.0, 4.0], 0.720_581_897),
            (&[6.0, 1.0, 0.0, 0.0, 5.0], 0.970_956_783),
            (&[6.0, 1.0, 0.0, 1.0, 0.0], 1001.0),
            (&[6.0, 1.0, 0.0, 1.0, 1.0], 0.0),
            (&[6.0, 1.0, 0.0, 1.0, 2.0], 1.0),
            (&[6.0, 1.0, 0.0, 1.0, 3.0], 0.731_279_497),
            (&[6.0, 1.0, 0.0, 1.0, 4.0], 0.728_434_123),
            (&[6.0, 1.0, 0.0, 1.0, 5.0], 0.992_233_233),
            (&[6.0, 1.0, 0.0, 2.0, 0.0], 1011.0),
            (&[6.0, 1.0, 0.0, 2.0, 1.0], 0.0),
            (&[6.0, 1.0, 0.0, 2.0, 2.0], 1.0),
            (&[6.0, 1.0, 0.0, 2.0, 3.0], 0.731_279_497),
            (&[6.0, 1.0, 0.0, 2.0, 4.0], 0.728_720_672),
            (&[6.0, 1.0, 0.0, 2.0, 5.0], 0.993_014_031),
        ],
    },
    Case {
        formula: "separation.unresolved",
        at: "runs by their digits: how many groups, against the rank worked out by hand",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "a count",
        compute: |x| or_nan(unresolved(&x.iter().map(|code| state(*code, 4)).collect::<Vec<_>>()).map(|found| count_to_f64(found.len()))),
        rows: &[
            (&[1000.0, 1100.0, 1010.0, 1001.0], 0.0),
            (&[1000.0, 1110.0, 1001.0], 1.0),
            (&[1000.0, 1110.0], 2.0),
            (&[1101.0, 1011.0], 1.0),
            (&[1111.0], 1.0),
        ],
    },
    Case {
        formula: "nnls.null_space",
        at: "number of parts, random runs by their digits: parts less the rank that numpy finds by singular values",
        evidence: SCIPY,
        tolerance: 0.0,
        why: "a count",
        compute: |x| {
            let (width, codes) = x.split_first().unwrap();
            let runs: Vec<Vec<u32>> = codes.iter().map(|code| state(*code, count(*width) as usize)).collect();
            or_nan(null_space(&runs).map(|hidden| count_to_f64(hidden.len())))
        },
        rows: &[
            (&[5.0, 10_100.0], 4.0),
            (&[4.0, 1212.0, 1210.0, 1011.0, 1100.0], 0.0),
            (&[5.0, 11_122.0], 4.0),
            (&[5.0, 12_222.0], 4.0),
            (&[3.0, 110.0, 101.0, 122.0, 122.0, 110.0, 120.0], 0.0),
            (&[2.0, 10.0, 12.0, 12.0, 11.0, 12.0, 10.0, 12.0, 11.0], 0.0),
            (&[6.0, 100_220.0, 100_200.0, 102_200.0, 110_111.0, 100_101.0, 102_012.0, 101_020.0, 121_221.0], 0.0),
            (&[3.0, 102.0, 121.0, 111.0, 120.0, 102.0, 120.0], 0.0),
            (&[6.0, 112_122.0, 102_002.0, 111_000.0, 120_121.0, 122_112.0, 120_000.0], 0.0),
            (&[3.0, 122.0, 111.0], 1.0),
            (&[3.0, 121.0, 112.0, 111.0, 110.0, 102.0, 101.0], 0.0),
            (&[4.0, 1211.0], 3.0),
            (&[3.0, 121.0, 100.0, 112.0, 111.0, 112.0, 120.0, 122.0, 100.0], 0.0),
            (&[4.0, 1202.0, 1021.0, 1122.0, 1001.0, 1000.0, 1212.0], 0.0),
            (&[3.0, 112.0, 100.0, 110.0, 101.0, 120.0, 102.0], 0.0),
            (&[2.0, 11.0, 11.0, 10.0, 10.0, 11.0], 0.0),
            (&[3.0, 112.0], 2.0),
            (&[2.0, 12.0, 11.0, 10.0, 10.0, 11.0, 10.0, 11.0], 0.0),
            (&[6.0, 102_211.0, 122_101.0, 102_020.0, 110_020.0], 2.0),
            (&[6.0, 112_120.0, 112_101.0, 121_100.0, 102_200.0, 100_100.0, 111_122.0, 121_021.0, 122_021.0], 0.0),
            (&[3.0, 111.0, 112.0, 111.0, 100.0, 102.0, 101.0], 0.0),
            (&[5.0, 11_122.0, 12_220.0], 3.0),
            (&[3.0, 102.0, 121.0, 111.0, 120.0], 0.0),
            (&[4.0, 1102.0, 1121.0, 1000.0, 1210.0, 1110.0, 1012.0, 1222.0, 1010.0], 0.0),
        ],
    },
    Case {
        formula: "credit.shapley",
        at: "every order gone through",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-7,
        why: "given to 9 digits",
        compute: credit,
        rows: &[
            (&[40.0, -999.0, 40.0, -999.0, 30.0, 0.0], 6.611_096_47),
            (&[40.0, -999.0, 40.0, -999.0, 30.0, 1.0], 6.611_096_47),
            (&[44.1, -999.0, 41.0, -999.0, 39.5, -999.0, 38.6, -999.0, 31.0, 0.0], 6.228_560_31),
            (&[44.1, -999.0, 41.0, -999.0, 39.5, -999.0, 38.6, -999.0, 31.0, 1.0], 4.059_707_64),
            (&[44.1, -999.0, 41.0, -999.0, 39.5, -999.0, 38.6, -999.0, 31.0, 2.0], 3.285_284_34),
            (&[44.1, -999.0, 41.0, -999.0, 39.5, -999.0, 38.6, -999.0, 31.0, 3.0], 2.885_701_82),
            (&[45.0, 40.0, 42.0, 36.0, 38.0, 38.0, -999.0, 0.0], 2.691_962_78),
            (&[45.0, 40.0, 42.0, 36.0, 38.0, 38.0, -999.0, 1.0], 1.541_390_16),
            (&[45.0, 40.0, 42.0, 36.0, 38.0, 38.0, -999.0, 2.0], 0.0),
            (&[50.0, 45.0, 30.0, -999.0, 35.0, 0.0], 4.680_685_12),
            (&[50.0, 45.0, 30.0, -999.0, 35.0, 1.0], 0.082_492_703_1),
        ],
    },
    Case {
        formula: "active_set.resample",
        at: "columns 1 1 0 and 0 0 1, target 2 1 1, drawn 0 0 2 and 1 1 2: first value, residual, then its three percentiles",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "both exact",
        compute: |x| {
            let found = resample(&[vec![1.0, 1.0, 0.0], vec![0.0, 0.0, 1.0]], &[2.0, 1.0, 1.0], &[0, 0, 2, 1, 1, 2]).unwrap();
            [found.values[0], found.residual, found.low[0], found.middle[0], found.high[0]][count(x[0]) as usize]
        },
        rows: &[(&[0.0], 1.5), (&[1.0], std::f64::consts::FRAC_1_SQRT_2), (&[2.0], 1.025), (&[3.0], 1.5), (&[4.0], 1.975)],
    },
];

#[test]
fn readings_with_parts_on_and_off() {
    sweep(CASES);
}

#[test]
fn drawn_systems_are_solved_as_by_scipy() {
    for (line, text) in include_str!("resampled_systems.txt").lines().enumerate() {
        let numbers: Vec<f64> = text.split(' ').map(|number| number.parse().unwrap()).collect();
        let [rows, width, draws] = [0, 1, 2].map(|at| count(numbers[at]) as usize);
        let (matrix, rest) = numbers[3..].split_at(rows * width);
        let (target, rest) = rest.split_at(rows);
        let (chosen, rest) = rest.split_at(draws * rows);
        let (values, rest) = rest.split_at(width);
        let columns: Vec<Vec<f64>> = (0..width).map(|column| matrix.iter().skip(column).step_by(width).copied().collect()).collect();
        let found = resample(&columns, target, &chosen.iter().map(|row| count(*row)).collect::<Vec<_>>()).unwrap();
        let largest = rest.iter().fold(1.0, |most: f64, value| most.max(*value));
        let close = |found: f64, expected: f64| (found - expected).abs() <= 1e-9 * largest;
        assert!(close(found.residual, rest[0]), "line {}", line + 1);
        for column in 0..width {
            let parts = &rest[1 + 3 * column..];
            let all = [
                (found.values[column], values[column]),
                (found.low[column], parts[0]),
                (found.middle[column], parts[1]),
                (found.high[column], parts[2]),
            ];
            for (found, expected) in all {
                assert!(close(found, expected), "line {}, column {column}: {found} and {expected}", line + 1);
            }
        }
    }
}

/// What the runs tell against the rank: parts less what is hidden is the number of independent sums.
#[test]
fn groups_hold_all_that_is_hidden() {
    for at in 0..SYSTEMS.len() {
        let (runs, readings) = system(count_to_f64(at));
        let hidden = null_space(&runs).unwrap().len();
        let groups = unresolved(&runs).unwrap();
        assert_eq!(groups.is_empty(), hidden == 0);
        let found = fit(&runs, &readings).unwrap();
        for sum in groups.iter().flat_map(|group| &group.sums) {
            assert!(found.is_known(sum));
        }
    }
}
