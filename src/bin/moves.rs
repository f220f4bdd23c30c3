//! The page: steps and speeds.

use lessdin::sheets::programs::{MOVES, MOVES_SHEETS};

fn main() {
    lessdin::ui::start(MOVES, MOVES_SHEETS);
}
