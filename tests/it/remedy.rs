//! Ways out.

use casepan::demo::{CASES, case};
use casepan::derive::{Facts, Precision};
use casepan::judge::judge;
use casepan::remedy::{together, ways_out};

use crate::good::flow;

#[test]
fn look() {
    for (name, _) in CASES {
        let case = case(name).expect("an invented case");
        let facts = Facts::with(flow(), &case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let start = std::time::Instant::now();
        let ways = ways_out(flow(), &facts, &judgement);
        println!("{name} {:?} {:?}", judgement.verdict, start.elapsed());
        for way in &ways {
            let remedy = way.of(flow()).expect("a remedy");
            println!(
                "  {} at {} {:?} {:?} cut {:?} bar {:?}",
                remedy.id, way.at, way.amount, way.choice, way.cut, way.bar
            );
            if let Some(after) = &way.after {
                println!(
                    "      {:?} left {:?} gone {:?} new {:?} grip {:?}",
                    after.verdict.level,
                    after.left,
                    after
                        .gone
                        .iter()
                        .map(|(r, at)| format!("{} {at}", flow().rules[*r].id))
                        .collect::<Vec<_>>(),
                    after
                        .new
                        .iter()
                        .map(|(r, at, l)| format!("{} {at} {l:?}", flow().rules[*r].id))
                        .collect::<Vec<_>>(),
                    after.grip
                );
            }
        }
        let start = std::time::Instant::now();
        let pairs = together(flow(), &facts, &judgement, &ways);
        println!("  pairs {} in {:?}", pairs.len(), start.elapsed());
        for pair in pairs.iter().take(5) {
            println!(
                "    {:?} {:?} {:?}",
                pair.parts, pair.after.verdict.level, pair.cut
            );
        }
    }
}
