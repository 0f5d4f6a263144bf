//! The side view of a known fly, as a picture may show it: what is sure to be there, and where hair may be.

/// Side of the cells in which a side view is held, mm.
const CELL: f64 = 0.15;
/// Hair and fur stand out so far beyond what is sure, mm.
const FUZZ: f64 = 0.4;

/// A shape in the hook frame, mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A ball or bead.
    Disc {
        /// Middle.
        at: [f64; 2],
        /// Radius.
        radius: f64,
    },
    /// Wire.
    Stroke {
        /// Points along it.
        points: Vec<[f64; 2]>,
        /// Half of its thickness.
        half: f64,
    },
    /// A block along the shank.
    Block {
        /// Front and one side.
        from: [f64; 2],
        /// Rear and the other side.
        to: [f64; 2],
    },
    /// Hair that spreads from its root: half width at the root, and how much more for each mm farther aft.
    Fan {
        /// Root.
        root: [f64; 2],
        /// Length.
        length: f64,
        /// Half width at the root.
        half: f64,
        /// Growth of the half width.
        spread: f64,
    },
}

impl Shape {
    /// How far outside the shape a point is, mm; negative inside.
    fn outside(&self, p: [f64; 2]) -> f64 {
        match self {
            Self::Disc { at, radius } => (p[0] - at[0]).hypot(p[1] - at[1]) - radius,
            Self::Stroke { points, half } => {
                points.windows(2).map(|s| to_segment(p, s[0], s[1])).fold(f64::INFINITY, f64::min) - half
            }
            Self::Block { from, to } => {
                let out = |k: usize| (from[k].min(to[k]) - p[k]).max(p[k] - from[k].max(to[k]));
                out(0).max(out(1))
            }
            Self::Fan { root, length, half, spread } => {
                let t = p[0] - root[0];
                let side = (p[1] - root[1]).abs() - half - spread * t.max(0.0);
                side.max(-t).max(t - length)
            }
        }
    }

    fn extent(&self) -> [[f64; 2]; 2] {
        let around = |p: [f64; 2], r: f64| [[p[0] - r, p[1] - r], [p[0] + r, p[1] + r]];
        match self {
            Self::Disc { at, radius } => around(*at, *radius),
            Self::Stroke { points, half } => {
                points.iter().map(|p| around(*p, *half)).reduce(larger).unwrap_or([[0.0; 2]; 2])
            }
            Self::Block { from, to } => larger([*from, *to], [*to, *from]),
            Self::Fan { root, length, half, spread } => {
                let wide = half + spread * length;
                [[root[0], root[1] - wide], [root[0] + length, root[1] + wide]]
            }
        }
    }
}

fn larger(a: [[f64; 2]; 2], b: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
    [[0, 1].map(|k| a[0][k].min(b[0][k])), [0, 1].map(|k| a[1][k].max(b[1][k]))]
}

fn to_segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (d, e) = ([p[0] - a[0], p[1] - a[1]], [b[0] - a[0], b[1] - a[1]]);
    let t = ((d[0] * e[0] + d[1] * e[1]) / (e[0] * e[0] + e[1] * e[1]).max(1e-12)).clamp(0.0, 1.0);
    (d[0] - t * e[0]).hypot(d[1] - t * e[1])
}

/// A fly from the side, mm in the hook frame: origin at the tie point, x aft along the shank, y towards the point side.
#[derive(Debug, Clone, PartialEq)]
pub struct SideView {
    /// What is sure to be seen.
    pub firm: Vec<Shape>,
    /// Where hair may be or not.
    pub soft: Vec<Shape>,
    /// Start of the bend.
    pub bend: [f64; 2],
}

/// What a place of the hook frame shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shows {
    Nothing,
    Perhaps,
    Firm,
}

/// A side view by cells.
#[derive(Debug, Clone)]
pub(super) struct Cells {
    origin: [f64; 2],
    across: usize,
    cells: Vec<Shows>,
}

impl Cells {
    pub(super) fn of(view: &SideView) -> Self {
        let extent = view.firm.iter().chain(&view.soft).map(Shape::extent).reduce(larger).unwrap_or([[0.0; 2]; 2]);
        let origin = extent[0].map(|v| v - 2.0 * FUZZ);
        let size = [0, 1].map(|k| ((extent[1][k] + 2.0 * FUZZ - origin[k]) / CELL).ceil().clamp(1.0, 2000.0) as usize);
        let cells = (0..size[0] * size[1])
            .map(|i| {
                let p =
                    [origin[0] + ((i % size[0]) as f64 + 0.5) * CELL, origin[1] + ((i / size[0]) as f64 + 0.5) * CELL];
                let nearest = |shapes: &[Shape]| shapes.iter().map(|s| s.outside(p)).fold(f64::INFINITY, f64::min);
                let firm = nearest(&view.firm);
                if firm <= 0.0 {
                    Shows::Firm
                } else if firm <= FUZZ || nearest(&view.soft) <= 0.0 {
                    Shows::Perhaps
                } else {
                    Shows::Nothing
                }
            })
            .collect();
        Self { origin, across: size[0], cells }
    }

    pub(super) fn at(&self, p: [f64; 2]) -> Shows {
        let cell = [0, 1].map(|k| (p[k] - self.origin[k]) / CELL);
        if cell[0] < 0.0 || cell[1] < 0.0 || cell[0] >= self.across as f64 {
            return Shows::Nothing;
        }
        self.cells.get(cell[1] as usize * self.across + cell[0] as usize).copied().unwrap_or(Shows::Nothing)
    }

    /// Middles of the firm cells, every so many each way, and the area that each stands for, mm2.
    pub(super) fn firm_points(&self, every: usize) -> (Vec<[f64; 2]>, f64) {
        let points = (0..self.cells.len())
            .filter(|i| self.cells[*i] == Shows::Firm)
            .filter(|i| (i % self.across).is_multiple_of(every) && (i / self.across).is_multiple_of(every))
            .map(|i| [0, 1].map(|k| self.origin[k] + ([i % self.across, i / self.across][k] as f64 + 0.5) * CELL))
            .collect();
        (points, (CELL * every as f64).powi(2))
    }

    /// Length of the firm part and of all of it along the shank, mm.
    pub(super) fn lengths(&self) -> (f64, f64) {
        let span = |shows: &dyn Fn(Shows) -> bool| {
            let columns = (0..self.cells.len()).filter(|i| shows(self.cells[*i])).map(|i| i % self.across);
            let (low, high) = columns.fold((usize::MAX, 0), |(a, b), c| (a.min(c), b.max(c)));
            CELL * high.saturating_sub(low.min(high)) as f64
        };
        (span(&|s| s == Shows::Firm), span(&|s| s != Shows::Nothing))
    }
}
