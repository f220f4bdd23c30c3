//! Where each formula comes from, and how we know what the source says.
//!
//! None of the printed ISO, IEC or ECMA standards was opened while this was written. "Read" for such a standard means:
//! read second-hand, in open material that quotes it. The tests under `tests/native/standards/` say which.

/// How we know what a source says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Read in open material: the source itself, or for the printed standards a text that quotes it.
    Read,
    /// Recalled, not opened here.
    Memory,
    /// What people in the trade do; no document to point to.
    CommonPractice,
    /// Follows by plain mathematics or from definitions.
    Derived,
}

impl How {
    /// The words for the page.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Read => "read in open material",
            Self::Memory => "from memory",
            Self::CommonPractice => "common practice, no source",
            Self::Derived => "derived",
        }
    }
}

/// A document, or the plain statement that there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Permanent short name, kebab-case.
    pub id: &'static str,
    /// Document, edition and clause as far as known.
    pub cite: &'static str,
    /// How we know it.
    pub how: How,
}

/// One formula of the registry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Formula {
    /// `module.function`, as in `levels.energy_sum`.
    pub id: &'static str,
    /// What it gives, in a few plain words.
    pub name: &'static str,
    /// Where it comes from.
    pub source: &'static Source,
}

macro_rules! sources {
    ($($(#[$doc:meta])* $name:ident: $id:literal, $how:ident, $cite:literal;)*) => {
        $($(#[$doc])* pub static $name: Source = Source { id: $id, cite: $cite, how: How::$how };)*

        /// Every source, in the order of this file.
        pub static SOURCES: &[&Source] = &[$(&$name),*];
    };
}

sources! {
    /// Adding and averaging levels.
    ISO_1996_1: "iso-1996-1", Memory,
        "ISO 1996-1, definitions of equivalent and exposure levels; energy addition of levels as in ISO 80000-8";
    /// Energy means of meter positions.
    ISO_11200: "iso-11200", Read, "ISO 11200:2014 Annex B, worked examples";
    /// Background correction, engineering grade.
    ISO_3744: "iso-3744", Read, "ISO 3744:2010, 8.2.3, Eq. (16): background noise correction K1, engineering grade";
    /// Background correction, survey grade.
    ISO_3746: "iso-3746", Read, "ISO 3746:2010, 8.3.3: background noise correction K1, survey grade";
    /// Sound power and distance.
    FREE_FIELD: "free-field", Derived,
        "a point source in the open: intensity is power over the area of the sphere, or the part of it that is free";
    /// Sound power declared in bel.
    ISO_9296: "iso-9296", Memory,
        "ISO 9296: declared noise of equipment, older declarations in bel (1 B = 10 dB)";
    /// Shares, ceilings, allowed levels.
    ENERGY_BALANCE: "energy-balance", Derived, "the energies of independent sources add; the rest is algebra";
    /// Propagation of uncertainty.
    GUM: "gum", Memory, "JCGM 100:2008 (GUM), 5.1.2: law of propagation of uncertainty, 95 % half width = 1.96 u";
    /// Propagation of distributions by draws of chance.
    JCGM_101: "jcgm-101", Memory, "JCGM 101:2008 (GUM Supplement 1), 7: propagation of distributions by the Monte Carlo method";
    /// Repeated readings.
    GUM_REPEATED: "gum-repeated", Memory, "JCGM 100:2008 (GUM), 4.2 and Annex G: mean of repeated readings, Student's t";
    /// Rounding of a display.
    GUM_RESOLUTION: "gum-resolution", Memory,
        "JCGM 100:2008 (GUM), F.2.2.1: a display step d has a standard uncertainty of d over the root of 12";
    /// Student's t distribution.
    STUDENT_T: "student-t", Derived, "Student's t distribution, by the regularised incomplete beta function";
    /// Limits of a source hidden in the background.
    UPPER_LIMIT: "upper-limit", Derived, "one-sided 95 % limit of a difference of energies, factor 1.645";
    /// Drift of the background.
    BRACKETING: "bracketing", CommonPractice,
        "common practice, no source: background before and after, standard uncertainty at least half their difference";
    /// Sone and phon.
    ISO_532_1: "iso-532-1", Read, "ISO 532-1:2017, loudness level from loudness, both branches";
    /// dB(A) of a small fan against its loudness level.
    SMALL_FAN: "small-fan", Derived,
        "estimate: loudness by ISO 532-1 of one assumed small-fan spectrum, moved up and down";
    /// dB(A) used as if it were phon.
    DBA_AS_PHON: "dba-as-phon", CommonPractice,
        "common practice, no source: dB(A) taken as phon; an estimate, since only a 1 kHz tone has equal values";
    /// Words for a change.
    NOTICEABLE: "noticeable", Read,
        "convention of road-noise agencies: 1, 3, 5 and 10 dB; for an unchanged kind of sound";
    /// Fan laws for flow, pressure and power.
    FAN_LAWS: "fan-laws", Read,
        "fan laws as in the fan handbooks (AMCA 201, ASHRAE); speed and density read in a trade note, diameter from memory";
    /// Fan laws for sound.
    FAN_SOUND: "fan-sound", Memory,
        "from memory, no source read: 50 to 60 dB per tenfold speed, 70 per tenfold diameter, 20 per tenfold density";
    /// Tones of a fan.
    BLADE_PASS: "blade-pass", Derived, "one pressure pulse for each blade in each turn";
    /// Travel per turn of a drive.
    GEOMETRY: "geometry", Derived, "plain geometry of belts, screws, racks, rollers and gears";
    /// Micro steps.
    STEPPING_TUTORIAL: "stepping-tutorial", Read,
        "Stepping Motors tutorial, University of Iowa: sine and cosine currents, torque period of four full steps, resonance";
    /// Dead band of a motor under friction.
    SINE_TORQUE: "sine-torque", Derived, "follows from a sinusoidal torque curve with a period of four full steps";
    /// Accuracy of a motor's steps.
    STEP_ACCURACY: "step-accuracy", Read, "maker's glossary: 5 % of a full step, unloaded, not adding up over many steps";
    /// Mid-band instability.
    STEPPING_HANDBOOK: "stepping-handbook", Read,
        "Stepping Motors: A Guide to Theory and Practice, 4th edition, 5.5: instability near R/L";
    /// Rates of full steps at which motors often run rough.
    ROUGH_RATES: "rough-rates", Memory,
        "from memory, a broad hint: 100 to 250 full steps a second, and again 500 to 1500; published ranges differ widely";
    /// Rise of a coil's current.
    COIL: "coil", Derived, "a coil with resistance on a constant voltage; back voltage of the turning motor left out";
    /// Currents and copper heat.
    SINE_CURRENT: "sine-current", Derived, "root mean square of a sine; copper heat R times current squared";
    /// Copper's resistance when warm.
    COPPER: "copper", Memory, "temperature coefficient of copper 0.00393 per kelvin at 20 degrees Celsius";
    /// Rescaling by what was measured.
    PROPORTION: "proportion", Derived, "plain proportion; where a value is corrected by measuring, the error is taken as a constant factor";
    /// How often a test shows a change.
    WELCH_POWER: "welch-power", Derived,
        "Welch's test of two equal sets: a noncentral t of 2n - 2, its limit by the split of the variances, a beta distribution";
    /// Noise whose likeness fades evenly.
    FIRST_ORDER: "first-order", Derived, "variance of the mean of a first-order autoregressive series, for long series";
    /// What a set of runs can tell.
    ELIMINATION: "elimination", Derived, "plain linear algebra: elimination in exact fractions";
    /// Levels exceeded for a share of the time.
    EXCEEDED: "exceeded", Memory,
        "ISO 1996-1, N percent exceedance level; straight lines between ordered samples (type 7 of Hyndman and Fan)";
    /// How far a cost of mean and spread goes.
    PARTITION: "partition", Derived,
        "optimal partition by dynamic programming; cost: minus twice the logarithm of the likelihood of normal samples";
    /// When a change of a log counts as a new phase.
    PHASES: "phases", CommonPractice,
        "common practice, no source: penalty like the Bayesian information criterion, raised for samples that are alike";
    /// The scatter of a mean of samples that are alike.
    LONG_RUN: "long-run", Memory,
        "long-run variance by the slowest cosines (Lazarus and others 2018), prewhitened (Andrews and Monahan 1992)";
    /// Samples that are alike.
    AUTOCORRELATION: "autocorrelation", Derived, "definitions; variance of the mean of a first-order autoregressive series";
    /// Time weightings.
    IEC_61672_1: "iec-61672-1", Read, "IEC 61672-1:2013, 5.8 and Table 4: time weightings F and S, toneburst responses";
    /// Lining up two series.
    CROSS_CORRELATION: "cross-correlation", Derived, "definition of the correlation of two series where they overlap";
    /// Two means with spreads of their own.
    WELCH: "welch", Memory, "Welch's test of two means; degrees of freedom as in JCGM 100:2008 (GUM), G.4.1";
    /// The wider of two intervals.
    WIDER: "wider", CommonPractice,
        "common practice, no source: of the scatter within runs and between runs the wider one; each as in JCGM 100 (GUM)";
    /// Several tests at once.
    HOLM: "holm", Memory, "Holm 1979: a simple sequentially rejective multiple test procedure";
    /// Two one-sided tests.
    TOST: "tost", Memory, "Schuirmann 1987: two one-sided tests for sameness within a margin";
    /// Fitting of source energies.
    LAWSON_HANSON: "lawson-hanson", Memory,
        "Solving Least Squares Problems (1974), non-negative least squares by an active set";
    /// Misfit of readings that agree.
    CHI_SQUARE: "chi-square", Derived, "chi-square distribution, by the series of the regularised incomplete gamma function";
    /// One reading against the others.
    LEAVE_ONE_OUT: "leave-one-out", Derived, "each reading left out in turn and the rest solved anew; common statistics";
    /// The reading that helps most.
    A_OPTIMAL: "a-optimal", Derived,
        "design of experiments: the least sum of variances (A-optimal) after one more row of a least-squares system";
    /// Sharing out what several changes gain together.
    SHAPLEY: "shapley", Memory, "A Value for n-Person Games (1953): the mean over all orders of what a change adds";
}
