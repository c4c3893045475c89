//! Bytes to text.

use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use std::rc::Rc;

/// Largest file, bytes (20 MB).
const LARGEST_FILE: usize = 20_000_000;

/// The text of a file without byte-order mark.
pub(in crate::job) fn text_of<'a>(
    file: &Rc<str>,
    bytes: &'a [u8],
    ledger: &mut Ledger,
) -> Result<&'a str, Reported> {
    if bytes.len() > LARGEST_FILE {
        let fault = Fault::new(
            Code::FileTooLarge,
            &Place::file(file),
            format!("`{file}` is too large"),
        );
        let given = format!("{} bytes", bytes.len());
        return Err(ledger.fault(fault.given(given).accepted("at most 20 MB a file")));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').unwrap_or(text)),
        Err(error) => Err(ledger.fault(not_utf8(file, bytes, error.valid_up_to()))),
    }
}

fn not_utf8(file: &Rc<str>, bytes: &[u8], valid: usize) -> Fault {
    let good = String::from_utf8_lossy(&bytes[..valid]);
    let line = 1 + good.matches('\n').count();
    let column = 1 + good.rsplit('\n').next().unwrap_or_default().chars().count();
    let place = Place {
        line: u32::try_from(line).ok(),
        column: u32::try_from(column).ok(),
        ..Place::file(file)
    };
    let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    let help = if utf16 {
        "the file is UTF-16; save it as UTF-8"
    } else {
        "save the file as UTF-8 (in a spreadsheet: CSV UTF-8)"
    };
    let given = bytes.get(valid).map(|byte| format!("byte 0x{byte:02X}"));
    Fault::new(Code::NotUtf8, &place, format!("`{file}` is not UTF-8 text"))
        .given(given.unwrap_or_default())
        .accepted("UTF-8 text")
        .help(help)
}
