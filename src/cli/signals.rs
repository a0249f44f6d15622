//! Hears an interruption at once, whatever the program waits for.

use bandlore::io::discard_unfinished;

/// What a shell adds to a signal's number.
const SHELLS_OFFSET: i32 = 128;

/// From here on a signal ends the program with 128 and its number, as a shell's own programs do, and
/// leaves no unfinished file behind.
///
/// A thread of its own waits for it: the main one may wait for a pipe, or be in the middle of a file.
#[cfg(unix)]
pub fn hear() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    // Where nothing can be heard, a signal ends the program as it always does.
    let Ok(mut signals) = signal_hook::iterator::Signals::new([SIGHUP, SIGINT, SIGTERM]) else {
        return;
    };
    let heard = move || {
        if let Some(signal) = signals.forever().next() {
            end(SHELLS_OFFSET + signal);
        }
    };
    let _ = std::thread::Builder::new().name("signals".to_owned()).spawn(heard);
}

/// As under Unix, but what was heard is not told: it counts as an interruption.
#[cfg(not(unix))]
pub fn hear() {
    const INTERRUPTION: i32 = 2;
    let _ = ctrlc::set_handler(|| end(SHELLS_OFFSET + INTERRUPTION));
}

/// Says nothing and tidies nothing up: the main thread may hold what that takes, in the middle of a line
/// that nobody reads.
fn end(code: i32) {
    let _discarded = discard_unfinished();
    #[cfg(unix)]
    signal_hook::low_level::exit(code);
    #[cfg(not(unix))]
    std::process::exit(code);
}
