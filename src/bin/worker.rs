//! The worker.

fn main() {
    console_error_panic_hook::set_once();
}
