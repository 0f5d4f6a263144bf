//! Pieces of a picture that may be the fly.

use super::background::Difference;
use super::mask::Mask;

/// Share of a piece's own difference above which a pixel belongs to it.
const SHARE: f32 = 0.3;
/// Least size of a fly, share of the picture's pixels.
const LEAST_SHARE: f64 = 5e-4;
/// Most pieces that are looked at.
const MOST: usize = 6;
/// Differences that a piece is first looked for above: where the fly lies before the edge of something pale, a low one
/// joins the two.
const LEVELS: [f32; 3] = [0.0, 0.15, 0.3];
/// Widest tippet that is told from a fly, in steps of two pixels of width.
const THICKEST_TIPPET: usize = 4;
/// Rows at which a thin top is a tippet and no tip of a tail.
const LONG_STALK: usize = 25;

/// A piece that may be the fly.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// What is thicker than a tippet.
    pub(super) thick: Mask,
    /// That, with what hangs on it and is thin: a bend of wire, hair, and perhaps the tippet.
    pub(super) whole: Mask,
    /// How much it stands out, summed over its pixels.
    pub(super) weight: f64,
}

/// Pieces that stand out and touch no side of the picture, the heaviest first.
pub(super) fn pieces(difference: &Difference) -> Vec<Piece> {
    let mut found: Vec<Piece> = Vec::new();
    for level in LEVELS {
        let clear = difference.above(level);
        // A tippet that was kept stands on top of the fly as a thin stalk, or ties it to the edge: take more off.
        for reach in 1..=THICKEST_TIPPET {
            let first = clear.opened(reach);
            for piece in inner(&first, reach, difference) {
                let mask = first.only(&piece);
                let known = found.iter().any(|f| f.thick.points().any(|p| mask.holds(p)));
                if known || stalk(&mask) >= LONG_STALK {
                    continue;
                }
                found.extend(clean(difference, &mask, &piece, (level, reach)));
            }
        }
    }
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    found.truncate(MOST);
    found
}

/// Large pieces away from the edges.
fn inner(mask: &Mask, reach: usize, difference: &Difference) -> Vec<Vec<usize>> {
    let (w, h) = (mask.width, mask.height);
    let least = (LEAST_SHARE * (w * h) as f64) as usize;
    let at_edge = |i: &usize| i % w <= reach || i % w + reach + 1 >= w || i / w <= reach || i / w + reach + 1 >= h;
    let mut pieces = mask.pieces();
    pieces.retain(|p| p.len() >= least && !p.iter().any(at_edge));
    let weight = |piece: &[usize]| piece.iter().map(|i| f64::from(difference.of(*i))).sum::<f64>();
    pieces.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    pieces.truncate(MOST);
    pieces
}

/// A piece by a limit of its own: shadows and faint reflections around it fall away.
fn clean(difference: &Difference, rough: &Mask, piece: &[usize], (level, reach): (f32, usize)) -> Option<Piece> {
    let mut strength: Vec<f32> = piece.iter().map(|i| difference.of(*i)).collect();
    strength.sort_by(f32::total_cmp);
    let typical = strength[strength.len() * 3 / 4];
    let clear = difference.above((SHARE * typical).max(level));
    let thick = clear.closed(1).opened(reach).reached_from(rough);
    let pieces = thick.pieces();
    let thick = thick.only(pieces.iter().max_by_key(|p| p.len())?);
    // By its own limit it may have run into the water line or the wall.
    let [left, top, right, bottom] = thick.bounds()?;
    if left <= reach || top <= reach || right + reach + 1 >= thick.width || bottom + reach + 1 >= thick.height {
        return None;
    }
    if stalk(&thick) >= LONG_STALK {
        return None;
    }
    let whole = clear.closed(1).reached_from(&thick);
    let weight = thick.points().map(|[x, y]| f64::from(difference.at(x as usize, y as usize))).sum();
    Some(Piece { thick, whole, weight })
}

/// Number of rows near the top that are no wider than a tippet; the very top may be a scrap of the water line.
fn stalk(mask: &Mask) -> usize {
    let Some([left, top, right, bottom]) = mask.bounds() else { return 0 };
    let width = |y: usize| (left..=right).filter(|x| mask.has(*x as isize, y as isize)).count();
    (top..=(top + LONG_STALK * 3 / 2).min(bottom)).filter(|y| width(*y) <= 2 * THICKEST_TIPPET + 1).count()
}
