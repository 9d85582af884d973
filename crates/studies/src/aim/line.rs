//! How far one may go from the best position, along the tilt and along the compass.

use swimdays_season::SeasonError;

use super::Spot;
use super::score::{Objective, Position, Scorer};

/// Step along the tilt, degrees.
const TILT_STEP_DEG: f64 = 2.5;
/// Step along the compass, degrees.
const FACING_STEP_DEG: f64 = 7.5;

/// From one angle to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Beginning, degrees.
    pub from_deg: f64,
    /// End, degrees.
    pub to_deg: f64,
}

/// Angle between two directions, 0…180.
pub(super) fn apart_deg(a: f64, b: f64) -> f64 {
    let off = (a - b).rem_euclid(360.0);
    off.min(360.0 - off)
}

/// Tilts at the best facing, and directions at the best tilt, that give at least `enough`.
pub(super) fn as_good(
    scorer: &Scorer<'_>,
    best: &Spot,
    enough: f64,
    objective: Objective,
) -> Result<(Stretch, Option<Stretch>), SeasonError> {
    let at = best.position;
    let up = steps(TILT_STEP_DEG, 90.0 - at.tilt_deg);
    let down = steps(TILT_STEP_DEG, at.tilt_deg);
    let turn = steps(FACING_STEP_DEG, 180.0);
    let tilted = |by: &f64| Position {
        tilt_deg: (at.tilt_deg + by).clamp(0.0, 90.0),
        ..at
    };
    let faced = |by: &f64| Position {
        azimuth_deg: (at.azimuth_deg + by).rem_euclid(360.0),
        ..at
    };
    let back = |offs: &[f64]| -> Vec<f64> { offs.iter().map(|off| -off).collect() };
    let mut positions: Vec<Position> = up.iter().map(tilted).collect();
    positions.extend(back(&down).iter().map(tilted));
    positions.extend(turn.iter().map(faced));
    positions.extend(back(&turn).iter().map(faced));
    let values: Vec<f64> = scorer
        .spots(&positions)?
        .iter()
        .map(|spot| spot.score.worth(objective).0)
        .collect();
    let (up_values, rest) = values.split_at(up.len());
    let (down_values, rest) = rest.split_at(down.len());
    let (right_values, left_values) = rest.split_at(turn.len());
    let most = best.score.worth(objective).0;
    // Days are whole: between two positions there is nothing to interpolate.
    let smooth = objective != Objective::SwimDays;
    let reach = |offs: &[f64], values: &[f64]| reach_deg(offs, values, most, enough, smooth);
    let tilts = Stretch {
        from_deg: at.tilt_deg - reach(&down, down_values),
        to_deg: at.tilt_deg + reach(&up, up_values),
    };
    let (right, left) = (reach(&turn, right_values), reach(&turn, left_values));
    let around = right + left >= 360.0 - 1e-6;
    let facings = (!around).then(|| Stretch {
        from_deg: (at.azimuth_deg - left).rem_euclid(360.0),
        to_deg: (at.azimuth_deg + right).rem_euclid(360.0),
    });
    Ok((tilts, facings))
}

/// Distances a step apart, the last one `end`.
fn steps(step: f64, end: f64) -> Vec<f64> {
    let mut out = Vec::new();
    let mut at = step;
    while at < end - 1e-6 {
        out.push(at);
        at += step;
    }
    if end > 1e-6 {
        out.push(end);
    }
    out
}

/// How far from the best, in one direction, the values stay at `enough` or above.
fn reach_deg(offs: &[f64], values: &[f64], most: f64, enough: f64, smooth: bool) -> f64 {
    let mut last = (0.0, most);
    for (&off, &value) in offs.iter().zip(values) {
        if value < enough {
            if !smooth || last.1 <= value {
                return last.0;
            }
            return last.0 + (off - last.0) * (last.1 - enough) / (last.1 - value);
        }
        last = (off, value);
    }
    last.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_reach_ends_where_the_line_crosses() {
        // By hand: 100, 99 at 10°, 97 at 20°: 98 lies half way between the two.
        let reach = |smooth| {
            reach_deg(
                &[10.0, 20.0, 30.0],
                &[99.0, 97.0, 100.0],
                100.0,
                98.0,
                smooth,
            )
        };
        assert!((reach(true) - 15.0).abs() < 1e-12);
        assert!((reach(false) - 10.0).abs() < 1e-12);
        assert!((reach_deg(&[10.0], &[100.0], 100.0, 98.0, true) - 10.0).abs() < 1e-12);
        assert!(reach_deg(&[], &[], 100.0, 98.0, true).abs() < 1e-12);
    }

    #[test]
    fn steps_end_at_the_end() {
        assert_eq!(steps(2.5, 6.0), [2.5, 5.0, 6.0]);
        assert!(steps(2.5, 0.0).is_empty());
    }

    #[test]
    fn directions_are_apart_the_short_way() {
        assert!((apart_deg(350.0, 20.0) - 30.0).abs() < 1e-12);
        assert!((apart_deg(180.0, 0.0) - 180.0).abs() < 1e-12);
    }
}
