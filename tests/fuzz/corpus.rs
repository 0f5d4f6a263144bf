//! Sound files to start from.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// All files of a folder of the project.
fn files(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path()).collect();
    paths.sort();
    paths.retain(|path| path.is_file());
    paths
}

fn read(folder: &str) -> Vec<String> {
    files(folder).iter().filter_map(|path| fs::read_to_string(path).ok()).collect()
}

/// A catalog with a row of every kind, sound by itself.
pub(crate) const SMALL_CATALOG: &str = include_str!("small-catalog.yaml");

const CALIBRATION: &str = include_str!("calibration.yaml");

const TABLE: &str = "date,recipe,fly,stage,water_c,hang_deg,hang_error_deg,rides,floats,drop_m,drop_s,drop_line,mass_mg,part,count,length_mm,note\n\
    2026-03-01,leech.yaml,A,foam,12,-5,3,point-up,no,0.3,1.42,slack,,,,,a note\n\
    ,,,,,,,,,,,,2710,bead tungsten-3.5,10,,\n,,,,,,,,,,,,31,foam pe-rod-1-4in quarter,4,50,\n";

/// Texts for the reader of this name.
pub(crate) fn texts(name: &str) -> &'static [String] {
    static ALL: OnceLock<Vec<(&'static str, Vec<String>)>> = OnceLock::new();
    let all = ALL.get_or_init(|| {
        let units = [
            "3.5 mm",
            "1 1/8in",
            "-20deg",
            "level",
            "0.15..0.25 m/s",
            ">=0.2 m/s",
            "4.50",
            "54F",
            "20 grain",
            "1e-3kg",
            "35g/kg",
        ];
        vec![
            ("units", units.map(str::to_owned).to_vec()),
            ("target", read("examples/targets")),
            ("recipe", read("examples/recipes")),
            ("catalog", read("examples/catalogs")),
            ("box", read("examples/boxes")),
            ("stock", read("examples/stock")),
            ("log", read("examples/logs")),
            ("calibration", vec![CALIBRATION.to_owned()]),
            ("csv", vec![TABLE.to_owned()]),
        ]
    });
    all.iter().find(|(known, _)| *known == name).map(|(_, texts)| texts.as_slice()).unwrap()
}

/// A small picture in both formats.
pub(crate) fn pictures() -> &'static [Vec<u8>] {
    static ALL: OnceLock<Vec<Vec<u8>>> = OnceLock::new();
    ALL.get_or_init(|| {
        let picture = image::RgbImage::from_fn(120, 110, |x, y| image::Rgb([(2 * x) as u8, (2 * y) as u8, 90]));
        [image::ImageFormat::Png, image::ImageFormat::Jpeg]
            .map(|format| {
                let mut bytes = std::io::Cursor::new(Vec::new());
                picture.write_to(&mut bytes, format).unwrap();
                bytes.into_inner()
            })
            .to_vec()
    })
}
