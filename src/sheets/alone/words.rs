//! Every text of this sheet.

crate::words! { "alone";
    QUESTION = "How loud is it on its own?";
    HINT = "Two readings: with a part running, and with it stopped";
    EMPTY = "Type what the meter shows with everything running, and with one part stopped.";

    ON = "With everything running";
    ON_HELP = "What the meter shows. Several readings are welcome: 41 42 41.5.";
    OFF = "With one part stopped";
    OFF_HELP = "Same place, same setting, a moment later. All else goes on running.";
    PART = "What you stopped";
    PART_HELP = "Its name, for the answer and for the list you may carry it to.";
    ON_PM = "± of the reading with it";
    OFF_PM = "± of the reading without it";
    PM_HELP = "How sure one reading is, 95 of 100 times. If nothing else is stated and the meter shows whole numbers only, 0.6 dB is used.";
    AGAIN = "Without it, read once more afterwards";
    AGAIN_HELP = "Shows whether the room drifted meanwhile. The energy mean of both is used, with a wider ±.";

    IT = "it";
    THE_PART = "the part";
    STOPPED_PART = "stopped part";
    THE_REST = "everything else";

    HEAD_GAINED = "Stopping {part} gained {drop}. No replacement for that part can gain more here.";
    HEAD_TOO_LITTLE = "Stopping {part} gained {drop}, too little to show. No replacement for that part can gain more than {most} here.";
    HEAD_NOTHING = "The level did not fall with {part} stopped ({drop}). No replacement for that part can gain more than {most} here.";
    ALONE_SOLID = "On its own it makes {level}: solid, with {apart} between the readings.";
    ALONE_ROUGH = "On its own it makes {level}: rough, with only {apart} between the readings.";
    ALONE_AT_MOST = "On its own it is no louder than {level}.";
    ALONE_NOTHING = "How loud it is on its own cannot be told from these readings.";

    NOTICED_NOT_SHOWN = "A drop smaller than its own ± shows no change at all.";
    NOTICED_NO = "A change that small you would not notice.";
    NOTICED_SIDE = "A change you would hardly notice: only side by side.";
    NOTICED_JUST = "A change you would just notice.";
    NOTICED_CLEAR = "A change you would clearly notice.";
    NOTICED_HALF = "A change you could not miss: about half as loud, or quieter still.";

    VALUE_MOST = "The most a replacement can gain here";
    VALUE_ALONE = "{part} alone";
    VALUE_WITHOUT = "Without it, from both readings";
    VALUE_LOUDNESS = "Loudness without it";
    VALUE_LOUDNESS_NOTE = "of the loudness with it; an estimate, good to about a fifth";

    WHY_VANISHES = "solid: more than 15 dB apart, so that the rest no longer counts";
    WHY_SOLID = "solid: 6 dB or more apart";
    WHY_ROUGH = "rough: from 3 to 6 dB apart; good enough for a decision, not for publishing";
    WHY_AT_MOST = "a bound only: less than 3 dB apart";
    WHY_REACH = "a bound only: the ± of the drop is as large as the drop";
    WHY_NOTHING = "cannot tell: the reading without it is not lower";
    WHY_NOTHING_BOUND = "cannot tell: the reading without it is not lower; louder than this would have shown";

    PICTURE_VALUE = "With {part} {on}, without {off}; alone {level}";
    PICTURE_AT_MOST = "With {part} {on}, without {off}; alone no louder than {level}";
    PICTURE_NOTHING = "With {part} {on}, without {off}: nothing to tell them apart by";
    TWIN = "The levels drawn above";
    COLUMN_WHAT = "What";
    COLUMN_LEVEL = "Level";
    BAR_ON = "With {part}";
    BAR_OFF = "Without {part}";
    BAR_ALONE = "{part} alone";

    NOTE_METER = "If your meter reads high, the level on its own is high by the same amount. The drop is not affected, and neither is a comparison of before and after with the same meter.";
    NOTE_FLOOR = "{level} is near the lowest level that cheap meters can show (30 to 35 dB). It may be the floor of the meter, not the room. The drop is then at least what is shown, and the level on its own hardly changes if the readings are far apart.";
    NOTE_FLOOR_CLOSE = "{level} is near the lowest level that cheap meters can show (30 to 35 dB). It may be the floor of the meter, not the sound: try nearer to the machine.";
    NOTE_WHOLE = "Only whole numbers were read, so each ± is taken as {half}: 0.3 dB and the step of the display. If your meter shows tenths, type 41.0 rather than 41.";
    NOTE_SPREAD = "Your readings differ among themselves, so their spread is used as the ±: {half}.";
    NOTE_TWO = "Two readings say little about how far they scatter. A third would narrow the ± of {half} a good deal.";
    NOTE_DRIFT = "The two readings without it differ by {drift}. That is in the ±.";
    NOTE_DRIFT_LARGE = "The two readings without it differ by {drift}: the room changed meanwhile. Try again at a quieter hour.";
    NOTE_REACH_NOTHING = "The readings are {apart} apart, but with their ± it could be nothing at all. Only a bound is given. Surer readings would help most: several of each, or a steadier hour.";
    NOTE_REACH_THREE = "With its ± the drop may be below 3 dB, where only a bound could be given. Read both once more before you rely on the level on its own.";
    NOTE_CLOSER = "To learn its level, get the readings further apart: stop other parts for both readings, put the meter nearer to this part, or wait for a quieter room.";
    NOTE_SWAPPED_MAYBE = "The reading without it is the higher one. Within the ± that can happen by chance; or the room changed, or the two are in each other’s place.";
    NOTE_SHIFT = "At {distance}, moving the meter by 5 cm changes the reading by about {shift}. Mark its place.";
    NOTE_HEARING = "Readings from 80 dB(A) on, day after day, are a matter for hearing protection. Your local rules and a specialist come before this page.";

    WORK_SEVERAL = "Mean of the readings {which}: their energies are averaged, not their decibels";
    WORK_WHOLE = "± of a reading in whole numbers: 0.3 dB, and a display step of 1 dB, each as a 95 % figure";
    WORK_SPREAD = "± of the readings {which}: their spread, as it is larger than the ± stated for one";
    WHICH_ON = "with it";
    WHICH_OFF = "without it";
    WHICH_AGAIN = "without it, afterwards";
    WORK_BRACKET = "Without it, before and after: the energy mean; its standard uncertainty is at least half their difference";
    WORK_DROP = "The drop, and its ±; the two readings are independent";
    WORK_GRADE_SOLID = "6 dB or more apart: engineering grade. The rest is taken off as energy; above 15 dB nothing is taken off";
    WORK_GRADE_ROUGH = "From 3 to 6 dB apart: below engineering grade, good enough for survey grade. The rest is taken off as energy";
    WORK_PM = "± of the level on its own: the nearer the readings, the wider";
    WORK_RULE = "Less than 3 dB apart: below survey grade. The correction stays at its 3 dB value, and the result is a bound";
    WORK_LIMIT = "The one-sided 95 % limit, from the energies (E) and standard uncertainties (u = ± / 1.96) with and without it";
    WORK_BOUND = "The bound: the larger of the two";
    WORK_CAPPED = "A part cannot be louder than all of it together: the limit of the reading with it stands";
    WORK_LOUDNESS = "Loudness: dB(A) is taken as phon, then turned into sone. An estimate, since only a 1 kHz tone has equal values";
    WORK_SHIFT = "What moving the meter by 5 cm changes, in the open";

    REFUSE_LOUDER = "It reads louder with the part stopped, by {excess}: more than the ± can explain. Perhaps “With everything running” and “With one part stopped” are in each other’s place, or the room was louder the second time. Swap them or read both again.";
    REFUSE_FORMULA = "These readings cannot be worked out. Check for one far outside what a meter shows.";

    TO_TALLY = "Put it in a list with the other parts";
    TO_ON_OFF = "Tell all the parts apart, with a few readings more";
    TO_LOUDER = "What does that drop mean to the ear?";
    TO_SWAP = "Would a quieter fan in its place be worth it?";

    LIMIT_PLACE = "Both readings at the same place, at the same setting, within minutes. Put the meter on a stand of its own, not in your hand and not on the table of the machine, and out of the air stream.";
    LIMIT_ROOM = "All that runs besides the part must stay the same. If a supply fan runs in both readings, the answer is the part alone; if it stops along with it, the answer is both.";
    LIMIT_AVERAGES = "Only steady sound, or averages (Leq), can be taken apart like this; highest values cannot. A passing car spoils it.";
    LIMIT_SETTLE = "On Slow the display falls by about 4 dB a second, on Fast by about 35: wait until it stands still.";
    LIMIT_METER = "A cheap meter may be 1.5 to 2 dB off in all it shows. That is not in the ±: it cancels in the drop and shifts the level on its own. This is no certified measurement.";
    LIMIT_NOT_ADDED = "Decibels are not taken from each other: 42 with and 38 without is not a part of 4 dB, but of 39.8 dB.";
    LIMIT_TONE = "A whistle that goes away is heard even where the level hardly changes.";
    CARE_MOVING = "Never stop a blade or a belt with your finger to test it. Switch off, or unplug.";
    CARE_UNPLUG = "Switch off before you plug or unplug a motor or a fan. A motor unplugged live can destroy its driver.";
    CARE_MAINS = "Do not stop, slow or change the fan inside a mains power supply: its safety rests on it. Leave mains wiring to a licensed electrician where your local rules ask for one.";
    CARE_HOT = "Never stop a fan that cools something hot while it is hot. Make the reading before it warms up, or cool it down first.";
}
