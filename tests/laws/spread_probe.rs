use counterpoise::catalog::Catalog;
use counterpoise::fly::{AsTied, Deviation, resolve};
use counterpoise::part::Cut;
use counterpoise::quantity::Microns;
use counterpoise::recipe::*;
use counterpoise::spread::{chance::*, draws::*, seen::*, slopes::*};
use counterpoise::target::*;
use std::time::Instant;

fn jig(foam_mm: f64) -> Recipe {
    Recipe {
        hook: "jig60-12".into(),
        dressing: "light-body".into(),
        bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
        wire: Some(WireUse { id: "lead-0.010in".into(), turns: 20, start: Microns::new(0) }),
        foam: Some(FoamUse {
            id: "pe-rod-1-4in".into(),
            cut: Cut::Quarter,
            length: Microns::from_mm(foam_mm).unwrap(),
            seat: Seat::Tail,
        }),
    }
}

#[test]
fn probe() {
    let catalog = Catalog::built_in().unwrap();
    let spec = TargetSpec { pattern: Some("light-body".into()), ..TargetSpec::default() };
    let (target, _) = spec.resolve(&catalog).unwrap();
    for mm in [6.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0] {
        let recipe = jig(mm);
        let fly = resolve(&recipe, &catalog).unwrap();
        let tied = AsTied::new(fly, &target.conditions);
        let view = View::new(&tied).unwrap();
        let draws = Draws::default();
        let line = linear(&spreads(&fly), &Deviation::NONE, |d| view.turn(d)).unwrap();
        let c = chance(&fly, &target, &draws);
        println!(
            "{mm} mm: turn {:.1} sd {:.1} p1 {:.3} chance {:?}",
            line.at.to_degrees(),
            line.sd().to_degrees(),
            line.share_within(&target.hang_window()),
            c
        );
        if mm == 10.0 {
            for c in line.contributors() {
                println!(
                    "  {} {:.4} turn {:.2} share {:.3}",
                    c.spread.source.words(&fly),
                    c.spread.sd,
                    c.turn.to_degrees(),
                    c.share
                );
            }
            println!("{:?}", slopes(&view));
        }
    }
    let recipe = jig(10.0);
    let fly = resolve(&recipe, &catalog).unwrap();
    let t = Instant::now();
    let draws = Draws::new(Plan { samples: 200_000, seed: 1 });
    println!("draw {:?}", t.elapsed());
    let trial = Trial::new(&fly, &target);
    let t = Instant::now();
    let n = draws.flies().iter().filter(|z| trial.miss(z).is_none()).count();
    println!("with sink {:?} {n}", t.elapsed());
    let hang_only = Target { sink: None, ..target.clone() };
    let trial = Trial::new(&fly, &hang_only);
    let t = Instant::now();
    let n = draws.flies().iter().filter(|z| trial.miss(z).is_none()).count();
    println!("hang only {:?} {n}", t.elapsed());
}

#[test]
fn probe_vice() {
    use counterpoise::vice::{correct::*, stages::*, trim::*, *};
    let catalog = Catalog::built_in().unwrap();
    let spec =
        TargetSpec { pattern: Some("light-body".into()), depth: Some("1 m".parse().unwrap()), ..TargetSpec::default() };
    let (target, _) = spec.resolve(&catalog).unwrap();
    let recipe = jig(15.0);
    let fly = resolve(&recipe, &catalog).unwrap();
    let bench = Bench::new(fly, &target, Jar::at(20.0).unwrap());
    let draws = Draws::default();
    println!("{:?}", chance(&fly, &target, &draws));
    for v in bench.stages(&draws) {
        let d = |x: f64| (x.to_degrees() * 10.0).round() / 10.0;
        println!(
            "{} {:?} {:?} spread {:?} forecast {:?}",
            v.stage.word(),
            v.turn.map(d),
            v.rides,
            v.spread.map(|s| (d(s.low), d(s.median), d(s.high), s.floats)),
            v.forecast.map(|f| (d(f.turn), f.per_degree, d(f.sd), f.told, f.go_on.map(|(a, b)| (d(a), d(b)))))
        );
    }
    let t = Instant::now();
    let trim = bench.trim(&draws).unwrap();
    println!(
        "trim took {:?}: start {} covers {} jar_shows {:.1} per mm {:.1} {:?}",
        t.elapsed(),
        trim.start,
        trim.covers,
        trim.jar_shows.to_degrees(),
        trim.per_mm_cut,
        trim.rides
    );
    for r in &trim.chart {
        println!(
            "  seen {:.0} cut {} -> {:.1} sd {:.1}",
            r.seen.to_degrees(),
            r.cut,
            r.turn.to_degrees(),
            r.sd.to_degrees()
        );
    }
    let t = Instant::now();
    println!("{:?} {:?}", bench.tyer(&trim, &draws), t.elapsed());
    for (stage, deg) in [
        (Stage::Wire, 70.0),
        (Stage::Wire, 50.0),
        (Stage::Foam, -20.0),
        (Stage::Foam, 35.0),
        (Stage::Finish, -30.0),
        (Stage::Finish, 35.0f64),
    ] {
        let a = bench.correct(&Seen { stage, angle: deg.to_radians(), rides: None }).unwrap();
        println!(
            "{} seen {deg}: expected {:.1} surprise {:.1} suspects {:?}",
            stage.word(),
            a.expected.to_degrees(),
            a.surprise,
            a.suspects[..3].iter().map(|(s, z)| (s.source, *z)).collect::<Vec<_>>()
        );
        for c in &a.corrections {
            println!(
                "   {:?} jar {:?} depth {:?} sd {:.1} chance {:.2}",
                c.change,
                c.jar.map(|(s, t)| (s, t.to_degrees().round())),
                c.depth.map(|t| t.to_degrees()),
                c.sd.to_degrees(),
                c.chance
            );
        }
    }
}
