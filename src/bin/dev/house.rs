//! Where things are, and how other programs are run from here.

use std::env;
use std::ffi::OsString;
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// Why a command cannot go on, in one or two sentences.
#[derive(Clone, Debug)]
pub(crate) struct Stop(String);

impl Stop {
    pub(crate) fn new(words: impl Into<String>) -> Self {
        Self(words.into())
    }
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

pub(crate) type Outcome<T> = Result<T, Stop>;

/// The project's folder and the search path its tools are found on.
pub(crate) struct House {
    target: PathBuf,
    cargo_home: Option<PathBuf>,
    path: OsString,
}

impl House {
    /// Finds the project, steps into its folder and puts its own tools first on the search path.
    pub(crate) fn open() -> Outcome<Self> {
        let root = root()?;
        env::set_current_dir(&root).map_err(|e| Stop::new(format!("Cannot enter the project's folder: {e}")))?;
        let target = env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), |dir| root.join(dir));
        let mut places = vec![root.join("tests/node_modules/.bin"), target.join("tools/bin")];
        let cargo_home = env::var_os("CARGO_HOME").map(PathBuf::from).or_else(|| env::home_dir().map(|home| home.join(".cargo")));
        places.extend(cargo_home.as_ref().map(|home| home.join("bin")));
        places.extend(env::var_os("CHROMEWEBDRIVER").map(PathBuf::from));
        places.extend(env::split_paths(&env::var_os("PATH").unwrap_or_default()));
        let path = env::join_paths(places).map_err(|e| Stop::new(format!("PATH cannot be extended: {e}")))?;
        Ok(Self { target, cargo_home, path })
    }

    /// Where builds go.
    pub(crate) fn target(&self) -> &Path {
        &self.target
    }

    /// Where cargo keeps the sources of crates. A path of this machine: nothing published should show it.
    pub(crate) fn sources(&self) -> Option<String> {
        self.cargo_home.as_ref()?.join("registry").join("src").to_str().map(str::to_owned)
    }

    /// The first program of that name on the search path.
    pub(crate) fn find(&self, name: &str) -> Option<PathBuf> {
        let endings: &[&str] = if cfg!(windows) { &[".exe", ".cmd", ".bat"] } else { &[""] };
        env::split_paths(&self.path)
            .flat_map(|place| endings.iter().map(move |ending| place.join(format!("{name}{ending}"))))
            .find(|candidate| candidate.is_file())
    }

    /// A program to run with the house's search path.
    pub(crate) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(self.find(program).unwrap_or_else(|| program.into()));
        command.env("PATH", &self.path);
        // Cargo's own settings for this program are not meant for the programs it runs.
        for name in ["CARGO_MANIFEST_DIR", "CARGO_PKG_NAME", "CARGO_PKG_VERSION"] {
            command.env_remove(name);
        }
        command
    }

    /// Runs a program in view of the reader; an error unless it ends well.
    pub(crate) fn run(&self, program: &str, arguments: &[&str]) -> Outcome<()> {
        finish(self.command(program).args(arguments))
    }

    /// What a program prints, or an error with what it complained of.
    pub(crate) fn read(&self, program: &str, arguments: &[&str]) -> Outcome<String> {
        let line = || format!("{program} {}", arguments.join(" "));
        let output = self
            .command(program)
            .args(arguments)
            .stdin(Stdio::null())
            .output()
            .map_err(|e| Stop::new(format!("`{}` cannot be run: {e}", line())))?;
        if output.status.success() {
            Ok(String::from_utf8_lossy(&output.stdout).into_owned())
        } else {
            Err(Stop::new(format!("`{}` failed: {}", line(), String::from_utf8_lossy(&output.stderr).trim())))
        }
    }

    /// `cargo metadata` with the given extra arguments.
    pub(crate) fn metadata(&self, extra: &[&str]) -> Outcome<Value> {
        let mut arguments = vec!["metadata", "--locked", "--format-version", "1"];
        arguments.extend(extra);
        serde_json::from_str(&self.read("cargo", &arguments)?).map_err(|e| Stop::new(format!("`cargo metadata` cannot be read: {e}")))
    }
}

/// Runs a prepared command to its end; an error unless it ends well.
pub(crate) fn finish(command: &mut Command) -> Outcome<()> {
    let line = || {
        let arguments: Vec<_> = command.get_args().map(|a| a.to_string_lossy().into_owned()).collect();
        let program = Path::new(command.get_program()).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        format!("{program} {}", arguments.join(" "))
    };
    let line = line();
    match command.stdin(Stdio::null()).status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(Stop::new(format!("`{line}` ended with {status}"))),
        Err(e) => Err(Stop::new(format!("`{line}` cannot be run: {e}"))),
    }
}

fn root() -> Outcome<PathBuf> {
    if let Some(root) = env::var_os("CARGO_MANIFEST_DIR") {
        return Ok(root.into());
    }
    let here = env::current_dir().map_err(|e| Stop::new(format!("Cannot tell which folder this is: {e}")))?;
    here.ancestors()
        .find(|folder| folder.join("Trunk.toml").is_file() && folder.join("Cargo.toml").is_file())
        .map(Path::to_path_buf)
        .ok_or_else(|| Stop::new("Run this inside the project's folder."))
}

/// A file's text.
pub(crate) fn text(path: impl AsRef<Path>) -> Outcome<String> {
    let path = path.as_ref();
    fs::read_to_string(path).map_err(|e| Stop::new(format!("{} cannot be read: {e}", path.display())))
}

/// A file's bytes.
pub(crate) fn bytes(path: impl AsRef<Path>) -> Outcome<Vec<u8>> {
    let path = path.as_ref();
    fs::read(path).map_err(|e| Stop::new(format!("{} cannot be read: {e}", path.display())))
}
