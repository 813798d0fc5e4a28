//! How many connections are open, in all and by address.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

use super::super::gate::Door;

/// Connections at one time, from all and from one address.
const MOST: usize = 256;
const MOST_OF_ONE: usize = 16;
/// This machine's own browser and tools share one address.
const MOST_HERE: usize = 128;

/// Open connections by address.
#[derive(Clone, Default)]
pub(super) struct Open(Arc<Mutex<BTreeMap<(IpAddr, bool), usize>>>);

impl Open {
    /// A place for one more connection; none where there are enough.
    pub(super) fn take(&self, ip: IpAddr, door: Door) -> Option<Place> {
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let is_here = door == Door::Here;
        let most = if is_here { MOST_HERE } else { MOST_OF_ONE };
        let from = (ip, is_here);
        if MOST <= open.values().sum() || most <= open.get(&from).copied().unwrap_or(0) {
            return None;
        }
        *open.entry(from).or_default() += 1;
        Some(Place {
            open: self.clone(),
            from,
        })
    }
}

/// One open connection; gives its place back when it ends.
pub(super) struct Place {
    open: Open,
    from: (IpAddr, bool),
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.open.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.from) {
            *count -= 1;
            if *count == 0 {
                open.remove(&self.from);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_cannot_take_all_places() {
        let open = Open::default();
        let lan = |n: u8| {
            let at = IpAddr::from([192, 168, 1, 20]);
            open.take(IpAddr::from([192, 168, 1, n]), Door::Lan { at, tls: true })
        };
        let take = |n: u8| (0..200).filter_map(|_| lan(n)).collect::<Vec<_>>();
        let first = take(1);
        assert_eq!(first.len(), MOST_OF_ONE);
        assert!(lan(1).is_none() && lan(2).is_some());
        let mine = (0..200).filter_map(|_| open.take(IpAddr::from([127, 0, 0, 1]), Door::Here));
        assert_eq!(mine.collect::<Vec<_>>().len(), MOST_HERE);
        drop(first);
        assert_eq!(take(1).len(), MOST_OF_ONE);
        let all: Vec<Place> = (0..=255).flat_map(take).collect();
        assert_eq!(all.len(), MOST);
        assert!(lan(1).is_none());
    }
}
