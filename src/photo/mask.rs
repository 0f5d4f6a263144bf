//! Marked pixels, and what their neighbours make of them.

/// Marked pixels.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mask {
    pub(super) width: usize,
    pub(super) height: usize,
    bits: Vec<bool>,
}

impl Mask {
    pub(super) fn from_fn(width: usize, height: usize, marked: impl Fn(usize, usize) -> bool) -> Self {
        let bits = (0..width * height).map(|i| marked(i % width, i / width)).collect();
        Self { width, height, bits }
    }

    /// Whether a pixel is marked; none is beyond the edge.
    pub(super) fn has(&self, x: isize, y: isize) -> bool {
        let inside = x >= 0 && y >= 0 && (x as usize) < self.width && (y as usize) < self.height;
        inside && self.bits[y as usize * self.width + x as usize]
    }

    /// [`Self::has`] of the pixel around a point.
    pub(super) fn holds(&self, [x, y]: [f64; 2]) -> bool {
        self.has(x.round() as isize, y.round() as isize)
    }

    pub(super) fn clear(&mut self, x: isize, y: isize) {
        if self.has(x, y) {
            self.bits[y as usize * self.width + x as usize] = false;
        }
    }

    /// Marked pixels as x, y.
    pub(super) fn points(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let width = self.width;
        self.bits.iter().enumerate().filter(|(_, on)| **on).map(move |(i, _)| [(i % width) as f64, (i / width) as f64])
    }

    /// Leftmost, topmost, rightmost, lowest marked pixel; `None` if there is none.
    pub(super) fn bounds(&self) -> Option<[usize; 4]> {
        self.points().fold(None, |bounds: Option<[usize; 4]>, [x, y]| {
            let (x, y) = (x as usize, y as usize);
            let [l, t, r, b] = bounds.unwrap_or([x, y, x, y]);
            Some([l.min(x), t.min(y), r.max(x), b.max(y)])
        })
    }

    /// Only pixels all of whose neighbours within `reach` are marked.
    fn worn(&self, reach: usize) -> Self {
        self.squared(reach, |row, n| row == n)
    }

    /// Also pixels that have a marked neighbour within `reach`.
    pub(super) fn grown(&self, reach: usize) -> Self {
        self.squared(reach, |row, _| row > 0)
    }

    /// Without what is thinner than 2 `reach` + 1 pixels.
    pub(super) fn opened(&self, reach: usize) -> Self {
        self.worn(reach).grown(reach)
    }

    /// With gaps thinner than 2 `reach` + 1 pixels filled.
    pub(super) fn closed(&self, reach: usize) -> Self {
        self.grown(reach).worn(reach)
    }

    /// A square neighbourhood, by rows and then by columns.
    fn squared(&self, reach: usize, keeps: impl Fn(usize, usize) -> bool) -> Self {
        self.lined(reach, &keeps).turned().lined(reach, &keeps).turned()
    }

    /// A neighbourhood of `reach` to the left and right, by a running count.
    fn lined(&self, reach: usize, keeps: &impl Fn(usize, usize) -> bool) -> Self {
        let mut bits = Vec::with_capacity(self.bits.len());
        for row in self.bits.chunks(self.width) {
            let mut count = row.iter().take(reach).filter(|on| **on).count();
            for x in 0..row.len() {
                count += usize::from(row.get(x + reach).copied().unwrap_or(false));
                bits.push(keeps(count, 2 * reach + 1));
                count -= usize::from(x >= reach && row[x - reach]);
            }
        }
        Self { width: self.width, height: self.height, bits }
    }

    /// Rows for columns.
    fn turned(&self) -> Self {
        let mut bits = vec![false; self.bits.len()];
        for (i, on) in self.bits.iter().enumerate() {
            bits[i % self.width * self.height + i / self.width] = *on;
        }
        Self { width: self.height, height: self.width, bits }
    }

    /// Connected pieces (eight neighbours), each a list of indices.
    pub(super) fn pieces(&self) -> Vec<Vec<usize>> {
        let mut seen = vec![false; self.bits.len()];
        let mut pieces = Vec::new();
        for start in 0..self.bits.len() {
            if seen[start] || !self.bits[start] {
                continue;
            }
            seen[start] = true;
            let mut piece = vec![start];
            let mut next = 0;
            while next < piece.len() {
                let (x, y) = ((piece[next] % self.width) as isize, (piece[next] / self.width) as isize);
                next += 1;
                for (dx, dy) in [(-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1)] {
                    if self.has(x + dx, y + dy) {
                        let at = (y + dy) as usize * self.width + (x + dx) as usize;
                        if !seen[at] {
                            seen[at] = true;
                            piece.push(at);
                        }
                    }
                }
            }
            pieces.push(piece);
        }
        pieces
    }

    /// Only the pixels of a piece.
    pub(super) fn only(&self, piece: &[usize]) -> Self {
        let mut bits = vec![false; self.bits.len()];
        piece.iter().for_each(|i| bits[*i] = true);
        Self { width: self.width, height: self.height, bits }
    }

    /// The pieces that share a pixel with `seed`.
    pub(super) fn reached_from(&self, seed: &Self) -> Self {
        let touching = self.pieces().into_iter().filter(|piece| piece.iter().any(|i| seed.bits[*i]));
        self.only(&touching.flatten().collect::<Vec<_>>())
    }
}
