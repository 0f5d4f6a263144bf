//! Materials.

use crate::catalog::check::RowCheck;
use crate::catalog::raw::RawMaterial;
use crate::material::Material;

pub(in crate::catalog) fn material(raw: &RawMaterial, check: &mut RowCheck<'_>) -> Option<Material> {
    check.id(&raw.id);
    check.text("name", &raw.name);
    let believable = check.within("density_g_cm3", raw.density_g_cm3, 0.001, 25.0);
    check.within("density_sd_g_cm3", raw.density_sd_g_cm3, 0.0, 5.0);
    if believable && raw.density_sd_g_cm3 >= raw.density_g_cm3 {
        let what = format!("is {}; it must be below the density, {}", raw.density_sd_g_cm3, raw.density_g_cm3);
        check.fault("density_sd_g_cm3", &what, None);
    }
    Some(Material {
        id: raw.id.clone(),
        name: raw.name.clone(),
        density_kg_m3: raw.density_g_cm3 * 1e3,
        density_sd_kg_m3: raw.density_sd_g_cm3 * 1e3,
        contains_lead: raw.contains_lead,
        provenance: check.provenance(&raw.provenance),
    })
}
