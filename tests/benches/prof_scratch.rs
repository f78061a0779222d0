#![allow(missing_docs)]
#![allow(clippy::unwrap_used, clippy::print_stdout)]
#[path = "../it/dislodgement/random.rs"]
mod random;
use casepan::mechanics::dislodgement::*;
use random::*;
fn main() {
    let mut random = Random(7);
    let cases: Vec<Case> = (0..30).map(|i| case(&mut random, 1 + i % 6)).collect();
    let rs: Vec<Restoration> = cases.iter().map(|c| c.restoration()).collect();
    let nodes: usize = rs
        .iter()
        .flat_map(|r| r.abutments.iter())
        .map(|a| a.len())
        .sum();
    for set in [Settings::QUICK, Settings::EXACT] {
        let mut best = f64::MAX;
        let mut it = 0;
        for _ in 0..60 {
            let t = std::time::Instant::now();
            it = 0;
            for (r, c) in rs.iter().zip(&cases) {
                let o = Holding::new(r, Limits::default())
                    .unwrap()
                    .dislodge(&c.load, set);
                it += o.certified().unwrap().iterations as usize
                    * r.abutments.iter().map(|a| a.len()).sum::<usize>();
            }
            best = best.min(t.elapsed().as_secs_f64());
        }
        println!(
            "best {:.0} us per case, {:.1} ns per node and iteration, {} nodes",
            best * 1e6 / 30.,
            best * 1e9 / it as f64,
            nodes / 30
        );
    }
}
