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
        // In the middle of a round jar the same picture means a steeper fly.
        let jar = json(&["read-photo", args[1], "--jar-diameter", "80mm", "--camera", "30cm"], 0);
        assert!(jar["hang_deg"].as_f64().unwrap().abs() >= hang.abs() - 0.01);
    }
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
    let output = run_with_input(&["read-photo", blank.to_str().unwrap(), "--eye", "5"], "");
    assert!(text(&output.stderr).contains("write 512,300"));
}
