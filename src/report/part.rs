//! The parts of a fly one by one: what each weighs in water, where, and which way it pulls.

use super::figure::Figure;
use crate::assess::Prediction;
use crate::fly::{self, Conditions, Fly, FrontMount};
use crate::part::FoamForm;
use crate::physics::body::{Label, Load};
use crate::physics::statics::Moments;
use crate::quantity::{Length, Microns, fraction_name, thousandths_name};
use serde::Serialize;

/// One part of a fly, or one component of its dressing.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PartReport {
    /// hook, head, bead, pin, wire, foam or dressing.
    pub kind: &'static str,
    /// Catalog id (a moulded head: that of its hook; a component: that of its pattern).
    pub id: String,
    /// In words.
    pub name: String,
    /// Material id.
    pub material: String,
    /// How many: pieces, or turns of wire.
    pub count: u32,
    /// Length used, mm: of wire, of foam.
    pub length_mm: Option<Figure>,
    /// Diameter of a bead, head, pin, wire or rod; thickness of a strip, mm.
    pub size_mm: Option<Figure>,
    /// Width of a strip, mm.
    pub width_mm: Option<Figure>,
    /// The inch size that the shop uses.
    pub size_inch: Option<String>,
    /// Mass, mg.
    pub mass_mg: Figure,
    /// Water displaced, mm3.
    pub volume_mm3: Figure,
    /// Submerged weight, mN; negative lifts.
    #[serde(rename = "submerged_weight_mN")]
    pub submerged_weight_mn: Figure,
    /// Where that weight acts, mm aft of the tie point.
    pub x_mm: Figure,
    /// Where it acts, mm towards the point side.
    pub y_mm: Figure,
    /// Weight x position along the shank, mN mm: positive pulls the tail down.
    #[serde(rename = "moment_x_mN_mm")]
    pub moment_x_mn_mm: Figure,
    /// Weight x position across the shank, mN mm: positive pulls the point down.
    #[serde(rename = "moment_y_mN_mm")]
    pub moment_y_mn_mm: Figure,
}

/// What a part is, before its weight.
struct Identity {
    kind: &'static str,
    id: String,
    name: String,
    material: String,
    count: u32,
    length_mm: Option<f64>,
    size: Option<(f64, String)>,
    width: Option<f64>,
}

/// All parts, in tying order.
#[must_use]
pub fn part_reports(fly: &Fly, conditions: &Conditions, prediction: &Prediction) -> Vec<PartReport> {
    let mut labels: Vec<Label> = Vec::new();
    for load in &prediction.body.loads {
        if !labels.contains(&load.label) {
            labels.push(load.label);
        }
    }
    labels
        .into_iter()
        .filter_map(|label| {
            let identity = identity(fly, label)?;
            let loads = prediction.body.loads.iter().filter(|load| load.label == label);
            Some(weighed(identity, loads, conditions.water.density))
        })
        .collect()
}

fn weighed<'a>(identity: Identity, loads: impl Iterator<Item = &'a Load>, water_density: f64) -> PartReport {
    let (mut mass, mut volume, mut moments) = (0.0, 0.0, Moments::default());
    let (mut gross, mut heavy) = (0.0, Moments::default());
    for load in loads {
        let weight = load.submerged_weight(water_density);
        mass += load.mass;
        volume += load.volume;
        moments = moments.plus(weight, load.centroid);
        gross += weight.abs();
        heavy = heavy.plus(load.mass, load.centroid);
    }
    // A part that weighs nothing in water has no place where that weight acts; its mass has.
    let place = if moments.weight.abs() > 1e-9 * gross { moments } else { heavy };
    PartReport {
        kind: identity.kind,
        id: identity.id,
        name: identity.name,
        material: identity.material,
        count: identity.count,
        length_mm: identity.length_mm.map(Figure),
        size_mm: identity.size.as_ref().map(|(m, _)| Figure(m * 1e3)),
        width_mm: identity.width.map(|m| Figure(m * 1e3)),
        size_inch: identity.size.map(|(_, inch)| inch),
        mass_mg: Figure(mass * 1e6),
        volume_mm3: Figure(volume * 1e9),
        submerged_weight_mn: Figure(moments.weight * 1e3),
        x_mm: Figure(ratio(place.x, place.weight) * 1e3),
        y_mm: Figure(ratio(place.y, place.weight) * 1e3),
        moment_x_mn_mm: Figure(moments.x * 1e6),
        moment_y_mn_mm: Figure(moments.y * 1e6),
    }
}

fn ratio(of: f64, by: f64) -> f64 {
    if by == 0.0 { 0.0 } else { of / by }
}

fn identity(fly: &Fly, label: Label) -> Option<Identity> {
    let piece = |kind, row: &crate::part::Row, material: &crate::material::Material| Identity {
        kind,
        id: row.id.clone(),
        name: row.name.clone(),
        material: material.id.clone(),
        count: 1,
        length_mm: None,
        size: None,
        width: None,
    };
    let fraction = |metres: f64| Some((metres, fraction_name(Length::from_m(metres))));
    let thousandths = |metres: f64| Some((metres, thousandths_name(Length::from_m(metres))));
    match label {
        Label::Hook => Some(piece("hook", &fly.hook.row, &fly.hook.material)),
        Label::Head => fly.hook.head.as_ref().map(|head| Identity {
            name: format!("moulded head {}", head.mass_name),
            size: fraction(head.diameter()),
            ..piece("head", &fly.hook.row, &head.material)
        }),
        Label::Bead => fly
            .bead
            .map(|(bead, _)| Identity { size: fraction(bead.diameter), ..piece("bead", &bead.row, &bead.material) }),
        Label::Pin => fly.bead.and_then(|(_, mount)| match mount {
            FrontMount::Eye => None,
            FrontMount::Pin(pin, _) => Some(Identity {
                length_mm: Some(pin.length * 1e3),
                size: thousandths(pin.diameter),
                ..piece("pin", &pin.row, &pin.material)
            }),
        }),
        Label::Wraps => fly.wraps.map(|w| {
            let used = fly::wire_length_um(w.wire, w.turns, fly::wrap_core(fly.hook, fly.bead));
            Identity {
                count: w.turns,
                length_mm: Some(used as f64 * 1e-3),
                size: thousandths(w.wire.diameter),
                ..piece("wire", &w.wire.row, &w.wire.material)
            }
        }),
        Label::Foam => fly.foam.map(|p| Identity {
            length_mm: Some(Microns::mm(p.length)),
            size: match p.foam.form {
                FoamForm::Rod { diameter } => fraction(diameter),
                FoamForm::Strip { thickness, .. } => fraction(thickness),
            },
            width: match p.foam.form {
                FoamForm::Rod { .. } => None,
                FoamForm::Strip { width, .. } => Some(width),
            },
            ..piece("foam", &p.foam.row, &p.foam.solid)
        }),
        Label::Dressing(i) => fly.dressing.components.get(usize::from(i)).map(|component| Identity {
            name: component.name.clone(),
            ..piece("dressing", &fly.dressing.row, &component.material)
        }),
    }
}
