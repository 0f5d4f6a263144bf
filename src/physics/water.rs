//! Density and viscosity of still water from its temperature and salinity.

use super::compression::{FOAM_CELSIUS, GasState};
use super::constants::{ATMOSPHERE, GRAVITY};
use thiserror::Error;

/// Temperatures the formulas are used for, C (ITS-90).
pub const TEMPERATURE_RANGE_C: (f64, f64) = (0.0, 40.0);
/// Salinities the formulas are used for, g of salt per kg of water (absolute salinity).
pub const SALINITY_RANGE_G_KG: (f64, f64) = (0.0, 42.0);

/// 0 C in kelvin.
const KELVIN: f64 = 273.15;

/// Practical salinity per g/kg of absolute salinity in standard sea water (TEOS-10: 35 is 35.16504 g/kg).
const PRACTICAL_PER_ABSOLUTE: f64 = 35.0 / 35.165_04;

/// The water a fly hangs or sinks in, and the air on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    /// Temperature, C.
    pub temperature_c: f64,
    /// Absolute salinity, g/kg; 0 is fresh, 35 is ocean.
    pub salinity_g_kg: f64,
    /// Density, kg/m3.
    pub density: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity: f64,
    /// Pressure of the air on it, Pa.
    pub air_pressure: f64,
}

/// Air pressures the model is used for, Pa: 5500 m up, to well above any weather at the sea.
pub const AIR_PRESSURE_RANGE: (f64, f64) = (50e3, 110e3);

/// Pressure of the standard atmosphere, Pa, at an altitude, m: 101 325 (1 - 2.25577e-5 h)^5.25588, to 11 km (from memory).
///
/// ```
/// use counterpoise::physics::water::standard_air_pressure;
/// // 79.5 kPa at 2000 m (from memory).
/// assert!((standard_air_pressure(2000.0) - 79.5e3).abs() < 30.0);
/// ```
#[must_use]
pub fn standard_air_pressure(altitude: f64) -> f64 {
    ATMOSPHERE * (1.0 - 2.255_77e-5 * altitude).max(0.0).powf(5.255_88)
}

/// Water outside the range of the formulas.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum WaterError {
    /// Too cold, too hot, or not a number.
    #[error("water at {temperature_c} C: the density and viscosity formulas hold from 0 to 40 C")]
    Temperature {
        /// Temperature given, C.
        temperature_c: f64,
    },
    /// Negative, too salt, or not a number.
    #[error("salinity of {salinity_g_kg} g/kg: the density and viscosity formulas hold from 0 (fresh) to 42 g/kg")]
    Salinity {
        /// Salinity given, g/kg.
        salinity_g_kg: f64,
    },
    /// Air too thin, too thick, or not a number.
    #[error("air pressure of {:.1} kPa: the model is used from 50 to 110 kPa, which is up to some 5500 m", .pressure * 1e-3)]
    AirPressure {
        /// Pressure given, Pa.
        pressure: f64,
    },
}

impl Water {
    /// Water at `temperature_c` (0 to 40 C) and absolute salinity `salinity_g_kg` (0 to 42 g/kg), at 101 325 Pa.
    ///
    /// Density is [`kell_density`] plus [`eos80_salt_density`]: within 5e-6 of IAPWS-95 fresh and of TEOS-10 at 35 g/kg.
    /// Viscosity is [`sharqawy_viscosity`]: within 2e-4 of IAPWS 2008 fresh.
    ///
    /// # Errors
    /// [`WaterError`] outside those ranges.
    ///
    /// ```
    /// use counterpoise::physics::Water;
    /// let lake = Water::new(10.0, 0.0).unwrap();
    /// assert!((lake.density - 999.70).abs() < 0.01);
    /// assert!((lake.viscosity - 1.306e-3).abs() < 1e-6);
    /// assert!(Water::new(55.0, 0.0).is_err());
    /// ```
    pub fn new(temperature_c: f64, salinity_g_kg: f64) -> Result<Self, WaterError> {
        if !within(temperature_c, TEMPERATURE_RANGE_C) {
            return Err(WaterError::Temperature { temperature_c });
        }
        if !within(salinity_g_kg, SALINITY_RANGE_G_KG) {
            return Err(WaterError::Salinity { salinity_g_kg });
        }
        let practical_salinity = salinity_g_kg * PRACTICAL_PER_ABSOLUTE;
        Ok(Self {
            temperature_c,
            salinity_g_kg,
            density: kell_density(temperature_c) + eos80_salt_density(temperature_c, practical_salinity),
            viscosity: sharqawy_viscosity(temperature_c, salinity_g_kg),
            air_pressure: ATMOSPHERE,
        })
    }

