//! The register of what differs from fly to fly: every source once, with its size on a recipe, what shares it, and why it is
//! taken to be so large.

use super::draws::{Nature, Source, Spread, counted};
use crate::fly::Fly;
use crate::wanted::Target;

/// One line of the register.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Source and standard deviation, in the deviation's unit.
    pub spread: Spread,
    /// What it is called at the vice.
    pub name: String,
    /// Its size in words: "0.4 mm", "8 %".
    pub size: String,
    /// Whether each fly has its own, or all of a rod, spool or box of hooks the same.
    pub nature: Nature,
    /// Where the figure comes from.
    pub reason: &'static str,
}

/// Everything that differs between flies of one recipe under the conditions of a target.
#[must_use]
pub fn register(fly: &Fly, target: &Target) -> Vec<Entry> {
    counted(fly, target)
        .into_iter()
        .map(|spread| Entry {
            spread,
            name: spread.source.words(fly),
            size: size_words(spread),
            nature: spread.source.nature(),
            reason: reason(spread.source),
        })
        .collect()
}

fn size_words(spread: Spread) -> String {
    let (unit, factor) = spread.source.unit();
    let size = spread.sd * factor;
    let digits = if size < 0.1 { 2 } else { 1 };
    format!("{size:.digits$} {unit}")
}

/// Where the size of a source comes from.
#[must_use]
pub fn reason(source: Source) -> &'static str {
    match source {
        Source::HookMass | Source::HeadMass | Source::PinMass => "the row's mass_spread",
        Source::BeadMass => "the row's mass_spread, less what comes with its size",
        Source::BeadSize => "the row's diameter_sd",
        Source::WireDensity => "density spread of the material",
        Source::WireDiameter => "the row's diameter_spread",
        Source::FoamDensity => "the row's density_sd",
        Source::FoamSection => "the row's section_spread: pieces cut by hand; twice that for a sixteenth",
        Source::Dressing(_) => "mass_spread of the component",
        Source::Turns => "where the first and the last wrap bite; judgement",
        Source::PinPosition | Source::WrapsPosition | Source::FoamPosition => {
            "what thumb and ruler place along a shank; common practice, no source"
        }
        Source::FoamLength => "what scissors cut to a line; common practice, no source",
        Source::Friction => {
            "anywhere in the band that friction of the loop in the eye leaves; the coefficient is an estimate"
        }
        Source::NeckLength | Source::NeckAngle | Source::ShankLength => {
            "hooks of one box differ little; a stand-in row may be off the hook at hand by more, since sizes are not \
             standardised; judgement: measure yours"
        }
        Source::BeadSeat => {
            "anywhere within the play of its bore; thread and varnish leave half of it against the eye, a pin all; \
             judgement"
        }
        Source::SinkRate => {
            "fits against measured and computed drag, what is judged by eye: the band shown is twice that"
        }
        Source::FoamHeight => "15 degrees round the shank lower it by 3 %, thread draws it down by tenths; judgement",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::resolve;
    use crate::part::Cut;
    use crate::quantity::Microns;
    use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat};
    use crate::wanted::TargetSpec;

    #[test]
    fn every_source_has_its_line_and_its_words() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
            wire: None,
            foam: Some(FoamUse {
                id: "pe-rod-1-4in".into(),
                cut: Cut::Quarter,
                length: Microns::new(9_500),
                seat: Seat::Tail,
            }),
        };
        let fly = resolve(&recipe, &catalog).unwrap();
        let target = TargetSpec::default().resolve(&catalog).unwrap().0;
        let list = register(&fly, &target);
        let size = |source| list.iter().find(|e| e.spread.source == source).map(|e| e.size.clone());
        assert_eq!(size(Source::FoamSection).as_deref(), Some("8.0 %"));
        assert_eq!(size(Source::FoamPosition).as_deref(), Some("0.4 mm"));
        assert_eq!(size(Source::NeckLength).as_deref(), Some("0.1 mm"));
        assert_eq!(size(Source::NeckAngle).as_deref(), Some("2.2 deg"));
        assert_eq!(size(Source::Friction).as_deref(), Some("0.05 mm"));
        assert!(list.iter().all(|e| !e.reason.is_empty() && !e.name.is_empty()));
    }
}
