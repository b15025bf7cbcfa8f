//! One test binary for the whole crate.

mod render_blocks;
mod render_fuzz;
mod render_layout;
mod render_pdf;
mod render_support;
