//! Runs all checks from outside the crate as one binary, so that the program is linked once.

mod outside_branches;
mod outside_common;
mod outside_discriminators;
mod outside_graphdb;
mod outside_isncsci;
mod outside_json;
mod outside_laws;
mod outside_monotone;
mod outside_myotomes;
mod outside_nerves;
mod outside_torque;
