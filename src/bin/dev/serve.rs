//! `cargo serve`.

use std::net::UdpSocket;

use crate::house::{House, Outcome, Stop, finish};
use crate::tools::{self, Need};

/// What was asked for.
#[derive(Debug, PartialEq, Eq)]
struct Wishes {
    release: bool,
    lan: bool,
    open: bool,
    port: u16,
}

/// Builds, serves and watches until stopped.
pub(crate) fn serve(house: &House, arguments: &[String]) -> Outcome<()> {
    let wishes = wishes(arguments)?;
    tools::ensure(house, Need::SiteTools)?;
    let port = wishes.port.to_string();
    let folder = house.target().join("serve");
    std::fs::create_dir_all(&folder).map_err(|e| Stop::new(format!("{} cannot be made: {e}", folder.display())))?;
    let mut command = tools::trunk(house)?;
    command.args(["serve", "--locked", "--offline", "--port", &port, "--dist"]).arg(&folder);
    if wishes.release {
        command.arg("--release");
    }
    if wishes.open {
        command.arg("--open");
    }
    println!("-- the page will be at http://localhost:{port}/ (Ctrl+C ends it)");
    if wishes.lan {
        command.args(["--address", "0.0.0.0"]);
        let own = own_address().map_or_else(|| "this machine's address".to_owned(), |address| address.to_string());
        println!("-- on the local network: http://{own}:{port}/, without keeping and copying, which browsers allow on https only");
    }
    finish(&mut command)
}

/// The address other devices reach this machine at. Nothing is sent: the system only picks the way.
fn own_address() -> Option<std::net::IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    // 192.0.2.1 is set aside for documentation (RFC 5737).
    socket.connect("192.0.2.1:9").ok()?;
    socket.local_addr().ok().map(|address| address.ip())
}

fn wishes(arguments: &[String]) -> Outcome<Wishes> {
    let mut wishes = Wishes { release: false, lan: false, open: false, port: 8080 };
    let mut rest = arguments.iter();
    while let Some(word) = rest.next() {
        match word.as_str() {
            "--release" => wishes.release = true,
            "--lan" => wishes.lan = true,
            "--open" => wishes.open = true,
            "--port" => {
                let port = rest.next().and_then(|port| port.parse().ok());
                wishes.port = port.ok_or_else(|| Stop::new("--port wants a number up to 65535, for example --port 8081."))?;
            }
            other => {
                return Err(Stop::new(format!("`cargo serve` knows --release, --lan, --open and --port, not {other}.")));
            }
        }
    }
    Ok(wishes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wishes_are_read_or_refused_in_words() {
        let read = |words: &str| wishes(&words.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
        assert_eq!(read("--port 9000 --lan").unwrap(), Wishes { release: false, lan: true, open: false, port: 9000 });
        assert!(read("--port x").is_err());
        assert!(read("--wide").unwrap_err().to_string().contains("--wide"));
    }
}
