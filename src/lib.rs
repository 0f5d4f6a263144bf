//! Inverse design of weighted flies: state the hang, get the recipes.
//!
//! Someone ties a fly that has to hang level, or at an angle of their choice, and sink at a rate of their choice. This
//! library turns the usual way round: state the result, and it searches what can be bought for the cheapest recipes that
//! do it, with a proof that none is cheaper.
//!
//! # Axes and signs
//!
//! The hook frame has its origin at the **tie point**, the centre of the eye, through which a loop pulls in every
//! attitude: x aft along the shank, y towards the point side, in the plane of the hook.
//!
//! | figure | sign |
//! |---|---|
//! | hang angle | shank from horizontal at rest on a taut line: 0 level, positive tail down, negative head down |
//! | sink rate | positive down; negative rises |
//! | submerged weight | positive sinks, negative lifts |
//! | moment x, y | sum of weight times x (positive pulls the tail down), times y (positive pulls the point down) |
//! | glide | horizontal speed, positive head first |
//!
//! SI inside; every external number carries its unit.
//!
//! # A target, worked
//!
//! ```
//! use counterpoise::{Catalog, Order, TargetSpec, Unwatched, find, predict};
//!
//! let catalog = Catalog::built_in()?;
//! let wanted = TargetSpec { size: vec![8], hang: Some("level".parse()?), ..TargetSpec::default() };
//! let (target, assumed) = wanted.resolve(&catalog)?;
//! let answer = find(&catalog, &Order::new(target.clone()), &Unwatched);
//! let best = &answer.found.candidates[0];
//! let does = predict(&best.fly, &target.conditions);
//! assert!(answer.found.proven());
//! assert!(does.hang.rest().unwrap().angle.to_degrees().abs() <= 5.0);
//! assert!(assumed.iter().any(|a| a.key == "tolerance"), "what was not said is said aloud");
//! assert!(does.lowered.sink_rate >= 0.1);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Where things are
//!
//! Data flows one way: catalog and target, recipe, body, physics, assessment, search, report. A module uses only those above
//! it.
//!
//! | module | does |
//! |---|---|
//! | [`quantity`], [`numeric`] | units; roots, least squares, normal shares |
//! | [`shape`], [`material`], [`part`], [`catalog`] | geometry, densities, parts, the rows that can be bought |
//! | [`recipe`], [`recipe_file`], [`fly`] | a recipe by ids, as a file, and placed as loads and drag elements |
//! | [`physics`] | water, hang, knot, friction, compression, drag, falls |
//! | [`wanted`], [`mod@assess`] | a target, and a fly held against it: the one evaluation that everybody calls |
//! | [`spread`], [`vice`] | shares of flies that come out right; stages, trimming and correcting |
//! | [`search`], [`mod@find`], [`mod@compare`], [`fly_box`] | the best recipes, exactly; lists, comparisons, a guide's box |
//! | [`purchase`], [`stock`] | packs and money; what is on the bench |
//! | [`sink`], [`error_budget`] | the way down; what each assumption could move |
//! | [`jar_log`], [`calibrate`] | what jars showed, and what that says of a tyer's own materials |
//! | `photo`, `report` | the hang off a photograph; answers as tables, JSON and drawings (features of these names) |

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
#[cfg(feature = "photo")]
pub mod photo;
pub mod physics;
pub mod purchase;
pub mod quantity;
pub mod recipe;
pub mod recipe_file;
#[cfg(feature = "report")]
pub mod report;
pub mod search;
pub mod shape;
pub mod sink;
pub mod spread;
pub mod stock;
pub mod vice;
pub mod wanted;
pub mod yaml;

pub use assess::{Assessment, Check, Prediction, assess, predict};
pub use catalog::Catalog;
pub use compare::compare;
pub use find::{Order, find};
pub use fly::{Conditions, Fly};
pub use recipe::Recipe;
pub use recipe_file::RecipeDocument;
pub use search::{Observer, Unwatched};
pub use sink::descend;
pub use spread::{Shares, shares};
pub use wanted::{Assumption, Target, TargetSpec};
