//! Every text of this sheet.

crate::words! { "enough";
    QUESTION = "How many runs do I need?";
    HINT = "So that a change that is there will show";
    EMPTY = "Type how much runs differ that should be alike, or their levels.";

    SPREAD = "How much alike runs differ";
    SPREAD_HELP = "Their standard deviation. For a small machine and a meter that stays put, 0.3 dB is common.";
    WANT = "The change you want to show";
    WANT_HELP = "Anything smaller may go unseen.";
    HAVE = "Runs you have of each";
    HAVE_HELP = "As many before the change as after it.";
    ALIKE = "Levels of runs that should be alike";
    ALIKE_HELP = "Two at least, better five: 47.3 47.6 47.5. Their spread is then used.";
    ALIKE_TOO = "The same, after the change";
    ALIKE_TOO_HELP = "Both spreads are put together.";
    CHANCE = "How surely it should show";
    CHANCE_HELP = "So many times out of a hundred, if the change is really there.";
    WAVER = "How much single samples waver";
    WAVER_HELP = "The standard deviation of the log within one phase; for how long to record.";
    FINE = "± wanted of a phase in one run";
    FINE_HELP = "A tenth or two below the spread of runs is enough; more is lost in it.";
    STEP = "From one sample to the next";
    STEP_HELP = "The time step of the log.";
    LAG = "How alike neighbouring samples are";
    LAG_HELP = "Their correlation, 0 to 0.99. Left empty, what the response of the meter makes of it: see above, where and how it was measured.";

    HEAD_NEED = "Record {count} runs before the change and {count} after. A change of {want} then shows {power} of the time.";
    HEAD_MORE = "Record {more} more of each, {count} in all. A change of {want} then shows {power} of the time; with the {have} you have, {now}.";
    HEAD_ENOUGH = "The {have} runs you have of each are enough. A change of {want} shows {power} of the time with them.";
    OVER = "more than {share}";
    SAY_HAVE = "With {have} runs of each, changes from {smallest} up show {chance} of the time or more.";
    SAY_ONE = "One run of each shows nothing about how runs differ: it is a hint, whatever comes out.";
    SAY_RECORD = "Record each phase for {time} at least in each run.";
    SAY_LEAST = "Record each phase for {time} at least in each run: less than that says too little of how the sound wavers.";

    VALUE_RUNS = "Runs of each that are needed";
    VALUE_POWER = "How often the change shows then";
    VALUE_SPREAD = "Spread from run to run";
    VALUE_SPREAD_NOTE = "a standard deviation";
    VALUE_HAVE = "Smallest change your runs show so surely";
    VALUE_RECORD = "Shortest recording of a phase";
    TABLE = "What so many runs of each can show";
    COLUMN_RUNS = "Runs of each";
    COLUMN_JUST = "Just beyond chance";
    COLUMN_SMALLEST = "Shown {chance} of the time";
    COLUMN_CHANCE = "How often {want} shows";
    PICTURE = "{count} runs of each show changes from {smallest} up";
    TWIN = "The points of the curve above";
    AXIS_RUNS = "Runs of each";
    AXIS_CHANGE = "Smallest change shown";
    POINT = "{count}";

    NOTE_FROM_RUNS = "This spread comes from few runs: it is itself good to about {share} only. Do the first runs, then plan again with what they show.";
    NOTE_FLOORED = "Your runs agree to the last digit. The step of the display, 0.1 dB, is taken as their spread.";
    NOTE_UNUSED = "The spread you typed is not used: the runs beside it say it themselves.";
    NOTE_JUST = "A change just beyond chance shows about half the time, with two or three runs even less often. Plan for more than that.";
    NOTE_TWO = "Two runs of each make a weak test: the spread is then judged from two differences. A third of each helps more than anything else.";
    NOTE_ORDER = "Do the runs in mixed order if you can: before, after, after, before. Then a slow drift does not look like a change.";

    WORK_SPREAD = "The spread of the runs, those of each state about their own mean";
    WORK_TEST = "How often it shows: the mean, over how the spread splits between the two sets, of a noncentral t beyond its limit";
    WORK_LAG = "So many samples tell as much as one that is independent";
    WORK_RECORD = "Time for the ± asked for, and for 20 independent samples at the least";
    WORK_LEAST = "Time for 20 independent samples";

    REFUSE_SMALL = "Not even 100 runs of each would show a change of {want} so surely: with 100 it takes {shown}, with ten {ten}. Ask for a larger change, or make the runs more alike.";
    REFUSE_FORMULA = "These numbers cannot be worked out. Check for one far outside what a meter shows.";

    TO_RUNS = "Compare runs before and after";

    LIMIT_TEST = "Worked out for the very test that “Did it get quieter?” uses for one phase or a typical job: Welch’s, at 5 %, as many runs before as after, alike in spread. Several phases at once need a little more.";
    LIMIT_SPREAD = "The plan is as good as the spread. If runs differ more after the change than before, it takes more of them.";
    CARE_WATCH = "Stay with the machine while it runs for your recordings, and leave its covers, cooling and cut-outs as they are.";
    LIMIT_STEADY = "For how long to record, the sound is taken as steady noise whose likeness fades evenly from sample to sample. A slow beat or a warming fan takes longer: two or three of its swings at least.";
}
