//! Pressures between a ring and what it rides on, which is rigid.

/// Sideways moves of the whole ring cost this many times less than bending it.
const FREE: f64 = 1e4;

/// Points give way by this share of the ring itself, so that neighbours can be told apart.
const YIELDING: f64 = 1e-10;

/// What is pressed.
pub struct Pressed<'a> {
    /// How far each point is to be pushed, at least; the largest of them about 1.
    pub wanted: &'a [f64],
    /// Moments at the stations for a unit force at each point.
    pub arms: &'a [Vec<f64>],
    /// What a station turns for a moment.
    pub soft: &'a [f64],
}

/// How far a unit force at one point pushes another while it moves the whole ring, for a
/// ring that moves by [`FREE`] times what it bends most.
pub fn moved(largest: f64) -> f64 {
    FREE * largest
}

/// Pressures at points, none below zero, that push each of them outwards as wanted or
/// more, those that press by just that, while they balance. `aside` is what a unit force at
/// one point moves another by sideways moves of the whole ring, over [`moved`].
/// Found by adding and dropping points (Lawson and Hanson, Solving Least Squares
/// Problems, 1974, chapter 23); none if that does not end.
pub fn press(pressed: &Pressed, aside: impl Fn(usize, usize) -> f64) -> Option<Vec<f64>> {
    let Pressed { wanted: far, arms, soft } = *pressed;
    let n = far.len();
    let weighed: Vec<Vec<f64>> =
        arms.iter().map(|a| a.iter().zip(soft).map(|(a, f)| a * f).collect()).collect();
    let bend =
        |i: usize, k: usize| -> f64 { arms[i].iter().zip(&weighed[k]).map(|(a, b)| a * b).sum() };
    let mut give = vec![vec![0.0; n]; n];
    let largest = largest(pressed);
    for (i, k) in (0..n).flat_map(|i| (0..=i).map(move |k| (i, k))) {
        let own = if i == k { YIELDING * largest } else { 0.0 };
        give[i][k] = bend(i, k) + moved(largest) * aside(i, k) + own;
        give[k][i] = give[i][k];
    }
    let mut pressing: Vec<usize> = Vec::new();
    let mut force = vec![0.0; n];
    for _ in 0..4 * n {
        let short = |i: usize| far[i] - give[i].iter().zip(&force).map(|(g, p)| g * p).sum::<f64>();
        let worst = (0..n).filter(|i| !pressing.contains(i)).map(|i| (short(i), i));
        let worst = worst.max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, add)) = worst.filter(|w| w.0 > 1e-6) else { return Some(force) };
        pressing.push(add);
        loop {
            let wanted = solve(&give, &pressing, far)?;
            if wanted.iter().all(|w| *w > 0.0) {
                pressing.iter().zip(&wanted).for_each(|(k, w)| force[*k] = *w);
                break;
            }
            // As far towards it as no force pulls.
            let share = |(k, w): (&usize, &f64)| force[*k] / (force[*k] - w);
            let share = pressing.iter().zip(&wanted).filter(|(_, w)| **w <= 0.0).map(share);
            let share = share.fold(1.0, f64::min);
            for (k, w) in pressing.iter().zip(&wanted) {
                force[*k] += share * (w - force[*k]);
            }
            let gone = |k: &usize, w: f64| w <= 0.0 && force[*k] <= 1e-15 * force[add].max(1e-300);
            let kept: Vec<usize> = pressing
                .iter()
                .zip(&wanted)
                .filter(|(k, w)| !gone(k, **w))
                .map(|(k, _)| *k)
                .collect();
            if kept.len() == pressing.len() || kept.is_empty() {
                return None;
            }
            pressing.iter().filter(|k| !kept.contains(k)).for_each(|k| force[*k] = 0.0);
            pressing = kept;
        }
    }
    None
}

/// The most that any point gives way to a unit force there, by bending.
pub fn largest(pressed: &Pressed) -> f64 {
    let bend =
        |arms: &Vec<f64>| -> f64 { arms.iter().zip(pressed.soft).map(|(a, f)| a * (a * f)).sum() };
    pressed.arms.iter().map(bend).fold(0.0, f64::max)
}

/// Forces at some points that push each of them as wanted (Cholesky's method).
fn solve(give: &[Vec<f64>], at: &[usize], far: &[f64]) -> Option<Vec<f64>> {
    let n = at.len();
    let mut low = vec![vec![0.0; n]; n];
    for i in 0..n {
        for k in 0..=i {
            let known: f64 = (0..k).map(|m| low[i][m] * low[k][m]).sum();
            let rest = give[at[i]][at[k]] - known;
            if i == k {
                if rest <= 0.0 {
                    return None;
                }
                low[i][i] = rest.sqrt();
            } else {
                low[i][k] = rest / low[k][k];
            }
        }
    }
    let mut x: Vec<f64> = at.iter().map(|k| far[*k]).collect();
    for (i, row) in low.iter().enumerate() {
        let known: f64 = row[..i].iter().zip(&x).map(|(l, x)| l * x).sum();
        x[i] = (x[i] - known) / row[i];
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| low[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / low[i][i];
    }
    Some(x)
}
