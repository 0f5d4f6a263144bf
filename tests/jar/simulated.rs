//! Logs of tyers whose truth is known.

use super::tyer::{Tyer, jig};
use counterpoise::calibrate::fit_entries;
use counterpoise::catalog::Catalog;
use counterpoise::jar_log::Entry;
use counterpoise::vice::stages::Stage;

/// A dozen tests as a careful tyer makes them; flies that float are left out.
fn log(tyer: &mut Tyer) -> Vec<Entry> {
    let mut entries = vec![tyer.weigh_beads("tungsten-slotted-3.5", 10)];
    let first = tyer.scatter(&jig(11_000));
    for stage in [Stage::Wire, Stage::Foam, Stage::Finish] {
        entries.extend(tyer.hang(&jig(11_000), stage, Some(("A", &first))));
    }
    for foam_um in [11_000, 9_000, 12_500] {
        entries.extend(tyer.hang(&jig(foam_um), Stage::Finish, None));
        entries.extend(tyer.hang(&jig(foam_um), Stage::Foam, None));
        entries.extend(tyer.drop(&jig(foam_um)));
    }
    entries
}

#[test]
fn estimates_lie_within_their_stated_errors_at_the_stated_rate() {
    let catalog = Catalog::built_in().unwrap();
    let mut fitting = 0.0; let started = std::time::Instant::now();
    let (mut all, mut one, mut two, mut squares) = (0.0, 0.0, 0.0, 0.0);
    let mut by: std::collections::BTreeMap<String, (f64, f64, f64, f64, f64)> = Default::default();
    for seed in 0..20 {
        let mut tyer = Tyer::drawn(&catalog, seed);
        let entries = log(&mut tyer);
        let t=std::time::Instant::now(); let fit = fit_entries(&catalog, &entries).unwrap(); fitting += t.elapsed().as_secs_f64();
        for learned in fit.learned() {
            let truth = tyer.z.iter().find(|(c, _)| *c == learned.correction).unwrap().1;
            let off = (learned.z - truth) / learned.left;
            all += 1.0;
            one += f64::from(u8::from(off.abs() < 1.0));
            two += f64::from(u8::from(off.abs() < 2.0));
            squares += off * off;
            let e = by.entry(learned.correction.words()).or_default();
            e.0 += 1.0; e.1 += off; e.2 += off * off; e.3 += f64::from(u8::from(off.abs() < 2.0)); e.4 += learned.told();
        }
    }
    println!("fitting {fitting}"); println!("{all} {} {} {} in {:?}", one / all, two / all, squares / all, started.elapsed());
    for (k, e) in by { println!("{k:60} n {} mean {:.2} rms {:.2} within2 {:.2} told {:.2}", e.0, e.1/e.0, (e.2/e.0).sqrt(), e.3/e.0, e.4/e.0); }
}
