//! Orders things after what they depend on, and finds the cycles.

use std::collections::VecDeque;

/// What an ordering found.
pub struct Ordered {
    /// Every node, each after those that it depends on, cycles aside.
    pub order: Vec<usize>,
    /// Groups of nodes that depend on each other, each ascending.
    pub cycles: Vec<Vec<usize>>,
}

/// Orders the nodes `0..edges.len()`; `edges[a]` holds what `a` depends on. Tarjan's
/// strongly connected components (R. Tarjan, SIAM J. Comput. 1(2), 1972), without
/// recursion, so that long chains do not exhaust the stack.
pub fn ordered(edges: &[Vec<usize>]) -> Ordered {
    let count = edges.len();
    let mut number = vec![usize::MAX; count];
    let mut low = vec![0; count];
    let mut on_stack = vec![false; count];
    let mut stack = Vec::new();
    let mut next = 0;
    let mut result = Ordered { order: Vec::with_capacity(count), cycles: Vec::new() };
    for root in 0..count {
        if number[root] != usize::MAX {
            continue;
        }
        // A node with the number of its edges already followed.
        let mut work = vec![(root, 0)];
        while let Some((node, edge)) = work.pop() {
            if edge == 0 {
                number[node] = next;
                low[node] = next;
                next += 1;
                stack.push(node);
                on_stack[node] = true;
            } else {
                let child = edges[node][edge - 1];
                low[node] = low[node].min(low[child]);
            }
            let mut edge = edge;
            let mut deeper = None;
            while let Some(child) = edges[node].get(edge).copied() {
                edge += 1;
                if number[child] == usize::MAX {
                    deeper = Some(child);
                    break;
                }
                if on_stack[child] {
                    low[node] = low[node].min(number[child]);
                }
            }
            if let Some(child) = deeper {
                work.push((node, edge));
                work.push((child, 0));
            } else if low[node] == number[node] {
                close(node, edges, &mut stack, &mut on_stack, &mut result);
            }
        }
    }
    result
}

/// Takes one finished component off the stack.
fn close(
    node: usize,
    edges: &[Vec<usize>],
    stack: &mut Vec<usize>,
    on_stack: &mut [bool],
    result: &mut Ordered,
) {
    let mut group = Vec::new();
    while let Some(member) = stack.pop() {
        on_stack[member] = false;
        group.push(member);
        if member == node {
            break;
        }
    }
    group.sort_unstable();
    if group.len() > 1 || edges[node].contains(&node) {
        result.cycles.push(group.clone());
    }
    result.order.extend(group);
}

/// A shortest way from `start` back to itself inside `group`, without the last step.
pub fn way_round(edges: &[Vec<usize>], group: &[usize], start: usize) -> Vec<usize> {
    let mut came_from = vec![usize::MAX; edges.len()];
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        for child in edges[node].iter().copied().filter(|c| group.binary_search(c).is_ok()) {
            if child == start {
                let mut way = vec![node];
                while let Some(last) = way.last().copied().filter(|last| *last != start) {
                    way.push(came_from[last]);
                }
                way.reverse();
                return way;
            }
            if came_from[child] == usize::MAX {
                came_from[child] = node;
                queue.push_back(child);
            }
        }
    }
    vec![start]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn things_come_after_what_they_depend_on() {
        let found = ordered(&[vec![1, 2], vec![2], vec![], vec![0]]);
        assert_eq!(found.order, [2, 1, 0, 3]);
        assert!(found.cycles.is_empty());
    }

    #[test]
    fn cycles_are_found_and_walked() {
        let edges = [vec![1], vec![2, 3], vec![0], vec![3], vec![]];
        let found = ordered(&edges);
        assert_eq!(found.cycles, [vec![3], vec![0, 1, 2]]);
        assert_eq!(way_round(&edges, &found.cycles[1], 0), [0, 1, 2]);
        assert_eq!(way_round(&edges, &found.cycles[0], 3), [3]);
        assert_eq!(found.order.len(), 5);
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_needs_no_stack() {
        let edges: Vec<Vec<usize>> =
            (0..100_000).map(|i| if i + 1 < 100_000 { vec![i + 1] } else { vec![] }).collect();
        let found = ordered(&edges);
        assert_eq!(found.order[0], 99_999);
        assert!(found.cycles.is_empty());
    }
}
