//! Names for contents: SHA-256 as hexadecimal digits.

use sha2::{Digest, Sha256};

/// 64 hexadecimal digits over some parts. Lengths are counted in, so that no two
/// lists of parts run together alike.
pub(crate) fn of<'a>(parts: impl IntoIterator<Item = &'a [u8]>) -> String {
    let mut digest = Sha256::new();
    for part in parts {
        digest.update((part.len() as u64).to_be_bytes());
        digest.update(part);
    }
    let digest = digest.finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::of;

    #[test]
    fn parts_do_not_run_together() {
        assert_ne!(of([b"ab".as_slice(), b"c"]), of([b"a".as_slice(), b"bc"]));
        // SHA-256 of no bytes (FIPS 180-4 examples).
        assert_eq!(
            of([]),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }
}
