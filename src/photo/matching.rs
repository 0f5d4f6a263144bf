//! A known fly laid over the picture in every attitude, size and side: which one covers what is seen, and which others do
//! nearly as well.

use super::Pixel;
use super::known::{Cells, Shows, SideView};
use super::mask::Mask;
use super::view::View;

/// Where the eye may be: points of the picture, one after the other.
pub(super) type EyePlaces = Vec<Pixel>;

/// One way to lay the fly over the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pose {
    /// Hang, rad.
    pub(super) hang: f64,
    /// The tail is right of the eye.
    pub(super) tail_right: bool,
    pub(super) point_up: bool,
    /// Units of the view for each mm.
    pub(super) scale: f64,
    /// Tie point in the view.
    pub(super) eye: [f64; 2],
    /// Area that is covered as it should be, of all that is or should be, 0 to 1.
    pub(super) score: f64,
}

impl Pose {
    /// Aft and towards the point, in the view.
    fn basis(&self) -> ([f64; 2], [f64; 2]) {
        let side = if self.tail_right { 1.0 } else { -1.0 };
        let point = if self.point_up { 1.0 } else { -1.0 };
        let (sin, cos) = self.hang.sin_cos();
        ([side * cos, -sin], [point * side * sin, point * cos])
    }

    /// Place in the view of a point of the hook frame, mm.
    pub(super) fn place(&self, p: [f64; 2]) -> [f64; 2] {
        let (aft, point) = self.basis();
        [0, 1].map(|k| self.eye[k] + self.scale * (p[0] * aft[k] + p[1] * point[k]))
    }

    fn on_fly(&self, w: [f64; 2]) -> [f64; 2] {
        let (aft, point) = self.basis();
        let d = [0, 1].map(|k| (w[k] - self.eye[k]) / self.scale);
        [d[0] * aft[0] + d[1] * aft[1], d[0] * point[0] + d[1] * point[1]]
    }
}

/// The view near the fly as a linear map, and back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Local {
    at: Pixel,
    place: [f64; 2],
    map: [[f64; 2]; 2],
}

impl Local {
    pub(super) fn new(view: &View, at: Pixel) -> Option<Self> {
        const STEP: f64 = 15.0;
        let place = view.place(at)?;
        let mut map = [[0.0; 2]; 2];
        for k in 0..2 {
            let (mut a, mut b) = (at, at);
            (a[k], b[k]) = (at[k] - STEP, at[k] + STEP);
            let (a, b) = (view.place(a)?, view.place(b)?);
            (0..2).for_each(|i| map[i][k] = (b[i] - a[i]) / (2.0 * STEP));
        }
        Some(Self { at, place, map })
    }

    fn area(&self) -> f64 {
        (self.map[0][0] * self.map[1][1] - self.map[0][1] * self.map[1][0]).abs()
    }

    pub(super) fn view(&self, p: Pixel) -> [f64; 2] {
        let d = [p[0] - self.at[0], p[1] - self.at[1]];
        [0, 1].map(|i| self.place[i] + self.map[i][0] * d[0] + self.map[i][1] * d[1])
    }

    pub(super) fn picture(&self, w: [f64; 2]) -> Pixel {
        let m = &self.map;
        let determinant = m[0][0] * m[1][1] - m[0][1] * m[1][0];
        let d = [w[0] - self.place[0], w[1] - self.place[1]];
        [
            self.at[0] + (m[1][1] * d[0] - m[0][1] * d[1]) / determinant,
            self.at[1] + (m[0][0] * d[1] - m[1][0] * d[0]) / determinant,
        ]
    }
}

/// What is compared: the marked pixels as places of the view, the fly as cells.
struct Comparison<'m> {
    mask: &'m Mask,
    local: Local,
    cells: Cells,
    /// Coarse and fine samples: places of marked pixels, and area in the view that each stands for.
    marked: [(Vec<[f64; 2]>, f64); 2],
    firm: [(Vec<[f64; 2]>, f64); 2],
}

impl Comparison<'_> {
    fn score(&self, pose: &Pose, fine: usize) -> f64 {
        let (firm, each) = &self.firm[fine];
        let hits = firm.iter().filter(|p| self.mask.holds(self.local.picture(pose.place(**p)))).count();
        let (hit, miss) = (each * hits as f64, each * (firm.len() - hits) as f64);
        let (marked, area) = &self.marked[fine];
        let extra = marked.iter().filter(|w| self.cells.at(pose.on_fly(**w)) == Shows::Nothing).count();
        let extra = area / (pose.scale * pose.scale) * extra as f64;
        hit / (hit + miss + extra)
    }
}

/// Angles are tried in steps of so many degrees.
const STEP_DEG: i32 = 3;
/// Poses that are looked at closer.
const CLOSER: usize = 24;
/// Two poses are one when they agree within this angle, rad (12 degrees), and in side.
const ALIKE: f64 = 0.21;
/// How far a measured scale may be off.
const SCALE_OFF: f64 = 0.1;

