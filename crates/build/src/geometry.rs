//! Points, straight lines, arcs and flat spirals, in metres on the board.
//!
//! The origin is the board's lower left corner, x along its length, y across, angles counter-clockwise from x.

use std::f64::consts::PI;

/// A point, m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Along the board's length.
    pub x_m: f64,
    /// Across.
    pub y_m: f64,
}

/// A point from its two lengths.
#[must_use]
pub const fn at(x_m: f64, y_m: f64) -> Point {
    Point { x_m, y_m }
}

impl Point {
    /// Distance to another point, m.
    #[must_use]
    pub fn distance_m(self, other: Self) -> f64 {
        (self.x_m - other.x_m).hypot(self.y_m - other.y_m)
    }

    fn round(self, radius_m: f64, angle_rad: f64) -> Self {
        at(
            self.x_m + radius_m * angle_rad.cos(),
            self.y_m + radius_m * angle_rad.sin(),
        )
    }

    pub(crate) fn swapped(self) -> Self {
        at(self.y_m, self.x_m)
    }
}

/// One smooth piece of a tube's axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Straight.
    Line {
        /// Where it starts.
        from: Point,
        /// Where it ends.
        to: Point,
    },
    /// Part of a circle.
    Arc {
        /// Middle of the circle.
        centre: Point,
        /// Radius, m.
        radius_m: f64,
        /// Where it starts, rad.
        start_rad: f64,
        /// How far it goes round, counter-clockwise when positive, rad.
        sweep_rad: f64,
    },
    /// Part of an Archimedean spiral: the radius changes evenly with the angle.
    Spiral {
        /// Its middle.
        centre: Point,
        /// Radius at the start, m.
        from_radius_m: f64,
        /// Radius at the end, m.
        to_radius_m: f64,
        /// Where it starts, rad.
        start_rad: f64,
        /// How far it goes round, rad.
        sweep_rad: f64,
    },
}

/// Length of an Archimedean spiral of constant pitch between two radii, m.
///
/// `L = (a/2) [u √(1+u²) + asinh u]` between `u = r_i/a` and `u = r_o/a`, `a = p/2π`
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | p | `pitch_m`, distance between turns along a spoke | m | above 0 |
/// | r_o, r_i | the two radii of the axis | m | 0 and above |
///
/// Either radius may be the larger. Source: integral of `√(r² + (dr/dθ)²) dθ` (any calculus text; the curve is that of
/// Archimedes, *On Spirals*).
///
/// ```
/// // One turn from the centre with a = 1 m: ½ [2π √(1+4π²) + asinh 2π] = 21.2563 m.
/// let turn = 2.0 * std::f64::consts::PI;
/// assert!((swimdays_build::spiral_length_m(turn, turn, 0.0) - 21.2563).abs() < 1e-4);
/// ```
#[must_use]
pub fn spiral_length_m(pitch_m: f64, outer_radius_m: f64, inner_radius_m: f64) -> f64 {
    let a = pitch_m / (2.0 * PI);
    let part = |r: f64| {
        let u = r / a;
        0.5 * a * (u * (1.0 + u * u).sqrt() + u.asinh())
    };
    (part(outer_radius_m) - part(inner_radius_m)).abs()
}

/// Radius of curvature of an Archimedean spiral at the radius `radius_m`, m: `(r² + a²)^(3/2)/(r² + 2a²)`.
///
/// Source: curvature of a polar curve. It differs from the radius itself by less than 1 % beyond two pitches.
#[must_use]
pub fn spiral_bend_radius_m(pitch_m: f64, radius_m: f64) -> f64 {
    let a2 = (pitch_m / (2.0 * PI)).powi(2);
    let r2 = radius_m * radius_m;
    (r2 + a2).powf(1.5) / (r2 + 2.0 * a2)
}

/// Largest angle between two neighbouring points of a drawn curve, rad.
const STEP_RAD: f64 = PI / 60.0;