    /// Air, as the medium in which a half-tied fly hangs in the hand: the same model with a fluid of 1.2 kg/m3. Dry, at one
    /// atmosphere: density p / (R T), R 287.05 J/(kg K); viscosity by Sutherland's formula (both from memory).
    ///
    /// # Errors
    /// [`WaterError::Temperature`] outside 0 to 40 C.
    ///
    /// ```
    /// use counterpoise::physics::Water;
    /// let room = Water::air(20.0).unwrap();
    /// // Dry air at 20 C and one atmosphere: 1.204 kg/m3, 18.1 uPa s (from memory).
    /// assert!((room.density - 1.204).abs() < 2e-3 && (room.viscosity - 18.1e-6).abs() < 0.2e-6);
    /// assert!(room.is_air() && !Water::new(20.0, 0.0).unwrap().is_air());
    /// ```
    pub fn air(temperature_c: f64) -> Result<Self, WaterError> {
        let kelvin = temperature_c + 273.15;
        let plain = Self::new(temperature_c, 0.0)?;
        Ok(Self {
            density: 101_325.0 / (287.05 * kelvin),
            viscosity: 1.716e-5 * (kelvin / 273.15).powf(1.5) * (273.15 + 110.4) / (kelvin + 110.4),
            ..plain
        })
    }

    /// Whether this is air.
    #[must_use]
    pub fn is_air(&self) -> bool {
        self.density < 100.0
    }

    /// The same water under air of another pressure, Pa.
    ///
    /// # Errors
    /// [`WaterError::AirPressure`] outside [`AIR_PRESSURE_RANGE`].
    pub fn under_air(self, pressure: f64) -> Result<Self, WaterError> {
        if !within(pressure, AIR_PRESSURE_RANGE) {
            return Err(WaterError::AirPressure { pressure });
        }
        Ok(Self { air_pressure: pressure, ..self })
    }

    /// What decides how much room the gas in closed cells takes, but for depth.
    #[must_use]
    pub fn gas(&self) -> GasState {
        GasState { air_pressure: self.air_pressure, warmth: (self.temperature_c + KELVIN) / (FOAM_CELSIUS + KELVIN) }
    }

    /// Kinematic viscosity nu = mu / rho, m2/s.
    pub fn kinematic_viscosity(&self) -> f64 {
        self.viscosity / self.density
    }

    /// Gauge pressure rho g z at `depth` m below the surface (0 or more), Pa. The squeeze of the water itself is left out.
    pub fn pressure_at_depth(&self, depth: f64) -> f64 {
        self.density * GRAVITY * depth
    }
}

fn within(value: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&value)
}

/// Density of air-free fresh water at one atmosphere, kg/m3, at `t` C; 0 to 150 C.
///
/// rho = (999.83952 + 16.945176 t - 7.9870401e-3 t2 - 46.170461e-6 t3 + 105.56302e-9 t4 - 280.54253e-12 t5)
///       / (1 + 16.879850e-3 t)
///
/// Beware: a mistyped denominator, 16.897850e-3, circulates; it is 0.27 kg/m3 low at 20 C. The ITS-90 temperature is used as
/// it stands, without conversion to the older scale of the fit: within 4e-6 of IAPWS-95 from 0 to 30 C.
///
/// Source: Kell 1975, *J. Chem. Eng. Data* 20:97, rational fit (coefficients read second hand, in several public source codes).
pub fn kell_density(t: f64) -> f64 {
    let numerator =
        polynomial(t, &[999.839_52, 16.945_176, -7.987_040_1e-3, -46.170_461e-6, 105.563_02e-9, -280.542_53e-12]);
    numerator / (1.0 + 16.879_850e-3 * t)
}

