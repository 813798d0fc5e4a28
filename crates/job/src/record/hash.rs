//! SHA-256 as it names events and photos.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest, Sha256};

/// A SHA-256 hash; as text 64 hexadecimal digits in small letters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

/// Text that is no hash.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no hash: 64 digits of 0 to 9 and a to f are wanted")]
pub struct NoHash(pub String);

impl Hash {
    /// The hash of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// A hash from its text; capitals are refused, so that each hash is
    /// written in one way.
    ///
    /// # Errors
    /// The text is not 64 hexadecimal digits in small letters.
    pub fn read(text: &str) -> Result<Self, NoHash> {
        let fail = || NoHash(text.chars().take(80).collect());
        let digits = text.as_bytes();
        if digits.len() != 64 {
            return Err(fail());
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks(2)) {
            for digit in pair {
                let value = match digit {
                    b'0'..=b'9' => digit - b'0',
                    b'a'..=b'f' => digit - b'a' + 10,
                    _ => return Err(fail()),
                };
                *byte = *byte << 4 | value;
            }
        }
        Ok(Self(bytes))
    }

    /// The first eight digits, as people compare them.
    pub fn short(&self) -> String {
        self.to_string().chars().take(8).collect()
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl Serialize for Hash {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Hash {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::read(&text).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 example: "abc".
    #[test]
    fn abc_has_the_hash_of_the_standard() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Hash::of(b"abc").to_string(), abc);
        assert_eq!(Hash::read(abc), Ok(Hash::of(b"abc")));
        assert_eq!(Hash::of(b"abc").short(), "ba7816bf");
    }

    #[test]
    fn each_hash_is_written_in_one_way() {
        let abc = Hash::of(b"abc").to_string();
        assert!(Hash::read(&abc.to_uppercase()).is_err());
        assert!(Hash::read(&abc[1..]).is_err());
        assert!(Hash::read(&format!("{}é", &abc[2..])).is_err());
    }
}
