//! A recipe: its file, or an answer that holds recipes.

use crate::failure::Failure;
use crate::job;
use clap::Args;
use counterpoise::recipe_file::RecipeDocument;
use std::path::{Path, PathBuf};

/// A recipe file.
#[derive(Debug, Clone, Args)]
pub(crate) struct RecipeArgs {
    /// Recipe file, or an answer in JSON or YAML that holds recipes; `-` for standard input
    #[arg(value_name = "RECIPE.yaml")]
    file: PathBuf,
    /// Which recipe of an answer [default: its first]
    #[arg(long, value_name = "RANK")]
    rank: Option<usize>,
    /// Dressed in this pattern instead of the recipe's: the same base under another dressing
    #[arg(hide_short_help = true, long, value_name = "ID")]
    pattern: Option<String>,
}

impl RecipeArgs {
    /// Reads the recipe.
    pub(crate) fn read(&self) -> Result<RecipeDocument, Failure> {
        let recipe = read(&self.file, self.rank)?;
        Ok(match &self.pattern {
            Some(id) => recipe.dressed(id, "--pattern"),
            None => recipe,
        })
    }
}

/// Reads a recipe, the one of a rank where the file is an answer.
pub(crate) fn read(path: &Path, rank: Option<usize>) -> Result<RecipeDocument, Failure> {
    Ok(RecipeDocument::ranked(&job::open(path)?, rank)?)
}
