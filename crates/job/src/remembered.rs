//! Results of pure functions that are dear and asked for again: tables of
//! machines. What is remembered is what would be computed, to the bit.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// The newest results of one function, by what it was asked.
#[derive(Debug)]
pub(crate) struct Remembered<K, V> {
    kept: Mutex<VecDeque<(K, Arc<V>)>>,
    most: usize,
}

impl<K: PartialEq, V> Remembered<K, V> {
    /// An empty memory of `most` results.
    pub(crate) const fn new(most: usize) -> Self {
        Self {
            kept: Mutex::new(VecDeque::new()),
            most,
        }
    }

    /// The result for `key`: the one remembered, else made now. What is made is
    /// made with the memory open to others, so that two may make the same.
    ///
    /// # Errors
    /// Those of `make`; they are not remembered.
    pub(crate) fn of<E>(&self, key: K, make: impl FnOnce() -> Result<V, E>) -> Result<Arc<V>, E> {
        if let Some(known) = self.recall(&key) {
            return Ok(known);
        }
        let made = Arc::new(make()?);
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if self.most <= kept.len() {
            kept.pop_front();
        }
        kept.push_back((key, Arc::clone(&made)));
        Ok(made)
    }

    fn recall(&self, key: &K) -> Option<Arc<V>> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(k, _)| k == key)?;
        let found = kept.remove(at)?;
        let value = Arc::clone(&found.1);
        // Asked for last, dropped last.
        kept.push_back(found);
        Some(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_asked_last_is_kept() {
        let memory: Remembered<u32, u32> = Remembered::new(2);
        let made = std::cell::Cell::new(0);
        let ask = |n: u32| {
            let square = || {
                made.set(made.get() + 1);
                Ok::<_, ()>(n * n)
            };
            *memory.of(n, square).unwrap()
        };
        assert_eq!((ask(3), ask(4), ask(3)), (9, 16, 9));
        assert_eq!(made.get(), 2);
        // 4 goes for 5, as 3 was asked for since.
        assert_eq!((ask(5), ask(3)), (25, 9));
        assert_eq!(made.get(), 3);
        assert_eq!(ask(4), 16);
        assert_eq!(made.get(), 4);
    }

    #[test]
    fn failures_are_made_again() {
        let memory: Remembered<u32, u32> = Remembered::new(2);
        assert_eq!(memory.of(1, || Err("not now")), Err("not now"));
        assert_eq!(memory.of(1, || Ok::<_, ()>(7)).as_deref(), Ok(&7));
    }
}
