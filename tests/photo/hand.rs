//! One picture at a time: points by hand, what the vessel does, what is said where nothing can be read.

use super::setup;
use super::tracer::sets::shot;
use super::tracer::{Camera, Shot};
use counterpoise::photo::file::{decode, encode_png};
use counterpoise::photo::overlay::overlay;
use counterpoise::photo::{Hints, PhotoError, Setup, read};
use image::{Rgb, RgbImage};

/// A fair picture in a round jar, of a hang of one's own.
fn fair(hang: f64) -> Shot {
    let mut seed = 1;
    let mut shot = shot("fair", seed, None);
    while setup(&shot).edges.is_none() || shot.fly.foam.is_some() || shot.fly.wire.neck.0 > 0.0 {
        seed += 1;
        shot = super::shot("fair", seed, None);
    }
    let camera = Camera { roll: 1.0, ..shot.camera.clone() };
    Shot { hang, yaw: 0.0, place: [0.0, 0.0, -5.0], camera, ..shot }
}

/// What the lens does to a reading that does not know of it: README.md says so too.
#[test]
fn without_the_jar_45_degrees_reads_several_degrees_too_flat() {
    let shot = fair(45.0);
    let image = shot.picture();
    let told = |setup: &Setup| read(&image, &Hints::default(), setup, None).outcome.unwrap().angle;
    let (blind, aware) = (told(&Setup::default()), told(&setup(&shot)));
    let (blind_deg, aware_deg) = (blind.hang.to_degrees(), aware.hang.to_degrees());
    assert!((35.0..41.0).contains(&blind_deg), "{blind_deg}");
    assert!((aware_deg - 45.0).abs() < 2.5, "{aware_deg}");
    assert!((aware.lens - (aware.hang - blind.hang)).abs() < 1e-3);
    assert_eq!(aware.raw, blind.raw);
}

#[test]
fn points_given_by_hand_are_taken() {
    let shot = fair(20.0);
    let image = shot.picture();
    let setup = setup(&shot);
    let found = read(&image, &Hints::default(), &setup, None).outcome.unwrap();
    let hints = Hints { shank: Some([found.angle.front, found.angle.rear]), ..Hints::default() };
    let by_hand = read(&image, &hints, &setup, None).outcome.unwrap();
    assert!((by_hand.angle.hang - found.angle.hang).abs() < 1e-3);
    assert!(by_hand.roll.is_some() && by_hand.angle.error < found.angle.error);
    // Eye to bend may be several degrees off the shank, and the error says so.
    let hints = Hints { eye: Some(found.angle.front), bend: Some(found.angle.rear), ..Hints::default() };
    assert!(read(&image, &hints, &setup, None).outcome.unwrap().angle.error.to_degrees() > 3.0);
    assert_eq!(by_hand.angle.eye, None);
    // Even where nothing can be seen.
    let blank = RgbImage::from_pixel(300, 200, Rgb([200; 3]));
    let hints = Hints { shank: Some([[50.0, 50.0], [150.0, 150.0]]), ..Hints::default() };
    let by_hand = read(&blank, &hints, &Setup::default(), None).outcome.unwrap();
    assert!((by_hand.angle.hang.to_degrees() - 45.0).abs() < 1e-9 && by_hand.roll.is_none());
    assert!(by_hand.angle.error.to_degrees() > 2.0, "the roll is unknown");
}

#[test]
fn says_what_is_missing_and_shows_what_it_saw() {
    let blank = RgbImage::from_pixel(300, 200, Rgb([200; 3]));
    let fault = |image: &RgbImage, hints: Hints| read(image, &hints, &Setup::default(), None).outcome.unwrap_err();
    assert_eq!(fault(&blank, Hints::default()), PhotoError::NoFly);
    let block = RgbImage::from_fn(300, 200, |x, y| {
        Rgb([if (100..180).contains(&x) && (90..110).contains(&y) { 50 } else { 200 }; 3])
    });
    assert_eq!(fault(&block, Hints::default()), PhotoError::NoTippet);
    let attempt = read(&block, &Hints::default(), &Setup::default(), None);
    assert!(attempt.seen.outline.len() > 150);
    assert_eq!(overlay(&block, &attempt).get_pixel(100, 100).0, [250, 220, 0], "the outline is drawn");
    let far = Hints { eye: Some([500.0, 20.0]), ..Hints::default() };
    assert!(matches!(fault(&blank, far), PhotoError::Outside { .. }));
    let same = Hints { shank: Some([[50.0, 20.0], [51.0, 20.0]]), ..Hints::default() };
    assert!(matches!(fault(&blank, same), PhotoError::SamePoint { .. }));
    // A line that leans 14 degrees.
    let leaning = RgbImage::from_fn(300, 300, |x, y| {
        let (x, y) = (f64::from(x), f64::from(y));
        let line = y < 200.0 && (x - 140.0 - 0.25 * (y - 200.0)).abs() < 1.0;
        let rod = (140.0..220.0).contains(&x) && (y - 205.0).abs() < 6.0;
        Rgb([if line || rod { 50 } else { 200 }; 3])
    });
    assert!(matches!(fault(&leaning, Hints::default()), PhotoError::Askew { .. }));
}

/// A picture as a file and back, and the overlay drawn on it, left in the temporary folder of the build for a look.
#[test]
fn files_and_overlay() {
    let shot = fair(30.0);
    let image = decode(encode_png(&shot.picture()).unwrap()).unwrap();
    let attempt = read(&image, &Hints::default(), &setup(&shot), None);
    let angle = attempt.outcome.clone().unwrap().angle;
    let drawn = overlay(&image, &attempt);
    let [x, y] = angle.rear;
    assert_eq!(drawn.get_pixel(x.round() as u32, y.round() as u32).0, [220, 30, 30]);
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(folder.join("overlay.png"), encode_png(&drawn).unwrap()).unwrap();
}
