//! Work side by side.

use std::thread::ScopedJoinHandle;

/// What a thread made; its panic is passed on.
pub(crate) fn joined<T>(work: ScopedJoinHandle<T>) -> T {
    work.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}
