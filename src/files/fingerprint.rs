//! How is a change of bytes noticed? By a number that is the same on every machine.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// 64-bit FNV-1a (Fowler, Noll, Vo): for codes, streams and changed files, never for secrets.
pub fn fnv1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// SHA-256 in base64: how a security policy of a page names a script or a style that may run.
pub fn sha256_base64(bytes: &[u8]) -> String {
    STANDARD.encode(Sha256::digest(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Test vectors published with the function, from memory.
    #[test]
    fn the_published_values_come_out() {
        assert_eq!(fnv1a(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv1a(b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fnv1a(b"foobar"), 0x8594_4171_f739_67e8);
    }

    /// FIPS 180-4, the example of one block ("abc"), its digest written in base64.
    #[test]
    fn the_example_of_the_standard_comes_out() {
        assert_eq!(
            sha256_base64(b"abc"),
            "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="
        );
    }
}
