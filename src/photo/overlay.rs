//! What was read, drawn over the picture.

use super::{Pixel, Reading};
use image::{Rgb, RgbImage};

const AXIS: Rgb<u8> = Rgb([220, 30, 30]);
const EYE: Rgb<u8> = Rgb([20, 90, 220]);
const TIPPET: Rgb<u8> = Rgb([20, 150, 60]);
const LEVEL: Rgb<u8> = Rgb([230, 150, 0]);

/// The picture with the axis (red), the eye (blue ring), the tippet (green) and the level through the eye (orange).
#[must_use]
pub fn overlay(image: &RgbImage, reading: &Reading) -> RgbImage {
    let mut drawn = image.clone();
    let thick = (f64::from(image.width().max(image.height())) / 500.0).max(1.0);
    let [ex, ey] = reading.eye;
    let length = (reading.rear[0] - ex).hypot(reading.rear[1] - ey);
    if let Some([a, b]) = reading.tippet {
        line(&mut drawn, a, b, thick, TIPPET);
    }
    let roll = reading.roll.unwrap_or(0.0);
    let way = if reading.rear[0] >= ex { 1.0 } else { -1.0 };
    // Square to the tippet.
    let level = [ex + way * length * roll.cos(), ey - way * length * roll.sin()];
    line(&mut drawn, [ex, ey], level, 0.6 * thick, LEVEL);
    line(&mut drawn, [ex, ey], reading.rear, thick, AXIS);
    ring(&mut drawn, [ex, ey], 4.0 * thick, thick, EYE);
    drawn
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
