//! What may be asked of `vivasmith practice`?

use super::args::{Format, PageArgs, Shared, level};
use crate::case::Level;
use crate::practice::{FEWEST, MOST};
use clap::Args as ClapArgs;
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith practice
  vivasmith practice --cases 12 --area hand --level clinical --seed 5
  vivasmith practice --region lower_limb --kind trace,compare
  vivasmith practice --like results/feedback/candidate_A1.md
  vivasmith practice --like carpal_tunnel,root_c8 --exposure met.yaml

Print the PDF on both sides. Its keys stand at the end.")]
pub struct PracticeArgs {
    /// Cases in the booklet
    #[arg(long, value_name = "NUMBER", default_value_t = 6, value_parser = cases())]
    pub cases: u32,
    /// Only places of this nerve, root, cord or part of the limb
    #[arg(long, value_name = "AREA")]
    pub area: Option<String>,
    /// How far the learner has come; left out: as in the feedback sheet, else clinical
    #[arg(long, value_parser = level())]
    pub level: Option<Level>,
    /// Kinds of case, with commas between (`vivasmith list kinds`); left out: all
    #[arg(long = "kind", value_name = "KIND,...", value_delimiter = ',')]
    pub kinds: Vec<String>,
    /// The same seed prints the same booklet; left out: drawn and printed
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// What to get better at: a candidate's feedback sheet of `vivasmith marks` (Markdown), or ids of sites with commas between
    #[arg(long, value_name = "FEEDBACK|SITE,...", value_delimiter = ',')]
    pub like: Vec<String>,
    /// Record of cases met before: none of them is printed again, and the new ones are added. A file that is not there is begun
    #[arg(long, value_name = "FILE")]
    pub exposure: Option<PathBuf>,
    #[command(flatten)]
    pub page: PageArgs,
    /// Formats to write
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [Format::Pdf, Format::Md])]
    pub formats: Vec<Format>,
    /// Folder for the booklet; made when missing
    #[arg(long, value_name = "DIR", default_value = "practice")]
    pub out: PathBuf,
    #[command(flatten)]
    pub shared: Shared,
}

fn cases() -> clap::builder::RangedI64ValueParser<u32> {
    clap::value_parser!(u32).range(FEWEST as i64..=MOST as i64)
}
