//! A new row in the text of a catalog file; everything else in it stays as it is.

/// The text of a catalog file with `row` (an item in YAML, from its `- ` on) at the end of `list`, which is begun where the
/// file has none.
///
/// Whether the result is a sound catalog is seen by reading it: a list that is written between brackets, say, is not
/// changed, and the text then has the list twice, which the reader refuses.
///
/// ```
/// use counterpoise::catalog::with_row;
/// let text = "beads:\n  - {id: a}\n\nhooks:\n  - {id: b}\n";
/// assert_eq!(with_row(text, "beads", "- {id: c}"), "beads:\n  - {id: a}\n  - {id: c}\n\nhooks:\n  - {id: b}\n");
/// assert_eq!(with_row("currency: EUR\n", "beads", "- {id: c}"), "currency: EUR\nbeads:\n  - {id: c}\n");
/// ```
#[must_use]
pub fn with_row(text: &str, list: &str, row: &str) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let head = format!("{list}:");
    let Some(start) = lines.iter().position(|line| line.split(" #").next().unwrap_or(line).trim_end() == head) else {
        let gap = if text.is_empty() || text.ends_with('\n') { "" } else { "\n" };
        return format!("{text}{gap}{head}\n{}", indented(row, "  "));
    };
    let inside = |line: &str| line.is_empty() || line.starts_with([' ', '-', '#']);
    let after = lines[start + 1..].iter().position(|line| !inside(line)).map_or(lines.len(), |n| start + 1 + n);
    let holds =
        |line: &&str| line.starts_with([' ', '-']) && !line.trim_start().starts_with('#') && !line.trim().is_empty();
    // Blank lines and comments before the next key belong to that.
    let end = lines[..after].iter().rposition(holds).map_or(start + 1, |last| last.max(start) + 1);
    let first = lines[start + 1..end].iter().find(|line| line.trim_start().starts_with("- "));
    let indent = first.map_or("  ", |line| &line[..line.len() - line.trim_start().len()]);
    let mut out: String = lines[..end].iter().flat_map(|line| [*line, "\n"]).collect();
    out.push_str(&indented(row, indent));
    out.extend(lines[end..].iter().flat_map(|line| [*line, "\n"]));
    out
}

fn indented(row: &str, indent: &str) -> String {
    row.lines().flat_map(|line| [indent, line, "\n"]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_go_to_the_end_of_their_list() {
        let row = "- {id: c}";
        for (before, after) in [
            ("", "beads:\n  - {id: c}\n"),
            ("currency: USD", "currency: USD\nbeads:\n  - {id: c}\n"),
            (
                "beads:  # mine\n- {id: a,\n   name: x}\n# hooks\nhooks:\n",
                "beads:  # mine\n- {id: a,\n   name: x}\n- {id: c}\n# hooks\nhooks:\n",
            ),
            ("beads:\nhooks:\n  - {id: b}\n", "beads:\n  - {id: c}\nhooks:\n  - {id: b}\n"),
            ("beads:\n    - id: a\n      name: x\n", "beads:\n    - id: a\n      name: x\n    - {id: c}\n"),
        ] {
            assert_eq!(with_row(before, "beads", row), after, "{before}");
        }
    }
}
