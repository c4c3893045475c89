//! `duskwright manual`: the help as man pages, one for each command.

use crate::args::{Arguments, ManualArguments};
use crate::command::print;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::staging;
use clap::CommandFactory;
use clap_mangen::Man;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Writes the pages, none before all of them are on disk.
///
/// # Errors
/// [`Failure`] when the folder or a page cannot be written.
pub(crate) fn run(arguments: &ManualArguments) -> Result<Exit, Failure> {
    let folder = &arguments.out;
    let pages = pages().map_err(Failure::file("write", folder))?;
    fs::create_dir_all(folder).map_err(Failure::file("create", folder))?;
    let files: Vec<(&Path, &[u8])> = pages
        .iter()
        .map(|(name, page)| (name.as_path(), page.as_slice()))
        .collect();
    staging::replace_all(folder, &files)?;
    for (name, _) in &pages {
        print(&format!("{}\n", folder.join(name).display()))?;
    }
    Ok(Exit::Feasible)
}

/// Name and text of each page, that of the whole first.
fn pages() -> io::Result<Vec<(PathBuf, Vec<u8>)>> {
    let mut whole = Arguments::command().disable_help_subcommand(true);
    // Gives each command its own name, `duskwright-plan`, under which a page is looked up.
    whole.build();
    let all = std::iter::once(&whole).chain(whole.get_subcommands());
    all.map(|command| {
        let name = command.get_display_name().unwrap_or(command.get_name());
        let mut page = Vec::new();
        Man::new(command.clone()).render(&mut page)?;
        Ok((PathBuf::from(format!("{name}.1")), page))
    })
    .collect()
}
