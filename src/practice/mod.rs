//! Which cases does somebody get who learns without an examiner, in which order, and what does the key say beside the room sheet?
//!
//! ```text
//! feedback sheet, site ids --like--> weak places
//! wish --choose (leak)--> cases --order--> cases in their order --key--> wrong answers, each with what decides
//! ```

mod choose;
mod key;
mod leak;
mod like;
mod lines;
mod order;

pub use choose::{Chosen, FEWEST, MOST, Wish, choose};
pub use key::{KeyRow, Wrong, key_rows, wrong};
pub use leak::{Leaf, late, leak};
pub use like::{Like, Weak, first_site, like};
pub use lines::{shared_out, widened};
pub use order::{Rule, Standing, order};
