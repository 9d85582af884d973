//! How far the sweep is and how long it still takes: on a terminal only, and in no file.

use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};

/// Between two looks.
const EVERY: Duration = Duration::from_millis(200);
/// Width of the bar.
const WIDTH: usize = 30;

/// A bar on standard error.
pub(super) struct Bar {
    begun: Instant,
    shown: Option<Instant>,
    total: usize,
    on_terminal: bool,
}

impl Bar {
    pub(super) fn new(total: usize) -> Self {
        Self {
            begun: Instant::now(),
            shown: None,
            total,
            on_terminal: std::io::stderr().is_terminal(),
        }
    }

    /// Shows that `done` of the total are done.
    pub(super) fn show(&mut self, done: usize, err: &mut dyn Write) {
        let due = self.shown.is_none_or(|last| last.elapsed() >= EVERY);
        if !self.on_terminal || !due {
            return;
        }
        self.shown = Some(Instant::now());
        let line = line(done, self.total, self.begun.elapsed().as_secs_f64());
        // A bar that cannot be shown is no reason to stop.
        let _ = write!(err, "\r{line:<78}");
        let _ = err.flush();
    }

    /// Takes the bar away.
    pub(super) fn clear(&self, err: &mut dyn Write) {
        if self.shown.is_some() {
            let _ = write!(err, "\r{:78}\r", "");
            let _ = err.flush();
        }
    }
}

/// The bar as text.
fn line(done: usize, total: usize, seconds: f64) -> String {
    let filled = (WIDTH * done)
        .checked_div(total)
        .unwrap_or(WIDTH)
        .min(WIDTH);
    let bar: String = (0..WIDTH)
        .map(|n| if n < filled { '#' } else { '.' })
        .collect();
    #[allow(clippy::cast_precision_loss, reason = "at most a million")]
    let left = match done {
        0 => String::new(),
        _ => format!(
            ", {} left",
            time(seconds * (total - done.min(total)) as f64 / done as f64)
        ),
    };
    format!("[{bar}] {done} of {total}{left}")
}

/// `40 s`, `12 min`, `3 h 5 min`.
fn time(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round();
    if seconds < 90.0 {
        format!("{seconds:.0} s")
    } else if minutes < 90.0 {
        format!("{minutes:.0} min")
    } else {
        format!(
            "{:.0} h {:.0} min",
            (minutes / 60.0).floor(),
            minutes % 60.0
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_is_that_of_what_is_left() {
        // By hand: 25 of 100 in 10 s, so 30 s for the other 75.
        assert_eq!(
            line(25, 100, 10.0),
            "[#######.......................] 25 of 100, 30 s left"
        );
        assert_eq!(
            line(0, 100, 0.1),
            "[..............................] 0 of 100"
        );
        assert_eq!(time(600.0), "10 min");
        assert_eq!(time(11_100.0), "3 h 5 min");
    }
}
