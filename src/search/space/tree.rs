//! A static binary tree over a sorted list, with a hull at every node.

use crate::search::bounds::range::Hull;

/// A node: a run of the list, its hull and its halves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct TreeNode<H> {
    /// First item.
    pub from: u32,
    /// One past the last item.
    pub to: u32,
    /// Hull of the items.
    pub hull: H,
    /// Halves; `None` for a single item.
    pub halves: Option<(u32, u32)>,
}

impl<H> TreeNode<H> {
    /// Number of items.
    pub(in crate::search) fn len(&self) -> u64 {
        u64::from(self.to - self.from)
    }
}

/// Puts a list in the order in which a [`Tree`] halves it, so that every half is narrow: each run is sorted along the
/// coordinate in which it is widest, measured by the width of the whole list. Ties keep their order.
pub(in crate::search) fn arrange<T, const D: usize>(items: &mut [T], place: impl Fn(&T) -> [f64; D]) {
    fn widths<T, const D: usize>(items: &[T], place: &impl Fn(&T) -> [f64; D]) -> [f64; D] {
        let (mut low, mut high) = ([f64::INFINITY; D], [f64::NEG_INFINITY; D]);
        for item in items {
            for (k, x) in place(item).into_iter().enumerate() {
                low[k] = low[k].min(x);
                high[k] = high[k].max(x);
            }
        }
        std::array::from_fn(|k| high[k] - low[k])
    }
    fn halve<T, const D: usize>(items: &mut [T], whole: &[f64; D], place: &impl Fn(&T) -> [f64; D]) {
        if items.len() < 2 {
            return;
        }
        let here = widths(items, place);
        let share = |k: &usize| here[*k] / whole[*k].max(f64::MIN_POSITIVE);
        let widest = (0..D).max_by(|a, b| share(a).total_cmp(&share(b)).then(b.cmp(a))).unwrap_or(0);
        items.sort_by(|a, b| place(a)[widest].total_cmp(&place(b)[widest]));
        let (left, right) = items.split_at_mut(items.len() / 2);
        halve(left, whole, place);
        halve(right, whole, place);
    }
    let whole = widths(items, &place);
    halve(items, &whole, &place);
}

/// The tree. Node 0 is the root; an empty list has no nodes.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::search) struct Tree<H> {
    nodes: Vec<TreeNode<H>>,
}

impl<H: Hull> Tree<H> {
    /// Over items in their order: sort them first so that neighbours are alike.
    pub(in crate::search) fn new(items: &[H]) -> Self {
        let mut tree = Self { nodes: Vec::with_capacity(2 * items.len()) };
        if !items.is_empty() {
            tree.add(items, 0, items.len());
        }
        tree
    }

    fn add(&mut self, items: &[H], from: usize, to: usize) -> u32 {
        let index = self.nodes.len();
        let run = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
        self.nodes.push(TreeNode { from: run(from), to: run(to), hull: items[from], halves: None });
        if to - from > 1 {
            let middle = from + (to - from) / 2;
            let left = self.add(items, from, middle);
            let right = self.add(items, middle, to);
            let hull = self.node(left).hull.hull(self.node(right).hull);
            self.nodes[index].hull = hull;
            self.nodes[index].halves = Some((left, right));
        }
        run(index)
    }

    /// A node by its number.
    pub(in crate::search) fn node(&self, index: u32) -> &TreeNode<H> {
        &self.nodes[index as usize]
    }

    /// Bytes that it takes.
    pub(in crate::search) fn bytes(&self) -> usize {
        self.nodes.capacity() * size_of::<TreeNode<H>>()
    }

    /// The nodes of single items.
    pub(in crate::search) fn leaves(&self) -> Vec<u32> {
        let single = |(i, node): (usize, &TreeNode<H>)| node.halves.is_none().then(|| u32::try_from(i).ok()).flatten();
        self.nodes.iter().enumerate().filter_map(single).collect()
    }

    /// Whether there is anything in it.
    pub(in crate::search) fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::bounds::range::Range;

    #[test]
    fn every_node_holds_its_items() {
        let items: Vec<Range> = (0..37).map(|i| Range::point(f64::from(i * 7 % 13))).collect();
        let tree = Tree::new(&items);
        let mut stack = vec![0];
        let mut leaves = 0;
        while let Some(index) = stack.pop() {
            let node = tree.node(index);
            for item in &items[node.from as usize..node.to as usize] {
                assert!(node.hull.low <= item.low && item.high <= node.hull.high);
            }
            match node.halves {
                Some((left, right)) => stack.extend([left, right]),
                None => {
                    assert_eq!(node.len(), 1);
                    leaves += 1;
                }
            }
        }
        assert_eq!(leaves, items.len());
        assert!(Tree::<Range>::new(&[]).is_empty());
    }
}
