//! Every text of this sheet.

crate::words! { "louder";
    QUESTION = "How much louder is that, really?";
    HINT = "Two levels, a change, or a wish such as half as loud";
    EMPTY = "Type the level now. Then a second level, or the change, or choose a wish.";

    BEFORE = "The level now";
    BEFORE_HELP = "The same decibels mean more to the ear where it is quiet, so this one matters.";
    AFTER = "The level to compare it with";
    AFTER_HELP = "Afterwards, or elsewhere, or another machine.";
    CHANGE = "Or the change";
    CHANGE_HELP = "With a minus for quieter.";
    WISH = "Or a wish";
    WISH_HELP = "Asks how many decibels it takes.";
    WISH_NONE = "no wish";
    WISH_QUARTER_OFF = "a quarter quieter";
    WISH_THIRD_OFF = "a third quieter";
    WISH_HALF = "half as loud";
    WISH_A_THIRD = "a third as loud";
    WISH_A_QUARTER = "a quarter as loud";
    WISH_A_TENTH = "a tenth as loud";
    WISH_TWICE = "twice as loud";
    KIND = "What kind of sound";
    KIND_HELP = "A meter shows dB(A), the ear goes by phon. Between them stands a guess at the sound.";
    KIND_PHON = "any: dB(A) taken as phon";
    KIND_FAN = "the hum of a small fan";
    PM = "± of one reading";
    PM_HELP = "How sure one reading is, 95 of 100 times. If nothing else is stated and the meter shows whole numbers only, 0.6 dB is used.";

    HEAD_CHANGE = "From {before} to {after} is {change}: it sounds {times}. {noticed}";
    HEAD_SMALL = "From {before} to {after} is {change}: smaller than its own ±, so no change is shown.";
    HEAD_NO_LOUDNESS = "From {before} to {after} is {change}. {noticed}";
    HEAD_STAND_IN = "{change} makes it sound {times}, if all of it stays above {join}. {noticed}";
    HEAD_STAND_IN_NO_LOUDNESS = "{change} is more than any sound here can change by. {noticed}";
    HEAD_WISH_LESS = "To sound {wish}, {before} must come down by {change}, to {after}.";
    HEAD_WISH_MORE = "To sound {wish}, {before} must go up by {change}, to {after}.";
    HEAD_WISH_STAND_IN_LESS = "To sound {wish}, it must come down by {change}, if all of it stays above {join}.";
    HEAD_WISH_STAND_IN_MORE = "To sound {wish}, it must go up by {change}, if all of it stays above {join}.";

    TIMES = "about {times} as loud";
    TIMES_SAME = "just as loud";
    TIMES_QUARTER_OFF = "about a quarter quieter";
    TIMES_THIRD_OFF = "about a third quieter";
    TIMES_HALF = "about half as loud";
    TIMES_A_THIRD = "about a third as loud";
    TIMES_A_QUARTER = "about a quarter as loud";
    TIMES_TWICE = "about twice as loud";

    SENTENCE_NOT_SHOWN = "No change is shown.";
    SENTENCE_NO = "You would not notice.";
    SENTENCE_SIDE = "You would hardly notice, only side by side.";
    SENTENCE_JUST = "You would just notice.";
    SENTENCE_CLEAR = "You would clearly notice.";
    SENTENCE_TWICE = "You could not miss it.";
    HEARD_NO = "not noticed";
    HEARD_SIDE = "side by side only";
    HEARD_JUST = "just noticed";
    HEARD_CLEAR = "clearly noticed";
    HEARD_TWICE = "not to be missed";

    RELATION_SONE = "All of it is above 40 phon, so the sone rule was used: ten phon more, twice as loud.";
    RELATION_QUIET = "All of it is below 40 phon, so the relation of ISO 532-1 for quiet sounds was used. There loudness fades faster than by the sone rule.";
    RELATION_BOTH = "It crosses 40 phon, so both relations of ISO 532-1 were used: the sone rule above, the steeper one for quiet sounds below.";
    OTHER_FAN = "If it is the hum of a small fan, it would rather be {times}. All of this is an estimate, good to about a fifth.";
    OTHER_PHON = "With dB(A) taken as phon it would be {times}. All of this is an estimate, good to about a fifth.";
    OTHER_FAN_TAKES = "If it is the hum of a small fan, it would rather take {change}. All of this is an estimate, good to about a fifth.";
    OTHER_PHON_TAKES = "With dB(A) taken as phon it would take {change}. All of this is an estimate, good to about a fifth.";
    ESTIMATE = "An estimate, good to about a fifth.";

    VALUE_CHANGE = "Change of level";
    VALUE_LOUDNESS = "Loudness after, over before";
    VALUE_LOUDNESS_NOTE = "an estimate, good to about a fifth";
    VALUE_LOUDNESS_RANGE = "{low} to {high} by the ± of the readings alone; an estimate, good to about a fifth";
    VALUE_OTHER_FAN = "The same for the hum of a small fan";
    VALUE_OTHER_PHON = "The same with dB(A) taken as phon";
    VALUE_HALF = "Half as loud takes";
    VALUE_HALF_NOTE = "from {before} to {level}";
    VALUE_JOIN = "The sone rule holds down to";
    VALUE_JOIN_NOTE = "40 phon for this kind of sound; below, loudness fades faster";

    LADDER = "The ladder from {before}";
    LADDER_STAND_IN = "The ladder, well above {join}";
    COLUMN_CHANGE = "Change";
    COLUMN_LOUDNESS = "Loudness";
    COLUMN_HEARD = "Heard as";
    COLUMN_TAKES = "What it takes";
    RUNG_DOWN = "{change}, to {level}";
    RUNG_UP = "+{change}, to {level}";
    RUNG_UP_ONLY = "+{change}";
    TAKES_DOWN_1 = "one of five equal fans stopped";
    TAKES_DOWN_3 = "one of two equal fans stopped";
    TAKES_DOWN_6 = "twice as far away in the open, or three of four equal fans stopped";
    TAKES_DOWN_10 = "nine of ten equal fans stopped, or a fan slowed to two thirds of its speed";
    TAKES_DOWN_20 = "ten times as far away in the open, or a fan slowed to less than half its speed";
    TAKES_UP_1 = "a fifth fan beside four like it";
    TAKES_UP_3 = "a second fan like the first";
    TAKES_UP_6 = "half as far away in the open, or four fans in place of one";
    TAKES_UP_10 = "ten fans in place of one";
    TAKES_OWN_DOWN = "this one: {share} of the sound energy is left";
    TAKES_OWN_UP = "this one: {energy} the sound energy";

    MISTAKES = "Easily mistaken, from {before}";
    MISTAKES_STAND_IN = "Easily mistaken, well above {join}";
    COLUMN_THOUGHT = "Often thought";
    COLUMN_FACT = "In fact";
    THOUGHT_3 = "3 dB less is half as loud";
    FACT_3 = "{times}; it is half the sound energy";
    THOUGHT_6 = "6 dB less is half as loud";
    FACT_6 = "{times}; it is half the sound pressure";
    THOUGHT_10 = "10 dB less is always half as loud";
    FACT_10 = "{times} from here; the quieter it is, the less it takes";
    THOUGHT_TWO = "two equal fans are twice as loud as one";
    FACT_TWO = "{times}, 3 dB more";
    THOUGHT_MEAN = "the mean of 40 and 60 dB is 50 dB";
    FACT_MEAN = "{mean}: energies are averaged, not decibels";

    PICTURE = "{before} is {sone}, {after} is {end}: {times}";
    AXIS_LEVEL = "Level";
    AXIS_LOUDNESS = "Loudness";
    CURVE = "as estimated";
    CURVE_THUMB = "10 dB twice";
    TWIN = "The levels drawn above";
    COLUMN_WHAT = "What";
    COLUMN_LEVEL = "Level";
    COLUMN_PHON = "Loudness level";
    COLUMN_SONE = "Loudness";
    ROW_BEFORE = "Before";
    ROW_AFTER = "After";

    NOTE_STAND_IN = "No level was typed, so this starts from {level}, where the sone rule holds. Quiet machines are below that, and the ear makes more of each decibel there: type your level.";
    NOTE_RUNGS = "On the ladder, what ends above {join} goes by the sone rule, what ends below it by the steeper relation of ISO 532-1.";
    NOTE_OUTSIDE = "Loudness can be estimated from {least} to {most} for this kind of sound. One of these levels is outside.";
    NOTE_WEIGHTING = "Loudness is estimated from dB(A) only. For other weightings only the change is shown.";
    NOTE_UNUSED = "“{field}” is not used: the other fields already say it.";
    NOTE_WHOLE = "Only whole numbers were read, so the ± of a reading is taken as {half}: 0.3 dB and the step of the display. If your meter shows tenths, type 41.0 rather than 41.";
    NOTE_SPREAD = "Your readings differ among themselves, so their spread is used as the ±: {half}.";

    WORK_CHANGE = "The change";
    WORK_PM = "± of the change; the two readings are independent";
    WORK_RATIOS = "As sound energy, and as sound pressure";
    WORK_AS_PHON = "Loudness level: dB(A) taken as phon, before and after. True for a tone of 1 kHz only";
    WORK_FAN = "Loudness level of an assumed small fan, before and after: worked out by ISO 532-1 for one spectrum moved up and down, straight lines between";
    WORK_SONE = "Loudness, before and after";
    WORK_TIMES = "So many times as loud";
    WORK_WISH = "The loudness wished for, and its loudness level";
    WORK_WISH_LEVEL = "The level that belongs to it, and the change it takes";
    WORK_NOTICED = "Words for the change: limits at 1, 3, 5 and 10 dB, for a sound that is otherwise the same";
    WORK_FAN_SPEED = "What it takes: equal fans by their number (n), distance (r) in the open, speed (N) by the fan law with 50 to 60 dB for each tenfold";

    REFUSE_OUTSIDE = "{level} is outside what loudness is estimated for here: {least} to {most}. Type a level in between.";
    REFUSE_TOO_FAR = "From {level} that wish cannot be met within what loudness is estimated for. {most} is as far as it goes, at {end}.";
    REFUSE_WEIGHTING = "A wish is worked out from dB(A) only; these levels are {found}. Read with A, or ask by the change.";
    REFUSE_FORMULA = "These levels cannot be worked out. Check for one far outside what a meter shows.";

    TO_ALONE = "Was one part stopped in between? How loud is it on its own?";

    LIMIT_ESTIMATE = "Loudness differs from listener to listener. Take each ratio as good to about a fifth.";
    LIMIT_PHON = "dB(A) is not phon: a meter weighs all sounds alike, the ear does not. Only a tone of 1 kHz has equal values. For a small fan, 40, 30 and 20 dB(A) are near 57, 41 and 21.5 phon.";
    LIMIT_SAME = "The sound must stay the same in kind. Two equal sounds make 3 dB more, not twice as many decibels: 40 and 40 are 43.";
    LIMIT_TONE = "A whistle or a rattle that goes away is heard even where the level does not change at all.";
    LIMIT_WORDS = "1 dB is not nothing: a steady sound, switched between two levels, shows it. A minute later nobody could tell.";
    LIMIT_TRADE = "What a rung takes is a rule of thumb: equal fans at the same distance, in the open, fan speed by a law from memory that may be 3 dB off.";
    CARE_COOLING = "A fan slowed or stopped cools less. See that nothing gets too hot before you leave it alone.";
    CARE_HEARING = "From 80 dB(A) on, hour after hour, think of hearing protection. Your local rules come before this page.";
}
