//! `read-photo`: a drawn picture, and what cannot be read.

use super::session::{json, run_with_input, text};
use image::{Rgb, RgbImage};

/// A dark rod hanging so many degrees tail down from the end of a thin line, before a light wall.
fn drawn(degrees: f64) -> RgbImage {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let eye = [260.0, 240.0];
    RgbImage::from_fn(640, 480, |x, y| {
        let (dx, dy) = (f64::from(x) - eye[0], f64::from(y) - eye[1]);
        let (along, off) = (dx * cos + dy * sin, dy * cos - dx * sin);
        let rod = (0.0..170.0).contains(&along) && off.abs() < 9.0;
        let line = dx.abs() < 1.0 && dy < 0.0;
        if rod || line { Rgb([40, 38, 36]) } else { Rgb([225, 226, 222]) }
    })
}

#[test]
fn a_drawn_rod_is_read_and_the_reading_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let (picture, drawing) = (folder.path().join("jar.png"), folder.path().join("read.png"));
    for degrees in [-30.0, 0.0, 25.0] {
        drawn(degrees).save(&picture).unwrap();
        let args = ["read-photo", picture.to_str().unwrap(), "--overlay", drawing.to_str().unwrap(), "--force"];
        let read = json(&args, 0);
        let (hang, error) = (read["hang_deg"].as_f64().unwrap(), read["error_deg"].as_f64().unwrap());
        assert!((hang - degrees).abs() < 2.0 && (hang - degrees).abs() < 3.0 * error, "{degrees}: {hang} +-{error}");
        assert!(image::open(&drawing).is_ok());
        super::schemas::holds("answer-read-photo", &read);
        assert!(read["warnings"].to_string().contains("round jar of 80 mm"), "what a wall would do is said");
        // In the middle of a round jar the same picture means a steeper fly.
        let jar = json(&["read-photo", args[1], "--jar-diameter", "80mm", "--camera", "30cm"], 0);
        assert!(jar["hang_deg"].as_f64().unwrap().abs() >= hang.abs() - 0.01);
    }
}

/// Several pictures of one hang: each angle, rest, mean, what stands off, what is no picture; and the course drawn.
#[test]
fn several_pictures_make_a_course() {
    let folder = tempfile::tempdir().unwrap();
    let frames = folder.path().join("frames");
    std::fs::create_dir(&frames).unwrap();
    for (i, degrees) in [24.0, 17.0, 15.2, 14.9, 15.0, -10.0, 15.1, 15.0].into_iter().enumerate() {
        drawn(degrees).save(frames.join(format!("{i}.png"))).unwrap();
    }
    std::fs::write(frames.join("9.png"), "no picture").unwrap();
    let (chart, frames) = (folder.path().join("course.svg"), frames.to_str().unwrap().to_owned());
    let read = json(&["read-photo", &frames, "--chart", chart.to_str().unwrap()], 0);
    super::schemas::holds("answer-read-photo", &read);
    let course = &read["course"];
    assert_eq!(course["at_rest"], true);
    assert!((read["hang_deg"].as_f64().unwrap() - 15.0).abs() < 1.0, "{course}");
    assert!(course["rest_from"].as_u64().unwrap() >= 2);
    let pictures = course["pictures"].as_array().unwrap();
    let outliers: Vec<usize> = (0..9).filter(|i| pictures[*i]["outlier"] == true).collect();
    // The first, far from its rest, may stand off as well.
    assert!(outliers.contains(&5) && outliers.iter().all(|i| [0, 5].contains(i)), "{outliers:?}");
    assert!(pictures[8]["refused"].is_string() && pictures[8]["hang_deg"].is_null());
    let common = course["common_deg"].as_f64().unwrap();
    assert!(course["error_deg"].as_f64().unwrap() >= common && common > 1.0);
    assert!(std::fs::read_to_string(chart).unwrap().starts_with("<svg"));
}

/// The card is written; a picture that shows none is refused.
#[test]
fn the_card_of_squares_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let card = folder.path().join("card.svg");
    let output = run_with_input(&["read-photo", "--write-card", card.to_str().unwrap()], "");
    assert!(output.status.success(), "{}", text(&output.stderr));
    let squares = std::fs::read_to_string(&card).unwrap().matches("<rect").count();
    assert_eq!(squares, 1 + 32, "a white page and the dark squares of 9 by 7");
    let picture = folder.path().join("rod.png");
    drawn(10.0).save(&picture).unwrap();
    let picture = picture.to_str().unwrap();
    let output = run_with_input(&["read-photo", picture, "--card", picture], "");
    assert!(text(&output.stderr).contains("corners of squares"), "{}", text(&output.stderr));
}

#[test]
fn what_cannot_be_read_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let blank = folder.path().join("blank.png");
    RgbImage::from_pixel(300, 200, Rgb([220, 220, 220])).save(&blank).unwrap();
    let text_file = folder.path().join("note.png");
    std::fs::write(&text_file, "no picture").unwrap();
    let (heic, half) = (folder.path().join("phone.jpg"), folder.path().join("half.jpg"));
    std::fs::write(&heic, b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").unwrap();
    drawn(10.0).save(&half).unwrap();
    let whole = std::fs::read(&half).unwrap();
    std::fs::write(&half, &whole[..whole.len() / 2]).unwrap();
    for (path, says) in [
        (&blank, "no fly found"),
        (&text_file, "no PNG or JPEG"),
        (&folder.path().join("none.png"), "cannot read it"),
        (&heic, "export it as JPEG"),
        (&half, "not copied whole"),
        (&"/dev/zero".into(), "/dev/zero"),
    ] {
        let output = run_with_input(&["read-photo", path.to_str().unwrap()], "");
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains(says), "{}", text(&output.stderr));
    }
    // What was seen is drawn all the same.
    let drawing = folder.path().join("seen.png");
    let args = ["read-photo", blank.to_str().unwrap(), "--overlay", drawing.to_str().unwrap()];
    assert_eq!(run_with_input(&args, "").status.code(), Some(4), "a file was written before it failed");
    assert!(image::open(&drawing).is_ok());
    let output = run_with_input(&["read-photo", blank.to_str().unwrap(), "--eye", "5"], "");
    assert!(text(&output.stderr).contains("write 512,300"));
}