/// All poses that cover the picture about as well as any near them, best first.
pub(super) fn poses(mask: &Mask, view: &View, fly: &SideView, eyes: &EyePlaces) -> Vec<Pose> {
    let Some([left, top, right, bottom]) = mask.bounds() else { return Vec::new() };
    let middle = [0.5 * (left + right) as f64, 0.5 * (top + bottom) as f64];
    let Some(local) = Local::new(view, middle) else { return Vec::new() };
    let cells = Cells::of(fly);
    let all: Vec<[f64; 2]> = mask.points().map(|p| local.view(p)).collect();
    let sampled = |most: usize| {
        let every = all.len().div_ceil(most).max(1);
        (all.iter().step_by(every).copied().collect::<Vec<_>>(), local.area() * every as f64)
    };
    let (marked, firm) = ([sampled(400), sampled(4000)], [cells.firm_points(3), cells.firm_points(1)]);
    let scales = scales(&all, &cells, view.is_metric());
    let comparison = Comparison { mask, local, cells, marked, firm };
    let mut rough = Vec::new();
    for scale in scales {
        for eye in spread_out(eyes, &local, scale) {
            for (tail_right, point_up) in [(false, false), (false, true), (true, false), (true, true)] {
                for step in -90 / STEP_DEG..=90 / STEP_DEG {
                    let hang = f64::from(step * STEP_DEG).to_radians();
                    let pose = Pose { hang, tail_right, point_up, scale, eye, score: 0.0 };
                    rough.push(Pose { score: comparison.score(&pose, 0), ..pose });
                }
            }
        }
    }
    let mut found = Vec::new();
    for pose in distinct(rough, CLOSER) {
        found.push(refined(&comparison, pose, eyes));
    }
    distinct(found, CLOSER)
}

/// Scales to try, units of the view for each mm.
fn scales(marked: &[[f64; 2]], cells: &Cells, metric: bool) -> Vec<f64> {
    let (low, high) = if metric {
        (1e-3 * (1.0 - SCALE_OFF), 1e-3 * (1.0 + SCALE_OFF))
    } else {
        let longest = (0..18)
            .map(|i| {
                let (sin, cos) = (f64::from(i) * 10f64.to_radians()).sin_cos();
                let along = marked.iter().map(|w| w[0] * cos + w[1] * sin);
                let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), t| (a.min(t), b.max(t)));
                high - low
            })
            .fold(0.0, f64::max);
        let (firm, whole) = cells.lengths();
        (longest / (1.1 * whole.max(firm)), longest / (0.85 * firm))
    };
    let steps = ((high / low).ln() / 0.07).ceil().max(2.0) as i32;
    (0..=steps).map(|i| low * (high / low).powf(f64::from(i) / f64::from(steps))).collect()
}

/// Places of the eye about 0.8 mm apart.
fn spread_out(eyes: &EyePlaces, local: &Local, scale: f64) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for place in eyes.iter().map(|p| local.view(*p)) {
        if kept.last().is_none_or(|last| (place[0] - last[0]).hypot(place[1] - last[1]) > 0.8 * scale) {
            kept.push(place);
        }
    }
    kept
}

/// The best of those alike, best first.
fn distinct(mut poses: Vec<Pose>, most: usize) -> Vec<Pose> {
    poses.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut kept: Vec<Pose> = Vec::new();
    for pose in poses {
        let alike = |other: &&Pose| {
            other.tail_right == pose.tail_right
                && other.point_up == pose.point_up
                && (other.hang - pose.hang).abs() < ALIKE
        };
        if kept.iter().find(alike).is_none() {
            kept.push(pose);
        }
        if kept.len() == most {
            break;
        }
    }
    kept
}

/// Climbs from a rough pose: angle, scale, and the eye along its places.
fn refined(comparison: &Comparison, rough: Pose, eyes: &EyePlaces) -> Pose {
    let places: Vec<[f64; 2]> = eyes.iter().map(|p| comparison.local.view(*p)).collect();
    let nearest = |w: [f64; 2]| {
        let off = |p: &[f64; 2]| (p[0] - w[0]).hypot(p[1] - w[1]);
        (0..places.len()).min_by(|a, b| off(&places[*a]).total_cmp(&off(&places[*b]))).unwrap_or(0)
    };
    let mut best = Pose { score: comparison.score(&rough, 1), ..rough };
    let (mut turn, mut grow) = (2f64.to_radians(), 0.04);
    let mut slide = places.len().div_ceil(12).max(2) as isize;
    while turn > 0.1f64.to_radians() {
        let at = nearest(best.eye) as isize;
        let moved = |by: isize| places[(at + by).clamp(0, places.len() as isize - 1) as usize];
        let tries = [
            Pose { hang: best.hang + turn, ..best },
            Pose { hang: best.hang - turn, ..best },
            Pose { scale: best.scale * (1.0 + grow), ..best },
            Pose { scale: best.scale / (1.0 + grow), ..best },
            Pose { eye: moved(slide), ..best },
            Pose { eye: moved(-slide), ..best },
        ];
        let next = tries
            .into_iter()
            .map(|pose| Pose { score: comparison.score(&pose, 1), ..pose })
            .max_by(|a, b| a.score.total_cmp(&b.score))
            .filter(|pose| pose.score > best.score);
        match next {
            Some(pose) => best = pose,
            None => (turn, grow, slide) = (0.5 * turn, 0.5 * grow, (slide / 2).max(1)),
        }
    }
    // Past the vertical the fly faces the other way.
    let quarter = std::f64::consts::FRAC_PI_2;
    if best.hang.abs() > quarter {
        let hang = best.hang.signum() * (2.0 * quarter) - best.hang;
        best = Pose { hang, tail_right: !best.tail_right, point_up: !best.point_up, ..best };
    }
    best
}
