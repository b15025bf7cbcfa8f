//! What may be asked of `vivasmith mock`?

use super::args::{Shared, level};
use crate::case::Level;
use clap::Args as ClapArgs;
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith mock
  vivasmith mock ulnar_elbow --kind forecast --seed 7 --out elbow.html
  vivasmith mock own:dropped_wrist --content content
  vivasmith mock day1 --out day1.html
  vivasmith mock peer_mock --seed 6 --out peers.html

The page needs no network and no other file: open it in a browser, from a stick too.")]
pub struct MockArgs {
    /// A site or segment, a whole lesion as in `findings`, an operation or fracture (`vivasmith list operations`), own:ID for a station of
    /// your own, the folder that `vivasmith circuit` wrote, or a blueprint; left out: a station that is drawn
    #[arg(value_name = "SITE|LESION|CIRCUIT")]
    pub place: Option<String>,
    /// Draw a site of this nerve, root, cord or part of the limb
    #[arg(long, value_name = "AREA", conflicts_with = "place")]
    pub area: Option<String>,
    /// How far the candidate has come; left out: clinical
    #[arg(long, value_parser = level())]
    pub level: Option<Level>,
    /// Kind of station (`vivasmith list kinds`); left out: drawn
    #[arg(long, value_name = "KIND")]
    pub kind: Option<String>,
    /// Length without reading time; left out: what is usual at the level
    #[arg(long, value_name = "MINUTES")]
    pub minutes: Option<u32>,
    /// The same seed gives the same page; left out: drawn and printed
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// Hold a variant: ID or ID=ALTERNATIVE (may be given several times)
    #[arg(long = "variant", value_name = "ID[=ALTERNATIVE]")]
    pub variants: Vec<String>,
    /// Of a circuit with several groups: the one that the page is for
    #[arg(long, value_name = "ID")]
    pub group: Option<String>,
    /// The page to write; its folder is made when missing
    #[arg(long, value_name = "FILE", default_value = "mock.html")]
    pub out: PathBuf,
    #[command(flatten)]
    pub shared: Shared,
}
