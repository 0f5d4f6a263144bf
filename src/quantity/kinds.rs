//! The quantity types themselves, all of one pattern.

use super::unit::{self, Kind, Unit};
use super::{QuantityError, parse, text_form};
use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};
use std::str::FromStr;

/// What all quantity types share: a kind and a value in its base unit (SI; °C for temperature, g/kg for salinity).
pub trait Quantity: Copy + PartialOrd + fmt::Display + FromStr<Err = QuantityError> {
    /// What it measures.
    const KIND: Kind;
    /// From a value in the base unit.
    fn from_base(value: f64) -> Self;
    /// The value in the base unit.
    fn base(self) -> f64;
    /// Text that reads back as exactly the same value.
    fn exact_text(self) -> String;
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, show $show:expr, { $($unit:ident $from:ident $get:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy)]
        pub struct $name {
            base: f64,
            /// The unit that a person gave it in; takes no part in what it is, only in how it is written.
            typed: Option<&'static Unit>,
        }

        impl PartialEq for $name {
            fn eq(&self, other: &Self) -> bool {
                self.base == other.base
            }
        }

        impl PartialOrd for $name {
            fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
                self.base.partial_cmp(&other.base)
            }
        }

        impl $name {
            $(
                #[doc = concat!("From a finite number of the unit in the name: `", stringify!($from), "(1.0)`.")]
                pub const fn $from(value: f64) -> Self {
                    Self { base: unit::$unit.to_base(value), typed: None }
                }

                #[doc = concat!("The value in the unit of the name, `", stringify!($get), "`.")]
                pub const fn $get(self) -> f64 {
                    unit::$unit.of_base(self.base)
                }
            )+

            /// The unit a reader would choose for a value of this size.
            fn shown_in(self) -> &'static Unit {
                let choose: fn(f64) -> &'static Unit = $show;
                choose(self.base.abs())
            }

            /// The unit it was typed in, as far as is known.
            fn typed_in(self) -> &'static Unit {
                self.typed.unwrap_or_else(|| text_form::likely(self.base, self.shown_in()))
            }
        }

        impl Quantity for $name {
            const KIND: Kind = Kind::$name;

            fn from_base(value: f64) -> Self {
                Self { base: value, typed: None }
            }

            fn base(self) -> f64 {
                self.base
            }

            fn exact_text(self) -> String {
                text_form::exact(self.base, [self.typed_in(), self.shown_in()])
            }
        }

        impl FromStr for $name {
            type Err = QuantityError;

            fn from_str(text: &str) -> Result<Self, QuantityError> {
                parse::value(text, Kind::$name).map(|(base, typed)| Self { base, typed })
            }
        }

        impl fmt::Display for $name {
            /// Five significant digits in the unit it was read in. Else in a unit that suits the size, or in feet, inches, grains
            /// or °F where those take fewer digits, since it was most likely typed so; `{:.2}` sets the decimals instead.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                text_form::show(self.base, self.typed_in(), self.shown_in(), f)
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                text_form::serialize(*self, serializer)
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                text_form::deserialize(deserializer, Kind::$name, "with a unit, like")
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                text_form::schema(Kind::$name, "with its unit")
            }
        }
    };
}

macro_rules! arithmetic {
    ($($name:ident)+) => {$(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self::from_base(self.base + other.base)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self::from_base(self.base - other.base)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self::from_base(-self.base)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self::from_base(self.base * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self::from_base(self.base / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.base / other.base
            }
        }
    )+};
}

quantity! {
    /// A length or a coordinate; held in m.
    Length, show |m| if m < 1.0 { &unit::MILLIMETRE } else { &unit::METRE }, {
        METRE from_m m,
        CENTIMETRE from_cm cm,
        MILLIMETRE from_mm mm,
        INCH from_inches inches,
        FOOT from_feet feet,
    }
}

quantity! {
    /// A mass; held in kg.
    Mass, show |kg| if kg < 1e-3 { &unit::MILLIGRAM } else if kg < 1.0 { &unit::GRAM } else { &unit::KILOGRAM }, {
        KILOGRAM from_kg kg,
        GRAM from_g g,
        MILLIGRAM from_mg mg,
        GRAIN from_grains grains,
        OUNCE from_oz oz,
    }
}

