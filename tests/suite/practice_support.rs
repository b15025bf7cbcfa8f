//! A booklet as the library makes it, taken apart into its pages.

use crate::station_support::{World, world};
use vivasmith::case::Level;
use vivasmith::circuit::Exposure;
use vivasmith::files::OutFile;
use vivasmith::practice::{Chosen, Rule, Weak, Wish, choose};
use vivasmith::sheets::practice::Booklet;
use vivasmith::sheets::publish::Formats;
use vivasmith::sheets::words::Printer;
use vivasmith::station::BuildCache;
use vivasmith::typeset::PageStyle;

pub struct Made {
    pub world: World,
    pub cases: Vec<Chosen>,
    pub given_up: Vec<Rule>,
}

/// What a test changes of a wish: cases, level, seed, kinds by id (none: all), what to practise.
pub struct Asked<'a> {
    pub cases: usize,
    pub level: Level,
    pub seed: u64,
    pub kinds: &'a [&'a str],
    pub like: &'a [(&'a str, Option<&'a str>)],
}

impl Made {
    pub fn new(asked: &Asked<'_>) -> Made {
        let world = world();
        let (cases, given_up) = {
            let cache = BuildCache::new(&world.model, &world.content, &[]);
            let kinds = cache.kinds().expect("kinds").iter();
            let wanted = |id: &String| asked.kinds.is_empty() || asked.kinds.contains(&id.as_str());
            let site = |id: &str| world.model.sites.iter().position(|s| s.id == id);
            let weak = asked.like.iter().map(|(id, kind)| Weak {
                site: site(id).expect("a site"),
                kind: kind.map(String::from),
                level: None,
            });
            let wish = Wish {
                cases: asked.cases,
                among: (0..world.model.sites.len()).collect(),
                kinds: kinds.filter(|k| wanted(&k.id)).cloned().collect(),
                level: asked.level,
                seed: asked.seed,
                like: weak.collect(),
                met: &Exposure::default(),
            };
            choose(&cache, &wish).unwrap_or_else(|e| panic!("{e}"))
        };
        Made {
            world,
            cases,
            given_up,
        }
    }

    pub fn files(&self, page: PageStyle, pdf: bool, threads: usize) -> Vec<OutFile> {
        let files = self.booklet(page, pdf, threads, &|b: &Booklet<'_>| b.files());
        files.unwrap_or_else(|e| panic!("{e}"))
    }

    /// What is made of the booklet on these pages.
    pub fn booklet<T>(
        &self,
        page: PageStyle,
        pdf: bool,
        threads: usize,
        make: &dyn Fn(&Booklet<'_>) -> T,
    ) -> T {
        let printer = Printer::new(&self.world.content).expect("the shipped templates");
        make(&Booklet {
            printer: &printer,
            model: &self.world.model,
            cases: &self.cases,
            page,
            formats: Formats {
                pdf,
                markdown: true,
            },
            threads,
        })
    }

    /// The pages in Markdown.
    pub fn pages(&self) -> Vec<String> {
        pages(&self.files(PageStyle::default(), false, 2))
    }
}

pub fn pages(files: &[OutFile]) -> Vec<String> {
    let text = files.iter().find(|f| f.name.ends_with("-practice.md"));
    let text = String::from_utf8(text.expect("the booklet").bytes.clone()).expect("text");
    let parts = text.split("<!-- page break -->");
    parts.map(|p| p.trim().to_string()).collect()
}
