//! The house commands: `cargo serve`, `cargo module`, `cargo timing-page`, `cargo verify` and `cargo measure`, and the step Trunk calls when it has built
//! the site.

mod house;
mod measure;
mod module;
mod serve;
mod site;
mod stamp;
mod timing_page;
mod tools;
mod tree;
mod verify;
#[allow(
    dead_code,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "the flows in the browser use all of it, and stop where it fails"
)]
#[path = "../../../tests/browser/webdriver.rs"]
mod webdriver;

use std::process::ExitCode;

use house::{House, Outcome, Stop};

const HELP: &str = "\
cargo serve [--release] [--lan] [--port N] [--open]
    Builds the page, serves it on this machine and builds again when a file changes.
    --release   as it is published: small, kept on the device, with updates
    --lan       for other devices on the local network too (plain http: no service worker, no clipboard there)

cargo module
    Builds the JavaScript module: the sheets for other programs.

cargo timing-page
    Builds a page that runs the heavy parts alone, for timing. Never part of the site.

cargo verify [STEP]...
    Runs every check, or only the named ones. `cargo verify --list` names them.

cargo measure [--built] [--starts N] [--keys N]
    Builds the page and prints how long it keeps a reader waiting on a slow phone, as Chromium imitates one.
    --built     measures what stands in dist/
    --starts    starts of each kind
    --keys      key presses on each sheet

Each finds or installs what is missing.";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match run(&arguments) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(stop) => {
            eprintln!("{stop}");
            ExitCode::FAILURE
        }
    }
}

/// Runs one command; `false` when it ran to its end and found fault.
fn run(arguments: &[String]) -> Outcome<bool> {
    let Some((command, rest)) = arguments.split_first() else {
        println!("{HELP}");
        return Ok(true);
    };
    match command.as_str() {
        "serve" => serve::serve(&House::open()?, rest).map(|()| true),
        "module" => {
            let house = House::open()?;
            tools::ensure(&house, tools::Need::ModuleTools)?;
            println!("{}", module::build(&house)?);
            Ok(true)
        }
        "timing-page" => {
            let house = House::open()?;
            tools::ensure(&house, tools::Need::ModuleTools)?;
            println!("{}", timing_page::build(&house)?);
            Ok(true)
        }
        "verify" => verify::verify(&House::open()?, rest),
        "measure" => measure::measure(&House::open()?, rest).map(|()| true),
        "stamp" => stamp::hook().map(|()| true),
        "help" | "--help" | "-h" => {
            println!("{HELP}");
            Ok(true)
        }
        other => Err(Stop::new(format!("There is no command “{other}”.\n{HELP}"))),
    }
}
