//! A line on the terminal while work takes long. It carries no data and leaves nothing behind.

use std::io::Write;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

/// Work shorter than this shows nothing; longer work is told again as often.
pub(super) const PATIENCE: Duration = Duration::from_millis(500);

/// Tells that work goes on until it is dropped.
pub(super) struct Progress {
    done: Option<Sender<()>>,
    teller: Option<JoinHandle<()>>,
}

impl Progress {
    /// Nothing is told.
    pub(super) fn silent() -> Self {
        Self { done: None, teller: None }
    }

    /// Tells `words` and the seconds passed on `screen`, first after `patience` and again each time it has passed.
    pub(super) fn start(words: String, patience: Duration, mut screen: impl Write + Send + 'static) -> Self {
        let (done, waiting) = channel();
        let teller = std::thread::spawn(move || {
            let mut beats = 0_u32;
            while waiting.recv_timeout(patience) == Err(RecvTimeoutError::Timeout) {
                beats += 1;
                let passed = patience * beats;
                // A closed terminal is no failure of the work.
                let _closed = write!(screen, "\r{words} ... {} s", passed.as_secs()).and_then(|()| screen.flush());
            }
            if beats > 0 {
                // Back to the line's start and clear it.
                let _closed = screen.write_all(b"\r\x1b[K").and_then(|()| screen.flush());
            }
        });
        Self { done: Some(done), teller: Some(teller) }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        // The teller ends when its channel closes; it has printed its last before anything else is printed.
        drop(self.done.take());
        if let Some(teller) = self.teller.take() {
            let _panicked = teller.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::{Arc, Mutex};

    #[derive(Clone, Default)]
    struct Screen(Arc<Mutex<Vec<u8>>>);

    impl Write for Screen {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.lock().unwrap().extend_from_slice(bytes);
            Ok(bytes.len())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    impl Screen {
        fn text(&self) -> String {
            String::from_utf8(self.0.lock().unwrap().clone()).unwrap()
        }
    }

    #[test]
    fn long_work_is_told_and_the_line_cleared() {
        let screen = Screen::default();
        let progress = Progress::start("reading plan.dxf".into(), Duration::from_millis(5), screen.clone());
        while screen.text().is_empty() {
            std::thread::sleep(Duration::from_millis(1));
        }
        drop(progress);
        let text = screen.text();
        assert!(text.starts_with("\rreading plan.dxf ... 0 s") && text.ends_with("\r\x1b[K"), "{text:?}");
    }

    #[test]
    fn short_work_leaves_the_screen_alone() {
        let screen = Screen::default();
        drop(Progress::start("reading".into(), Duration::from_secs(3600), screen.clone()));
        assert_eq!(screen.text(), "");
    }
}
