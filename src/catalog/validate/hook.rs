//! Hooks and moulded heads.

use super::{kilograms, metres};
use crate::catalog::check::{Materials, RowCheck, SoldBy, tidy};
use crate::catalog::raw::{RawHead, RawHook};
use crate::part::{Hook, HookStyle, MouldedHead};

pub(in crate::catalog) fn hook(raw: &RawHook, materials: &Materials, check: &mut RowCheck<'_>) -> Option<Hook> {
    let style = HookStyle::from(raw.style);
    check.within("size", f64::from(raw.size), 1.0, 32.0);
    check.within("wire_diameter_mm", raw.wire_diameter_mm, 0.1, 3.0);
    check.within("eye_inner_diameter_mm", raw.eye_inner_diameter_mm, 0.2, 6.0);
    check.within("shank_length_mm", raw.shank_length_mm, 2.0, 80.0);
    check.within("gap_mm", raw.gap_mm, 1.0, 40.0);
    check.within("point_length_mm", raw.point_length_mm, 0.5, 40.0);
    check.within_if_given("measured_mass_mg", raw.measured_mass_mg, 1.0, 20_000.0);
    check.spread("mass_spread", raw.mass_spread);
    let (neck_length_mm, neck_angle_deg) = neck(raw, style, check);
    let head = head(raw, style, materials, check);
    let row = check.row(&raw.id, &raw.name, &raw.pack, &raw.provenance, SoldBy::Piece);
    let material = check.material("material", &raw.material, materials);
    let hook = Hook {
        row: row?,
        style,
        size: raw.size,
        material: material?,
        wire_diameter: metres(raw.wire_diameter_mm),
        eye_inner_diameter: metres(raw.eye_inner_diameter_mm),
        neck_length: metres(neck_length_mm),
        neck_angle: neck_angle_deg.to_radians(),
        shank_length: metres(raw.shank_length_mm),
        gap: metres(raw.gap_mm),
        point_length: metres(raw.point_length_mm),
        measured_mass: raw.measured_mass_mg.map(kilograms),
        mass_spread: raw.mass_spread,
        head,
    };
    keep_eye_open(&hook, check);
    check.weighed("measured_mass_mg", hook.measured_mass, || hook.path().volume(), &hook.material);
    Some(hook)
}

/// Length and angle of the neck; both 0 where there is none.
fn neck(raw: &RawHook, style: HookStyle, check: &mut RowCheck<'_>) -> (f64, f64) {
    let (least, most) = match style {
        HookStyle::Straight | HookStyle::Streamer | HookStyle::WideGap => {
            for (key, given) in [("neck_length_mm", raw.neck_length_mm), ("neck_angle_deg", raw.neck_angle_deg)] {
                if given.is_some() {
                    let help = "leave it out, or give a jig style".to_owned();
                    check.fault(key, &format!("does not fit: a {style} hook has no neck"), Some(help));
                }
            }
            return (0.0, 0.0);
        }
        HookStyle::Jig60 => (45.0, 75.0),
        HookStyle::Jig90 => (75.0, 110.0),
        HookStyle::BallJig => (45.0, 110.0),
    };
    for (key, given) in [("neck_length_mm", raw.neck_length_mm), ("neck_angle_deg", raw.neck_angle_deg)] {
        if given.is_none() {
            check.fault(key, &format!("is missing: a {style} hook has a neck"), None);
        }
    }
    let length = raw.neck_length_mm.unwrap_or(f64::NAN);
    let angle = raw.neck_angle_deg.unwrap_or(f64::NAN);
    check.within("neck_angle_deg", angle, least, most);
    check.within("neck_length_mm", length, 0.5, 30.0);
    let ring = 0.5 * raw.eye_inner_diameter_mm + raw.wire_diameter_mm;
    if length < ring {
        let what = format!("is {length}; it must be at least {}, which the eye ring takes", tidy(ring));
        check.fault("neck_length_mm", &what, Some("measure from the centre of the eye to the shank".to_owned()));
    }
    (length, angle)
}

fn head(raw: &RawHook, style: HookStyle, materials: &Materials, check: &mut RowCheck<'_>) -> Option<MouldedHead> {
    match (&raw.head, style) {
        (None, HookStyle::BallJig) => {
            check.fault("head", "is missing: a ball-jig hook has a moulded head", None);
            None
        }
        (Some(_), other) if other != HookStyle::BallJig => {
            let help = "leave it out, or give the style ball-jig".to_owned();
            check.fault("head", &format!("does not fit: a {other} hook has no moulded head"), Some(help));
            None
        }
        (Some(head), _) => moulded(head, materials, &mut check.inside("head")),
        (None, _) => None,
    }
}

fn moulded(raw: &RawHead, materials: &Materials, check: &mut RowCheck<'_>) -> Option<MouldedHead> {
    check.within("mass_mg", raw.mass_mg, 10.0, 60_000.0);
    check.spread("mass_spread", raw.mass_spread);
    check.text("mass_name", &raw.mass_name);
    check.within("centre_aft_of_corner_mm", raw.centre_aft_of_corner_mm, -20.0, 20.0);
    Some(MouldedHead {
        material: check.material("material", &raw.material, materials)?,
        mass: kilograms(raw.mass_mg),
        mass_spread: raw.mass_spread,
        centre_aft_of_corner: metres(raw.centre_aft_of_corner_mm),
        mass_name: raw.mass_name.clone(),
    })
}

/// The ball must leave the hole of the eye open for the line.
fn keep_eye_open(hook: &Hook, check: &mut RowCheck<'_>) {
    let Some(head) = &hook.head else { return };
    let eye = 0.5 * hook.eye_inner_diameter;
    let [x, y] = hook.corner();
    let dx = x + head.centre_aft_of_corner;
    let radius = 0.5 * head.diameter();
    if dx.hypot(y) < radius + eye {
        let what = format!(
            "is {}; the ball, {} mm across, would close the eye",
            tidy(hook.neck_length * 1e3),
            tidy((head.diameter() * 1e5).round() / 1e2)
        );
        check.fault("neck_length_mm", &what, Some("give a longer neck or a lighter head".to_owned()));
    }
}
