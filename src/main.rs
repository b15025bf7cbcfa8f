//! Turns the command line into one call of the library and its result into an exit code.

fn main() -> std::process::ExitCode {
    vivasmith::cli::run(std::env::args_os())
}
