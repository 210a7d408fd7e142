//! The program: hands its arguments to the edge and returns the exit code.
#![allow(clippy::disallowed_methods, reason = "the only place that reads the arguments")]

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(fusetrail::cli::main(std::env::args_os()))
}
