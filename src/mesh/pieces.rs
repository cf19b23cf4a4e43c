//! The pieces of a mesh: what can be taken away by itself.

use super::groups::Groups;
use super::space::Bounds;
use super::triangles::Mesh;

impl Mesh {
    /// Triangles of each piece in ascending order, pieces in the order of their first triangle.
    /// The shell of a closed hollow, which is inside out, belongs to the piece around it.
    pub fn pieces(&self) -> Vec<Vec<usize>> {
        let hollow = |shell: &Vec<usize>| self.volume_of(shell.iter().copied()) < 0.0;
        let (hollows, mut pieces): (Vec<_>, Vec<_>) = self.shells().into_iter().partition(hollow);
        if hollows.is_empty() {
            return pieces;
        }
        let boxed = |shell: &[usize]| Bounds::of(shell.iter().flat_map(|t| self.corners(*t)));
        let boxes: Vec<Bounds> = pieces.iter().map(|piece| boxed(piece)).collect();
        for shell in hollows {
            let own = boxed(&shell);
            let smallest = (0..pieces.len())
                .filter(|k| boxes[*k].holds(&own))
                .min_by(|a, b| boxes[*a].volume().total_cmp(&boxes[*b].volume()));
            match smallest {
                Some(k) => {
                    pieces[k].extend(shell);
                    pieces[k].sort_unstable();
                }
                None => pieces.push(shell),
            }
        }
        pieces
    }

    /// Triangles that hang together by shared corners, each group in ascending order, groups
    /// in the order of their first triangle.
    fn shells(&self) -> Vec<Vec<usize>> {
        let mut groups = Groups::new(self.vertices.len());
        for [a, b, c] in &self.triangles {
            groups.join(*a, *b);
            groups.join(*b, *c);
        }
        let mut index = vec![usize::MAX; self.vertices.len()];
        let mut shells: Vec<Vec<usize>> = Vec::new();
        for (t, [a, ..]) in self.triangles.iter().enumerate() {
            let leader = groups.leader(*a) as usize;
            if index[leader] == usize::MAX {
                index[leader] = shells.len();
                shells.push(Vec::new());
            }
            shells[index[leader]].push(t);
        }
        shells
    }

    /// Volume inside some triangles, mm3; below 0 where they are inside out.
    pub fn volume_of(&self, triangles: impl IntoIterator<Item = usize>) -> f64 {
        let six = |t: usize| {
            let [a, b, c] = self.corners(t);
            a[0] * (b[1] * c[2] - b[2] * c[1])
                + a[1] * (b[2] * c[0] - b[0] * c[2])
                + a[2] * (b[0] * c[1] - b[1] * c[0])
        };
        triangles.into_iter().map(six).sum::<f64>() / 6.0
    }

    /// Some of its triangles by themselves.
    #[must_use]
    pub fn part(&self, triangles: &[usize]) -> Mesh {
        let mut names = std::collections::BTreeMap::new();
        let mut out = Mesh::default();
        for t in triangles {
            let corners = self.triangles[*t].map(|v| {
                *names.entry(v).or_insert_with(|| {
                    out.vertices.push(self.vertices[v as usize]);
                    out.vertices.len() as u32 - 1
                })
            });
            out.add(corners, self.tags[*t]);
        }
        out
    }
}
