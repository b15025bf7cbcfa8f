//! What paper and print do the options ask for, or else the settings?

use super::args::{PageArgs, PaperArg, TextArg};
use crate::diagnostic::Failure;
use crate::files::{Content, PaperWord, TextWord, settings};
use crate::typeset::{PageStyle, Paper, Print};

/// What is asked for, else what the settings say.
///
/// # Errors
/// When the settings cannot be read.
pub fn page_style(content: &Content, asked: &PageArgs) -> Result<PageStyle, Failure> {
    let settings = settings(content)?;
    let paper = asked.paper.unwrap_or(match settings.paper {
        PaperWord::A4 => PaperArg::A4,
        PaperWord::Letter => PaperArg::Letter,
    });
    let text = asked.text.unwrap_or(match settings.text {
        TextWord::Normal => TextArg::Normal,
        TextWord::Large => TextArg::Large,
        TextWord::Spaced => TextArg::Spaced,
        TextWord::LargeSpaced => TextArg::LargeSpaced,
    });
    Ok(of(paper, text))
}

pub fn of(paper: PaperArg, text: TextArg) -> PageStyle {
    PageStyle {
        paper: match paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        },
        print: Print {
            large: matches!(text, TextArg::Large | TextArg::LargeSpaced),
            spaced: matches!(text, TextArg::Spaced | TextArg::LargeSpaced),
        },
    }
}
