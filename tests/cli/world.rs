//! One frozen world for every test: an empty folder, 80 columns, no colour, a fixed time.

use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

use tempfile::TempDir;

/// The time at which every test begins.
pub const START: &str = "2026-11-02T07:40:00+01:00";

/// A folder of its own to run the program in.
pub struct World {
    folder: TempDir,
    columns: &'static str,
    more: Vec<(&'static str, &'static str)>,
}

/// What a run left.
#[derive(Debug)]
pub struct Run {
    pub code: Option<i32>,
    pub out: String,
    pub talk: String,
}

impl World {
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().expect("a folder"), columns: "80", more: Vec::new() }
    }

    pub fn columns(mut self, columns: &'static str) -> Self {
        self.columns = columns;
        self
    }

    pub fn with(mut self, name: &'static str, value: &'static str) -> Self {
        self.more.push((name, value));
        self
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).expect("written");
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).expect("read")
    }

    pub fn command(&self) -> Command {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("fusetrail"));
        command.current_dir(self.folder.path()).env_clear();
        command.env("COLUMNS", self.columns).env("LANG", "C.UTF-8").env("TZ", "UTC").env("TERM", "xterm");
        command.envs(self.more.iter().copied());
        command
    }

    /// Runs with an empty input.
    pub fn run<S: AsRef<OsStr>>(&self, arguments: &[S]) -> Run {
        self.run_with(arguments, "")
    }

    /// Runs with this input.
    pub fn run_with<S: AsRef<OsStr>>(&self, arguments: &[S], input: &str) -> Run {
        self.run_in(arguments, input, std::iter::empty())
    }

    /// Runs with this input and more variables.
    pub fn run_in<S: AsRef<OsStr>>(
        &self,
        arguments: &[S],
        input: &str,
        more: impl Iterator<Item = (&'static str, String)>,
    ) -> Run {
        let mut command = self.command();
        command.args(arguments).envs(more);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        let mut stdin = child.stdin.take().expect("piped");
        // A program that has ended already reads nothing more, which is no failure.
        let _ = stdin.write_all(input.as_bytes());
        drop(stdin);
        finish(child)
    }

    /// Starts with an input that stays open.
    pub fn start<S: AsRef<OsStr>>(&self, arguments: &[S]) -> Child {
        let mut command = self.command();
        command.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command.spawn().expect("the program starts")
    }

    /// Runs one command line split at blanks; `''` around a word keeps its blanks.
    pub fn say(&self, line: &str) -> Run {
        self.run(&Self::words(line))
    }

    /// Splits a command line at blanks; `''` around a word keeps its blanks.
    pub fn words(line: &str) -> Vec<String> {
        let mut words = Vec::new();
        for (count, part) in line.split('\'').enumerate() {
            if count % 2 == 1 {
                words.push(part.to_owned());
            } else {
                words.extend(part.split_whitespace().map(str::to_owned));
            }
        }
        words
    }
}

/// Waits for the end of a run.
pub fn finish(child: Child) -> Run {
    let output = child.wait_with_output().expect("it ends");
    Run {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).expect("UTF-8"),
        talk: String::from_utf8(output.stderr).expect("UTF-8"),
    }
}

impl Run {
    /// Returns the result as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {self:?}"))
    }

    /// Asserts the exit code and returns the run.
    pub fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "{self:?}");
        self
    }
}
