//! Sizes as the trade names them in inches.

use super::Length;

/// How far a metric size may be from a 64th of an inch and still carry its name. It spans 3.5 mm sold as 9/64 in
/// (0.072 mm apart; common practice, no source) and is well under half the 0.397 mm step.
const NAME_TOLERANCE_MM: f64 = 0.08;

/// The name of a bead or rod size: the reduced 64th it is sold as, or thousandths when none is near.
///
/// ```
/// use counterpoise::quantity::{Length, fraction_name};
/// assert_eq!(fraction_name(Length::from_mm(3.5)), "9/64 in");
/// assert_eq!(fraction_name(Length::from_mm(4.0)), "5/32 in");
/// assert_eq!(fraction_name(Length::from_mm(4.5)), "0.177 in");
/// ```
pub fn fraction_name(size: Length) -> String {
    let sixty_fourths = (size.inches() * 64.0).round();
    let named = Length::from_inches(sixty_fourths / 64.0);
    let near = (size - named).mm().abs() <= NAME_TOLERANCE_MM;
    if !near || !(1.0..64_000.0).contains(&sixty_fourths) {
        return thousandths_name(size);
    }
    let count = sixty_fourths as u32;
    let (whole, rest) = (count / 64, count % 64);
    if rest == 0 {
        return format!("{whole} in");
    }
    let shared = rest.trailing_zeros();
    let fraction = format!("{}/{} in", rest >> shared, 64_u32 >> shared);
    if whole == 0 { fraction } else { format!("{whole} {fraction}") }
}

/// The name of a wire size, in thousandths of an inch.
///
/// ```
/// use counterpoise::quantity::{Length, thousandths_name};
/// assert_eq!(thousandths_name(Length::from_mm(0.254)), "0.010 in");
/// assert_eq!(thousandths_name(Length::from_mm(0.38)), "0.015 in");
/// ```
pub fn thousandths_name(size: Length) -> String {
    format!("{:.3} in", size.inches())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bead_and_rod_names() {
        for (mm, name) in [
            (2.0, "5/64 in"),
            (2.4, "3/32 in"),
            (2.8, "7/64 in"),
            (3.2, "1/8 in"),
            (3.175, "1/8 in"),
            (4.8, "3/16 in"),
            (5.5, "7/32 in"),
            (6.35, "1/4 in"),
            (25.4, "1 in"),
            (38.1, "1 1/2 in"),
            (3.0, "0.118 in"),
            (0.05, "0.002 in"),
            (0.0, "0.000 in"),
        ] {
            assert_eq!(fraction_name(Length::from_mm(mm)), name, "{mm} mm");
        }
    }

    #[test]
    fn every_64th_keeps_its_own_name() {
        for count in 1..=256 {
            let size = Length::from_inches(f64::from(count) / 64.0);
            let back: Length = fraction_name(size).parse().unwrap();
            assert!((back - size).mm().abs() < 1e-12);
        }
    }
}
