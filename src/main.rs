//! The command `ventwright`.

use std::process::ExitCode;

fn main() -> ExitCode {
    ventwright::cli::main(std::env::args_os())
}
