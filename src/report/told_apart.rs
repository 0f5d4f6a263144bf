//! How flies of a box are told apart: by need, depth, and the colours that a need asks for.

use super::fly_box::{BoxReport, NeedReport, TieReport};

impl TieReport {
    /// Each need that it is tied for: "7 drop-off, 3 m", "2 weed edge, 1 m, black bead".
    #[must_use]
    pub fn for_needs(&self, report: &BoxReport) -> Vec<String> {
        let needs = report.needs.iter().zip(&self.flies).enumerate();
        let words = |(i, (need, flies)): (usize, (&NeedReport, &u32))| {
            let asked = self.colours.get(i).filter(|words| !words.is_empty());
            let colours = asked.map_or_else(String::new, |words| format!(", {words}"));
            format!("{flies} {}, {}{colours}", need.name, need.depth_words())
        };
        needs.filter(|(_, (_, flies))| **flies > 0).map(words).collect()
    }
}
