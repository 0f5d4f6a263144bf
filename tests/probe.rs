use counterpoise::{catalog::Catalog, target::TargetSpec, search::{self, Unwatched}, assess};
#[test]
fn probe() {
    let catalog = Catalog::built_in().unwrap();
    for (size, styles, sink) in [(8u8, vec![], None), (12, vec!["jig".to_owned()], None), (8, vec![], Some("0.15..0.25m/s".parse().unwrap()))] {
        let spec = TargetSpec { size: vec![size], style: styles, sink, ..Default::default() };
        let (target, said) = spec.resolve(&catalog).unwrap();
        let t0 = std::time::Instant::now();
        let found = search::search(&catalog, &target, 10, &Unwatched);
        println!("{:?} space {} tally {:?} total {}", t0.elapsed(), found.space, found.tally, found.tally.total());
        for c in &found.candidates {
            let a = assess::assess(&c.fly, &target);
            println!("{} {:.4} m{:.2} | {} | hang {:.1} {:?} sink {:.3}", c.fly.recipe().id(), c.judgement.cost.micros() as f64*1e-6, c.judgement.margin, c.fly.recipe(), a.prediction.hang.rest().unwrap().angle.to_degrees(), a.prediction.hang.rest().unwrap().rides, a.prediction.lowered.sink_rate);
        }
        for s in said { println!("  {}: {}", s.key, s.text); }
    }
}
