//! Answers as people and programs read them: table, JSON, YAML, CSV, written to any [`std::io::Write`].
//!
//! [`RecipeReport::judged`] holds a fly against a target, [`RecipeReport::predicted`] says what it does: the one way from a
//! fly to figures, which every format shares. [`Answer`] is the document around them. A command with more to say adds a body of its own to the answer
//! (`Answer<MyBody>`), whose keys then stand at the top level of the JSON.

pub mod answer;
pub mod box_files;
pub mod box_proof;
pub mod budget;
pub mod calibration;
pub mod card;
pub mod card_picture;
pub mod catalog;
pub mod cautions;
pub mod check;
pub mod column;
pub mod compare;
pub mod csv;
pub mod depth_chart;
pub mod descent;
pub mod dot_labels;
pub mod dressed;
pub mod explanation;
pub mod figure;
pub mod find;
pub mod fit;
pub mod fit_chart;
pub mod fit_notices;
pub mod fly_box;
pub mod fly_drawing;
pub mod json;
pub mod notice;
pub mod page;
pub mod part;
pub mod photo_drawings;
pub mod recipe;
pub mod sheet;
pub mod shopping;
pub mod side_view;
pub mod sink;
pub mod stages;
pub mod story;
pub mod svg;
pub mod table;
pub mod text_block;
pub mod told_apart;
pub mod vice;
pub mod words;
pub mod yaml;

pub use answer::{Answer, NoBody, SearchReport};
pub use budget::{BudgetReport, budget_report};
pub use check::CheckReport;
pub use descent::{DescentReport, descent_report};
pub use explanation::{ExplanationReport, explanation_report};
pub use figure::Figure;
pub use notice::{Notice, merged_warnings};
pub use part::PartReport;
pub use recipe::RecipeReport;

use thiserror::Error;

/// Version of the JSON contract.
pub const SCHEMA: u32 = 1;

/// Why an answer could not be written.
#[derive(Debug, Error)]
pub enum ReportError {
    /// The stream refused it.
    #[error(transparent)]
    Io(#[from] std::io::Error),
    /// A figure is no finite number, or the stream refused the JSON.
    #[error("cannot write JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// The same for YAML.
    #[error("cannot write YAML: {0}")]
    Yaml(#[from] crate::yaml::Error),
    /// The same for CSV.
    #[error("cannot write CSV: {0}")]
    Csv(#[from] ::csv::Error),
}