quantity! {
    /// A density; held in kg/m3.
    Density, show |kg_m3| if kg_m3 < 1e3 { &unit::KG_M3 } else { &unit::G_CM3 }, {
        KG_M3 from_kg_m3 kg_m3,
        G_CM3 from_g_cm3 g_cm3,
    }
}

quantity! {
    /// An angle; held in rad. The word `level` reads as zero.
    Angle, show |_| &unit::DEGREE, {
        RADIAN from_rad rad,
        DEGREE from_deg deg,
    }
}

quantity! {
    /// A speed; held in m/s. Sink rates are positive down.
    Speed, show |_| &unit::M_S, {
        M_S from_m_s m_s,
        CM_S from_cm_s cm_s,
        IN_S from_in_s in_s,
    }
}

quantity! {
    /// A length of time; held in s.
    Time, show |s| if s < 120.0 { &unit::SECOND } else { &unit::MINUTE }, {
        SECOND from_s s,
        MINUTE from_min min,
    }
}

quantity! {
    /// A temperature; held in °C, not K, because every water formula used here takes °C.
    Temperature, show |_| &unit::CELSIUS, {
        CELSIUS from_celsius celsius,
        FAHRENHEIT from_fahrenheit fahrenheit,
    }
}

quantity! {
    /// A salinity; held in grams of salt per kilogram of sea water.
    Salinity, show |_| &unit::G_KG, {
        G_KG from_g_kg g_kg,
    }
}

quantity! {
    /// A pressure, like that of the air; held in Pa.
    Pressure, show |_| &unit::KILOPASCAL, {
        PASCAL from_pa pa,
        HECTOPASCAL from_hpa hpa,
        KILOPASCAL from_kpa kpa,
    }
}

