//! The page: whether it worked.

fn main() {
    lessdin::ui::start_check();
}
