//! What is said of dots on a chart: each label beside its own dot, or led to from it.

use super::svg::{Anchor, Pen, Svg, TEXT};

/// Room that a letter of a label takes, mm.
const LETTER: f64 = 0.56 * TEXT;

/// Draws a label for each dot within a frame (left, top, right, bottom, mm).
pub fn dot_labels(svg: &mut Svg, dots: &[([f64; 2], String)], frame: [f64; 4]) {
    for label in labels(dots, frame) {
        if let Some(line) = &label.line {
            svg.path(line, Pen::line("#777777", 0.15));
        }
        svg.over([label.bounds[0], label.bounds[3] - 0.8], Anchor::Start, &label.text);
    }
}

/// A mark on the chart, the room it takes (left, top, right, bottom), and the line that leads to it where it stands off its dot.
#[derive(Debug, Clone, PartialEq)]
struct Label {
    text: String,
    bounds: [f64; 4],
    line: Option<[[f64; 2]; 2]>,
}

impl Label {
    /// Where it may stand: beside, above or below a dot, else off it with a line, as near as can be.
    fn places(text: &str, dot: [f64; 2]) -> impl Iterator<Item = Self> {
        const GAP: f64 = 1.6;
        const RING: f64 = 2.5;
        const RINGS: u32 = 12;
        const WAYS: u32 = 16;
        let [x, y] = dot;
        let (long, tall) = (LETTER * text.chars().count() as f64, 1.2 * TEXT);
        let of = move |left: f64, top: f64| [left, top, left + long, top + tall];
        let beside = [
            of(x + GAP, y - 0.5 * tall),
            of(x - GAP - long, y - 0.5 * tall),
            of(x - 0.5 * long, y - GAP - tall),
            of(x - 0.5 * long, y + GAP),
        ];
        let rings = (2..RINGS).flat_map(move |ring| {
            (0..WAYS).map(move |way| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(way) / f64::from(WAYS)).sin_cos();
                let far = RING * f64::from(ring);
                // The near end of the words lies so far away.
                let middle = [x + (far + 0.5 * long) * cos, y + (far + 0.5 * tall) * sin];
                of(middle[0] - 0.5 * long, middle[1] - 0.5 * tall)
            })
        });
        let led = rings.map(move |b| (b, Some([dot, [x.clamp(b[0], b[2]), y.clamp(b[1], b[3])]])));
        let all = beside.into_iter().map(|bounds| (bounds, None)).chain(led);
        let text = text.to_owned();
        all.map(move |(bounds, line)| Self { text: text.clone(), bounds, line })
    }

    fn hits(&self, other: [f64; 4]) -> bool {
        let [a, b] = [self.bounds, other];
        a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
    }

    /// Whether the line to it runs over the dot of another.
    fn led_over(&self, [x, y]: [f64; 2]) -> bool {
        self.line.is_some_and(|[a, b]| {
            let way = [b[0] - a[0], b[1] - a[1]];
            let along = ((x - a[0]) * way[0] + (y - a[1]) * way[1]) / (way[0] * way[0] + way[1] * way[1]).max(1e-12);
            let near = along.clamp(0.0, 1.0);
            (x - a[0] - near * way[0]).hypot(y - a[1] - near * way[1]) < DOT
        })
    }

    fn within(&self, frame: [f64; 4]) -> bool {
        let b = self.bounds;
        b[0] >= frame[0] && b[1] >= frame[1] && b[2] <= frame[2] && b[3] <= frame[3]
    }
}

/// Room that a dot takes to each side, mm.
const DOT: f64 = 1.0;

/// Dots nearer to each other than this, mm, lie over each other: they share a mark.
const SAME_PLACE: f64 = 1.0;

