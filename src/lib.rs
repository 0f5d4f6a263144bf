//! Inverse design of weighted flies: state the hang, get the recipes.
//!
//! Data flows one way: catalog and target -> recipe -> body -> physics -> assessment -> ranking -> report.
//!
//! Axes and signs: the hook frame has its origin at the tie point (the centre of the eye, through which a loop pulls in
//! every attitude), x aft along the shank, y towards the point side. Hang angle: shank from horizontal on a taut line,
//! 0 level, positive tail down. Sink rate: positive down. SI inside; every external number carries its unit.

pub mod assess;
pub mod calibrate;
pub mod catalog;
pub mod compare;
pub mod document;
pub mod error_budget;
pub mod find;
pub mod fly;
pub mod fly_box;
pub mod jar_log;
pub mod material;
pub mod numeric;
pub mod part;
pub mod photo;
pub mod physics;
pub mod purchase;
pub mod quantity;
pub mod recipe;
pub mod recipe_file;
pub mod report;
pub mod search;
pub mod shape;
pub mod sink;
pub mod spread;
pub mod stock;
pub mod vice;
pub mod wanted;
