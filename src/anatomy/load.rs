//! Reads the files of one region and builds the model, or gives the list of everything that is wrong with them.

use super::called;
use super::charts;
use super::check::{Checker, HEAD, Names};
use super::graph::{self, Graph};
use super::index;
use super::kinds;
use super::list::{Entry, FILES, List};
use super::model::{Charts, Model};
use super::raw;
use super::resolve::Resolver;
use super::routes::Changes;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Source, parse, parse_with_extra, settings};

/// The regions that the content has a model of, in order of name.
pub fn regions(content: &Content) -> Vec<String> {
    let mut all: Vec<String> = content
        .under("anatomy/")
        .filter_map(|s| {
            s.name
                .strip_prefix("anatomy/")?
                .strip_suffix("/region.yaml")
                .map(str::to_string)
        })
        .collect();
    all.dedup();
    all
}

/// The region that is meant where none is named: that of settings.yaml, else the first there is.
///
/// # Errors
/// When settings.yaml cannot be read, or the content has no region.
pub fn default_region(content: &Content) -> Result<String, Failure> {
    if let Some(region) = settings(content)?.usual_region {
        return Ok(region);
    }
    regions(content).into_iter().next().ok_or_else(|| {
        Failure::usage(
            Problem::new("the content has no model of any region")
                .hint("a region is a folder of anatomy/ with a region.yaml"),
        )
    })
}

/// Loads and checks one region, with the charts that its skin is drawn on.
///
/// # Errors
/// Exit code 2 when the region is unknown or a file is no YAML of the right shape; exit code 1 with every problem at
/// once when what the files say does not hold together.
pub fn load(content: &Content, region: &str) -> Result<Model, Failure> {
    whole(content, region, true)
}

/// [`load`] without looking at the charts, for whoever draws no skin: `charts` is empty and mistakes in it are passed over.
///
/// # Errors
/// As [`load`].
pub fn load_undrawn(content: &Content, region: &str) -> Result<Model, Failure> {
    whole(content, region, false)
}

fn whole(content: &Content, region: &str, drawn: bool) -> Result<Model, Failure> {
    if content
        .get(&format!("anatomy/{region}/region.yaml"))
        .is_none()
    {
        let known = regions(content);
        return Err(Failure::usage(
            Problem::new(format!(
                "there is no model of the region `{}`",
                short(region)
            ))
            .hint(did_you_mean(
                region,
                known.iter().map(String::as_str),
                &format!("choose one of: {}", known.join(", ")),
            )),
        ));
    }
    let mut check = Checker::new(content, region);
    let written = read(&mut check, content, region, drawn)?;
    let codes = Names::of("source", &written.sources);
    check.heads(&written.segments, &codes);
    check.heads(&written.nerves, &codes);
    let kinds = kinds::resolve(&mut check, &written.head.kinds);
    let root_names = kinds::root_names(&mut check, &written.head);
    let graph = graph::build(
        &mut check,
        &written.head.roots,
        &kinds,
        &written.segments,
        &written.nerves,
    );
    // Without a sound graph every route would be reported as missing: stop at the cause.
    check.finish()?;
    strays(content, &mut check, region);
    let mut model = model(&mut check, graph, &codes, written);
    check.finish()?;
    (model.kinds, model.root_names) = (kinds, root_names);
    Ok(model)
}

/// Everything that is written of a region.
struct Written {
    head: raw::Region,
    segments: Vec<raw::Segment>,
    nerves: Vec<raw::Nerve>,
    muscles: Vec<raw::Muscle>,
    movements: Vec<raw::Movement>,
    skin: Vec<raw::SkinArea>,
    reflexes: Vec<raw::Reflex>,
    signs: Vec<raw::Sign>,
    variants: Vec<raw::Variant>,
    sites: Vec<raw::Site>,
    sources: Vec<raw::Source>,
    names: Vec<raw::Called>,
    /// None where nothing is to be drawn.
    views: Option<Vec<raw::View>>,
}

