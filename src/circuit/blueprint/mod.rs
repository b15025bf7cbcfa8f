//! What did whoever plans the day ask for? The blueprint as it is written, checked with every problem at once, and what it is checked against.

pub mod clock;
mod limbs;
mod exposure;
mod learned;
mod kept;
mod checker;
mod passing;
mod checked;
mod written;
mod cells;
mod lists;
mod people;
mod changes;
mod check;

pub use check::check;
pub use checked::*;
pub use exposure::{Exposure, Met};
pub use kept::{Kept, KeptForm, KeptStation, KeptTrack};
pub use learned::{Asked, Experience, Harder, Learned};
pub use limbs::Limbs;
pub use lists::Lists;
pub use passing::{Cut, Danger, Passing, Then};
pub use written::{lists_of, regions_of};
