//! Quantities with units: read what people write, show it back, hold SI inside.
//!
//! Every type here is one `f64` in SI (temperature in °C and salinity in g/kg are their own base), read from text by
//! [`FromStr`](std::str::FromStr) and from YAML or JSON as a string with a unit. All units live in one table
//! (`unit.rs`). A number without a unit is refused: the message says which unit would be right.
//!
//! ```
//! use counterpoise::quantity::{Density, Length, Mass, Speed};
//!
//! let bead: Length = "9/64 in".parse()?;
//! assert!((bead.mm() - 3.571875).abs() < 1e-12);
//! let rate: Speed = "8 in/s".parse()?;
//! assert!((rate.m_s() - 0.2032).abs() < 1e-15);
//! let alloy: Density = "17.5 g/cc".parse()?;
//! assert_eq!(alloy.kg_m3(), 17_500.0);
//!
//! let refused = "3.5".parse::<Length>().unwrap_err();
//! assert_eq!(refused.to_string(), "a length needs a unit: did you mean `3.5 mm` or `3.5 m`?");
//! let refused = "3.5 g".parse::<Length>().unwrap_err();
//! assert_eq!(refused.to_string(), "`3.5 g` is a mass, a length was expected");
//! assert_eq!("20 grain".parse::<Mass>()?.to_string(), "20 grain");
//! # Ok::<(), counterpoise::quantity::QuantityError>(())
//! ```
//!
//! Two exact types stand beside them: [`Microns`] for cuts and positions and [`Money`] for prices. Neither drifts when
//! added, so totals and ties in a ranking are the same on every machine.

mod error;
mod interval;
mod kinds;
mod microns;
mod money;
mod parse;
mod share;
pub mod shown;
mod text_form;
mod trade_name;
mod unit;

pub use error::QuantityError;
pub use interval::Interval;
pub use kinds::{Angle, Density, Length, Mass, Pressure, Quantity, Salinity, Speed, Temperature, Time};
pub use microns::Microns;
pub use money::Money;
pub use share::Share;
pub use shown::Units;
pub use trade_name::{fraction_name, thousandths_name};
pub use unit::{Kind, is_unit};
