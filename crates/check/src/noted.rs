//! What single notes of "on" and "off" say of the hours between them.

/// Longest time for which a lone note speaks, h: after it, and before it.
const LONE_AFTER_H: f64 = 1.0;
const LONE_BEFORE_H: f64 = 0.5;

/// Least share of a row that notes must speak for.
const LEAST_NOTED_FRAC: f64 = 0.5;

/// Share "on" of each row from notes `(hours since the first row, on)` in the order of time; `NaN` where they do not reach.
///
/// Two notes of one state not more than `holds_h` apart hold between. Between two of different states the hours `planned` (share on of
/// each row) decide where they agree with both; else the change is half way. Farther apart each note speaks for its own
/// surroundings only. Source: our own rule.
pub(crate) fn shares(
    notes: &[(f64, bool)],
    holds_h: f64,
    planned: &[f64],
    interval_h: f64,
) -> Vec<f64> {
    let rows = planned.len();
    let as_planned = |hours: f64, on: bool| {
        let mut near = rows_between(hours - 0.01, hours + 0.01, rows, interval_h);
        near.any(|(row, _)| (planned[row] > 0.5) == on || (planned[row] - 0.5).abs() < 0.5)
    };
    let mut on_h = vec![0.0; rows];
    let mut said_h = vec![0.0; rows];
    let mut say = |from: f64, to: f64, on: bool| {
        for (row, said) in rows_between(from, to, rows, interval_h) {
            said_h[row] += said;
            if on {
                on_h[row] += said;
            }
        }
    };
    let mut part: Vec<(usize, f64, f64)> = Vec::new();
    for pair in notes.windows(2) {
        let ((from, before), (to, after)) = (pair[0], pair[1]);
        let gap = to - from;
        if before != after && as_planned(from, before) && as_planned(to, after) {
            for (row, hours) in rows_between(from, to, rows, interval_h) {
                part.push((row, hours, planned[row]));
            }
            continue;
        }
        let (first, second) = if gap <= holds_h {
            (from + 0.5 * gap, from + 0.5 * gap)
        } else {
            (
                from + LONE_AFTER_H.min(0.5 * gap),
                to - LONE_BEFORE_H.min(0.5 * gap),
            )
        };
        say(from, first, before);
        say(second, to, after);
    }
    if let (Some(first), Some(last)) = (notes.first(), notes.last()) {
        say(first.0 - LONE_BEFORE_H, first.0, first.1);
        say(last.0, last.0 + LONE_AFTER_H, last.1);
    }
    for (row, hours, share) in part {
        said_h[row] += hours;
        on_h[row] += hours * share;
    }
    on_h.iter()
        .zip(&said_h)
        .map(|(on, said)| {
            if *said >= LEAST_NOTED_FRAC * interval_h {
                on / said
            } else {
                f64::NAN
            }
        })
        .collect()
}

/// Rows that `[from, to]` touches, each with the hours of it.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "held to the rows there are"
)]
fn rows_between(
    from: f64,
    to: f64,
    rows: usize,
    interval_h: f64,
) -> impl Iterator<Item = (usize, f64)> {
    let first = ((from / interval_h).floor().max(0.0) as usize).min(rows);
    let end = ((to / interval_h).ceil().max(0.0) as usize).min(rows);
    (first..end).filter_map(move |row| {
        let start = row as f64 * interval_h;
        let hours = (start + interval_h).min(to) - start.max(from);
        (hours > 0.0).then_some((row, hours))
    })
}

#[cfg(test)]
mod tests {
    use super::shares;

    fn same(found: &[f64], expected: &[f64]) {
        assert_eq!(found.len(), expected.len());
        for (i, (f, e)) in found.iter().zip(expected).enumerate() {
            let both_nan = f.is_nan() && e.is_nan();
            assert!(both_nan || (f - e).abs() < 1e-12, "row {i}: {f}, not {e}");
        }
    }

    #[test]
    fn like_notes_hold_between_and_unlike_ones_change_half_way() {
        const N: f64 = f64::NAN;
        // By hand: on at 1.0 and 3.0 holds; off at 4.0: changes at 3.5; lone hour after the last.
        same(
            &shares(
                &[(1.0, true), (3.0, true), (4.0, false)],
                4.0,
                &[0.0; 6],
                1.0,
            ),
            &[1.0, 1.0, 1.0, 0.5, 0.0, N],
        );
        // Too far apart: one hour after the first, half an hour before the second.
        same(
            &shares(&[(0.0, true), (10.0, false)], 4.0, &[0.0; 12], 1.0),
            &[1.0, N, N, N, N, N, N, N, N, 0.0, 0.0, N],
        );
        same(&shares(&[], 4.0, &[1.0; 2], 1.0), &[N, N]);
        // The plan switches at 3.0, and both notes agree with it.
        same(
            &shares(
                &[(0.0, true), (5.0, false)],
                9.0,
                &[1.0, 1.0, 1.0, 0.0, 0.0, 0.0],
                1.0,
            ),
            &[1.0, 1.0, 1.0, 0.0, 0.0, 0.0],
        );
    }
}
