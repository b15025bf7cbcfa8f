//! The command line as types: what may be asked, with examples that can be copied.

use super::mock_args::MockArgs;
use super::practice_args::PracticeArgs;
use crate::case::Level;
use crate::sheets::publish::Formats;
use crate::station::{LEVELS, level_id};
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args as ClapArgs, CommandFactory, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::path::PathBuf;

/// Viva stations on the nerves of the limbs: a lesion, a patient, and the sheets to examine with.
///
/// Teaching and assessment material, not clinical guidance. Local curriculum, exam rules and licensed practice come first,
/// and a named person must review every sheet before use.
#[derive(Debug, Parser)]
#[command(
    name = "vivasmith",
    version,
    propagate_version = true,
    arg_required_else_help = true
)]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Print a station: candidate sheet, examiner sheet and model answer
    Station(StationArgs),
    /// Print a booklet of cases for those who practise alone or in pairs: a leaf each, keys at the end
    Practice(PracticeArgs),
    /// Assemble a circuit from a blueprint: parallel forms, timetables, packs and lists
    Circuit(CircuitArgs),
    /// Read the mark sheet of a circuit back and make results of it
    Marks(MarksArgs),
    /// Write a mock as one HTML page: a candidate's and an examiner's side, clock, marks
    Mock(MockArgs),
    /// Show what an examiner would find after a lesion
    Findings(FindingsArgs),
    /// Rank the lesions that could explain what was found, and name the next best test
    Localise(LocaliseArgs),
    /// Proofread your own content: every problem at once, with place and hint
    Check(CheckArgs),
    /// Write a commented starter into your content folder
    New(NewArgs),
    /// Draw the plexus, a nerve or the skin, alone, as SVG and PDF
    Draw(DrawArgs),
    /// List what the model knows: sites, muscles, skin, reflexes, signs ...
    List(ListArgs),
    /// Write a completion script for your shell
    Completions { shell: clap_complete::Shell },
    /// Print the licences of the program and of the embedded font
    Licenses,
}

/// Options that every command with a model understands.
#[derive(Debug, ClapArgs)]
pub struct Shared {
    /// Folder whose files win over the shipped ones (anatomy/, scenarios/, questions/, templates/)
    #[arg(long, value_name = "DIR", global = true)]
    pub content: Option<PathBuf>,
    /// Region of the body; left out: as in settings.yaml
    #[arg(long, value_name = "REGION", global = true)]
    pub region: Option<String>,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith station
  vivasmith station ulnar_elbow --level trainee --kind forecast --minutes 10
  vivasmith station --area hand --seed 41 --paper letter --out practice
  vivasmith station carpal_tunnel@partial --formats md
  vivasmith station carpal_tunnel --text large
  vivasmith station ulnar_elbow --variant mga
  vivasmith station --area hand --seed 1 --count 20 --out stations
  vivasmith station ulnar_elbow --seed 7 --write-own my_elbow
  vivasmith station hip_posterior
  vivasmith station own:dropped_wrist --content content")]
pub struct StationArgs {
    /// A site or segment, a whole lesion as in `findings`, an operation or fracture (`vivasmith list operations`), or own:ID for a station of
    /// your own; left out: drawn
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
    /// The same seed prints the same station; left out: drawn and printed
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// Print so many stations, one folder each: with this seed, the next one, and so on
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..=100), conflicts_with = "write_own")]
    pub count: Option<u64>,
    /// Hold a variant: ID or ID=ALTERNATIVE (may be given several times)
    #[arg(long = "variant", value_name = "ID[=ALTERNATIVE]")]
    pub variants: Vec<String>,
    /// Show how surely the station leads back to its lesion, against each of the nearest others
    #[arg(long)]
    pub explain: bool,
    /// Write the station out as own/ID.yaml in your content folder too, to be changed by hand
    #[arg(long, value_name = "ID")]
    pub write_own: Option<String>,
    #[command(flatten)]
    pub sheets: SheetArgs,
    #[command(flatten)]
    pub shared: Shared,
}

