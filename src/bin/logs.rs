//! The worker that reads and holds level logs.

fn main() {
    lessdin::logs::server::start();
}