/// Marks of the dots at each place.
fn places(dots: &[([f64; 2], String)]) -> Vec<([f64; 2], Vec<&str>)> {
    let mut places: Vec<([f64; 2], Vec<&str>)> = Vec::new();
    for (dot, mark) in dots {
        let same = |place: &[f64; 2]| (place[0] - dot[0]).hypot(place[1] - dot[1]) < SAME_PLACE;
        match places.iter_mut().find(|(place, _)| same(place)) {
            Some((_, marks)) => marks.push(mark),
            None => places.push((*dot, vec![mark])),
        }
    }
    places
}

/// "1, 2", "1, 2 and 9 more".
fn listed_marks(marks: &[&str]) -> String {
    const MOST_LETTERS: usize = 16;
    let all = marks.join(", ");
    let short = |kept: usize| match marks.len() - kept {
        0 => all.clone(),
        more => format!("{} and {more} more", marks[..kept].join(", ")),
    };
    (1..=marks.len()).rev().map(short).find(|text| text.chars().count() <= MOST_LETTERS).unwrap_or_else(|| short(1))
}

/// A mark for each place, where it hits no dot and no other mark; where there is no room left, a dot has none.
fn labels(dots: &[([f64; 2], String)], frame: [f64; 4]) -> Vec<Label> {
    let dot_room = |[x, y]: [f64; 2]| [x - DOT, y - DOT, x + DOT, y + DOT];
    let all = places(dots);
    let mut placed: Vec<Label> = Vec::new();
    for (place, marks) in &all {
        let free = |label: &Label| {
            label.within(frame)
                && !dots.iter().any(|(other, _)| label.hits(dot_room(*other)))
                && !placed.iter().any(|other| label.hits(other.bounds))
                && !all.iter().any(|(other, _)| other != place && label.led_over(*other))
        };
        let found = Label::places(&listed_marks(marks), *place).find(free);
        placed.extend(found);
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: [f64; 4] = [16.0, 4.0, 104.0, 54.0];

    fn marked(dots: &[[f64; 2]]) -> Vec<([f64; 2], String)> {
        dots.iter().enumerate().map(|(i, dot)| (*dot, (i + 1).to_string())).collect()
    }

    /// Distance of a point from the room of a label.
    fn far(label: &Label, [x, y]: [f64; 2]) -> f64 {
        let b = label.bounds;
        (x - x.clamp(b[0], b[2])).hypot(y - y.clamp(b[1], b[3]))
    }

    #[test]
    fn each_mark_stands_at_its_own_dot() {
        // A few dear and sure, a pile that is cheap and never right, as swaps of a bead are.
        let mut dots = vec![[60.0, 12.0], [61.5, 12.5], [90.0, 30.0]];
        dots.extend((0..11).map(|i| [30.0 + 1.7 * f64::from(i), 53.9]));
        dots.extend([[20.0, 5.0], [103.5, 4.2], [60.4, 12.2]]);
        let dots = marked(&dots);
        let placed = labels(&dots, FRAME);
        assert_eq!(placed.len(), places(&dots).len());
        for (i, (label, (place, marks))) in placed.iter().zip(places(&dots)).enumerate() {
            assert_eq!(label.text, listed_marks(&marks));
            assert!(label.within(FRAME), "{label:?}");
            assert!(!placed[i + 1..].iter().any(|other| label.hits(other.bounds)), "{placed:?}");
            let led = label.line.is_some_and(|[from, to]| from == place && far(label, to) < 1e-9);
            assert!(led || far(label, place) < 2.0, "{label:?} of {place:?}");
        }
    }

    #[test]
    fn only_dots_at_one_place_share_a_mark() {
        let pile: Vec<[f64; 2]> = (0..11).map(|i| [50.0 + 0.02 * f64::from(i), 30.0]).collect();
        let dots = marked(&[&pile[..], &[[53.0, 30.0]]].concat());
        let placed = labels(&dots, FRAME);
        let words: Vec<&str> = placed.iter().map(|label| label.text.as_str()).collect();
        assert_eq!(words, ["1, 2 and 9 more", "12"]);
    }
}