/// What the sheets are printed on and how.
#[derive(Debug, ClapArgs)]
pub struct PageArgs {
    /// Paper; left out: as in settings.yaml, else A4
    #[arg(long, value_enum)]
    pub paper: Option<PaperArg>,
    /// How the text of the PDFs is set; left out: as in settings.yaml, else normal
    #[arg(long, value_enum)]
    pub text: Option<TextArg>,
}

/// How and where sheets are written.
#[derive(Debug, ClapArgs)]
pub struct SheetArgs {
    #[command(flatten)]
    pub page: PageArgs,
    /// Formats to write
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [Format::Pdf, Format::Md])]
    pub formats: Vec<Format>,
    /// Folder for the sheets; made when missing
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith check
  vivasmith check content
  vivasmith check content/own/dropped_wrist.yaml --print --out practice

Exit codes: 0 all is well, 1 something is wrong, 2 a file cannot be understood, 3 a file cannot be read")]
pub struct CheckArgs {
    /// Your content folder, or one file; left out: --content, else the folder `content`
    #[arg(value_name = "DIR|FILE")]
    pub path: Option<PathBuf>,
    /// Print the stations of your own that are sound
    #[arg(long)]
    pub print: bool,
    #[command(flatten)]
    pub sheets: SheetArgs,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum NewArg {
    /// Mechanisms and patients for a site (ID: the site)
    Scenario,
    /// A question of the bank
    Question,
    /// What you ask, say and reward at a site (ID: the site)
    Teaching,
    /// A plan for a circuit of stations
    Blueprint,
    /// A place where nerves are injured
    Site,
    /// A station of your own, word for word
    Station,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith new station dropped_wrist
  vivasmith new scenario ulnar_elbow --content content
  vivasmith new teaching tarsal_tunnel --region lower_limb
  vivasmith check")]
pub struct NewArgs {
    pub what: NewArg,
    /// Small letters, digits and _; the file is called so
    #[arg(value_name = "ID")]
    pub id: String,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith circuit peer_mock --seed 6
  vivasmith circuit my_day.yaml --out day1 --paper letter
  vivasmith circuit faculty_day --exposure day1/exposure.yaml --out day2
  vivasmith circuit my_day.yaml --out day1 --replace
  vivasmith circuit my_day.yaml --exposure day1/exposure.yaml --learned results/learned.yaml

The blueprints peer_mock and faculty_day ship with the program; `vivasmith list circuits` shows all.")]
pub struct CircuitArgs {
    /// A blueprint file, or the name of one in the content
    #[arg(value_name = "BLUEPRINT")]
    pub blueprint: String,
    /// The same seed gives the same circuit; left out: the blueprint's own, else drawn and printed
    #[arg(long, value_name = "NUMBER", conflicts_with = "keep")]
    pub seed: Option<u64>,
    /// Folder of this circuit as it was planned before: stations and seats stay, only what the blueprint changes is worked in
    #[arg(long, value_name = "DIR")]
    pub keep: Option<PathBuf>,
    /// Print the names of candidates and examiners too, on timetables, sign-in sheets and labels
    #[arg(long)]
    pub names: bool,
    /// Record of stations met before (may be given several times); none of them is printed again
    #[arg(long = "exposure", value_name = "FILE")]
    pub exposure: Vec<PathBuf>,
    /// How hard stations turned out to be: learned.yaml of earlier results (may be given several times)
    #[arg(long = "learned", value_name = "FILE")]
    pub learned: Vec<PathBuf>,
    /// Branches the exact search may look at; left out: 60, fewer for a large day
    #[arg(long, value_name = "NUMBER")]
    pub nodes: Option<u64>,
    /// Stop each run of the exact search after so many seconds; another run may then find other forms
    #[arg(long, value_name = "NUMBER")]
    pub seconds: Option<u64>,
    #[command(flatten)]
    pub page: PageArgs,
    /// Formats of the sheets
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [Format::Pdf, Format::Md])]
    pub formats: Vec<Format>,
    /// Folder for the circuit, written whole or not at all
    #[arg(long, value_name = "DIR", default_value = "circuit")]
    pub out: PathBuf,
    /// Put the new circuit in the place of one written before
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith marks marks.csv --circuit day1
  vivasmith marks marks.csv --circuit day1 --partial
  vivasmith marks marks.csv --circuit day1 --judgements judges.yaml
  vivasmith marks marks.csv --circuit day1 --json

FILE is the circuit's mark_sheet.csv, filled in as its legend says and saved as CSV.")]
pub struct MarksArgs {
    /// The mark sheet, filled in (CSV with comma, semicolon or tab)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The folder that `vivasmith circuit` wrote
    #[arg(long, value_name = "DIR")]
    pub circuit: PathBuf,
    /// What judges expect of a candidate who only just passes: Angoff, Ebel, Hofstee
    #[arg(long, value_name = "FILE")]
    pub judgements: Option<PathBuf>,
    /// Take an unfinished sheet, and say what is missing
    #[arg(long)]
    pub partial: bool,
    /// Print one JSON object, and write no files
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub page: PageArgs,
    /// Formats of report and feedback
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [Format::Pdf, Format::Md])]
    pub formats: Vec<Format>,
    /// Folder for the results, written whole or not at all
    #[arg(long, value_name = "DIR", default_value = "results")]
    pub out: PathBuf,
    /// Put the new results in the place of those written before
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub shared: Shared,
}

