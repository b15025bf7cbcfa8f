//! Can the plexus of a region be drawn? Where not, its stations are printed without that picture, and whoever wrote the region should know.

use crate::anatomy::Model;
use crate::diagnostic::Problem;
use crate::figure::{self, Kind};
use crate::files::{Content, locate};
use crate::sheets::words::Printer;
use crate::typeset::PageStyle;

/// Advice for each region whose plexus cannot.
pub fn of(
    content: &Content,
    models: &[(String, Option<Model>)],
    printer: Option<&Printer<'_>>,
) -> Vec<Problem> {
    let models = models.iter().filter_map(|(_, m)| m.as_ref());
    let Some(printer) = printer else {
        return Vec::new();
    };
    models.filter_map(|m| advice(content, m, printer)).collect()
}

/// None for a region that declares no plexus: it has nothing to draw.
fn advice(content: &Content, model: &Model, printer: &Printer<'_>) -> Option<Problem> {
    model.outermost()?;
    let style = printer.figure_style(PageStyle::default());
    let drawn = |kind| figure::plexus(model, None, kind, &style).err();
    let problem = drawn(Kind::Plain).or_else(|| drawn(Kind::Blank))?;
    let advice = Problem::new(format!(
        "the plexus of the {} cannot be drawn, so its stations are printed without that picture: {}",
        model.label, problem.message
    ))
    .hint(problem.hint);
    let source = content.get(&format!("anatomy/{}/plexus.yaml", model.region));
    Some(match source {
        Some(source) => advice.at(locate(source, &[])),
        None => advice,
    })
}
