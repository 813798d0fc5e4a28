//! Random words that let someone in. Only their hashes are kept.

use rand::Rng;

use super::super::hash::{hex, sha256};

/// 32 random bytes as hexadecimal digits.
pub(super) struct Secret(String);

impl Secret {
    pub(super) fn new() -> Self {
        let mut bytes = [0_u8; 32];
        rand::rng().fill_bytes(&mut bytes);
        Self(hex(&bytes))
    }

    pub(super) fn text(&self) -> &str {
        &self.0
    }
}

/// Hash under which a secret is kept.
pub(super) fn hash(secret: &str) -> String {
    sha256(secret.as_bytes())
}

/// What forms drawn for the holder of this cookie carry: made from it, so that
/// it lasts as long as the cookie does, and whoever cannot read the cookie
/// cannot know it.
pub(super) fn form_token(cookie: &str) -> String {
    hash(&format!("form {cookie}"))
}

/// Whether two texts are the same, in a time that does not tell where they part.
pub(crate) fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn secrets_differ_and_are_compared_whole() {
        let (a, b) = (Secret::new(), Secret::new());
        assert_ne!(a.text(), b.text());
        assert_eq!(a.text().len(), 64);
        let token = form_token(a.text());
        assert_ne!(token, form_token(b.text()));
        assert_ne!(token, hash(a.text()), "not what is kept on the disk");
        assert!(same("abc", "abc"));
        for other in ["abd", "ab", "abcd", ""] {
            assert!(!same("abc", other));
        }
    }
}
