//! How is a list of jobs worked on by several threads, with the results in the order of the list?

use std::sync::atomic::{AtomicUsize, Ordering};

/// Does the work on `threads` threads (1 to 64). A job whose thread broke down is missing from the results, which carry
/// the place of their job.
pub fn on_threads<T: Sync, R: Send>(
    threads: usize,
    jobs: &[T],
    work: &(dyn Fn(&T) -> R + Sync),
) -> Vec<(usize, R)> {
    let next = AtomicUsize::new(0);
    let mut made: Vec<(usize, R)> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads.clamp(1, 64))
            .map(|_| {
                scope.spawn(|| {
                    let mut own = Vec::new();
                    loop {
                        let at = next.fetch_add(1, Ordering::Relaxed);
                        let Some(job) = jobs.get(at) else { return own };
                        own.push((at, work(job)));
                    }
                })
            })
            .collect();
        workers
            .into_iter()
            .filter_map(|w| w.join().ok())
            .flatten()
            .collect()
    });
    made.sort_by_key(|(at, _)| *at);
    made
}
