//! Turns the whole crate into one test binary: checks that need more than one module, or the program itself.

mod anatomy_loader;
mod architecture;
mod case_check;
mod case_draw;
mod case_scenarios;
mod cli_findings;
mod localise;
