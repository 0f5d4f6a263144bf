//! Reading catalog files, laying them over one another, and building the parts.

use super::check::{Materials, RowCheck};
use super::complete::{Filled, Known};
use super::raw::{RawFile, RawRow};
use super::{Catalog, carry, validate};
use crate::document::{Diagnostics, Document, Path, Source};
use crate::part::Kind;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A file that was read.
struct Layer {
    document: Document,
    raw: RawFile,
    /// A file of one's own, as against the built-in ones.
    own: bool,
}

/// A row that counts: the last one with its id.
struct Found<'a, R> {
    raw: &'a R,
    document: &'a Document,
    path: Path,
    /// Its place in the list, from 1.
    number: usize,
}

/// Reads `built_in` files, then one's `own`, and lays them over one another.
pub(super) fn load(built_in: &[Source], own: &[Source]) -> Result<Catalog, Diagnostics> {
    let mut faults = Diagnostics::new();
    let (layers, mut filled) = read_all(built_in, own, &mut faults);
    let currency = currency(&layers, &mut filled, &mut faults);
    let mut origins = BTreeMap::new();

    let found = merge(&layers, |raw| &raw.materials, &mut faults);
    let mut materials = Materials::new();
    for (id, row) in &found {
        let built = checked(row, &mut faults, validate::material);
        materials.insert((*id).to_owned(), built.map(Arc::new));
    }

    macro_rules! parts {
        ($list:ident, $kind:expr, $build:path) => {{
            let found = merge(&layers, |raw| &raw.$list, &mut faults);
            let mut parts = Vec::with_capacity(found.len());
            for (id, row) in &found {
                origins.insert(($kind, (*id).to_owned()), row.document.source().name().to_owned());
                parts.extend(checked(row, &mut faults, |raw, check| $build(raw, &materials, check)));
            }
            parts
        }};
    }
    let catalog = Catalog {
        hooks: parts!(hooks, Kind::Hook, validate::hook),
        beads: parts!(beads, Kind::Bead, validate::bead),
        pins: parts!(pins, Kind::Pin, validate::pin),
        wires: parts!(wires, Kind::Wire, validate::wire),
        foams: parts!(foams, Kind::Foam, validate::foam),
        dressings: parts!(dressings, Kind::Dressing, validate::dressing),
        own_currency: layers.iter().filter(|layer| layer.own).find_map(|layer| layer.raw.currency.clone()),
        currency,
        materials: materials.values().flatten().cloned().collect(),
        origins,
        filled,
    };
    // Rows that were refused may be the very ones that carry the rest, so this waits until all are right.
    if faults.is_empty() {
        stranded(&catalog, &layers, &mut faults);
    }
    faults.or(catalog)
}

/// All files that can be read, each row of one's own completed from the rows before it.
fn read_all(built_in: &[Source], own: &[Source], faults: &mut Diagnostics) -> (Vec<Layer>, Vec<Filled>) {
    let (mut layers, mut filled, mut known) = (Vec::new(), Vec::new(), Known::default());
    let all = built_in.iter().map(|file| (file, false)).chain(own.iter().map(|file| (file, true)));
    for (file, is_own) in all {
        let mut document = match Document::open(file) {
            Ok(document) => document,
            Err(problems) => {
                faults.extend(problems);
                continue;
            }
        };
        if is_own {
            document.amend(|root| known.complete(file.name(), root, &mut filled));
        }
        if !own.is_empty() {
            known.learn(document.tree());
        }
        let (raw, problems) = document.decode();
        faults.extend(problems);
        layers.extend(raw.map(|raw| Layer { document, raw, own: is_own }));
    }
    (layers, filled)
}

/// Currency of the built-in prices, which are invented.
const INVENTED_IN: &str = "EUR";

/// The one currency of all prices: that of one's own files, which must agree. The built-in prices are invented, so they
/// are taken in the same currency, figure by figure; amounts are never converted.
fn currency(layers: &[Layer], filled: &mut Vec<Filled>, faults: &mut Diagnostics) -> String {
    let mut agreed: Option<(&str, &str)> = None;
    for Layer { document, raw, .. } in layers.iter().filter(|layer| layer.own) {
        let path = Path::root().key("currency");
        match (&raw.currency, agreed) {
            (None, _) => {}
            (Some(code), _) if code.len() != 3 || !code.chars().all(|c| c.is_ascii_uppercase()) => {
                let text = format!("currency is `{code}`; it must be three capital letters");
                faults.push(document.problem(&path, text).help("like `EUR` or `USD`"));
            }
            (Some(code), None) => agreed = Some((code, document.source().name())),
            (Some(code), Some((first, from))) if code != first => {
                let text = format!("currency is {code}, but that of {from} is {first}");
                let help = format!("give all prices in {first}: amounts are not converted");
                faults.push(document.problem(&path, text).help(help));
            }
            (Some(_), Some(_)) => {}
        }
    }
    let currency = agreed.map_or(INVENTED_IN, |(code, _)| code).to_owned();
    for layer in layers.iter().filter(|l| l.own && l.raw.currency.is_none() && l.raw.has_prices()) {
        let file = layer.document.source().name().to_owned();
        filled.push(Filled { file, list: "prices", id: String::new(), key: "currency", value: currency.clone() });
    }
    currency
}

/// The rows of one list that count, by id. A second row with the same id in one file is refused.
fn merge<'a, R: RawRow>(
    layers: &'a [Layer],
    list: impl Fn(&'a RawFile) -> &'a Vec<R>,
    faults: &mut Diagnostics,
) -> BTreeMap<&'a str, Found<'a, R>> {
    let mut all = BTreeMap::new();
    for Layer { document, raw, .. } in layers {
        let mut here: BTreeMap<&str, Found<'_, R>> = BTreeMap::new();
        for (index, row) in list(raw).iter().enumerate() {
            let path = Path::root().key(R::LIST).index(index);
            if let Some(first) = here.get(row.id()).filter(|_| !row.id().is_empty()) {
                let text = format!("the id is taken by row {} of {}", first.number, R::LIST);
                faults.push(document.problem(&path.key("id"), text).help("give each row an id of its own"));
            } else {
                here.insert(row.id(), Found { raw: row, document, path, number: index + 1 });
            }
        }
        all.extend(here);
    }
    all
}

/// Builds a part, and drops it if anything was found wrong with it.
fn checked<R, P>(
    row: &Found<'_, R>,
    faults: &mut Diagnostics,
    build: impl FnOnce(&R, &mut RowCheck<'_>) -> Option<P>,
) -> Option<P> {
    let before = faults.len();
    let part = build(row.raw, &mut RowCheck::new(row.document, row.path.clone(), faults));
    part.filter(|_| faults.len() == before)
}

/// Reports rows that nothing in the catalog can carry.
fn stranded(catalog: &Catalog, layers: &[Layer], faults: &mut Diagnostics) {
    macro_rules! report {
        ($list:ident) => {
            let found = merge(layers, |raw| &raw.$list, &mut Diagnostics::new());
            for part in &catalog.$list {
                let (Some(row), Some(why)) = (found.get(part.row.id.as_str()), carry::$list(part, catalog)) else {
                    continue;
                };
                let problem = row.document.problem(&row.path.key(why.key), why.text);
                faults.push(problem.help(why.help));
            }
        };
    }
    report!(beads);
    report!(pins);
    report!(wires);
    report!(foams);
}
