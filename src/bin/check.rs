//! The page: whether it worked.

use lessdin::sheets::programs::{CHECK, CHECK_SHEETS};

fn main() {
    lessdin::ui::start(CHECK, CHECK_SHEETS);
}
