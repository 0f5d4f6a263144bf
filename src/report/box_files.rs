//! The recipes of a box as files.

use super::recipe::RecipeReport;
use crate::catalog::Catalog;
use crate::fly_box::plan::BoxPlan;
use crate::fly_box::spec::{BoxNeed, BoxOrder};
use crate::recipe_file::RecipeFile;

/// The recipes as files, each with its name: what is trimmed to and fished for goes with a recipe, so that one that serves several
/// needs has a file for each of them, named after it.
#[must_use]
pub fn box_files(order: &BoxOrder, plan: &BoxPlan, catalog: &Catalog) -> Vec<(String, RecipeFile)> {
    let mut files: Vec<(String, RecipeFile)> = Vec::new();
    for tie in &plan.ties {
        let served = tie.flies.iter().zip(&order.needs).filter(|(flies, _)| **flies > 0);
        let needs: Vec<&BoxNeed> = served.map(|(_, need)| need).collect();
        for need in &needs {
            let report = RecipeReport::judged(&tie.fly, &need.target, &catalog.currency);
            let name = if needs.len() > 1 { format!("{}-{}", report.id, plain(&need.name)) } else { report.id };
            let name = unused(&name, |known| files.iter().any(|(other, _)| other == known));
            files.push((name, report.recipe));
        }
    }
    files
}

/// A name in letters, digits and hyphens, for a file.
fn plain(name: &str) -> String {
    let letters = name.to_lowercase();
    let words: Vec<&str> = letters.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    if words.is_empty() { "need".to_owned() } else { words.join("-") }
}

/// The name, or the first of name-2, name-3 and so on that is not used yet.
fn unused(name: &str, used: impl Fn(&str) -> bool) -> String {
    let numbered = (2..).map(|n: u32| format!("{name}-{n}"));
    std::iter::once(name.to_owned()).chain(numbered).find(|name| !used(name)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_need_has_a_name_of_its_own() {
        let mut names: Vec<String> = Vec::new();
        for need in ["Pond", "pond!", "Pond 2", "pond/", "***", "..", "Teich über Tag"] {
            let name = unused(&plain(need), |known| names.iter().any(|other| other == known));
            names.push(name);
        }
        assert_eq!(names, ["pond", "pond-2", "pond-2-2", "pond-3", "need", "need-2", "teich-über-tag"]);
    }
}
