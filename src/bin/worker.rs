//! The worker.

fn main() {
    lessdin::worker::server::start();
}
