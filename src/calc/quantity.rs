//! What a number is a number of: its units, its precision, its place in a sentence.

use crate::units::Weighting;

/// A unit that may be typed or shown.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// How links write it: letters and digits.
    pub id: &'static str,
    /// How the page writes it.
    pub symbol: &'static str,
    /// Other spellings that are understood, lower case, without spaces.
    pub spellings: &'static [&'static str],
    /// Value in the base unit = value · `factor` + `offset`.
    pub factor: f64,
    /// See `factor`.
    pub offset: f64,
}

const fn unit(id: &'static str, symbol: &'static str, spellings: &'static [&'static str], factor: f64) -> Unit {
    Unit { id, symbol, spellings, factor, offset: 0.0 }
}

impl Unit {
    /// A value in this unit, in the base unit of its quantity.
    pub fn to_base(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// A value in the base unit, in this unit.
    pub fn from_base(&self, base: f64) -> f64 {
        (base - self.offset) / self.factor
    }
}

/// What a number measures. The first unit of [`Quantity::units`] is the base unit: values are held in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// Sound pressure level, dB. The weighting is part of the unit shown: dB(A).
    Level(Weighting),
    /// A difference of levels, dB.
    Gain,
    /// Sound power level, dB re 1 pW; bel is understood.
    SoundPower,
    /// A fraction, shown in per cent.
    Share,
    /// A small fraction, shown in per cent with three digits.
    FineShare,
    /// So many times.
    Ratio,
    /// Distance in a room, m.
    Distance,
    /// Size of a part, mm.
    Size,
    /// Air flow, m³/h.
    Flow,
    /// Pressure, Pa.
    Pressure,
    /// Rotation, per minute.
    Rotation,
    /// Speed of an axis, mm/s.
    Speed,
    /// How long something lasts, s.
    Duration,
    /// Money, without a currency.
    Money,
    /// Money for each dB.
    MoneyPerDecibel,
    /// A whole number of things.
    Count,
    /// Loudness, sone.
    Loudness,
    /// Loudness level, phon.
    Phon,
    /// Angle, degrees.
    Angle,
    /// Frequency of a tone or of steps, Hz.
    Frequency,
    /// Step rate, kHz.
    StepRate,
    /// Steps for one millimetre.
    StepsPerMillimetre,
    /// Steps for one degree.
    StepsPerDegree,
    /// A small travel, µm.
    Travel,
    /// Electric current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// Resistance, ohm.
    Resistance,
    /// Inductance, mH.
    Inductance,
    /// Torque, N·m.
    Torque,
    /// Moment of inertia, g·cm².
    Inertia,
    /// Heat or electric power, W.
    Power,
    /// A bare number.
    Plain,
}

/// A quantity as other programs get it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Si {
    /// Its stable name.
    pub quantity: &'static str,
    /// Its coherent SI unit; dB, phon and sone where SI has none, `money` where the currency is anyone's.
    pub unit: &'static str,
    /// Value in `unit` = value in the base unit · `times` / `by`. Two numbers, so that 2 mm are 0.002 m to the last digit.
    times: f64,
    /// See `times`.
    by: f64,
}

