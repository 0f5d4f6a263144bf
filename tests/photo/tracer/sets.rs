//! Pictures drawn from the conditions in which people take them.

use super::dice::Dice;
use super::fly::{Block, ModelFly, Wire};
use super::scenery::{Colour, Hand, Pattern, Scenery};
use super::vessel::{Vessel, Wall};
use super::{Camera, Shot};

/// Conditions, one at a time over an otherwise fair picture.
pub(crate) const CONDITIONS: [&str; 19] = [
    "fair",
    "window light",
    "table edge",
    "rim and water line",
    "bubbles",
    "blur",
    "hand",
    "coloured wall",
    "patterned wall",
    "squared paper",
    "portrait",
    "long dark tail",
    "hair wing",
    "fluorescent foam",
    "thin tippet",
    "bare hook",
    "rolled camera",
    "noise and glare",
    "window bars behind",
];

pub(crate) const TUNGSTEN: Colour = [0.35, 0.33, 0.32];

/// Colours of dressings.
pub(crate) const FUR: [Colour; 6] =
    [[0.16, 0.13, 0.1], [0.3, 0.22, 0.14], [0.25, 0.28, 0.14], [0.1, 0.1, 0.11], [0.45, 0.12, 0.1], [0.4, 0.35, 0.28]];

/// A dressed fly that no recipe describes.
fn made_up(dice: &mut Dice, condition: &str, down: [f64; 2]) -> ModelFly {
    let jig = dice.chance(0.35);
    let shank = dice.between(9.0, 18.0);
    let wire = Wire {
        shank,
        gap: shank * dice.between(0.35, 0.5),
        thick: dice.between(0.55, 0.95),
        ring: dice.between(0.9, 1.3),
        neck: if jig { (dice.between(2.5, 3.6), dice.pick(&[60.0, 60.0, 90.0])) } else { (0.0, 0.0) },
        point: shank * dice.between(0.3, 0.45),
    };
    let corner = wire.corner();
    let mut fly = ModelFly::bare(wire);
    let diameter = dice.between(2.8, 4.6);
    let bead = dice.pick(&[TUNGSTEN, [0.7, 0.55, 0.25], [0.08; 3], [0.75, 0.35, 0.15]]);
    let middle = if jig { [corner[0] + 0.1 * diameter, corner[1]] } else { [corner[0] + 0.5 * diameter, 0.0] };
    fly.bead = Some((middle, diameter, bead));
    if condition == "bare hook" {
        return fly;
    }
    let fur = dice.pick(&FUR);
    let body = dice.between(1.8, 3.6);
    let tail = if condition == "long dark tail" { dice.between(1.2, 2.0) } else { dice.between(0.4, 1.2) };
    let hair = if condition == "long dark tail" { FUR[3] } else { dice.pick(&FUR) };
    let droop = if condition == "long dark tail" { dice.between(5.0, 25.0) } else { dice.between(0.0, 15.0) };
    let dark = dice.between(0.4, 0.8);
    let end = [corner[0] + shank, corner[1]];
    fly = fly.with_lock(dice, end, tail * shank, 0.0, 5.0, (down, droop), (hair, dark), 45);
    if condition == "hair wing" {
        let wing = dice.pick(&FUR);
        let lean = -dice.between(8.0, 22.0);
        fly = fly.with_lock(
            dice,
            [corner[0] + diameter, corner[1] - 0.3 * body],
            1.5 * shank,
            lean,
            4.0,
            (down, 0.0),
            (wing, 0.6),
            50,
        );
    }
    if condition == "fluorescent foam" || dice.chance(0.3) {
        let colour = dice.pick(&[[1.0, 0.35, 0.1], [0.95, 1.0, 0.2], [1.0, 0.3, 0.6], [0.95, 0.93, 0.88]]);
        let height = dice.between(1.5, 3.2);
        let length = dice.between(0.4, 0.8) * shank;
        let start = corner[0] + shank - dice.between(0.0, 1.0) * length;
        let top = corner[1] - 0.5 * wire.thick;
        fly.foam = Some(Block { from: [start, top - height], to: [start + length, top], colour });
    }
    fly.with_body(dice, corner[0] + 0.3 * diameter, end[0], body, fur)
}

/// Makes a fly, told which way down is in its hook frame.
pub(crate) type Maker<'m> = &'m dyn Fn(&mut Dice, [f64; 2]) -> ModelFly;

