//! Results to standard output, talk to standard error.

use std::io::{self, Write};

/// Prints results. A reader who has left (`duskwright … | head`) ends the
/// printing quietly: nobody is there to be told.
///
/// # Errors
/// Any other failure to write, such as a full disk behind a redirection.
pub(crate) fn results(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Says something beside the results; a closed standard error is no reason to fail.
pub(crate) fn talk(text: &str) {
    let mut out = io::stderr().lock();
    let said = out.write_all(text.as_bytes());
    if said.is_ok() && !text.ends_with('\n') {
        let _ended = out.write_all(b"\n");
    }
}
