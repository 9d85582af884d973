//! Where labels go: apart from each other, beside the line they name, clear of what else is drawn.

use super::Frame;

/// Moves the centres of labels of `heights` stacked in a column apart so that none overlap and all lie between
/// `top` and `bottom`, as near to the `wanted` centres as their order allows.
///
/// `wanted` must not fall. When there is more to place than room, the labels are packed from `top` down.
#[must_use]
pub fn spread(wanted: &[f64], heights: &[f64], top: f64, bottom: f64) -> Vec<f64> {
    // Runs of labels that touch: each run hangs where its members would on average like to be.
    struct Run {
        first: usize,
        height: f64,
        start: f64,
    }
    let ideal = |first: usize, last: usize| {
        let (mut above, mut sum) = (0.0, 0.0);
        for i in first..=last {
            sum += wanted[i] - heights[i] / 2.0 - above;
            above += heights[i];
        }
        let count = f64::from(u32::try_from(last - first + 1).unwrap_or(u32::MAX));
        (sum / count).min(bottom - above).max(top)
    };
    let mut runs: Vec<Run> = Vec::new();
    for (i, &own) in heights.iter().enumerate().take(wanted.len()) {
        let mut run = Run {
            first: i,
            height: own,
            start: ideal(i, i),
        };
        while let Some(before) = runs.last() {
            if before.start + before.height <= run.start + 1e-9 {
                break;
            }
            run = Run {
                first: before.first,
                height: before.height + run.height,
                start: ideal(before.first, i),
            };
            runs.pop();
        }
        runs.push(run);
    }
    let mut centres = Vec::with_capacity(wanted.len());
    for (n, run) in runs.iter().enumerate() {
        let end = runs
            .get(n + 1)
            .map_or(wanted.len().min(heights.len()), |next| next.first);
        let mut at = run.start;
        for height in &heights[run.first..end] {
            centres.push(at + height / 2.0);
            at += height;
        }
    }
    centres
}

/// A place found for a label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Whether some line runs below it.
    pub covers: bool,
    /// How bad it is: what it covers, how steep its line, how far from the middle.
    pub cost: f64,
}

/// The place for a text of `size` (width, height) beside `line`, within `bounds`, overlapping none of
/// `taken`, covering as few points of `others` and of the line itself as possible; `None` when nothing fits. A place above
/// or below the line costs `side_costs` besides (a covered point costs 20).
#[must_use]
pub fn beside_line(
    line: &[(f64, f64)],
    size: (f64, f64),
    bounds: Frame,
    others: &[(f64, f64)],
    taken: &[Frame],
    side_costs: (f64, f64),
) -> Option<Spot> {
    const GAP_PX: f64 = 7.0;
    const STEP_PX: f64 = 6.0;
    let (width, height) = size;
    let mut best: Option<(f64, Spot)> = None;
    let mut left = bounds.left;
    while left + width <= bounds.right {
        let span = line
            .iter()
            .filter(|(x, _)| (left - 2.0..=left + width + 2.0).contains(x))
            .fold(None, |s: Option<(f64, f64)>, &(_, y)| {
                Some(s.map_or((y, y), |(a, b)| (a.min(y), b.max(y))))
            });
        if let Some((upper, lower)) = span {
            for (top, side_cost) in [
                (upper - GAP_PX - height, side_costs.0),
                (lower + GAP_PX, side_costs.1),
            ] {
                let frame = Frame {
                    left,
                    top,
                    right: left + width,
                    bottom: top + height,
                };
                if !bounds.contains(&frame) || taken.iter().any(|t| t.overlaps(&frame.grown(3.0))) {
                    continue;
                }
                let near = frame.grown(3.0);
                let hits = others
                    .iter()
                    .chain(line)
                    .filter(|&&(x, y)| {
                        x > near.left && x < near.right && y > near.top && y < near.bottom
                    })
                    .count();
                let hits = f64::from(u32::try_from(hits).unwrap_or(u32::MAX));
                // A flat stretch is easier to tie a label to; the middle of the sheet is where one looks.
                let off_centre =
                    ((left + width / 2.0) - f64::midpoint(bounds.left, bounds.right)).abs();
                let cost = 20.0 * hits + 0.3 * (lower - upper) + 0.02 * off_centre + side_cost;
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((
                        cost,
                        Spot {
                            left,
                            top,
                            covers: hits > 0.0,
                            cost,
                        },
                    ));
                }
            }
        }
        left += STEP_PX;
    }
    best.map(|(_, spot)| spot)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_keeps_free_labels_where_they_are_and_parts_the_rest() {
        let centres = spread(&[20.0, 100.0, 104.0], &[20.0; 3], 0.0, 200.0);
        // By hand: the last two overlap; their mean is 102, so they part to 92 and 112.
        assert_eq!(centres, [20.0, 92.0, 112.0]);
    }

    #[test]
    fn spread_stays_within_bounds() {
        let centres = spread(&[1.0, 2.0, 3.0, 198.0], &[20.0; 4], 0.0, 200.0);
        assert_eq!(centres, [10.0, 30.0, 50.0, 190.0]);
        let crowded = spread(&[5.0; 9], &[30.0; 9], 0.0, 200.0);
        assert!(crowded.windows(2).all(|w| w[1] - w[0] >= 30.0 - 1e-9));
    }

    #[test]
    fn a_label_avoids_the_other_line_and_taken_boxes() {
        let flat: Vec<_> = (0..200).map(|x| (f64::from(x), 50.0)).collect();
        let above: Vec<_> = (0..200).map(|x| (f64::from(x), 40.0)).collect();
        let bounds = Frame {
            left: 0.0,
            top: 0.0,
            right: 200.0,
            bottom: 100.0,
        };
        let spot = beside_line(&flat, (40.0, 14.0), bounds, &above, &[], (0.0, 0.0)).unwrap();
        assert!(
            spot.top > 50.0 && !spot.covers,
            "goes below, where there is no other line"
        );
        let blocked = Frame {
            left: 0.0,
            top: 51.0,
            right: 200.0,
            bottom: 100.0,
        };
        let spot = beside_line(&flat, (40.0, 14.0), bounds, &[], &[blocked], (0.0, 0.0)).unwrap();
        assert!(spot.top < 50.0, "goes above, since below is taken");
    }
}
