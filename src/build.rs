//! Turns a new content file into a rebuild: the embedded folders are read by a macro that only notices changed files, not new ones.
fn main() {
    println!("cargo::rerun-if-changed=stations");
    println!("cargo::rerun-if-changed=templates");
}