/// What salt adds to the density of water at one atmosphere, kg/m3, at `t` C and practical salinity `s`; -2 to 40 C, 0 to 42.
///
/// A s + B s^1.5 + C s2 with A, B polynomials in t: the one-atmosphere EOS-80 equation less its pure-water part.
///
/// Source: Millero & Poisson 1981, *Deep-Sea Res.* 28A:625, and UNESCO Tech. Pap. Mar. Sci. 36 (coefficients read second hand,
/// in several public source codes).
pub fn eos80_salt_density(t: f64, s: f64) -> f64 {
    let a = polynomial(t, &[8.244_93e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9]);
    let b = polynomial(t, &[-5.724_66e-3, 1.0227e-4, -1.6546e-6]);
    s * (a + b * s.sqrt() + 4.8314e-4 * s)
}

/// Dynamic viscosity of fresh or sea water at one atmosphere, Pa s, at `t` C and absolute salinity `salinity_g_kg`; 0 to
/// 180 C, 0 to 150 g/kg.
///
/// mu_w = 4.2844e-5 + 1 / (0.157 (t + 64.993)2 - 91.296), times 1 + A S + B S2 with S in kg/kg,
/// A = 1.541 + 1.998e-2 t - 9.52e-5 t2, B = 7.974 - 7.561e-2 t + 4.724e-4 t2. Stated accuracy 0.05 % fresh, 1.5 % salt (both
/// from memory).
///
/// Source: Sharqawy, Lienhard & Zubair 2010, *Desalin. Water Treat.* 16:354, eqs 22 and 23 (read second hand, in several public
/// source codes).
pub fn sharqawy_viscosity(t: f64, salinity_g_kg: f64) -> f64 {
    let fresh = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993).powi(2) - 91.296);
    let s = salinity_g_kg * 1e-3;
    let a = polynomial(t, &[1.541, 1.998e-2, -9.52e-5]);
    let b = polynomial(t, &[7.974, -7.561e-2, 4.724e-4]);
    fresh * (1.0 + s * (a + b * s))
}

/// Sum of `coefficients[i]` x^i.
fn polynomial(x: f64, coefficients: &[f64]) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressure_is_the_weight_of_the_water_above() {
        let water = Water::new(20.0, 0.0).unwrap();
        assert_eq!(water.pressure_at_depth(0.0), 0.0);
        let column = water.pressure_at_depth(1.0);
        assert!((column / 9789.0 - 1.0).abs() < 1e-4, "{column}");
    }

    #[test]
    fn refuses_ice_soup_and_nonsense_and_names_the_value() {
        for t in [-0.1, 40.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(Water::new(t, 0.0), Err(WaterError::Temperature { .. })));
        }
        for s in [-1e-9, 42.1, f64::NAN] {
            assert!(matches!(Water::new(10.0, s), Err(WaterError::Salinity { .. })));
        }
        assert!(Water::new(55.0, 0.0).unwrap_err().to_string().contains("55 C"));
        for (t, s) in [(0.0, 0.0), (40.0, 42.0)] {
            assert!(Water::new(t, s).is_ok());
        }
    }

    #[test]
    fn thin_air_is_lighter_and_no_air_is_refused() {
        let lake = Water::new(5.0, 0.0).unwrap();
        assert!((lake.gas().warmth - 278.15 / 293.15).abs() < 1e-12);
        let high = lake.under_air(standard_air_pressure(2000.0)).unwrap();
        assert_eq!((high.density, high.gas().warmth), (lake.density, lake.gas().warmth));
        assert_eq!(standard_air_pressure(0.0), ATMOSPHERE);
        assert!(matches!(lake.under_air(20e3), Err(WaterError::AirPressure { .. })));
        assert!(lake.under_air(f64::NAN).unwrap_err().to_string().contains("50 to 110 kPa"));
    }

    #[test]
    fn salt_makes_water_denser_and_thicker_without_a_step() {
        let fresh = Water::new(15.0, 0.0).unwrap();
        let trace = Water::new(15.0, 1e-6).unwrap();
        let sea = Water::new(15.0, 35.0).unwrap();
        assert!((trace.density / fresh.density - 1.0).abs() < 1e-8);
        assert!(sea.density > fresh.density && sea.viscosity > fresh.viscosity);
    }
}
