//! Every text of this sheet.

crate::words! { "on-off";
    QUESTION = "Which part makes the noise?";
    HINT = "The level of each part from a few readings with some of them on";
    EMPTY = "Type a name for each part; then for each reading what was on, and what the meter showed.";

    PARTS = "The parts";
    PART = "part";
    PARTS_HELP = "Everything that can be switched on and off by itself. Several alike are one part: say in each reading how many of them were on.";
    NAME = "Name";
    NAME_HELP = "What you call it.";
    STOP = "May it be stopped for a reading?";
    STOP_HELP = "What must keep running is only ever suggested off together with everything else, with the machine cold.";
    STOP_NAME = "Judge by its name";
    STOP_FREE = "Yes, at any time";
    STOP_KEEP = "No, it keeps something cool";
    STOP_MOTOR = "By its command only: a motor";

    READINGS = "The readings";
    READING = "reading";
    READINGS_HELP = "For each one: what is on now, and what the meter shows. Begin with everything off, then everything on. From a spreadsheet: a column for each part, named as above, and one for the level.";
    READ_NAME = "Remark";
    READ_NAME_HELP = "What to call this reading.";
    LEVEL = "The meter shows";
    LEVEL_HELP = "Several readings are fine: 41 42 41.5.";
    PM = "± of the reading";
    PM_HELP = "How sure one reading is, 95 of 100 times.";
    NOT = "Never suggest this";
    NOT_HELP = "For a state that cannot or must not be tried. Leave the level empty.";
    ON = "what is on now";
    ON_HELP = "How many of it are on.";

    PART_N = "part {number}";
    ROOM = "the room";
    BOTH = "{name} (both)";
    ALL_OF = "{name} (all {count})";
    SO_MANY = "{count} × {name}";
    EVERYTHING_ON = "everything on";
    EVERYTHING_OFF = "everything off";
    SOME_ON = "{names} on, the rest off";
    READING_N = "{number}: {state}";
    READING_NAMED = "{number} ({name}): {state}";

    HEAD_LEAD = "Start with {name}: {level}, {share} of the sound energy with everything on. Silence there would gain {gain}, no more.";
    HEAD_CLOSE = "{names} are too close to call. Each makes about {level}, {share} of the sound energy with everything on; silence in one would gain {gain} at most.";
    HEAD_ROOM = "The room makes {back} of the sound energy with everything on. Silence at {name}, the loudest part, would gain {gain}, no more.";
    HEAD_ONLY = "All of the {level} comes from {name}: nothing else was found.";
    HEAD_PARTLY = "{name} is the loudest that is known: {level}. Everything on together is not known yet.";
    HEAD_SUM = "Only the sum of {names} is known: {level}.";
    HEAD_SUM_NEXT = "Only the sum of {names} is known: {level}. Read this next: {state}.";
    HEAD_DROWN = "No part stands out: {name}, the loudest, makes {level}.";
    HEAD_CONTRADICT = "The readings contradict each other too much to say how loud {name} is.";
    HEAD_CONTRADICT_AGAIN = "The readings contradict each other too much to say how loud {name} is. Once more: reading {readings}.";
    HEAD_ROOM_ONLY = "Nothing was on in these readings: the room alone makes {level}. Switch a part on and read again.";

    SUPPORT_NEXT = "The reading that would help most: {state}.";
    SUPPORT_ODD = "Does not fit the others, so read it once more: {reading}.";
    SUPPORT_ODDS = "Readings {readings} contradict each other: take them once more.";
    SUPPORT_UNCLEAR = "The readings contradict each other, and no single one explains it. Every ± is widened.";
    SUPPORT_OPEN = "Not told apart yet: {names}.";
    SUPPORT_NEVER = "Not on in any reading yet: {names}.";
    SUPPORT_CHANCE = "{name} is the loudest with a chance of {chance}.";

    VALUE_LEAD = "Level of {name}";
    VALUE_ONE = "One of them";
    VALUE_SHARE = "Share of {name}";
    VALUE_GAIN = "The most {name} can gain";
    VALUE_LEFT = "Left without {name}";
    VALUE_CHANCE = "Chance that {name} is the loudest";
    VALUE_CHANCE_NOTE = "from {draws} draws of chance";
    VALUE_TOTAL = "Everything on";
    VALUE_TOTAL_BUT = "Everything on but {names}";
    VALUE_ROOM = "The room alone";
    VALUE_FIT = "How far the readings are off, typically";
    VALUE_FIT_NOTE = "{spare} more than needed";
    BOUND_NOTE = "lost in the rest: only a bound";

    BOUND_NOTE_ODD = "the readings contradict each other: only a bound";
    LEFT_OUT = "left out: {level}";

    GRID_PARTS = "The parts, loudest first";
    COL_PART = "Part";
    COL_LEVEL = "Makes";
    COL_SHARE = "Share";
    COL_GAIN = "Gains at most";
    COL_CHANCE = "Loudest";
    GRID_SUMS = "Known only together";
    COL_TOGETHER = "Together";
    GRID_NEXT = "What to read next, best first";
    COL_STATE = "Have on";
    COL_TELLS = "It tells";
    COL_BEFORE = "± now";
    COL_AFTER = "± then";
    TELLS_NEW = "{name} apart from the rest";
    TELLS_MORE = "{name} more closely";
    GRID_FIT = "Each reading against what the parts make together";
    COL_READING = "Reading";
    COL_READ = "Read";
    COL_OFF = "Off by";
    COL_OTHERS = "The others say";

    PICTURE = "{name} makes {level}, {share} of the sound energy; with everything on it is {total}.";
    PICTURE_PLAIN = "{name} makes {level}.";
    PICTURE_SUM = "{names} make {level} together; the readings do not tell them apart.";
    PICTURE_ROOM = "The room alone makes {level}.";
    LINE_TOTAL = "everything on: {level}";
    TWIN = "The parts by their level";

    NOTE_NO_LEVEL = "Reading {number} has no level yet and is not used.";
    NOTE_BAD_LEVEL = "The level of reading {number} cannot be read. It is left out.";
    NOTE_BAD_COUNT = "What was on in reading {number} cannot be read. It is left out.";
    NOTE_BAD_SPREAD = "The ± of reading {number} cannot be read. The usual one is used.";
    NOTE_NEVER = "Never on in any reading: {names}. Nothing is known there until a reading has it on.";
    NOTE_ALWAYS = "On in every reading, so not told from the room: {names}. Take one reading with everything off.";
    NOTE_TOGETHER = "{names} never ran without each other, so only their sum is known. Take a reading with one of them alone.";
    NOTE_MIXED = "{names} cannot be told apart from these readings; only the sums in the table are known.";
    NOTE_NO_OFF = "There is no reading with everything off. The room is worked out from the others, which makes everything less sure: read it too.";
    NOTE_NO_SPARE = "There are no more readings than needed, so nothing checks them. One more, of any state, would.";
    NOTE_AGREE = "The readings agree with each other within their ±.";
    NOTE_WIDENED = "The readings differ more than their ± allows: by chance that happens in {chance} of cases. Every ± here is widened, {times}.";
    NOTE_ODD_ABOVE = "Reading {reading} shows {read}; the others say {others}. If it is right, something gets louder in company: a panel that rings with a motor, two fans that beat, a passing noise.";
    NOTE_ODD_BELOW = "Reading {reading} shows {read}; the others say {others}. If it is right, something gets quieter in company: a fan that slows when another draws power, or a part that was not up to speed.";
    NOTE_SAME_STATE = "Readings {first} and {second} are of the same state, yet {apart} apart. One is wrong, or something changed between them.";
    NOTE_LOWER = "Reading {first} has more on than reading {second}, yet it is {drop} lower. Parts cannot take sound away: read both again, from the same place.";
    NOTE_WEIGHTIEST = "{share} of the doubt about {name} comes from reading {reading}: reading it again, several times, helps most.";
    NOTE_HARDLY = "One reading more would hardly make the loudest parts surer. Several readings of one state in its field do more.";
    NOTE_ALL_READ = "Every state that may be tried has been read.";
    NOTE_KEPT = "Taken as having to keep running, by its name: {names}. If it may be stopped, say so under More.";
    NOTE_KEPT_OFF = "Everything off means the machine switched off and cold: {names} must not stop before that.";
    NOTE_COMMAND = "Stop {names} by command, never by the plug while the power is on.";
    NOTE_BOUND = "{name} is lost in the rest: from these readings it makes {level}.";
    NOTE_WHOLE = "No reading has tenths, so the meter is taken to show none: ± {half} for a single reading.";
    NOTE_METER = "A meter that reads high by the same amount everywhere shifts every level alike; shares and gains stay as they are. That is not in the ±.";
    NOTE_LOUDEST = "The loudest part is not always the one you notice: a whine is heard far below the total.";
    NOTE_FLOOR = "Cheap meters show nothing below 30 to 35 dB. If {level} is the end of your meter’s range, the room is quieter, and so are the quietest parts.";

    WORK_MODEL = "Each reading is a sum of energies: the room, and so many of each part. Weighted by its own ±, the energies that fit all readings best, none below zero";
    WORK_ENERGY = "The level of {name}, from its energy";
    WORK_PM = "Its ±, from the covariance of the energies";
    WORK_SHARE = "The share of {name} with everything on";
    WORK_GAIN = "The most {name} can gain";
    WORK_LIMIT = "The one-sided 95 % limit of {name}";
    WORK_FIT = "Sum of the squares of the misfits, each over its standard uncertainty; readings more than needed; the chance of so much or more";
    WORK_WIDENED = "Every ± is widened, since the readings contradict each other";
    WORK_HIDDEN = "Sums that the readings tell: rank of what was on against the number of unknowns";
    WORK_NEXT = "What the best next reading leaves of the variance of what matters most";
    WORK_DRAWS = "{draws} draws, seeded: every reading with a normal error of its ±, the parts solved anew. Where 95 % of the levels of {name} lie, and how often it was the loudest";

    TO_NEXT = "Add the next reading: {state}";
    TO_WITHOUT = "See it without reading {reading}";
    TO_TALLY = "Add them up, each with its ±";
    TO_SWAP = "Try a quieter {name}";

    REFUSE = "These readings cannot be put together. Check for a level far outside what a meter shows.";

    LIMIT_SUM = "Energies add for parts that do not change each other. A fan that slows when another draws power, a supply that blows harder under load, a panel that rings with a motor: such company breaks the sum, and shows as readings that do not fit.";
    LIMIT_PLACE = "All readings from the same place, at the same setting, within the hour, the meter off the table and out of the air stream.";
    LIMIT_STEADY = "Only steady sound, or averages (Leq), can be taken apart. Wait until the display stands still: on Slow it falls by about 4 dB a second.";
    LIMIT_METER = "A cheap meter may be 2 dB off in all it shows. It cancels in shares and gains and shifts the levels. This is no certified measurement.";
    LIMIT_TONE = "What is worked out here is energy, not annoyance.";

    CARE_HOT = "Never stop a fan that keeps a hot part or the drivers cool while they are hot. Read it from cold, and only for seconds.";
    CARE_MOTORS = "Take the power off before you plug or unplug a motor or a fan: unplugged live, a motor can destroy its driver.";
    CARE_SUPPLY = "Do not stop, slow or change the fan inside a mains power supply: its safety rests on it. Mains wiring is for a licensed electrician where your local rules ask for one.";
    CARE_MOVING = "Never stop a blade or a belt with your finger to test it. Switch off, or unplug.";
}
