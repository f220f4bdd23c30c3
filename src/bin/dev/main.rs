//! The house commands: `cargo serve` and `cargo verify`, and the step Trunk calls when it has built the site.

mod house;
mod serve;
mod site;
mod stamp;
mod tools;
mod tree;
mod verify;

use std::process::ExitCode;

use house::{House, Outcome, Stop};

const HELP: &str = "\
cargo serve [--release] [--lan] [--port N] [--open]
    Builds the page, serves it on this machine and builds again when a file changes.
    --release   as it is published: small, kept on the device, with updates
    --lan       for other devices on the local network too (plain http: no service worker, no clipboard there)

cargo verify [STEP]...
    Runs every check, or only the named ones. `cargo verify --list` names them.

Both find or install what is missing.";

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
        "verify" => verify::verify(&House::open()?, rest),
        "stamp" => stamp::hook().map(|()| true),
        "help" | "--help" | "-h" => {
            println!("{HELP}");
            Ok(true)
        }
        other => Err(Stop::new(format!("There is no command “{other}”.\n{HELP}"))),
    }
}
