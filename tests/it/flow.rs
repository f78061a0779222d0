//! The shipped flow.

use casepan::flow::{Flow, Loaded, embedded, run_examples};

#[track_caller]
fn shipped() -> Flow {
    let Loaded {
        sources,
        flow,
        problems,
    } = embedded();
    let told: Vec<String> = problems
        .iter()
        .map(|problem| {
            let source = sources.iter().find(|source| source.name() == problem.file);
            problem.render(source, false)
        })
        .collect();
    assert!(problems.is_empty(), "{}", told.join("\n"));
    flow.expect("a flow without problems")
}

#[test]
fn loads_without_a_problem() {
    let flow = shipped();
    let misses = run_examples(&flow);
    assert!(misses.is_empty(), "{misses:#?}");
}
