//! Every text of this sheet.

crate::words! { "runs";
    QUESTION = "Did it get quieter?";
    HINT = "Runs before and after a change, compared phase by phase";
    EMPTY = "Type the level of a phase for a run before the change and one after it, or drop the logs of your meter here.";

    RUNS = "Runs";
    RUN = "run";
    RUNS_HELP = "One row for each log or each time you read the meter. Two before and two after show far more than one of each.";
    RUN_NAME = "Run";
    RUN_NAME_HELP = "A name, such as the day.";
    RUN_SET = "The machine was";
    RUN_SET_HELP = "Take the change back and measure once more to see whether anything else drifted.";
    SET_BEFORE = "as before";
    SET_AFTER = "changed";
    SET_SECOND = "changed once more";
    SET_AGAIN = "as before again";
    RUN_BACK = "Room with the machine off";
    RUN_BACK_HELP = "The same place, the same hour. It is taken away where it can be.";
    RUN_BACK_PM = "± of the room";
    RUN_BACK_PM_HELP = "How sure that reading is, 95 of 100 times.";
    RUN_LOG = "Log";
    RUN_LOG_HELP = "The mark of the file these figures are from. The log itself stays on the device.";
    RUN_SHIFT = "Shift of its curve";
    RUN_SHIFT_HELP = "For lining up by the clock: so many seconds later in the picture. Two logs rarely start at the same moment of the job.";
    RUN_CURVE = "Sketch of the curve";
    RUN_CURVE_HELP = "The average of each of eighty pieces of the log, for the picture where the log is not at hand.";
    NO_CURVE = "this is no sketch of a curve; none is drawn";

    PHASES = "Phases";
    PHASE = "phase";
    PHASES_HELP = "What the machine does one after the other: parked, homing, outline, fill. Runs are compared phase by phase, by name.";
    PHASE_NAME = "Phase";
    PHASE_NAME_HELP = "The same name in every run.";
    PHASE_USUAL = "Usually lasts";
    PHASE_USUAL_HELP = "In a job as you usually run it: 90 s, 15 min. Without it, as long as it was recorded.";
    PHASE_SKIP = "Leave out";
    PHASE_SKIP_HELP = "It stays in the list and counts nowhere.";
    PHASE_LEVEL = "Level in this run";
    PHASE_LEVEL_HELP = "What the meter showed, several readings if you can: 41.2 41.6 41.3. A log fills this in by itself.";
    NO_ENTRY = "“{found}” is neither a level nor the figures of a log; it is left out";

    GUARD = "Left out at each edge";
    GUARD_HELP = "A meter lags when the sound changes: on Slow by some seconds. It counts when a log is worked out.";
    LINE = "Curves lined up";
    LINE_HELP = "Only the picture changes; levels are compared by phase in any case.";
    LINE_PHASE = "phase by phase";
    LINE_CLOCK = "by the clock";
    SAME = "Smaller changes count as the same";
    SAME_HELP = "What would make no difference to you.";
    COLUMN = "Column of the log";
    COLUMN_HELP = "Which column of the file the levels are from, for those who read this later.";

    RUN_NO = "run {number}";
    PHASE_NO = "phase {number}";
    A_JOB = "a typical job";
    THE_JOB = "Typical job";

    V_QUIETER = "Yes, quieter";
    V_LOUDER = "No, louder";
    V_SAME = "Same within {margin}";
    V_CANNOT = "Cannot tell yet";
    V_FEW = "Too few readings";

    HEAD_QUIETER = "Yes, quieter{hint}: {what} by {size}, so by at least {least}.{but}";
    HEAD_LOUDER = "No, louder{hint}: {what} by {size}, so by at least {least}.{but}";
    HEAD_QUIETER_JUST = "Yes, quieter{hint}: {what} by {size}, though only just beyond chance.{but}";
    HEAD_LOUDER_JUST = "No, louder{hint}: {what} by {size}, though only just beyond chance.{but}";
    HEAD_SAME = "Same within {margin}{hint}: {what} changed by {change}.{but}";
    HEAD_CANNOT = "Cannot tell yet{hint}: {what} changed by {change}, and that may be chance.{but}";
    HEAD_FEW = "Too few readings: {what} changed by {change}, but nothing shows how sure that is.{but}";
    AS_HINT = ", as a hint only";
    BUT_LOUDER = " But {phases} got louder.";
    BUT_LOUDER_BY = " But {phases} got louder, by at least {least}.";
    BUT_QUIETER = " But {phases} got quieter.";
    BUT_QUIETER_BY = " But {phases} got quieter, by at least {least}.";
    HEAD_SHARE = "{what} makes {share} of the sound of a typical job, {level} in all. Add a run of the other kind, before or after the change, to compare.";
    HEAD_ONE = "{what} reads {level}. Add a run of the other kind, before or after the change, to compare.";
    HEAD_LOUDEST = "{what} is the loudest phase, {level}. Add a run of the other kind, before or after the change, to compare.";

    SAY_HINT = "One run on a side is a hint, no proof: the next run may differ by more than this ±. Record one more of each.";
    SAY_MORE_RUNS = "One more run of each would narrow the ± most.";
    SAY_BARE = "A single level says nothing of how much it wavers. Type three readings or more for each phase, drop in the logs, or do every run twice.";
    SAY_SHORT = "The phase is too short, for the way it wavers, to rest on one run. Record it longer, or do every run twice.";
    SAY_MISLED = "The average over everything recorded would have said {said}. It mixes the phases as they happened to be recorded; here each phase counts as long as it usually lasts.";
    SAY_LOUDER_PHASE = "{phases} got louder although the whole got quieter: often a fan that now runs on. If it matters there, look at what runs in that phase.";
    SAY_TIMES = "It sounds about {times} as loud, an estimate good to about a fifth.";
    NOTICED_NOT_SHOWN = "A change smaller than its own ± shows nothing.";
    NOTICED_NO = "A change that small you would not notice.";
    NOTICED_SIDE = "A change you would hardly notice: only side by side.";
    NOTICED_JUST = "A change you would just notice.";
    NOTICED_CLEAR = "A change you would clearly notice.";
    NOTICED_HALF = "A change you could not miss: about half or twice as loud, or more.";

    VALUE_CHANGE = "Change, {what}";
    VALUE_BEFORE = "Before, {what}";
    VALUE_AFTER = "After, {what}";
    VALUE_LEVEL = "Level, {what}";
    VALUE_LOUDNESS = "Loudness after";
    VALUE_LOUDNESS_NOTE = "of the loudness before";
    NOTE_BETWEEN = "± from the scatter from run to run";
    NOTE_WITHIN = "± from the scatter within single runs only";
    NOTE_WIDER = "± from the scatter within the runs, which is the wider";

    TABLE_CHANGES = "From {from} to {to}, phase by phase";
    TABLE_DRIFT = "Before and with the change taken back: what drifted meanwhile";
    TABLE_FIGURES = "Each phase of each run";
    TABLE_RUNS = "The runs";
    COLUMN_PHASE = "Phase";
    COLUMN_LASTS = "Usually lasts";
    COLUMN_FROM = "From";
    COLUMN_TO = "To";
    COLUMN_CHANGE = "Change";
    COLUMN_VERDICT = "Verdict";
    COLUMN_LEAST = "By at least";
    COLUMN_RUN = "Run";
    COLUMN_STATE = "Machine";
    COLUMN_LEQ = "Average, by energy";
    COLUMN_L10 = "L10";
    COLUMN_L50 = "L50";
    COLUMN_L90 = "L90";
    COLUMN_MAX = "Highest";
    COLUMN_MIN = "Lowest";
    COLUMN_LASTED = "Recorded";
    COLUMN_SAMPLES = "Samples";
    COLUMN_MISSING = "Missing";
    COLUMN_EXPOSURE = "Exposure";
    COLUMN_ROOM = "Room";
    COLUMN_GRADE = "Without the room";
    COLUMN_JOB = "Typical job";

    PICTURE_CHANGES = "What changed: {list}";
    ONE_CHANGE = "{what} {change}";
    TWIN_CHANGES = "The changes drawn above";
    PICTURE_CURVES = "From {from} to {to} in {what}; each curve is a run";
    PICTURE_ONE_STATE = "{level} in {what}; each curve is a run";
    TWIN_CURVES = "The phases drawn above, and the levels that are compared";
    AXIS_TIME = "Time";
    AXIS_LEVEL = "Level";
    ROOM = "room";
    CURVE = "{name}";

    DOUBT_UNREAD = "Not read and left out: {items}.";
    IN_RUN = "{phase} in {run}";
    DOUBT_TWICE = "{runs}: this log is in the list already, and counts once.";
    DOUBT_PARTLY = "Some runs have no reading of the room, so in {phases} it is left in all of them. Changes look smaller than they are.";
    DOUBT_HIDES = "In {phases} the room is less than 3 dB below, too close to be taken away. The machine itself changed by more than is shown, or hardly sounds there at all.";
    PLAIN_ROOM = "Without a reading of the room with the machine off, the room is part of every level. Near it, changes look smaller than they are.";
    PLAIN_TAKEN = "The room is taken away, as energy, from {phases}.";
    DOUBT_PARTIAL = "{phases} has no level in some of the runs, and is no part of the typical job. Runs without it cannot be compared there.";
    DOUBT_FEW = "{phases}: too few readings to rest a verdict on. Record it longer, or do every run twice.";
    DOUBT_DRIFT = "Something drifted: with the change taken back, {phases} did not read as before. The ± allows for it only if both count as before; find out what else changed.";
    PLAIN_NO_DRIFT = "With the change taken back, no phase reads differently as far as these runs can show. They count as runs before the change.";
    PLAIN_GROWN = "The highest value of {phases} grew although its level did not. The longer a recording, the higher its highest value: it is no measure of a change.";
    PLAIN_MEAN = "The mean of the decibels of {phase} in {run} would be {mean}, the average by energy is {energy}. Loud moments carry more energy than their decibels show, so a mean of decibels reads low, and the more the sound wavers, the lower.";
    PLAIN_METER = "If your meter reads high, all levels are high by as much, but the changes are not: the same meter at the same place is what counts.";
    PLAIN_HOLM = "With {count} phases tried, one may seem changed by chance. The verdicts allow for that (Holm); each ± is for its phase alone.";
    CARE_WARM = "A quieter fan often moves less air. Before you leave it like this, check what it cools, over a whole job on a warm day.";

    WORK_JOB = "The typical job in {run}: each phase counts with how long it usually lasts";
    WORK_CHANGE = "The change of {what}: energy means of the runs on either side";
    WORK_WITHIN = "Its standard error, from the scatter within each run, neighbouring samples not counted as independent";
    WORK_BETWEEN = "Its standard error, from the scatter from run to run";
    WORK_HALF = "Its ±, with the degrees of freedom after Welch and Satterthwaite";
    WORK_SAME = "Whether it is the same: two one-sided tests at 5 %";
    WORK_ROOM = "{phase} in {run}, without the room";

    REFUSE_SAME_LOG = "“{first}” and “{second}” are one and the same log, but stand for two states of the machine. A run cannot be its own proof: drop the other log, or correct what the machine was.";
    REFUSE_LEFT_OUT = "Every phase with a level is left out. Let one count at least.";
    REFUSE_NOTHING_READ = "None of the levels can be read. A level looks like 41.2, several like 41.2 41.6 41.3.";
    REFUSE_NOTHING_SHARED = "No phase has a level both before and after. Give a phase the same name in all runs, or type what is missing.";
    REFUSE_MIXED = "Some levels are {first}, others {second}. They cannot be compared: read them all with the same letter.";
    WEIGHTED = "weighted {letter}";
    REFUSE_FORMULA = "These levels cannot be worked out. Check for one far outside what a meter shows.";

    TO_LOUDER = "What does that change mean to the ear?";
    TO_ENOUGH = "How many runs would show it surely?";

    LIMIT_SAME = "The same meter, the same place, the same job, the same hour if you can. What differs between the runs besides the change is taken for the change.";
    LIMIT_STEADY = "A ± from one run knows nothing of what differs from run to run: warmth, the room, how the part lies. Only more runs show that.";
    LIMIT_METER = "A cheap meter may be 1.5 to 2 dB off in all it shows; that cancels in the changes. What the meter or its place changed from one run to the next does not. This is no certified measurement.";
    LIMIT_RUNS = "Two runs on each side give a ± from two differences only: it is wide, and rightly so. Three are much better.";
    LIMIT_LINK = "A link carries the figures of each phase and a sketch of each curve. The logs themselves are never sent.";
    CARE_COOLING = "Quieter cooling is less cooling. Keep every thermal protection in place, and do not leave a changed machine alone before it has done a whole job while you watched.";
}
