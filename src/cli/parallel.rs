//! The same work on many things, on all threads.

use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::mpsc::channel;

/// Hands over each result as soon as it is there, with its item's index. Items are begun in
/// their order. `take` runs on this thread.
pub fn each<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(usize, R),
) {
    let (sender, results) = channel();
    std::thread::scope(|scope| {
        let work = &work;
        let worker = scope.spawn(move || {
            // A bridge hands out one item at a time: halves would begin in the middle.
            let items = items.iter().enumerate().par_bridge();
            items.for_each_with(sender, |sender, (index, item)| {
                // Nobody waits only when `take` has panicked.
                let _ = sender.send((index, work(item)));
            });
        });
        for (index, result) in results {
            take(index, result);
        }
        if let Err(reason) = worker.join() {
            std::panic::resume_unwind(reason);
        }
    });
}

/// As [`each`], the results in the order of the items.
pub fn in_order<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(usize, R),
) {
    let mut early = BTreeMap::new();
    let mut next = 0;
    each(items, work, |index, result| {
        early.insert(index, result);
        while let Some(result) = early.remove(&next) {
            take(next, result);
            next += 1;
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_order_and_none_is_lost() {
        let items: Vec<u64> = (0..500).collect();
        let mut found = Vec::new();
        in_order(&items, |n| n * n, |index, square| found.push((index as u64, square)));
        let expected: Vec<_> = items.iter().map(|n| (*n, n * n)).collect();
        assert_eq!(found, expected);
    }

    #[test]
    #[should_panic(expected = "seven")]
    fn a_panic_comes_through() {
        each(&[6, 7, 8], |n| assert!(*n != 7, "seven"), |_, ()| {});
    }
}
