//! What was read, drawn over the picture.

use super::{Angle, Attempt, Pixel};
use image::{Rgb, RgbImage};

const AXIS: Rgb<u8> = Rgb([220, 30, 30]);
const OR: Rgb<u8> = Rgb([170, 60, 200]);
const EYE: Rgb<u8> = Rgb([20, 90, 220]);
const TIPPET: Rgb<u8> = Rgb([20, 150, 60]);
const LEVEL: Rgb<u8> = Rgb([230, 150, 0]);
const OUTLINE: Rgb<u8> = Rgb([250, 220, 0]);

/// The picture with what was taken for the fly (yellow outline), the tippet (green) and the eye (blue), and if a reading
/// came of it the shank (red; violet where it may be another way) and the level through its front (orange).
#[must_use]
pub fn overlay(image: &RgbImage, attempt: &Attempt) -> RgbImage {
    let mut drawn = image.clone();
    let thick = (f64::from(image.width().max(image.height())) / 500.0).max(1.0);
    for p in &attempt.seen.outline {
        dot(&mut drawn, *p, 0.4 * thick, OUTLINE);
    }
    for [a, b] in &attempt.seen.lines {
        line(&mut drawn, *a, *b, thick, TIPPET);
    }
    if let Some([a, b]) = attempt.seen.eye {
        line(&mut drawn, a, b, 0.6 * thick, EYE);
        ring(&mut drawn, a, 4.0 * thick, thick, EYE);
        ring(&mut drawn, b, 4.0 * thick, thick, EYE);
    }
    if let Ok(reading) = &attempt.outcome {
        let roll = reading.roll.unwrap_or(0.0);
        if let Some(or) = &reading.or {
            shank(&mut drawn, or, roll, thick, OR);
        }
        shank(&mut drawn, &reading.angle, roll, thick, AXIS);
    }
    drawn
}

fn shank(drawn: &mut RgbImage, angle: &Angle, roll: f64, thick: f64, colour: Rgb<u8>) {
    let ([x, y], rear) = (angle.front, angle.rear);
    let length = (rear[0] - x).hypot(rear[1] - y);
    let way = if rear[0] >= x { 1.0 } else { -1.0 };
    // Square to the tippet.
    let level = [x + way * length * roll.cos(), y - way * length * roll.sin()];
    line(drawn, [x, y], level, 0.6 * thick, LEVEL);
    line(drawn, [x, y], rear, thick, colour);
}

fn dot(image: &mut RgbImage, at: Pixel, radius: f64, colour: Rgb<u8>) {
    let reach = radius.ceil() as i64;
    let (cx, cy) = (at[0].round() as i64, at[1].round() as i64);
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            let (x, y) = (cx + dx, cy + dy);
            let inside = x >= 0 && y >= 0 && x < i64::from(image.width()) && y < i64::from(image.height());
            if inside && (dx * dx + dy * dy) as f64 <= radius * radius {
                image.put_pixel(x as u32, y as u32, colour);
            }
        }
    }
}

fn line(image: &mut RgbImage, from: Pixel, to: Pixel, width: f64, colour: Rgb<u8>) {
    let steps = (to[0] - from[0]).hypot(to[1] - from[1]).ceil().clamp(1.0, 20_000.0) as u32;
    for i in 0..=steps {
        let t = f64::from(i) / f64::from(steps);
        let at = [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
        dot(image, at, 0.5 * width, colour);
    }
}

fn ring(image: &mut RgbImage, middle: Pixel, radius: f64, width: f64, colour: Rgb<u8>) {
    for i in 0..180 {
        let a = f64::from(i) * std::f64::consts::TAU / 180.0;
        dot(image, [middle[0] + radius * a.cos(), middle[1] + radius * a.sin()], 0.5 * width, colour);
    }
}
