//! Drawings: SVG whose unit is the millimetre of the printed page.

use std::fmt::Write;

/// Where a text stands on its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It starts there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// How a shape is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen<'s> {
    /// Colour of the outline, `none` for none.
    pub stroke: &'s str,
    /// Width of the outline, mm.
    pub width: f64,
    /// Colour of the inside, `none` for none.
    pub fill: &'s str,
    /// Opacity of the inside, 0 to 1.
    pub opacity: f64,
}

impl<'s> Pen<'s> {
    /// An outline.
    #[must_use]
    pub fn line(stroke: &'s str, width: f64) -> Self {
        Self { stroke, width, fill: "none", opacity: 1.0 }
    }

    /// A filled shape.
    #[must_use]
    pub fn fill(fill: &'s str) -> Self {
        Self { stroke: "none", width: 0.0, fill, opacity: 1.0 }
    }

    fn attributes(&self) -> String {
        format!(
            "stroke=\"{}\" stroke-width=\"{:.2}\" fill=\"{}\" fill-opacity=\"{:.2}\"",
            self.stroke, self.width, self.fill, self.opacity
        )
    }
}

/// A page that is being drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Svg {
    text: String,
}

/// Size of ordinary text, mm.
pub const TEXT: f64 = 3.2;

impl Svg {
    /// A white page, mm.
    #[must_use]
    pub fn page(width: f64, height: f64) -> Self {
        let mut svg = Self {
            text: format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
                 viewBox=\"0 0 {width} {height}\" font-family=\"sans-serif\" font-size=\"{TEXT}\">\n"
            ),
        };
        svg.rectangle([0.0, 0.0], [width, height], Pen::fill("white"));
        svg
    }

    fn line_of(&mut self, line: std::fmt::Arguments) {
        // Writing to a string cannot fail.
        let _ = self.text.write_fmt(line);
        self.text.push('\n');
    }

    /// A line of text.
    pub fn words(&mut self, [x, y]: [f64; 2], anchor: Anchor, colour: &str, words: &str) {
        self.sized([x, y], anchor, colour, TEXT, words);
    }

    /// A line of text of another size.
    pub fn sized(&mut self, [x, y]: [f64; 2], anchor: Anchor, colour: &str, size: f64, words: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let words = words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        self.line_of(format_args!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"{anchor}\" font-size=\"{size:.2}\" fill=\"{colour}\">{words}</text>"
        ));
    }

    /// A line of text that stays readable over a drawing: it has a white edge.
    pub fn over(&mut self, at: [f64; 2], anchor: Anchor, words: &str) {
        self.line_of(format_args!(
            "<g paint-order=\"stroke\" stroke=\"white\" stroke-width=\"0.9\" stroke-linejoin=\"round\">"
        ));
        self.words(at, anchor, "black", words);
        self.line_of(format_args!("</g>"));
    }

    /// A polyline.
    pub fn path(&mut self, points: &[[f64; 2]], pen: Pen) {
        let points: Vec<String> = points.iter().map(|[x, y]| format!("{x:.3} {y:.3}")).collect();
        self.line_of(format_args!(
            "<path d=\"M{}\" stroke-linejoin=\"round\" stroke-linecap=\"round\" {}/>",
            points.join("L"),
            pen.attributes()
        ));
    }

    /// A circle.
    pub fn circle(&mut self, [x, y]: [f64; 2], radius: f64, pen: Pen) {
        self.line_of(format_args!("<circle cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{radius:.3}\" {}/>", pen.attributes()));
    }

    /// A rectangle from its corner.
    pub fn rectangle(&mut self, [x, y]: [f64; 2], [width, height]: [f64; 2], pen: Pen) {
        self.line_of(format_args!(
            "<rect x=\"{x:.3}\" y=\"{y:.3}\" width=\"{width:.3}\" height=\"{height:.3}\" {}/>",
            pen.attributes()
        ));
    }

    /// What `draw` draws, moved so that its origin lies at a point, turned clockwise by degrees, mirrored top to bottom
    /// before that if asked, and magnified.
    pub fn placed(&mut self, [x, y]: [f64; 2], turn: f64, mirrored: bool, scale: f64, draw: impl FnOnce(&mut Self)) {
        let flip = if mirrored { -scale } else { scale };
        self.line_of(format_args!(
            "<g transform=\"translate({x:.3} {y:.3}) rotate({turn:.3}) scale({scale:.3} {flip:.3})\">"
        ));
        draw(self);
        self.line_of(format_args!("</g>"));
    }

    /// The finished text.
    #[must_use]
    pub fn finish(mut self) -> String {
        self.text.push_str("</svg>\n");
        self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_is_escaped_and_units_are_millimetres() {
        let mut svg = Svg::page(210.0, 148.0);
        svg.words([1.0, 2.0], Anchor::Start, "black", "pike & <perch>");
        let text = svg.finish();
        assert!(
            text.starts_with("<svg") && text.contains("width=\"210mm\"") && text.contains("viewBox=\"0 0 210 148\"")
        );
        assert!(text.contains("pike &amp; &lt;perch&gt;") && text.ends_with("</svg>\n"));
    }
}
