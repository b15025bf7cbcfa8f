//! Which place in the column is left within lists, quotes and boxes?

use super::item::{Item, Role, Tag};
use super::part::PartIx;
use super::style::LEAST_WIDTH;
use crate::diagnostic::Problem;

/// Where in the column a block stands.
#[derive(Clone)]
pub struct Place {
    pub x: f32,
    pub width: f32,
    pub holders: Vec<usize>,
    pub role: Role,
    /// The part of the text the blocks of this place stand in.
    pub part: Option<PartIx>,
}

impl Place {
    pub fn tag(&self, part: PartIx) -> Tag {
        Tag {
            role: self.role,
            part: Some(part),
        }
    }

    /// A narrower place within this one.
    ///
    /// # Errors
    /// When no width is left for text.
    pub fn indented(&self, left: f32, right: f32) -> Result<Place, Problem> {
        let width = self.width - left - right;
        if width < LEAST_WIDTH {
            return Err(
                Problem::new("lists, quotes or boxes stand so deep in each other that no width is left for the text")
                    .hint("use fewer levels, or shorter numbers"),
            );
        }
        Ok(Place {
            x: self.x + left,
            width,
            ..self.clone()
        })
    }

    /// A rule across the place, `y` below the upper edge of its piece.
    pub fn rule(&self, y: f32, thickness: f32, grey: f32) -> Item {
        Item::level(self.x, self.x + self.width, y, thickness, grey)
    }
}
