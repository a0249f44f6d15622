//! One call into BLAS or LAPACK at a time.

use std::sync::{Mutex, PoisonError};

/// Held while a matrix routine runs. A single-threaded OpenBLAS may be built without locks around
/// its table of work buffers; two threads of ours inside it at once could then get one buffer.
static ROUTINES: Mutex<()> = Mutex::new(());

/// Runs `work`, which calls matrix routines, while no other thread of ours does.
///
/// Never nest calls: the lock is not re-entrant.
pub fn one_at_a_time<T>(work: impl FnOnce() -> T) -> T {
    // A panic elsewhere leaves nothing behind the lock to be wrong. Routines in Rust share nothing.
    let _held = cfg!(not(feature = "pure-rust"))
        .then(|| ROUTINES.lock().unwrap_or_else(PoisonError::into_inner));
    work()
}

#[cfg(test)]
mod tests {
    use ndarray::{Array1, Array2};

    use crate::linalg::fit;

    /// Threads at once: more than any of our machines has cores.
    const THREADS: usize = 8;
    /// Rounds of all shapes a thread.
    const ROUNDS: usize = 40;
    /// Rows and columns of the fits that examining a spectrum makes: noise, contact, curvature.
    const SHAPES: [(usize, usize); 4] = [(79, 4), (5, 2), (11, 5), (160, 3)];

    fn design(rows: usize, columns: usize, round: usize) -> Array2<f64> {
        Array2::from_shape_fn((rows, columns), |(row, power)| {
            let x = row as f64 / rows as f64 - 0.4 + 0.001 * round as f64;
            x.powi(i32::try_from(power).unwrap_or(0))
        })
    }

    fn observed(rows: usize, round: usize) -> Array1<f64> {
        Array1::from_shape_fn(rows, |row| ((row * 37 + round * 11) as f64 * 0.7).sin())
    }

    fn guarded(rows: usize, columns: usize, round: usize) -> Vec<f64> {
        let found = fit(design(rows, columns, round).view(), observed(rows, round).view());
        let found = found.expect("solvable");
        found.coefficients.into_iter().chain(found.standard_errors).collect()
    }

    /// What the guard keeps apart, called without it.
    #[cfg(not(feature = "pure-rust"))]
    fn bare(rows: usize, columns: usize, round: usize) -> Vec<f64> {
        use ndarray_linalg::LeastSquaresSvd;

        let design = design(rows, columns, round);
        let found = design.least_squares(&Array2::<f64>::eye(rows)).expect("solvable");
        found.solution.dot(&observed(rows, round)).to_vec()
    }

    /// How many answers of many threads at once are not those of one, bit for bit.
    fn differing(work: fn(usize, usize, usize) -> Vec<f64>) -> usize {
        let tasks: Vec<(usize, usize, usize)> = (0..ROUNDS)
            .flat_map(|round| SHAPES.iter().map(move |&(rows, columns)| (rows, columns, round)))
            .collect();
        let bits = |values: Vec<f64>| values.into_iter().map(f64::to_bits).collect::<Vec<_>>();
        let alone: Vec<Vec<u64>> = tasks.iter().map(|t| bits(work(t.0, t.1, t.2))).collect();
        std::thread::scope(|scope| {
            let threads: Vec<_> = (0..THREADS)
                .map(|start| {
                    let (tasks, alone) = (&tasks, &alone);
                    scope.spawn(move || {
                        // Each begins elsewhere, so that unlike shapes meet.
                        (0..tasks.len())
                            .map(|i| (i + start * 7) % tasks.len())
                            .filter(|&i| {
                                let (rows, columns, round) = tasks[i];
                                bits(work(rows, columns, round)) != alone[i]
                            })
                            .count()
                    })
                })
                .collect();
            threads.into_iter().map(|t| t.join().expect("a thread")).sum()
        })
    }

    #[test]
    fn many_threads_get_the_bits_of_one() {
        assert_eq!(differing(guarded), 0);
    }

    #[test]
    #[cfg(not(feature = "pure-rust"))]
    #[ignore = "shows what the guard is for: may fail, or not, with the BLAS at hand"]
    fn without_the_guard_threads_may_disturb_each_other() {
        let wrong = differing(bare);
        println!("{wrong} answers of {} differ without the guard", THREADS * ROUNDS * 4);
        assert_eq!(wrong, 0);
    }
}
