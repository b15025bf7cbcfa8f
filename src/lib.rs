//! vivasmith turns an anatomy model into viva stations on the nerves of the limbs: a lesion, a patient, and the sheets to examine with.
//!
//! The modules stand in the order the data takes, and the order is the rule: a module imports only modules above it
//! (a test keeps it so).

pub mod diagnostic;
pub mod wording;
pub mod files;
pub mod anatomy;
pub mod lesion;
pub mod findings;
pub mod localise;
pub mod reasoning;
pub mod teaching;
pub mod case;
pub mod station;
pub mod circuit;
pub mod marks;
pub mod practice;
pub mod figure;
pub mod typeset;
pub mod sheets;
pub mod cli;
