//! The first screen.

fn main() {
    lessdin::ui::start_first();
}
