//! One call into BLAS or LAPACK at a time.

use std::sync::{Mutex, PoisonError};

/// Held while a matrix routine runs. A single-threaded OpenBLAS may be built without locks around
/// its table of work buffers; two threads of ours inside it at once could then get one buffer.
static ROUTINES: Mutex<()> = Mutex::new(());

/// Runs `work`, which calls matrix routines, while no other thread of ours does.
///
/// Never nest calls: the lock is not re-entrant.
pub fn one_at_a_time<T>(work: impl FnOnce() -> T) -> T {
    // A panic elsewhere leaves nothing behind the lock to be wrong.
    let _held = ROUTINES.lock().unwrap_or_else(PoisonError::into_inner);
    work()
}