/// A picture under a condition: of the fly that `maker` makes, else of a made-up one.
pub(crate) fn shot(condition: &str, seed: u64, maker: Option<Maker>) -> Shot {
    let mut dice = Dice::new(seed);
    let round = dice.chance(0.6);
    let hang = dice.between(-88.0, 88.0) * dice.pick(&[1.0, 1.0, 0.4]);
    let (faces_left, point_up) = (dice.chance(0.5), dice.chance(0.5));
    let side = if faces_left { 1.0 } else { -1.0 };
    let (sin, cos) = f64::to_radians(hang).sin_cos();
    let down = [sin, -cos * if point_up { 1.0 } else { -1.0 }];
    let fly = match maker {
        Some(make) => make(&mut dice, down),
        None => made_up(&mut dice, condition, down),
    };
    let radius = dice.between(32.0, 60.0);
    let distance = dice.between(220.0, 450.0);
    let wall = if round {
        Wall::Round { radius, profile: f64::INFINITY }
    } else {
        Wall::Flat { half_depth: 50.0, half_width: 90.0 }
    };
    let large = condition == "portrait";
    let (width, height) = if large { (1134, 1512) } else { dice.pick(&[(1280, 960), (1024, 768), (1200, 900)]) };
    let across = if round { 2.1 * radius } else { dice.between(75.0, 110.0) };
    let across = if large { across.min(80.0) } else { across };
    let focal = width as f64 * distance / across;
    let low = condition == "rim and water line";
    let surface = if low { dice.between(22.0, 28.0) } else { 200.0 };
    let walls = [[0.9, 0.9, 0.88], [0.82, 0.84, 0.86], [0.95, 0.93, 0.88], [0.7, 0.7, 0.7]];
    let mut scenery = Scenery::plain(dice.pick(&walls));
    scenery.fade = dice.between(0.0, 0.3);
    let roll = if condition == "rolled camera" { dice.between(3.0, 9.0) * side } else { dice.between(-2.5, 2.5) };
    let mut camera =
        Camera { distance, focal, width, height, roll, barrel: 0.0, blur: dice.between(0.5, 1.0), noise: 0.012 };
    let place = [dice.between(-6.0, 6.0), if round { dice.between(-3.0, 3.0) } else { 0.0 }, dice.between(-6.0, 0.0)];
    let mut tippet = (dice.between(0.12, 0.22), dice.between(0.35, 0.7));
    match condition {
        "window light" => {
            scenery.fade = 0.6;
            scenery.window = Some(([dice.between(-60.0, 60.0), dice.between(-20.0, 60.0)], dice.between(30.0, 80.0)));
        }
        "window bars behind" => {
            scenery.window = Some(([dice.between(-60.0, 60.0), dice.between(-20.0, 60.0)], 0.0));
        }
        "table edge" => scenery.table = Some(dice.between(-75.0, -25.0)),
        "bubbles" => scenery.scatter_bubbles(&mut dice, [place[0], place[2]], 40),
        "blur" => camera.blur = dice.between(1.6, 3.0),
        "hand" => {
            let up = dice.between(22.0, 30.0) / distance;
            scenery.hand = Some(if dice.chance(0.6) {
                Hand::Above([place[0] / distance, up])
            } else {
                Hand::Side([-side * 0.42 * across / distance, 0.0])
            });
        }
        "coloured wall" => {
            scenery.wall = dice.pick(&[
                [0.35, 0.6, 0.85],
                [0.5, 0.8, 0.45],
                [0.9, 0.75, 0.4],
                [0.85, 0.55, 0.55],
                [0.3, 0.45, 0.4],
            ])
        }
        "patterned wall" => {
            scenery.pattern = dice.pick(&[
                Pattern::Checks(30.0, 0.18),
                Pattern::Stripes(22.0, 0.15),
                Pattern::Wood(0.25),
                Pattern::Blots(18.0, 0.25),
            ]);
        }
        "squared paper" => scenery.pattern = Pattern::Ruled(5.0, dice.between(0.15, 0.45)),
        "thin tippet" => tippet = (dice.between(0.08, 0.12), dice.between(0.02, 0.25)),
        "noise and glare" => {
            camera.noise = 0.04;
            scenery.glare = Some((dice.between(-0.3, 0.3) * across / distance, dice.between(0.5, 0.95)));
        }
        _ => {}
    }
    Shot {
        camera,
        vessel: Vessel { wall, surface, rim: if low { surface + 6.0 } else { 300.0 }, floor: -120.0 },
        scenery,
        fly,
        hang,
        faces_left,
        point_up,
        yaw: dice.between(-6.0, 6.0),
        place,
        tippet,
        card: None,
        seed,
    }
}
