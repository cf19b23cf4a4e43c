//! Arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(pipkin::cli::run(std::env::args_os().collect()) as u8)
}