arithmetic! { Length Mass Density Angle Speed Time }

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-14 * b.abs().max(1e-12), "{a} is not {b}");
    }

    fn read<T: Quantity>(text: &str) -> f64 {
        text.parse::<T>().unwrap_or_else(|e| panic!("{text}: {e}")).base()
    }

    fn refusal<T: Quantity + fmt::Debug>(text: &str) -> String {
        text.parse::<T>().unwrap_err().to_string()
    }

    #[test]
    fn lengths_as_people_write_them() {
        for text in ["3.5mm", "3.5 mm", " 3.5 mm ", "+3.5 MM", "0.35cm", "3.5e-3 m", "3500 µm", "3500μm"] {
            close(read::<Length>(text), 0.0035);
        }
        for text in ["1/8in", "1/8 in", "1/8\"", "1/8 ″", "1/8 inch", "0.125in", ".125 in"] {
            close(read::<Length>(text), 0.003175);
        }
        close(read::<Length>("0.010 in"), 0.000254);
        close(read::<Length>("5/32\""), 0.003_968_75);
        close(read::<Length>("1 1/8 in"), 0.028575);
        close(read::<Length>("1-1/8in"), 0.028575);
        close(read::<Length>("2m"), 2.0);
        close(read::<Length>("6ft"), 1.8288);
        close(read::<Length>("6'"), 1.8288);
        close(read::<Length>("50cm"), 0.5);
        close(read::<Length>("-2 mm"), -0.002);
        close(read::<Length>("−2 mm"), -0.002);
    }

    #[test]
    fn other_kinds_as_people_write_them() {
        close(read::<Mass>("20 grain"), 20.0 * 64.79891e-6);
        close(read::<Mass>("1/32 oz"), 0.028_349_523_125 / 32.0);
        close(read::<Mass>("110 mg"), 110e-6);
        for text in ["19.25 g/cm3", "19.25g/cc", "19.25 g/cm³", "19.25 g/cm^3", "19250 kg/m3", "19250 kg / m3"] {
            close(read::<Density>(text), 19250.0);
        }
        close(read::<Density>("2 lb/ft3"), 32.036_926_747_920_3);
        for text in ["20deg", "20°", "20 º", "20 degrees"] {
            close(read::<Angle>(text), 20.0 * std::f64::consts::PI / 180.0);
        }
        close(read::<Angle>("0.3 rad"), 0.3);
        assert_eq!(read::<Angle>("level"), 0.0);
        assert_eq!(read::<Angle>(" Level"), 0.0);
        close(read::<Speed>("0.2 m/s"), 0.2);
        close(read::<Speed>("8 in/s"), 0.2032);
        close(read::<Speed>("20cm/s"), 0.2);
        close(read::<Time>("15s"), 15.0);
        close(read::<Time>("2 min"), 120.0);
        for text in ["8C", "8 °C", "8°C", "8c"] {
            close(read::<Temperature>(text), 8.0);
        }
        close(read::<Temperature>("46F"), 70.0 / 9.0);
        close(read::<Temperature>("281.15 K"), 8.0);
        close(read::<Salinity>("35 g/kg"), 35.0);
        for text in ["79.5 kPa", "795 hPa", "795mbar", "79500 Pa"] {
            close(read::<Pressure>(text), 79.5e3);
        }
        assert!((read::<Pressure>("29.92 inHg") - 101_320.0).abs() < 10.0);
    }

    #[test]
    fn refusals_say_what_would_be_right() {
        assert_eq!(refusal::<Length>("3.5"), "a length needs a unit: did you mean `3.5 mm` or `3.5 m`?");
        assert_eq!(refusal::<Length>("1/8"), "a length needs a unit: did you mean `1/8 mm` or `1/8 m`?");
        assert_eq!(refusal::<Angle>("0"), "an angle needs a unit: did you mean `0 deg`?");
        assert_eq!(refusal::<Length>("3,5 mm"), "`3,5 mm` has a comma: write 3.5, not 3,5");
        assert_eq!(refusal::<Length>(",5 mm"), "`,5 mm` has a comma: write 0.5, not ,5");
        assert_eq!(refusal::<Length>("1,000 mm"), "`1,000 mm` has a comma: write 1000 or 1.000, not 1,000");
        assert_eq!(
            refusal::<Length>("1.000,5 mm"),
            "`1.000,5 mm` has a comma: write one decimal point and no commas, not 1.000,5"
        );
        assert_eq!(refusal::<Length>("3.5 g"), "`3.5 g` is a mass, a length was expected");
        assert_eq!(refusal::<Temperature>("20 deg"), "`20 deg` is an angle, a temperature was expected");
        assert_eq!(refusal::<Length>("level"), "`level` is an angle, a length was expected");
        assert_eq!(
            refusal::<Length>("3 furlong"),
            "`furlong` in `3 furlong` is not a unit of length: use mm, cm, m, in, ft, um"
        );
        assert_eq!(refusal::<Mass>("5 gr"), "`gr` in `5 gr` may be grains or grams: write `grain` or `g`");
        assert_eq!(refusal::<Mass>("-1 g"), "`-1 g` is impossible: a mass cannot be below 0 kg");
        assert_eq!(refusal::<Temperature>("-300 C"), "`-300 C` is impossible: a temperature cannot be below -273.15 C");
        assert_eq!(refusal::<Length>("1/0 in"), "`1/0 in` divides by zero");
        assert_eq!(refusal::<Length>(" "), "a length is missing: write it like `3.5 mm`");
        assert_eq!(refusal::<Length>("big"), "`big` is not a length: write it like `3.5 mm`");
        assert_eq!(refusal::<Length>("mm"), "`mm` is not a length: write it like `3.5 mm`");
        for text in ["NaN mm", "inf mm", "-inf mm", "1e400 mm", "1e308 kg"] {
            let refused = text.parse::<Length>().is_err() && text.replace("mm", "ft").parse::<Length>().is_err();
            assert!(refused, "{text}");
        }
        assert_eq!(refusal::<Length>("-inf mm"), "`-inf mm` is not a finite length");
        for text in ["3.5.2 mm", "3/4/5 in", "--3 mm", "3 mm 4", "1/ in", "/8 in", "3 4 mm", "."] {
            assert!(text.parse::<Length>().is_err(), "{text}");
        }
    }

    #[test]
    fn shown_in_sensible_units() {
        assert_eq!(Length::from_mm(3.5).to_string(), "3.5 mm");
        assert_eq!(Length::from_inches(0.015).to_string(), "0.015 in");
        assert_eq!(Length::from_feet(6.0).to_string(), "6 ft");
        assert_eq!(Mass::from_mg(110.224).to_string(), "110.22 mg");
        assert_eq!(Mass::from_g(1.25).to_string(), "1.25 g");
        assert_eq!(Density::from_g_cm3(17.5).to_string(), "17.5 g/cm3");
        assert_eq!(Density::from_kg_m3(33.0).to_string(), "33 kg/m3");
        assert_eq!(Angle::from_deg(-12.5).to_string(), "-12.5 deg");
        assert_eq!(Speed::from_in_s(8.0).to_string(), "8 in/s");
        assert_eq!(Time::from_min(2.5).to_string(), "2.5 min");
        assert_eq!(Temperature::from_fahrenheit(46.0).to_string(), "46 F");
        assert_eq!(Temperature::from_fahrenheit(54.0).exact_text(), "54 F");
        assert_eq!(Length::from_feet(4.0).exact_text(), "4 ft");
        assert_eq!(Length::from_m(1.25).exact_text(), "1.25 m");
        assert_eq!(Salinity::from_g_kg(35.0).to_string(), "35 g/kg");
        assert_eq!(format!("{:.1}", Length::from_mm(3.456)), "3.5 mm");
        assert_eq!(format!("{:>8}", Length::from_mm(3.5)), "  3.5 mm");
        assert_eq!(Length::from_mm(-0.0).to_string(), "0 mm");
    }

    #[test]
    fn arithmetic_keeps_the_kind() {
        let sum = Length::from_mm(2.0) + Length::from_mm(3.0) - Length::from_mm(1.0);
        close(sum.mm(), 4.0);
        close((-sum * 2.0 / 4.0).mm(), -2.0);
        close(sum / Length::from_mm(8.0), 0.5);
    }

    #[test]
    fn yaml_takes_text_with_a_unit_and_says_so() {
        let read = |text: &str| crate::yaml::from_str::<Length>(text);
        assert_eq!(read("3.5mm").unwrap(), Length::from_mm(3.5));
        assert_eq!(read("1/8 in").unwrap(), Length::from_inches(0.125));
        assert_eq!(read("5/32\"").unwrap(), Length::from_inches(0.15625));
        let message = |text: &str| read(text).unwrap_err().to_string();
        assert_eq!(message("3.5"), "a length needs a unit: did you mean `3.5 mm` or `3.5 m`?");
        assert_eq!(message("4"), "a length needs a unit: did you mean `4 mm` or `4 m`?");
        assert_eq!(message(".nan"), "`NaN` is not a finite length");
        assert_eq!(message("true"), "invalid type: boolean `true`, expected a length with a unit, like `3.5 mm`");
        let spot = crate::yaml::from_str::<std::collections::BTreeMap<String, Length>>("a: 3 mm\nb: 3.5\n");
        let spot = spot.unwrap_err().location().unwrap();
        assert_eq!((spot.line(), spot.column()), (2, 4));
        assert!(crate::yaml::to_string(&Length::from_m(f64::NAN)).is_err());
    }

    proptest! {
        #[test]
        fn text_reads_back_exactly(value in prop_oneof![0.0..1e-2f64, 0.0..1e4f64]) {
            fn back<T: Quantity>(value: f64) -> f64 {
                read::<T>(&T::from_base(value).exact_text())
            }
            prop_assert_eq!(back::<Length>(value), value);
            prop_assert_eq!(back::<Mass>(value), value);
            prop_assert_eq!(back::<Density>(value), value);
            prop_assert_eq!(back::<Angle>(-value), -value);
            prop_assert_eq!(back::<Speed>(-value), -value);
            prop_assert_eq!(back::<Time>(value), value);
            prop_assert_eq!(back::<Temperature>(value), value);
            let yaml = crate::yaml::to_string(&Length::from_m(value)).unwrap();
            prop_assert_eq!(crate::yaml::from_str::<Length>(&yaml).unwrap().m(), value);
        }

        #[test]
        fn shown_text_reads_back_to_five_digits(value in -1e3..1e3f64) {
            let back: Length = Length::from_mm(value).to_string().parse().unwrap();
            prop_assert!((back.mm() - value).abs() <= 5.1e-5 * value.abs());
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,12}") {
            let _ = text.parse::<Length>();
            let _ = text.parse::<super::super::Interval<Speed>>();
            let _ = text.parse::<super::super::Money>();
        }

        #[test]
        fn no_nearly_right_text_makes_it_panic(text in "[-+−]?[0-9./, e-]{0,6} ?[a-z\"/°]{0,5}") {
            let _ = text.parse::<Length>();
            let _ = text.parse::<super::super::Interval<Speed>>();
            let _ = text.parse::<super::super::Money>();
        }
    }
}
