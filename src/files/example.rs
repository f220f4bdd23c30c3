//! Two made-up logs of the library's engraver, always the same: as it was built, and with its larger, slower cabinet fan and
//! damped motor mounts.
//!
//! The new fan runs on when the job is over, so the parked machine got louder by about a decibel while everything else got
//! quieter; and the second log was stopped sooner, so that its average over everything says too much.

/// Which of the two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Example {
    /// As it was built.
    Before,
    /// With the larger, slower cabinet fan and damped mounts.
    After,
}

impl Example {
    /// Of two things, the one that belongs to it.
    fn of<T>(self, [before, after]: [T; 2]) -> T {
        match self {
            Self::Before => before,
            Self::After => after,
        }
    }
}

/// A phase: how long, s; its level as built and changed, and how far readings stray, all in tenths of a decibel.
struct Phase {
    seconds: [u32; 2],
    tenths: [i32; 2],
    stray: i32,
}

/// Parked, homing, outline, fill, parked again. Invented; in the story of the other examples, at the nearest desk.
const PHASES: [Phase; 5] = [
    Phase { seconds: [60, 60], tenths: [384, 395], stray: 3 },
    Phase { seconds: [20, 20], tenths: [502, 487], stray: 9 },
    Phase { seconds: [240, 240], tenths: [447, 427], stray: 8 },
    Phase { seconds: [900, 700], tenths: [461, 435], stray: 7 },
    Phase { seconds: [120, 420], tenths: [384, 395], stray: 3 },
];

/// Small whole-number chance: the same on every machine.
struct Chance(u64);

impl Chance {
    /// The next 64 bits: splitmix64, as published by its author, from memory.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A nearly normal number of mean 0 and spread 1000: the sum of twelve even ones.
    fn normal(&mut self) -> i64 {
        let sum: u64 = (0..12).map(|_| self.next() >> 54).sum();
        // Twelve numbers from 0 to 1023: mean 6138, spread 1024.
        (i64::try_from(sum).unwrap_or(6138) - 6138) * 1000 / 1024
    }
}

/// How long the phases last in seconds, in their order: parked, homing, outline, fill, parked.
pub fn phases(which: Example) -> [u32; 5] {
    PHASES.map(|phase| which.of(phase.seconds))
}

/// The log as CSV, a second to a row. `run` counts from 0: each has its own chance, as if the job had been run again.
///
/// The stray readings follow each other as a first-order autoregression with 0.4, so that neighbours are alike.
pub fn csv(which: Example, run: u32) -> String {
    let mut chance = Chance(0x0E46_7A5E + 1000 * u64::from(run) + which as u64);
    let mut out = String::from("Time,LAeq (dB)\n");
    // Tuesday evening before, Thursday after; a later run an hour later.
    let (day, hour) = (if which == Example::Before { 4 } else { 6 }, 18 + run % 6);
    let mut second = 0;
    // Thousandths of the spread.
    let mut stray = chance.normal();
    for phase in PHASES {
        for _ in 0..which.of(phase.seconds) {
            // sqrt(1 − 0.4²) = 0.9165.
            stray = (4000 * stray + 9165 * chance.normal()) / 10_000;
            let tenths = i64::from(which.of(phase.tenths)) + (stray * i64::from(phase.stray) + 500).div_euclid(1000);
            push_row(&mut out, day, hour * 3600 + second, tenths);
            second += 1;
        }
    }
    out
}

fn push_row(out: &mut String, day: u32, second: u32, tenths: i64) {
    let two = |value: u32| [value / 10, value % 10].map(|digit| char::from(b'0' + u8::try_from(digit).unwrap_or(0)));
    out.push_str("2031-11-");
    out.extend(two(day));
    out.push('T');
    out.extend(two(second / 3600));
    out.push(':');
    out.extend(two(second / 60 % 60));
    out.push(':');
    out.extend(two(second % 60));
    out.push(',');
    let tenths = u32::try_from(tenths).unwrap_or(0);
    out.extend(two(tenths / 10));
    out.push('.');
    out.push(char::from(b'0' + u8::try_from(tenths % 10).unwrap_or(0)));
    out.push('\n');
}
