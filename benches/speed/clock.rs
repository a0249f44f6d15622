//! Time: wall and processor, of this process and of its children.

use std::time::{Duration, Instant};

/// Runs `work` again and again for at least `least`, and returns the best time of one run: on a
/// machine with other work the best is nearest to what the code costs.
pub fn best<T>(least: Duration, mut work: impl FnMut() -> T) -> Duration {
    let begin = Instant::now();
    let mut best = Duration::MAX;
    let mut runs = 0;
    while begin.elapsed() < least || runs < 3 {
        let one = Instant::now();
        std::hint::black_box(work());
        best = best.min(one.elapsed());
        runs += 1;
    }
    best
}

/// Returns the processor time that children of this process have taken in all, in seconds.
///
/// Read from /proc, which counts in hundredths of a second; `None` where there is no /proc.
pub fn children_seconds() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    // The name of the program stands in brackets and may hold blanks.
    let fields: Vec<&str> = text.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks: f64 = fields.get(13)?.parse::<f64>().ok()? + fields.get(14)?.parse::<f64>().ok()?;
    Some(ticks / 100.0)
}