static LEVEL_A: [Unit; 4] = [
    unit("dB", "dB(A)", &["db"], 1.0),
    unit("dBA", "dB(A)", &["dba", "db(a)"], 1.0),
    unit("dBC", "dB(C)", &["dbc", "db(c)"], 1.0),
    unit("dBZ", "dB(Z)", &["dbz", "db(z)"], 1.0),
];
static GAIN: [Unit; 1] = [unit("dB", "dB", &["db"], 1.0)];
static SOUND_POWER: [Unit; 2] = [unit("dB", "dB", &["db", "dba", "db(a)"], 1.0), unit("B", "B", &["b", "bel", "bels"], 10.0)];
static SHARE: [Unit; 1] = [unit("pc", "%", &["%", "percent"], 0.01)];
static RATIO: [Unit; 1] = [unit("x", "times", &["x", "×", "times"], 1.0)];
static DISTANCE: [Unit; 3] = [
    unit("m", "m", &["m", "metre", "metres"], 1.0),
    unit("cm", "cm", &["cm"], 0.01),
    unit("ft", "ft", &["ft", "feet", "foot", "'"], 0.3048),
];
static SIZE: [Unit; 2] = [unit("mm", "mm", &["mm"], 1.0), unit("in", "in", &["in", "inch", "inches", "\"", "″"], 25.4)];
static FLOW: [Unit; 3] = [
    unit("m3h", "m³/h", &["m3h", "m3/h", "m³/h", "m^3/h", "cmh"], 1.0),
    unit("cfm", "cfm", &["cfm", "ft3/min", "ft³/min"], 1.699_010_795_52),
    unit("ls", "L/s", &["ls", "l/s"], 3.6),
];
static PRESSURE: [Unit; 3] = [
    unit("Pa", "Pa", &["pa"], 1.0),
    unit("mmH2O", "mmH₂O", &["mmh2o", "mmh₂o", "mmaq"], 9.806_65),
    unit("inH2O", "inH₂O", &["inh2o", "inh₂o", "inaq"], 249.088_91),
];
static ROTATION: [Unit; 1] = [unit("rpm", "rpm", &["rpm", "/min", "1/min", "u/min"], 1.0)];
static SPEED: [Unit; 3] = [
    unit("mms", "mm/s", &["mms", "mm/s"], 1.0),
    unit("mmmin", "mm/min", &["mmmin", "mm/min"], 1.0 / 60.0),
    unit("inmin", "in/min", &["inmin", "in/min", "ipm"], 25.4 / 60.0),
];
static DURATION: [Unit; 3] = [
    unit("s", "s", &["s", "sec", "second", "seconds"], 1.0),
    unit("min", "min", &["min", "minute", "minutes"], 60.0),
    unit("h", "h", &["h", "hour", "hours"], 3600.0),
];
static MONEY: [Unit; 1] = [unit("money", "", &["€", "$", "£"], 1.0)];
static MONEY_PER_DECIBEL: [Unit; 1] = [unit("perdB", "per dB", &[], 1.0)];
static COUNT: [Unit; 1] = [unit("x", "", &["x", "×"], 1.0)];
static LOUDNESS: [Unit; 1] = [unit("sone", "sone", &["sone", "sones"], 1.0)];
static PHON: [Unit; 1] = [unit("phon", "phon", &["phon", "phons"], 1.0)];
static ANGLE: [Unit; 1] = [unit("deg", "°", &["°", "deg", "degree", "degrees"], 1.0)];
static FREQUENCY: [Unit; 2] = [unit("Hz", "Hz", &["hz"], 1.0), unit("kHz", "kHz", &["khz"], 1000.0)];
static STEP_RATE: [Unit; 2] = [unit("kHz", "kHz", &["khz"], 1.0), unit("Hz", "Hz", &["hz", "steps/s"], 0.001)];
static STEPS_PER_MM: [Unit; 1] = [unit("stepsmm", "steps/mm", &["steps/mm", "/mm"], 1.0)];
static STEPS_PER_DEGREE: [Unit; 1] = [unit("stepsdeg", "steps/°", &["steps/°", "/°"], 1.0)];
static TRAVEL: [Unit; 2] = [unit("um", "µm", &["um", "µm", "μm"], 1.0), unit("mm", "mm", &["mm"], 1000.0)];
static CURRENT: [Unit; 2] = [unit("A", "A", &["a", "amp", "amps"], 1.0), unit("mA", "mA", &["ma"], 0.001)];
static VOLTAGE: [Unit; 1] = [unit("V", "V", &["v", "volt", "volts"], 1.0)];
static RESISTANCE: [Unit; 1] = [unit("ohm", "Ω", &["ω", "Ω", "ohm", "ohms"], 1.0)];
static INDUCTANCE: [Unit; 1] = [unit("mH", "mH", &["mh"], 1.0)];
static TORQUE: [Unit; 2] = [unit("Nm", "N·m", &["nm", "n·m", "n.m"], 1.0), unit("Ncm", "N·cm", &["ncm", "n·cm", "n.cm"], 0.01)];
static INERTIA: [Unit; 1] = [unit("gcm2", "g·cm²", &["gcm2", "gcm²", "g·cm²", "g.cm2"], 1.0)];
static POWER: [Unit; 1] = [unit("W", "W", &["w", "watt", "watts"], 1.0)];
static PLAIN: [Unit; 1] = [unit("n", "", &[], 1.0)];

/// How many digits a value has earned on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Precision {
    /// So many digits after the decimal sign.
    Decimals(usize),
    /// So many significant digits, but never fewer than the whole part needs.
    Significant(usize),
    /// So many significant digits at most, zeros at the end dropped: for sizes that follow exactly from what was typed.
    UpTo(usize),
    /// As many digits as it takes, at most six after the decimal sign. For settings that must be typed in exactly.
    Exact,
}

