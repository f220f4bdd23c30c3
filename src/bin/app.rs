//! The page: what makes the noise, and what to change.

use lessdin::sheets::programs::{APP, APP_SHEETS};

fn main() {
    lessdin::ui::start(APP, APP_SHEETS);
}