/// Reads every file, so that all unreadable ones are named at once.
fn read<'c>(
    check: &mut Checker<'c>,
    content: &'c Content,
    region: &str,
    drawn: bool,
) -> Result<Written, Failure> {
    let mut files = Files {
        check,
        content,
        folder: format!("anatomy/{region}"),
        unread: Vec::new(),
    };
    let head = files.source(HEAD).and_then(parse);
    // A region may do without charts; everything else works, only skin cannot be drawn.
    let drawn = drawn && files.source(raw::View::FILE).is_ok();
    let named = files.source(raw::Called::FILE).is_ok();
    let written = Written {
        head: match head {
            Ok(head) => head,
            Err(failure) => {
                files.unread.push(failure);
                raw::Region::default()
            }
        },
        segments: files.list(),
        nerves: files.list(),
        muscles: files.list(),
        movements: files.list(),
        skin: files.list(),
        reflexes: files.list(),
        signs: files.list(),
        variants: files.list(),
        sites: files.list(),
        sources: files.list(),
        names: if named { files.list() } else { Vec::new() },
        views: drawn.then(|| files.list()),
    };
    match Failure::of_all(files.unread) {
        Some(failure) => Err(failure),
        None => Ok(written),
    }
}

struct Files<'r, 'c> {
    check: &'r mut Checker<'c>,
    content: &'c Content,
    folder: String,
    unread: Vec<Failure>,
}

impl<'c> Files<'_, 'c> {
    fn source(&self, file: &str) -> Result<&'c Source, Failure> {
        let name = format!("{}/{file}", self.folder);
        self.content.get(&name).ok_or_else(|| {
            Failure::usage(
                Problem::new(format!("{name} is missing"))
                    .hint("a region needs this file; copy the shipped one and change it"),
            )
        })
    }

    /// The entries of a file, with those of the user's extra file; none where it cannot be read.
    fn list<E: Entry>(&mut self) -> Vec<E> {
        let read = self
            .source(E::FILE)
            .and_then(|source| parse_with_extra::<List<E>>(self.content, source));
        match read {
            Ok((list, origins)) => {
                self.check.written(E::FILE, origins);
                list.0
            }
            Err(failure) => {
                self.unread.push(failure);
                Vec::new()
            }
        }
    }
}

fn model(check: &mut Checker, graph: Graph, codes: &Names, written: Written) -> Model {
    let muscles = Names::of("muscle", &written.muscles);
    let skin = Names::of("skin area", &written.skin);
    let reflexes: Vec<String> = written.reflexes.iter().map(raw::Reflex::key).collect();
    let supplied = Names::new(
        "muscle, skin area or reflex",
        muscles
            .ids()
            .chain(skin.ids())
            .chain(reflexes.iter().map(String::as_str)),
    );
    let mut to = Resolver {
        changes: Changes::resolve(check, &graph, &written.variants, &supplied),
        check,
        graph: &graph,
        codes,
        movements: Names::of("movement", &written.movements),
        muscles,
        skin,
    };
    let mut model = Model {
        muscles: to.all(written.muscles),
        movements: to.all(written.movements),
        skin: to.all(written.skin),
        reflexes: to.all(written.reflexes),
        signs: to.all(written.signs),
        variants: to.all(written.variants),
        sites: to.all(written.sites),
        names: Vec::new(),
        charts: Charts::default(),
        sources: written
            .sources
            .into_iter()
            .map(|s| (s.code, format!("{} ({})", s.citation, s.status)))
            .collect(),
        index: Default::default(),
        region: written.head.region,
        label: written.head.label,
        roots: written.head.roots,
        root_names: Vec::new(),
        spine: written.head.spine,
        kinds: Vec::new(),
        segments: graph.segments,
        nerves: graph.nerves,
    };
    if let Some(views) = written.views {
        model.charts = charts::resolve(check, &views, &model.skin);
    }
    model.index = index::of(&model);
    check.heads(&written.names, codes);
    model.names = called::resolve(check, &model, written.names);
    model
}

/// A file of the user's that no file of a region is called like would be passed over in silence.
fn strays(content: &Content, check: &mut Checker<'_>, region: &str) {
    let folder = format!("anatomy/{region}/");
    for source in content.under(&folder).filter(|s| s.overlaid) {
        let file = source.name.strip_prefix(&folder).unwrap_or_default();
        let whole = file.replace(".extra.yaml", ".yaml");
        if FILES.contains(&whole.as_str()) || file == HEAD {
            continue;
        }
        let names = FILES.iter().chain(&[HEAD]).copied();
        check.complain_at(
            source,
            format!("no file of a region is called `{}`", short(&whole)),
            did_you_mean(&whole, names, &format!("use one of: {}", FILES.join(", "))),
        );
    }
}
