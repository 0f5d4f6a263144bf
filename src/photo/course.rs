//! Several pictures of one hang, in the order in which they were taken: has the fly come to rest, and where.

use super::Angle;

/// What a row of pictures says together.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// For each picture, whether it stands off its neighbours and was left out.
    pub outlier: Vec<bool>,
    /// First picture from which the fly is at rest; `None` where it still turns at the end.
    pub rest_from: Option<usize>,
    /// Hang at rest (of the last pictures, where it still turns), rad: the mean.
    pub hang: f64,
    /// Standard error, rad: what is common to all pictures (vessel, camera, what the fly looks like) does not shrink with
    /// their number.
    pub error: f64,
    /// Part of it that is common.
    pub common: f64,
    /// Turned from the first to the last picture, rad.
    pub turned: f64,
    /// Pictures in the mean.
    pub used: usize,
}

/// Fewest pictures that show a rest.
pub const LEAST: usize = 3;
/// A drift over the pictures below this is rest, rad (1 degree).
const STILL: f64 = 0.0175;
/// A picture so far off its neighbours is an outlier, at least, rad (3 degrees).
const STANDS_OFF: f64 = 0.052;

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    if n.is_multiple_of(2) { 0.5 * (values[n / 2 - 1] + values[n / 2]) } else { values[n / 2] }
}

/// Pictures that stand off the middle of their five nearest, and off the line through their two nearest: a fly whose bubbles
/// leave turns fast at first, and its first picture is then no outlier.
fn outliers(hangs: &[f64]) -> Vec<bool> {
    let last = hangs.len() - 1;
    let off: Vec<f64> = (0..hangs.len())
        .map(|i| {
            let from = i.saturating_sub(2).min(hangs.len().saturating_sub(5));
            let off_middle = hangs[i] - middle(hangs[from..(from + 5).min(hangs.len())].to_vec());
            let on_line = match i {
                0 => 2.0 * hangs[1] - hangs[2],
                i if i == last => 2.0 * hangs[last - 1] - hangs[last - 2],
                i => 0.5 * (hangs[i - 1] + hangs[i + 1]),
            };
            let off_line = hangs[i] - on_line;
            if off_line.abs() < off_middle.abs() { off_line } else { off_middle }
        })
        .collect();
    let usual = 1.4826 * middle(off.iter().map(|o| o.abs()).collect());
    off.iter().map(|o| o.abs() > (4.0 * usual).max(STANDS_OFF)).collect()
}

/// Middle of the slopes of all pairs, rad a picture (Theil and Sen's line, from memory).
fn drift(of: &[(f64, f64)]) -> f64 {
    let pairs = of.iter().enumerate().flat_map(|(i, a)| of[i + 1..].iter().map(move |b| (b.1 - a.1) / (b.0 - a.0)));
    middle(pairs.collect())
}

/// Puts readings together; `None` for fewer than two.
#[must_use]
pub fn course(angles: &[Angle]) -> Option<Course> {
    if angles.len() < 2 {
        return None;
    }
    let hangs: Vec<f64> = angles.iter().map(|a| a.hang).collect();
    let outlier = if hangs.len() < LEAST { vec![false; hangs.len()] } else { outliers(&hangs) };
    let kept: Vec<(f64, f64)> = (0..hangs.len()).filter(|i| !outlier[*i]).map(|i| (i as f64, hangs[i])).collect();
    let at_rest = (0..kept.len()).find(|from| {
        let tail = &kept[*from..];
        tail.len() >= LEAST && (drift(tail) * (tail[tail.len() - 1].0 - tail[0].0)).abs() < STILL
    });
    let from = at_rest.unwrap_or(kept.len().saturating_sub(LEAST));
    let tail = &kept[from..];
    let n = tail.len() as f64;
    let hang = tail.iter().map(|t| t.1).sum::<f64>() / n;
    let scatter = (tail.iter().map(|t| (t.1 - hang).powi(2)).sum::<f64>() / (n - 1.0).max(1.0)).sqrt();
    let usual = |of: &dyn Fn(&Angle) -> f64| middle(tail.iter().map(|t| of(&angles[t.0 as usize])).collect());
    // The outline is that of the same fly each time, the vessel the same; only the roll is measured anew.
    let common = usual(&|a| a.parts.lens.hypot(a.parts.axis));
    let own = scatter.max(usual(&|a| a.parts.roll));
    Some(Course {
        rest_from: at_rest.map(|from| kept[from].0 as usize),
        hang,
        error: common.hypot(own / n.sqrt()),
        common,
        turned: kept[kept.len() - 1].1 - kept[0].1,
        used: tail.len(),
        outlier,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::photo::ErrorParts;

    fn angle(degrees: f64) -> Angle {
        let hang = degrees.to_radians();
        let parts = ErrorParts { axis: 0.02, roll: 0.005, lens: 0.01 };
        let error = parts.axis.hypot(parts.roll).hypot(parts.lens);
        Angle { hang, error, raw: hang, lens: 0.0, rides: None, eye: None, front: [0.0; 2], rear: [1.0, 0.0], parts }
    }

    #[test]
    fn bubbles_leave_and_the_fly_comes_to_rest() {
        let row: Vec<Angle> = (0..12)
            .map(|i| {
                let slow = 8.0 * (-f64::from(i) / 1.5).exp();
                let wobble = [0.3, -0.2, 0.1, -0.3, 0.2][i as usize % 5];
                angle(if i == 8 { 40.0 } else { 10.0 + slow + wobble })
            })
            .collect();
        let course = course(&row).unwrap();
        assert_eq!(course.outlier.iter().filter(|o| **o).count(), 1);
        assert!(course.outlier[8]);
        let from = course.rest_from.unwrap();
        assert!((2..8).contains(&from), "{from}");
        assert!((course.hang.to_degrees() - 10.0).abs() < 0.7, "{}", course.hang.to_degrees());
        assert!(course.turned.to_degrees() < -7.0);
        // Twelve pictures do not make vessel and outline any better known.
        assert!(course.error >= course.common && course.common > 0.022);
        assert!(course.error < row[0].error * 1.05);
    }

    #[test]
    fn a_fly_that_still_turns_is_not_at_rest() {
        let row: Vec<Angle> = (0..6).map(|i| angle(5.0 * f64::from(i))).collect();
        let course = course(&row).unwrap();
        assert_eq!(course.rest_from, None);
        assert!((course.turned.to_degrees() - 25.0).abs() < 1e-9);
        assert!(super::course(&row[..1]).is_none());
    }
}
