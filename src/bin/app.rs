//! The page.

fn main() {
    lessdin::ui::start();
}
