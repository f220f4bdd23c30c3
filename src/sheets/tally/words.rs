//! Every text of this sheet.

crate::words! { "tally";
    TITLE = "What do these add up to, and which one matters?";
    HINT = "A list of the parts that sound, each with its level";
    EMPTY = "Type a name and a level for each part that makes a sound, or paste a list of them.";

    SOURCES = "What makes a sound";
    SOURCE = "source";
    SOURCES_HELP = "One row for each part, or for several alike. Paste a list or a spreadsheet column: supply fan 38.6; cabinet fan 41.1 x2.";
    NAME = "Name";
    NAME_HELP = "What you call it.";
    LEVEL = "Level";
    LEVEL_HELP = "One of them on its own, the room taken out. Several readings are fine: 41 42 41.5.";
    EACH = "How many alike";
    EACH_HELP = "So many with this level each.";
    RUN = "Running";
    RUN_HELP = "Switch it off to see the rest without it.";
    PM = "± of the level";
    PM_HELP = "How sure one reading is, 95 of 100 times. Several readings that are farther apart than that count with what they show.";
    NEAR = "Read at";
    NEAR_HELP = "From the source to the meter. Only needed when the ear is at another distance.";
    EAR = "Your ear at";
    EAR_HELP = "From the source to where you listen.";
    BACK = "Background";
    BACK_HELP = "The room with everything off. It counts in the total, and nobody can switch it off.";
    BACK_PM = "± of the background";
    BACK_PM_HELP = "How sure it is, 95 of 100 times.";
    WANT = "Level you want";
    WANT_HELP = "The total is not to be above this, background included.";

    ALIKE_TWO = "{name} (both)";
    ALIKE = "{name} (all {count})";
    BACKGROUND = "background";
    MORE = "{count} more";

    HEAD_START = "Together {total}. Start with {name}: silence there would gain {gain}, no more.";
    HEAD_SAME = "Together {total}. {names} matter equally: silence in one of them would gain {gain}, no more.";
    HEAD_CLOSE = "Together {total}. {names} matter about equally: silence in one of them would gain {gain} at most.";
    LESS_THAN = "less than {value}";
    COUNT_SAME = "{count} sources";
    HEAD_BACK = "Together {total}, and {share} of the sound energy is the background. Silence at {name} would gain {gain}, no more.";
    HEAD_SMALL = "Together {total}. No single source matters much: silence at {name}, the loudest, would gain {gain}, no more.";
    HEAD_ONLY = "All of the {total} comes from {name}. Add the background to see how much silence there could gain.";
    HEAD_ONLY_BACK = "Together with the background {total}. Silence at {name} would gain {gain}: only the background of {left} would remain.";
    HEAD_MET = "Together {total}: that keeps to the {want} you want.";
    HEAD_ONE = "Together {total}, {over} above the {want} you want. {name} alone can bring it there: from {now} down to {most}.";
    HEAD_ONE_ALIKE = "Together {total}, {over} above the {want} you want. {name} alone can bring it there: each from {now} down to {most}.";
    HEAD_SEVERAL = "Together {total}, {over} above the {want} you want. No single source can bring it there: {names} must each come down by {by}.";
    COUNT_LOUDEST = "the {count} loudest";
    HEAD_NEVER = "Together {total}. The {want} you want cannot be reached here: the background alone makes {floor}.";

    HEARD_TIMES = "With {name} silent it would sound about {times} as loud, {heard}.";
    HEARD = "Silence at {name} would be {heard}.";
    HEARD_NOT_SHOWN = "a change too small to show";
    HEARD_NO = "a change you would not hear";
    HEARD_SIDE = "a change heard only side by side";
    HEARD_JUST = "a change you would just notice";
    HEARD_CLEAR = "a change you would clearly notice";
    HEARD_HALF = "a change you could not miss";
    SHORT_NOT_SHOWN = "cannot tell";
    SHORT_NO = "no";
    SHORT_SIDE = "hardly";
    SHORT_JUST = "just";
    SHORT_CLEAR = "clearly";
    SHORT_HALF = "at once";
    BEST_SET = "The two loudest silent together would gain {gain}, the three loudest {more}.";
    BEST_PAIR = "The two loudest silent together would gain {gain}.";

    TOTAL = "All together";
    TOTAL_HINT = "background included";
    SHARE = "Share of {name}";
    LEFT = "Left without {name}";
    GAIN = "The most {name} can gain";
    TIMES = "Loudness left without {name}";
    TIMES_HINT = "estimate";
    PAIR = "The most the two loudest can gain";
    TRIPLE = "The most the three loudest can gain";
    BACK_SHARE = "Share of the background";
    OVER = "Above the level you want";
    UNDER = "Below the level you want";
    SURE_BY = "{names} down by this, to be sure of it";

    PICTURE = "{name} makes {share} of the sound energy of {total}; without it {left} is left.";
    PICTURE_SAME = "{names} make {share} each of the sound energy of {total}; without one of them {left} is left.";
    PICTURE_ONLY = "All the sound energy of {total} comes from {name}.";
    PICTURE_WANT = "{picture} Wanted: {want}.";
    TWIN = "The sources by their share of the sound energy";
    COL_SOURCE = "Source";
    COL_TOGETHER = "Makes";
    COL_SHARE = "Share";

    GRID_SILENT = "If one source were silent";
    GRID_SETS = "If the loudest were silent together";
    GRID_RUNNING = "If only some of several alike ran";
    GRID_ONE = "Any one of these can bring it there";
    GRID_SEVERAL = "These together can bring it there";
    COL_LEFT = "Leaves";
    COL_GAIN = "Gains at most";
    COL_HEARD = "You would notice";
    COL_SETS = "Silent";
    COL_RUNNING = "Running";
    COL_THEY = "They make";
    COL_ALL = "All together";
    COL_MOST = "Each at most";
    COL_BY = "Down by";
    RUNNING = "{name}: {count} of {each}";

    NOTE_ENERGY = "Decibels are neither added nor averaged here: the energies are. Two equal sources make 3 dB more than one, three 4.8, ten 10; a source 10 dB below another adds only 0.4.";
    NOTE_GAINS = "Gains do not add either: silent one at a time the two loudest gain {first} and {second}, together {both}.";
    NOTE_CLOSE = "{names} are closer together than their ± can tell. Either may be the loudest.";
    NOTE_OFF = "Switched off and not counted: {names}.";
    NOTE_NO_LEVEL = "{name} has no level yet and is not counted.";
    NOTE_BAD_LEVEL = "The level of {name} cannot be read. It is left out.";
    NOTE_BAD_COUNT = "How many of {name} there are cannot be read. It is counted once.";
    NOTE_BAD_SPREAD = "The ± of {name} cannot be read. The usual one is used.";
    NOTE_ONE_DISTANCE = "For {name} only one of the two distances is known. Its level is used as it was read.";
    NOTE_NEAR = "{name} was read at {near}, close to it: 5 cm nearer or farther changes the reading by {change}. Its ± has that in it.";
    NOTE_ROOM = "Levels were moved by the rule for the open, 6 dB less for twice the distance. In a room the level falls less: what arrives at the ear may be louder than this. A doubt of 5 cm about where the meter was is in the ±.";
    NOTE_UNDER = "{name} is not louder than the background, so no meter can have shown it by itself. Work it out from two readings first.";
    NOTE_WITH_ROOM = "Each level must be that of the source alone. If the room was in the readings, it is counted once for each row: take it out first.";
    NOTE_FLOOR = "Cheap meters show nothing below 30 to 35 dB. If the background of {background} is the end of your meter’s range, the room is quieter, and silence gains a little more than shown here.";
    NOTE_NO_BACK = "Without a background the room counts as silent, so silence seems to gain more than it will. Give the reading with everything off.";
    NOTE_INDEPENDENT = "The ± takes the readings as independent of each other; what they have in common is left out. A meter that reads high by the same amount everywhere shifts the levels, not the shares and gains.";
    NOTE_WHOLE = "No level has tenths, so the meter is taken to show none: ± {half} for a single reading.";
    NOTE_LOUDNESS = "How loud it would sound is an estimate, good to about a fifth: the reading is taken as phon.";
    NOTE_LOUDNESS_LOW = "How loud it would sound is an estimate, good to about a fifth: the reading is taken as phon, and below 40 dB(A) loudness falls faster than the rule of ten decibels for half.";
    NOTE_UNSURE = "The ± of the total reaches across the level you want: it may be met or not.";
    NOTE_SURE = "To be sure of it, 95 of 100 times whatever the ± hides: {names} down by {by} each.";
    NOTE_SURE_MET = "The level you want is kept to, 95 of 100 times whatever the ± hides.";
    NOTE_SURE_NEVER = "To be sure of it is not possible with these ±: even silence would leave a doubt. Read the background again, several times.";
    NOTE_WEIGHTY = "{share} of the doubt about the total comes from {name}: read that one again first.";
    NOTE_LINKED = "These levels were worked out together from the same readings, so their errors are linked. The total there has the right ±; here each level counts as if read by itself.";
    NOTE_SILENCE = "Down by {by} is next to silence. Spread over the {count} loudest it is {spread} each.";
    NOTE_SPREAD = "Spread over the {count} loudest it is {spread} each.";
    NOTE_SPREAD_ONE = "Or several a little: with the {count} loudest it is {spread} each.";
    NOTE_NEVER = "Even silence everywhere would leave the background of {floor}. Anything above that can be reached.";
    NOTE_HEARING = "From 80 dB(A) over a working day hearing needs care, and from 85 dB(A) protection is required in many places. Follow your local rules.";

    STEP_DISTANCE = "Each level moved from where it was read to the ear";
    STEP_ALIKE = "Several alike together";
    STEP_SUM = "All of them together, as energy";
    STEP_SHARE = "The share of {name}";
    STEP_GAIN = "The most {name} can gain";
    STEP_SPREAD = "The ± of the total";
    STEP_GAIN_SPREAD = "The ± of that gain";
    STEP_WANT = "The loudest {name} may be, all alike together";
    STEP_CREDIT = "What each earns of the drop to the background if all were silent: what it takes off when its turn comes, averaged over all orders";
    STEP_CREDIT_BY = "What each earns of the drop if all of these come down by {by}: what it takes off when its turn comes, averaged over all orders";
    STEP_TIMES = "Loudness left without {name}";

    HAND_SWAP = "Try a quieter {name}";
    HAND_LOUDER = "How much quieter would it be without {name}?";

    REFUSE_OFF = "Every source is switched off. Switch one on to see what it adds.";
    REFUSE_OFF_BACK = "Every source is switched off: only the background of {background} is left. Switch one on to see what it adds.";
    REFUSE_FORMULA = "These levels cannot be put together. Check for a level far outside what a meter shows.";

    LIMIT_PLACE = "All levels must be of the same place, weighting and response, each source by itself.";
    LIMIT_STEADY = "It holds for steady, independent sources. A fan that changes its speed when another stops, or a panel that rings with a motor, breaks the sum.";
    LIMIT_TONE = "The loudest source is not always the one that annoys: a whine is heard far below the total, and may go without any change in dB(A).";
    LIMIT_METER = "A cheap meter may be 2 dB off in all readings alike. Shares and gains are better than that, since it cancels.";

    CARE_FANS = "Never stop a fan that keeps a hot part or the drivers cool while they are hot. Never touch blades or belts: unplug instead.";
    CARE_MOTORS = "Take the power off before you plug or unplug a motor or a fan, and leave power supplies closed: that is work for a licensed person.";
    CARE_LAW = "This is no certified measurement. Local rules and leases may ask for more.";
}
