//! What may be asked of `vivasmith mock`?

use super::args::{Shared, level};
use crate::case::Level;
use crate::station::level_id;
use clap::Args as ClapArgs;
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith mock
  vivasmith mock ulnar_elbow --kind forecast --seed 7 --out elbow.html
  vivasmith mock own:dropped_wrist --content content

The page needs no network and no other file: open it in a browser, from a stick too.")]
pub struct MockArgs {
    /// A site or segment, a whole lesion as in `findings`, or own:ID for a station of your own; left out: drawn
    #[arg(value_name = "SITE|LESION")]
    pub place: Option<String>,
    /// Draw a site of this nerve, root, cord or part of the limb
    #[arg(long, value_name = "AREA", conflicts_with = "place")]
    pub area: Option<String>,
    /// How far the candidate has come
    #[arg(long, value_parser = level(), default_value = level_id(Level::Clinical))]
    pub level: Level,
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
    /// The page to write; its folder is made when missing
    #[arg(long, value_name = "FILE", default_value = "mock.html")]
    pub out: PathBuf,
    #[command(flatten)]
    pub shared: Shared,
}
