//! The `duskwright` command: words typed, files opened, codes returned, the
//! clock. All figures come from the libraries.

mod args;
mod console;
mod exit;
mod failure;
mod folder;
mod settings;
mod staging;
mod summary;
mod watch;

fn main() {}
