//! Texts that more than one sheet uses: field problems, reading notes, the conditions header, grades.

/// The texts.
pub mod say {
    crate::words! { "common";
        AND = " and ";
        COMMA = ", ";

        MISSING = "a value is needed here";
        NOT_A_NUMBER = "“{found}” is not a number";
        NOT_FINITE = "“{found}” is too large to be a real value";
        OUT_OF_RANGE = "{found} is outside {min} to {max}";
        NOT_WHOLE = "“{found}” is not a whole number from {min} to {max}";
        UNKNOWN_CHOICE = "“{found}” is not one of {allowed}";
        UNKNOWN_UNIT = "the unit “{found}” is not known here; {allowed} is";
        TOO_LONG = "{found} characters; at most {max} fit";
        TOO_MANY = "{found} readings; at most {max} fit";
        NO_SUCH_ROW = "the row this points to is gone";

        READ_DECIMAL = "read as {value}: the comma is taken as a decimal sign. For thousands, leave it out";
        READ_GROUPS = "read as {value}";

        LINK_UNKNOWN_SHEET = "This link asks for “{found}”, which this version does not have. Nothing was opened.";
        LINK_UNKNOWN_PART = "This link has a part this version does not know: “{found}”. It was left out.";
        LINK_REPEATED = "This link gives “{found}” twice. The first one is used.";
        LINK_BAD_ENCODING = "This link is damaged near “{found}”. What could be read is shown.";
        LINK_NEWER = "This link was made with a newer version of this sheet. Some of it may be missing here.";
        LINK_CHANGED = "This link was made before this sheet was corrected: {what} The answer may differ from the one that was sent.";
        LINK_TOO_MANY_ROWS = "This link has more rows than fit. The first {max} are used.";
        LINK_TOO_LONG = "This link is longer than this page reads. The part after {max} characters was left out.";
        LINK_LONG = "This link is {length} characters long. Some programs cut links of this length: check that it arrives whole.";
        LINK_FROM = "These numbers came from: {sheet}";

        CONDITIONS = "Where and how it was measured";
        TITLE = "Title";
        TITLE_HELP = "For the print and the picture.";
        MACHINE = "Machine";
        MACHINE_HELP = "What was measured.";
        POSITION = "Where the meter stood";
        POSITION_HELP = "The same place for every reading: off the table, out of the air stream.";
        DISTANCE = "Distance from the machine";
        DISTANCE_HELP = "From the nearest face of the machine to the meter.";
        WEIGHTING = "Weighting";
        WEIGHTING_HELP = "The letter on the meter. A is the usual one. Levels of different weighting cannot be added.";
        WEIGHTING_A = "A";
        WEIGHTING_C = "C";
        WEIGHTING_Z = "Z (flat)";
        TIME = "Response";
        TIME_HELP = "Slow or Fast, but always the same.";
        TIME_SLOW = "Slow";
        TIME_FAST = "Fast";
        TIME_AVERAGE = "Average (Leq)";

        MIXED_WEIGHTING = "{first} and {second} are of different weighting. They cannot be put together: read them all with the same letter.";
        NAMED_LEVEL = "“{name}” ({level})";
        GRADE_SOLID = "solid";
        GRADE_ROUGH = "rough";
        GRADE_BOUND = "a bound only";
        GRADE_NONE = "cannot tell";

        AT_MOST = "at most {value}";
        AT_LEAST = "at least {value}";
        BETWEEN = "{low} to {high}";
        SWITCH_ON = "on";
        SWITCH_OFF = "off";
        ROW = "row {number}";
    }
}

pub use say::WORDS;
