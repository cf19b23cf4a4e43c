//! Which of many things hang together.

/// Disjoint sets of numbers; the least of a set leads it.
pub struct Groups(Vec<u32>);

impl Groups {
    /// Each number below `count` in a set of its own.
    pub fn new(count: usize) -> Groups {
        Groups((0..count as u32).collect())
    }

    /// The least of the set of a number.
    pub fn leader(&mut self, mut of: u32) -> u32 {
        while self.0[of as usize] != of {
            let above = self.0[self.0[of as usize] as usize];
            self.0[of as usize] = above;
            of = above;
        }
        of
    }

    /// Makes one set of the sets of two numbers.
    pub fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.leader(a), self.leader(b));
        self.0[a.max(b) as usize] = a.min(b);
    }
}
