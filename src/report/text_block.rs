//! Text set into a drawing: rows of cells, each broken to its width, with the height that they take.

use super::sheet::broken;
use super::svg::{Anchor, Svg};

/// Width of a letter on average, as a share of its size: that of a wide face.
const LETTER: f64 = 0.6;
/// Line spacing, as a share of the size of the text.
const LEADING: f64 = 1.4;

/// One cell of a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Left edge, mm from that of the block.
    pub left: f64,
    /// Width, mm.
    pub width: f64,
    /// Colour.
    pub colour: &'static str,
    /// What stands in it.
    pub text: String,
}

impl Cell {
    /// A cell.
    pub fn new([left, width]: [f64; 2], colour: &'static str, text: impl Into<String>) -> Self {
        Self { left, width, colour, text: text.into() }
    }

    fn lines(&self, size: f64) -> Vec<String> {
        let letters = (self.width / (LETTER * size)).floor().max(1.0) as usize;
        let cut = |line: String| -> Vec<String> {
            let letters_of: Vec<char> = line.chars().collect();
            letters_of.chunks(letters).map(|part| part.iter().collect()).collect()
        };
        broken(&self.text, letters).into_iter().flat_map(cut).collect()
    }
}

/// Width, mm, that so many letters of a size take.
#[must_use]
pub fn width_of(letters: usize, size: f64) -> f64 {
    LETTER * size * letters as f64
}

/// Rows of cells in text of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct TextBlock {
    /// Size of the text, mm.
    pub size: f64,
    /// Rows, each as high as its highest cell.
    pub rows: Vec<Vec<Cell>>,
}

impl TextBlock {
    /// A paragraph.
    #[must_use]
    pub fn paragraph(size: f64, width: f64, colour: &'static str, text: impl Into<String>) -> Self {
        Self { size, rows: vec![vec![Cell::new([0.0, width], colour, text)]] }
    }

    fn row_height(&self, row: &[Cell]) -> f64 {
        let most = row.iter().map(|cell| cell.lines(self.size).len()).max().unwrap_or(0);
        LEADING * self.size * most as f64
    }

    /// Height of all rows, mm.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.rows.iter().map(|row| self.row_height(row)).sum()
    }

    /// Draws it from its upper left corner.
    pub fn draw(&self, svg: &mut Svg, [x, top]: [f64; 2]) {
        let mut y = top;
        for row in &self.rows {
            for cell in row {
                for (i, line) in cell.lines(self.size).iter().enumerate() {
                    let baseline = y + self.size * (1.0 + LEADING * i as f64);
                    svg.sized([x + cell.left, baseline], Anchor::Start, cell.colour, self.size, line);
                }
            }
            y += self.row_height(row);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_as_high_as_their_highest_cell_and_no_line_is_wider_than_its_cell() {
        let cells = vec![
            Cell::new([0.0, 10.0], "black", "bead"),
            Cell::new([12.0, 30.0], "black", "a-word-that-no-cell-of-this-width-can-hold and some that it can"),
        ];
        let block = TextBlock { size: 2.5, rows: vec![cells] };
        let lines = block.rows[0][1].lines(2.5);
        assert!(lines.iter().all(|line| width_of(line.chars().count(), 2.5) <= 30.0), "{lines:?}");
        assert!((block.height() - 3.5 * lines.len() as f64).abs() < 1e-9);
    }
}
