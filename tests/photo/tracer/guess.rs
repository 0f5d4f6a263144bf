//! What someone who knows a made-up fly's materials would say that it looks like from the side.

use super::fly::ModelFly;
use counterpoise::photo::known::{Shape, SideView};

pub(crate) fn side_view(fly: &ModelFly) -> SideView {
    let w = &fly.wire;
    let corner = w.corner();
    let bend = [corner[0] + w.shank, corner[1]];
    let half = 0.5 * w.thick;
    let mut points = if w.neck.0 > 0.0 { vec![[0.0, 0.0], corner, bend] } else { vec![corner, bend] };
    for i in 1..=8 {
        let a = std::f64::consts::PI * (f64::from(i) / 8.0 - 0.5);
        points.push([bend[0] + 0.5 * w.gap * a.cos(), bend[1] + 0.5 * w.gap * (1.0 + a.sin())]);
    }
    points.push([bend[0] - w.point, bend[1] + w.gap]);
    let mut view = SideView {
        firm: vec![Shape::Stroke { points, half }, Shape::Disc { at: [0.0, 0.0], radius: w.ring }],
        soft: Vec::new(),
        bend,
    };
    view.firm.extend(fly.bead.map(|(at, diameter, _)| Shape::Disc { at, radius: 0.5 * diameter }));
    view.firm.extend(fly.foam.map(|foam| Shape::Block { from: foam.from, to: foam.to }));
    view.firm.extend(fly.pin.map(|(a, b, thick)| Shape::Stroke { points: vec![a, b], half: 0.5 * thick }));
    if let Some((from, to, edges, _)) = &fly.body {
        let usual = 0.5 * edges.iter().map(|e| e[0] + e[1]).sum::<f64>() / edges.len() as f64;
        view.firm.push(Shape::Block { from: [*from, corner[1] - 0.7 * usual], to: [*to, corner[1] + 0.7 * usual] });
        view.soft.push(Shape::Block { from: [*from, corner[1] - 1.4 * usual], to: [*to, corner[1] + 1.4 * usual] });
    }
    for lock in &fly.locks {
        let root = lock.hairs[0][0];
        let length = lock.hairs.iter().filter_map(|h| h.last()).map(|p| (p[0] - root[0]).hypot(p[1] - root[1]));
        view.soft.push(Shape::Fan { root, length: length.fold(0.0, f64::max), half: 1.0, spread: 0.4 });
    }
    view
}
