//! The texts about curves.

crate::words! { "page";
    CURVE_CLOSER = "Closer";
    CURVE_WIDER = "Wider";
    CURVE_ALL = "Show all";
    CURVE_EARLIER = "Earlier";
    CURVE_LATER = "Later";
    CURVE_SHOWN = "Shown: {from} to {to}.";
    CURVE_KEYS = "Tap the picture, or move along it with the arrow keys, to read the levels of a moment. Drag it to see what is before or after; zoom with two fingers, the plus and minus keys or the buttons. Escape shows everything again.";
    CURVE_EDGES = "Drag the handles above the picture to move the edges between phases, or reach them with the tab key: an arrow key moves an edge by a second, with Shift by ten, Home and End as far as it goes.";
    CURVE_HELP = "How to move the picture";
    CURVE_MOMENT = "Moment on the curves";
    CURVE_NO_MOMENT = "no moment picked";
    CURVE_AT = "At {moment}";
    CURVE_SPOKEN = "{moment}: {list}";
    CURVE_ONE = "{name} {level}";
    CURVE_LEVELS = "{low} to {high}";
    CURVE_NO_LEVEL = "no reading";
    CURVE_EDGE = "Edge {number}";
    CURVE_EDGE_FIRST = "{moment}, start of {name}";
    CURVE_EDGE_BETWEEN = "{moment}, between {before} and {name}";
    CURVE_EDGE_LAST = "{moment}, end of {before}";
    CURVE_SECONDS = "{seconds} s";
    CURVE_MINUTES = "{minutes} min {seconds} s";
    CURVE_HOURS = "{hours} h {minutes} min {seconds} s";
    CURVE_BEFORE_ZERO = "minus {moment}";
    CURVE_IN_MINUTES = "min:s";
    CURVE_IN_HOURS = "h:min";
    CURVE_IN_HOURS_SECONDS = "h:min:s";
}
