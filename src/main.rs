//! The `eavesdraft` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    eavesdraft::cli::run(std::env::args_os())
}
