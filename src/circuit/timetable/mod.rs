//! Who is where when? The rotation of candidates, the order of the stations on the route, and who sits where.

mod matching;
pub mod rotation;
mod route;
mod track;
mod capacity;
mod overlaps;
mod stand_ins;
mod examiners;
mod seats;

pub use route::{Form, arrange};
pub use seats::seat;
pub use track::Track;
