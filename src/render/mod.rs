//! Turns stations into sheets: Markdown by templates, and what is made from the Markdown.

mod escape;
mod template_error;
pub mod words;
