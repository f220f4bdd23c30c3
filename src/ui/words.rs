//! The page's own texts.

crate::words! { "page";
    NAME = "Lessdin";
    SKIP = "Skip to the answer";
    ALL_QUESTIONS = "All questions";
    QUESTIONS = "Questions";

    GROUP_FIND = "Find it";
    GROUP_CHANGE = "Change it";
    GROUP_CHECK = "Check it";
    GROUP_MOVEMENT = "Movement";
    GROUP_COOLING = "Cooling";

    HOME_TITLE = "What would silencing one part gain?";
    HOME_WHAT_NOW = "See how good this is, and what to do next";
    HOME_READ_WELL = "Reading a cheap meter well";
    HOME_READ_A = "Set it to A, and Slow or Fast, but always the same.";
    HOME_READ_SPOT = "Keep it in the same spot for every reading.";
    HOME_READ_TABLE = "Put it on a stand of its own, off the machine’s table.";
    HOME_READ_AIR = "Keep it out of every stream of air.";
    HOME_CARE = "Before you stop a part: never the fan of something hot, never unplug a motor under power, never touch blades or belts. Stop parts by their switch or their plug, and only for seconds.";
    HOME_RECENT = "Worked out last on this device";
    HOME_SAVED = "Saved on this device";
    HOME_EMPTY = "Type both readings: the answer stands here.";
    FORGET = "Forget";
    FORGET_ALL = "Delete everything kept on this device";
    FORGOTTEN = "Everything kept here is deleted.";

    FROM_LOG = "{level} from the log";
    TYPE_INSTEAD = "Type a level instead";
    INPUTS = "What you know";
    NUMBERS = "The numbers";
    WORKING = "How it was worked out";
    LIMITS = "How far this goes";
    SOURCES = "Sources";
    CAUTIONS = "Take care";
    NOTES = "To know";
    GO_ON = "Go on from here";
    MORE = "More";
    CELL_OF = "{part}, {row}";
    STATES_OF = "{row}: {label}";
    SO_MANY_ON = "{count} on";
    AS_TABLE = "The same as a table";
    CAME_FROM = "These numbers came from “{title}”.";
    REPLACED = "A link was opened here. Undo brings back what was here before.";
    DAMAGED = "What this device had kept for this sheet could not be read, so the sheet starts empty. The kept text: {text}";

    EXAMPLE = "Try it with made-up numbers";
    EXAMPLE_SHOWN = "Made-up numbers, from a home-built engraver in a library. Undo or Clear takes them away.";
    CLEAR = "Clear";
    UNDO = "Undo";
    REDO = "Redo";
    SHARE = "Share";
    COPY = "Copy";
    SAVE = "Save";
    PRINT = "Print";
    PICTURE_FILE = "Save the picture";
    COPY_TABLE = "Copy the table";
    CSV = "Save as CSV";
    COPIED = "Copied.";
    COPIED_VALUE = "{value} copied.";
    LINK_COPIED = "Link copied.";
    SAVED = "Saved on this device.";
    SAVE_FAILED = "This browser does not let the page keep anything. Share or copy the link instead.";
    COPY_BY_HAND = "This browser gives pages opened without https no access to the clipboard. Select the text and copy it by hand:";
    CLOSE = "Close";

    NEEDS = "Still needed: {fields}.";
    WRONG_FIELDS = "Look at: {fields}.";
    AND_READING = "Add a reading";
    SIGN = "Change the sign";
    LESS = "Less: {label}";
    GREATER = "More: {label}";
    UNIT_OF = "Unit of {label}";
    DEFAULT_IS = "{value} while empty";
    NOT_CHOSEN = "not chosen";

    ADD_ROW = "Add: {row}";
    REMOVE_ROW = "Remove";
    REMOVE_ROW_NAMED = "Remove {row}";
    UP = "Up";
    UP_NAMED = "Move {row} up";
    DOWN = "Down";
    DOWN_NAMED = "Move {row} down";
    ROW_NUMBER = "{row} {number}";
    PASTE = "Paste a list";
    PASTE_HELP = "One per line, or separated by semicolons: name, level, how many. A column copied from a spreadsheet works too.";
    PASTE_TAKE = "Take the list over";
    PASTED = "{count} added. Undo takes them away.";
    PASTED_SOME = "{count} added; the others did not fit. Undo takes them away.";
    PASTED_NONE = "No line with a name or a number was found in the text.";

    REFINING = "Working out how sure this is: {share} done.";
    CANCEL = "Cancel";
    REFINE_FAILED = "The longer calculation could not run here. The answer above stands; its ± is the quick estimate.";

    NEW_VERSION = "A new version is ready.";
    TAKE_VERSION = "Reload with it";
    NEW_VERSION_SAFE = "Nothing typed is lost.";
    OFFLINE_READY = "Ready to work without a network.";
    OFFLINE_NOT = "This browser does not let the page keep itself for use without a network. That needs https or this very computer, and is often off in private windows. Everything else works.";

    SETTINGS = "Settings and privacy";
    THEME = "Light or dark";
    THEME_AUTO = "as the device";
    THEME_LIGHT = "light";
    THEME_DARK = "dark";
    DECIMAL = "Decimal sign";
    DECIMAL_AUTO = "as the device";
    DECIMAL_POINT = "point: 46.1";
    DECIMAL_COMMA = "comma: 46,1";
    PRIVACY = "Nothing you type leaves this device unless you share it. The page asks no other computer for anything: switch the network off and try. A link carries your numbers after the # sign, which browsers do not send to the server.";
    NOT_CERTIFIED = "This is a calculator, not a certified measurement. Guideline values are not your local law.";
    BUILD = "Version {build}";

    OPENING = "Opening…";
    MADE_WITH = "Lessdin, {date}";

}