pub(super) fn level() -> impl TypedValueParser<Value = Level> {
    let meant = |word: String| LEVELS.into_iter().find(|l| level_id(*l) == word);
    PossibleValuesParser::new(LEVELS.map(level_id))
        .map(move |word| meant(word).unwrap_or(Level::Clinical))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperArg {
    A4,
    Letter,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TextArg {
    Normal,
    /// 16 points
    Large,
    /// Wider letters, words and lines, for dyslexic readers; 12 points
    Spaced,
    /// Both
    LargeSpaced,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Pdf,
    Md,
}

pub fn formats(asked: &[Format]) -> Formats {
    Formats {
        pdf: asked.contains(&Format::Pdf),
        markdown: asked.contains(&Format::Md),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Subject {
    /// Roots, trunks, divisions, cords and branches
    Plexus,
    /// One nerve with its branches by level
    Nerve,
    /// Front and back of the limb, palm and back of the hand
    Skin,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MapArg {
    Nerves,
    Dermatomes,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SideArg {
    Right,
    Left,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PictureFormat {
    Svg,
    Pdf,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith draw plexus
  vivasmith draw plexus --lesion root_c5+root_c6
  vivasmith draw nerve --nerve radial --lesion radial_spiral_groove
  vivasmith draw skin --map dermatomes --lesion lower_trunk@partial --side left
  vivasmith draw skin --blank --format pdf --out handouts")]
pub struct DrawArgs {
    pub subject: Subject,
    /// SITE[@SEVERITY][+SITE...], as in `findings`; left out: drawn in health
    #[arg(long, value_name = "LESION")]
    pub lesion: Option<String>,
    /// Which nerve; left out: the one the lesion lies on
    #[arg(long, value_name = "ID")]
    pub nerve: Option<String>,
    /// To be filled in: empty boxes instead of labels, outlines without areas
    #[arg(long, conflicts_with = "lesion")]
    pub blank: bool,
    /// Fields of the nerves or dermatomes
    #[arg(long, value_enum, default_value_t = MapArg::Nerves)]
    pub map: MapArg,
    /// Side of the body, for the skin
    #[arg(long, value_enum, default_value_t = SideArg::Right)]
    pub side: SideArg,
    /// Hold a variant when skin findings are derived: ID or ID=ALTERNATIVE (may be given several times)
    #[arg(long = "variant", value_name = "ID[=ALTERNATIVE]")]
    pub variants: Vec<String>,
    /// Formats to write
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [PictureFormat::Svg, PictureFormat::Pdf])]
    pub format: Vec<PictureFormat>,
    #[arg(long, value_enum, default_value_t = PaperArg::A4)]
    pub paper: PaperArg,
    /// How the text of the PDF is set
    #[arg(long, value_enum, default_value_t = TextArg::Normal)]
    pub text: TextArg,
    /// Folder for the pictures; made when missing
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith findings radial_spiral_groove
  vivasmith findings carpal_tunnel@partial+ulnar_elbow
  vivasmith findings root_c8@avulsion+root_t1@avulsion
  vivasmith findings ulnar_elbow --variant mga --json")]
pub struct FindingsArgs {
    /// SITE[@SEVERITY][+SITE...]: severity is complete, partial, 40%, roots such as C7, or avulsion
    #[arg(value_name = "LESION")]
    pub lesion: String,
    /// Print one JSON object
    #[arg(long)]
    pub json: bool,
    /// Hold a variant: ID or ID=ALTERNATIVE (may be given several times)
    #[arg(long = "variant", value_name = "ID[=ALTERNATIVE]")]
    pub variants: Vec<String>,
    /// Show spared structures too
    #[arg(long)]
    pub all: bool,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith localise edc=lost ecrl=spared dorsoradial_hand=spared
  vivasmith localise \"wrist drop, thumb extension 2/5, triceps jerk present, first web space numb\"
  vivasmith localise \"knee jerk absent, quadriceps 3/5, hip adduction normal\"
  vivasmith localise findings.txt --clinic --json
  vivasmith localise --battery radial")]
pub struct LocaliseArgs {
    /// What was found, in quotes and as you would write it ("interossei weak, little finger numb, no winging"); or ID=STATE: lost,
    /// weak, spared, reduced, absent, present or a power 0-5; or a file that lists findings
    #[arg(value_name = "FINDING", required_unless_present = "battery")]
    pub findings: Vec<String>,
    /// Take common sites as likelier, as for a patient who came; left out, all sites weigh alike, as when an examiner chooses
    #[arg(long)]
    pub clinic: bool,
    /// Print one JSON object
    #[arg(long)]
    pub json: bool,
    /// Hold a variant: ID or ID=ALTERNATIVE (may be given several times)
    #[arg(long = "variant", value_name = "ID[=ALTERNATIVE]")]
    pub variants: Vec<String>,
    /// Instead: the shortest set of bedside tests that tells this site from all others, or the sites of a nerve from each other
    #[arg(long, value_name = "SITE|NERVE", conflicts_with_all = ["findings", "json", "clinic"])]
    pub battery: Option<String>,
    #[command(flatten)]
    pub shared: Shared,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Topic {
    Sites,
    Segments,
    Muscles,
    Movements,
    Skin,
    Reflexes,
    Signs,
    Variants,
    /// Sites that bedside examination cannot tell apart
    Lookalikes,
    /// Operations and fractures that put a nerve at risk
    Operations,
    Levels,
    Kinds,
    /// Blueprints of circuits in the content
    Circuits,
    Sources,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  vivasmith list sites
  vivasmith list muscles")]
pub struct ListArgs {
    pub topic: Topic,
    #[command(flatten)]
    pub shared: Shared,
}

/// `--formats pdf md`, as the help shows the default, and `pdf, md` become `pdf,md`: the option takes one word.
pub fn joined_formats(arguments: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut all: Vec<OsString> = Vec::new();
    let mut open = false;
    for argument in arguments {
        let word = argument.to_str().unwrap_or_default();
        let known = |w: &str| ["", "pdf", "md", "svg"].contains(&w.to_ascii_lowercase().as_str());
        let formats = !word.is_empty() && word.split(',').all(known);
        if let (true, true, Some(last)) = (open, formats, all.last_mut()) {
            let word = word.trim_matches(',').to_ascii_lowercase();
            if last.to_str().is_some_and(|l| l.starts_with("--format")) {
                all.push(word.into());
            } else if !word.is_empty() {
                last.push(",");
                last.push(word);
            }
            continue;
        }
        open = ["--formats", "--format"].contains(&word);
        all.push(argument);
    }
    all
}

/// The completion script of one shell.
pub fn completions(shell: clap_complete::Shell) -> String {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), "vivasmith", &mut bytes);
    String::from_utf8_lossy(&bytes).into_owned()
}