impl Shape {
    /// Length, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        match *self {
            Self::Line { from, to } => from.distance_m(to),
            Self::Arc {
                radius_m,
                sweep_rad,
                ..
            } => radius_m * sweep_rad.abs(),
            Self::Spiral {
                from_radius_m,
                to_radius_m,
                sweep_rad,
                ..
            } => {
                let pitch = (from_radius_m - to_radius_m).abs() / sweep_rad.abs() * 2.0 * PI;
                spiral_length_m(pitch, from_radius_m, to_radius_m)
            }
        }
    }

    /// The point at a share 0…1 of the way (of the angle, on a curve).
    #[must_use]
    pub fn point(&self, frac: f64) -> Point {
        match *self {
            Self::Line { from, to } => at(
                from.x_m + frac * (to.x_m - from.x_m),
                from.y_m + frac * (to.y_m - from.y_m),
            ),
            Self::Arc {
                centre,
                radius_m,
                start_rad,
                sweep_rad,
            } => centre.round(radius_m, start_rad + frac * sweep_rad),
            Self::Spiral {
                centre,
                from_radius_m,
                to_radius_m,
                start_rad,
                sweep_rad,
            } => centre.round(
                from_radius_m + frac * (to_radius_m - from_radius_m),
                start_rad + frac * sweep_rad,
            ),
        }
    }

    /// The point at a length from the start, m.
    #[must_use]
    pub fn point_at_m(&self, along_m: f64) -> Point {
        let whole = self.length_m();
        if whole <= 0.0 {
            return self.point(0.0);
        }
        let share = (along_m / whole).clamp(0.0, 1.0);
        let Self::Spiral {
            from_radius_m: from,
            to_radius_m: to,
            sweep_rad,
            ..
        } = *self
        else {
            return self.point(share);
        };
        // Length is close to the swept area over the pitch: start there and halve the rest away.
        let pitch = (from - to).abs() / sweep_rad.abs() * 2.0 * PI;
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if spiral_length_m(pitch, from, from + middle * (to - from)) < along_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        self.point(0.5 * (low + high))
    }

    /// Smallest radius of the axis, m; none when straight.
    #[must_use]
    pub fn bend_radius_m(&self) -> Option<f64> {
        match *self {
            Self::Line { .. } => None,
            Self::Arc { radius_m, .. } => Some(radius_m),
            Self::Spiral {
                from_radius_m,
                to_radius_m,
                sweep_rad,
                ..
            } => {
                let pitch = (from_radius_m - to_radius_m).abs() / sweep_rad.abs() * 2.0 * PI;
                Some(spiral_bend_radius_m(pitch, from_radius_m.min(to_radius_m)))
            }
        }
    }

    /// Points to draw it with, no two further apart than three degrees of a curve.
    #[must_use]
    pub fn points(&self) -> Vec<Point> {
        let sweep = match *self {
            Self::Line { .. } => 0.0,
            Self::Arc { sweep_rad, .. } | Self::Spiral { sweep_rad, .. } => sweep_rad.abs(),
        };
        let steps = crate::whole(sweep / STEP_RAD).saturating_add(1);
        (0..=steps)
            .map(|i| self.point(crate::real(i) / crate::real(steps)))
            .collect()
    }

    /// Mirrored at the diagonal: x and y change places.
    pub(crate) fn swapped(self) -> Self {
        match self {
            Self::Line { from, to } => Self::Line {
                from: from.swapped(),
                to: to.swapped(),
            },
            Self::Arc {
                centre,
                radius_m,
                start_rad,
                sweep_rad,
            } => Self::Arc {
                centre: centre.swapped(),
                radius_m,
                start_rad: PI / 2.0 - start_rad,
                sweep_rad: -sweep_rad,
            },
            Self::Spiral {
                centre,
                from_radius_m,
                to_radius_m,
                start_rad,
                sweep_rad,
            } => Self::Spiral {
                centre: centre.swapped(),
                from_radius_m,
                to_radius_m,
                start_rad: PI / 2.0 - start_rad,
                sweep_rad: -sweep_rad,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of chords of a finely cut curve come this close to its length, relative.
    const CHORDS: f64 = 1e-6;

    fn chords(shape: &Shape) -> f64 {
        let n = 20_000;
        (0..n)
            .map(|i| {
                let f = |k: usize| crate::real(k) / crate::real(n);
                shape.point(f(i)).distance_m(shape.point(f(i + 1)))
            })
            .sum()
    }

    #[test]
    fn lengths_are_those_of_their_chords() {
        let shapes = [
            Shape::Arc {
                centre: at(0.3, 0.2),
                radius_m: 0.2,
                start_rad: 1.0,
                sweep_rad: -2.5,
            },
            Shape::Spiral {
                centre: at(0.6, 0.6),
                from_radius_m: 0.6,
                to_radius_m: 0.15,
                start_rad: 0.0,
                sweep_rad: 25.0 * 2.0 * PI,
            },
        ];
        for shape in shapes {
            let (exact, by_chords) = (shape.length_m(), chords(&shape));
            // A chord of 0.45 degrees is 2.6e-6 short.
            assert!(
                (exact / by_chords - 1.0).abs() < 5.0 * CHORDS,
                "{exact} {by_chords}"
            );
            let half = shape.point_at_m(0.5 * exact);
            let back = shape.swapped().point_at_m(0.5 * exact);
            assert!(half.distance_m(back.swapped()) < 1e-9);
        }
    }

    #[test]
    fn a_spiral_bends_as_a_circle_far_from_its_middle() {
        assert!((spiral_bend_radius_m(0.02, 0.2) / 0.2 - 1.0).abs() < 1e-3);
        // By hand at r = a: 2^1.5 a/3.
        let a = 0.02 / (2.0 * PI);
        assert!((spiral_bend_radius_m(0.02, a) - 2.0_f64.powf(1.5) / 3.0 * a).abs() < 1e-12);
    }
}