impl Quantity {
    /// Its units; the first is the base unit.
    pub fn units(self) -> &'static [Unit] {
        match self {
            Self::Level(_) => &LEVEL_A,
            Self::Gain => &GAIN,
            Self::SoundPower => &SOUND_POWER,
            Self::Share | Self::FineShare => &SHARE,
            Self::Ratio => &RATIO,
            Self::Distance => &DISTANCE,
            Self::Size => &SIZE,
            Self::Flow => &FLOW,
            Self::Pressure => &PRESSURE,
            Self::Rotation => &ROTATION,
            Self::Speed => &SPEED,
            Self::Duration => &DURATION,
            Self::Money => &MONEY,
            Self::MoneyPerDecibel => &MONEY_PER_DECIBEL,
            Self::Count => &COUNT,
            Self::Loudness => &LOUDNESS,
            Self::Phon => &PHON,
            Self::Angle => &ANGLE,
            Self::Frequency => &FREQUENCY,
            Self::StepRate => &STEP_RATE,
            Self::StepsPerMillimetre => &STEPS_PER_MM,
            Self::StepsPerDegree => &STEPS_PER_DEGREE,
            Self::Travel => &TRAVEL,
            Self::Current => &CURRENT,
            Self::Voltage => &VOLTAGE,
            Self::Resistance => &RESISTANCE,
            Self::Inductance => &INDUCTANCE,
            Self::Torque => &TORQUE,
            Self::Inertia => &INERTIA,
            Self::Power => &POWER,
            Self::Plain => &PLAIN,
        }
    }

    /// The quantity as other programs get it: in SI units or dB, whatever is usual at the bench.
    ///
    /// Source: BIPM, The International System of Units, 9th edition, tables 2 to 6 and 8 (degree, decibel); phon and sone:
    /// ISO 532-1. Turns are counted per second (ISO 80000-3, rotational frequency), shares are fractions of one.
    pub fn si(self) -> Si {
        let si = |quantity, unit, times, by| Si { quantity, unit, times, by };
        let same = |quantity, unit| si(quantity, unit, 1.0, 1.0);
        match self {
            Self::Level(_) => same("level", "dB"),
            Self::Gain => same("gain", "dB"),
            Self::SoundPower => same("soundPower", "dB"),
            Self::Share | Self::FineShare => same("share", "1"),
            Self::Ratio => same("ratio", "1"),
            Self::Distance => same("length", "m"),
            Self::Size => si("length", "m", 1.0, 1e3),
            Self::Travel => si("length", "m", 1.0, 1e6),
            Self::Flow => si("flow", "m³/s", 1.0, 3600.0),
            Self::Pressure => same("pressure", "Pa"),
            Self::Rotation => si("rotation", "1/s", 1.0, 60.0),
            Self::Speed => si("speed", "m/s", 1.0, 1e3),
            Self::Duration => same("duration", "s"),
            Self::Money => same("money", "money"),
            Self::MoneyPerDecibel => same("moneyPerDecibel", "money/dB"),
            Self::Count => same("count", "1"),
            Self::Loudness => same("loudness", "sone"),
            Self::Phon => same("loudnessLevel", "phon"),
            Self::Angle => si("angle", "rad", std::f64::consts::PI, 180.0),
            Self::Frequency => same("frequency", "Hz"),
            Self::StepRate => si("frequency", "Hz", 1e3, 1.0),
            Self::StepsPerMillimetre => si("stepsPerLength", "1/m", 1e3, 1.0),
            Self::StepsPerDegree => si("stepsPerAngle", "1/rad", 180.0, std::f64::consts::PI),
            Self::Current => same("current", "A"),
            Self::Voltage => same("voltage", "V"),
            Self::Resistance => same("resistance", "Ω"),
            Self::Inductance => si("inductance", "H", 1.0, 1e3),
            Self::Torque => same("torque", "N·m"),
            Self::Inertia => si("inertia", "kg·m²", 1.0, 1e7),
            Self::Power => same("power", "W"),
            Self::Plain => same("number", "1"),
        }
    }

    /// A value, a difference or a ± in the base unit, in the unit of [`Self::si`]. Every base unit is proportional to it.
    pub fn to_si(self, base: f64) -> f64 {
        let si = self.si();
        base * si.times / si.by
    }

    /// The symbol shown after a value in the base unit.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Level(Weighting::A) => "dB(A)",
            Self::Level(Weighting::C) => "dB(C)",
            Self::Level(Weighting::Z) => "dB",
            Self::Share | Self::FineShare => "%",
            _ => self.units().first().map_or("", |unit| unit.symbol),
        }
    }

    /// The value as it stands before the symbol.
    pub fn shown_value(self, value: f64) -> f64 {
        if matches!(self, Self::Share | Self::FineShare) { value * 100.0 } else { value }
    }

    /// How many digits are shown.
    pub fn precision(self) -> Precision {
        match self {
            Self::Level(_) | Self::Gain | Self::SoundPower | Self::Phon => Precision::Decimals(1),
            Self::Share | Self::Count | Self::Rotation => Precision::Decimals(0),
            Self::Money | Self::MoneyPerDecibel => Precision::Decimals(2),
            Self::Ratio | Self::Loudness => Precision::Significant(2),
            Self::Travel | Self::Angle => Precision::UpTo(5),
            Self::StepRate | Self::Speed | Self::Duration => Precision::UpTo(4),
            Self::StepsPerMillimetre | Self::StepsPerDegree | Self::Plain => Precision::Exact,
            _ => Precision::Significant(3),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_go_there_and_back() {
        for (quantity, id, typed, base) in
            [(Quantity::Flow, "cfm", 10.0, 16.990_107_955_2), (Quantity::Size, "in", 2.0, 50.8), (Quantity::SoundPower, "B", 4.1, 41.0)]
        {
            let unit = quantity.units().iter().find(|unit| unit.id == id).unwrap();
            assert!((unit.to_base(typed) - base).abs() < 1e-9);
            assert!((unit.from_base(base) - typed).abs() < 1e-9);
        }
    }

    #[test]
    fn si_units_agree_with_the_conversion_factors_of_nist() {
        // NIST Special Publication 811 (2008), appendix B.8, as far as its digits go.
        for (quantity, id, typed, si, unit) in [
            (Quantity::Size, "in", 1.0, 2.54e-2, "m"),
            (Quantity::Distance, "ft", 1.0, 3.048e-1, "m"),
            (Quantity::Flow, "cfm", 1.0, 4.719_474e-4, "m³/s"),
            (Quantity::Pressure, "inH2O", 1.0, 2.490_889e2, "Pa"),
            (Quantity::Pressure, "mmH2O", 1.0, 9.806_65, "Pa"),
            (Quantity::Speed, "inmin", 60.0, 2.54e-2, "m/s"),
            (Quantity::Rotation, "rpm", 1.0, 1.666_667e-2, "1/s"),
            (Quantity::Angle, "deg", 1.0, 1.745_329e-2, "rad"),
            (Quantity::Share, "pc", 1.0, 1e-2, "1"),
            // From the prefixes alone.
            (Quantity::Travel, "um", 1.0, 1e-6, "m"),
            (Quantity::StepRate, "kHz", 1.0, 1e3, "Hz"),
            (Quantity::Frequency, "kHz", 1.0, 1e3, "Hz"),
            (Quantity::Inductance, "mH", 1.0, 1e-3, "H"),
            (Quantity::Inertia, "gcm2", 1.0, 1e-3 * 1e-2 * 1e-2, "kg·m²"),
            (Quantity::Torque, "Ncm", 1.0, 1e-2, "N·m"),
            (Quantity::StepsPerMillimetre, "stepsmm", 1.0, 1e3, "1/m"),
            (Quantity::StepsPerDegree, "stepsdeg", 1.745_329e-2, 1.0, "1/rad"),
            (Quantity::SoundPower, "B", 4.1, 41.0, "dB"),
        ] {
            let written = quantity.units().iter().find(|unit| unit.id == id).unwrap();
            let found = quantity.to_si(written.to_base(typed));
            assert!((found / si - 1.0).abs() < 3e-7, "{quantity:?}: {found} is not {si}");
            assert_eq!(quantity.si().unit, unit);
        }
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "to the last digit is the point")]
    fn round_values_stay_round_in_si_units() {
        assert_eq!(Quantity::Size.to_si(2.3), 0.0023);
        assert_eq!(Quantity::Travel.to_si(3.125), 3.125e-6);
        assert_eq!(Quantity::StepsPerMillimetre.to_si(320.0), 320_000.0);
        assert_eq!(Quantity::Rotation.to_si(3000.0), 50.0);
    }
}
