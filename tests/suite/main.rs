//! Turns the whole crate into one test binary: checks that need more than one module, or the program itself.

mod anatomy_loader;
mod architecture;
mod case_check;
mod case_draw;
mod case_scenarios;
mod cli_findings;
mod draw_charts;
mod draw_figures;
mod draw_files;
mod localise;
mod outside_branches;
mod outside_common;
mod outside_discriminators;
mod outside_graphdb;
mod outside_isncsci;
mod outside_json;
mod outside_laws;
mod outside_monotone;
mod outside_myotomes;
mod outside_nerves;
mod outside_torque;
mod render_blocks;
mod render_fuzz;
mod render_layout;
mod render_pdf;
mod render_support;
