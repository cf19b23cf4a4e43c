//! A secret of one run, which only pages of this server know.

use std::collections::hash_map::RandomState;
use std::hash::{BuildHasher, Hasher};

/// 128 bits that nobody outside can guess, as hexadecimal digits. The keys of the standard
/// library's hasher are drawn from the system's random source.
pub fn token() -> String {
    let mut hasher = blake3::Hasher::new();
    for _ in 0..4 {
        hasher.update(&RandomState::new().build_hasher().finish().to_le_bytes());
    }
    hasher.finalize().to_hex()[..32].to_string()
}

#[cfg(test)]
mod tests {
    #[test]
    fn tokens_are_long_and_no_two_are_alike() {
        let all: std::collections::BTreeSet<String> = (0..100).map(|_| super::token()).collect();
        assert_eq!(all.len(), 100);
        assert!(all.iter().all(|t| t.len() == 32 && t.bytes().all(|b| b.is_ascii_hexdigit())));
    }
}
