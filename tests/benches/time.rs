//! Timing that the benches share.

use std::time::{Duration, Instant};

/// The least time of so many runs: what the machine does beside it only adds.
pub(crate) fn least(runs: usize, mut job: impl FnMut()) -> Duration {
    let times = (0..runs).map(|_| {
        let start = Instant::now();
        job();
        start.elapsed()
    });
    times.min().unwrap_or_default()
}
