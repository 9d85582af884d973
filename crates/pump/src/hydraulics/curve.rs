//! What head a pump gives at which flow, and what it draws.

use swimdays_properties::constants::GRAVITY_M_S2;

use super::{FlowError, within};

/// A point of a pump's curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// m³/s.
    pub flow_m3_s: f64,
    /// Total head, m of water.
    pub head_m: f64,
}

#[derive(Clone, Debug, PartialEq)]
enum Shape {
    /// Points and the slope at each, m·s/m³.
    Points(Vec<(CurvePoint, f64)>),
    Parabola {
        shut_off_m: f64,
        free_flow_m3_s: f64,
    },
}

/// Head against flow, falling all the way.
#[derive(Clone, Debug, PartialEq)]
pub struct HeadCurve {
    shape: Shape,
    class: Option<PumpClass>,
}

/// Largest head and flow that are believed.
const HIGHEST_M: f64 = 200.0;
const MOST_M3_S: f64 = 1.0;

impl HeadCurve {
    /// Through points, the first at no flow: a cubic between neighbours that never turns.
    ///
    /// Beyond the last point the last straight is continued and [`Self::beyond`] says so.
    ///
    /// Source: Fritsch & Butland (1984), SIAM J. Sci. Stat. Comput. 5:300 (slopes); ends as in scipy's
    /// `PchipInterpolator`.
    ///
    /// # Errors
    /// Fewer than two points, none at no flow, a head that does not fall: then more than one operating point can exist.
    pub fn by_points(points: &[CurvePoint]) -> Result<Self, FlowError> {
        if points.len() < 2 {
            return Err(FlowError::TooFewPoints {
                found: points.len(),
            });
        }
        let mut points = points.to_vec();
        for p in &points {
            within("pump curve", "flow, m³/s", p.flow_m3_s, 0.0, MOST_M3_S)?;
            within("pump curve", "head, m", p.head_m, -HIGHEST_M, HIGHEST_M)?;
        }
        points.sort_by(|a, b| a.flow_m3_s.total_cmp(&b.flow_m3_s));
        if points[0].flow_m3_s > 0.0 {
            return Err(FlowError::NoShutOff {
                flow_m3_s: points[0].flow_m3_s,
            });
        }
        within(
            "pump curve",
            "shut-off head, m",
            points[0].head_m,
            0.01,
            HIGHEST_M,
        )?;
        for pair in points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if a.head_m <= b.head_m || a.flow_m3_s >= b.flow_m3_s {
                return Err(FlowError::Rising {
                    flow_m3_s: a.flow_m3_s,
                    head_m: a.head_m,
                    next_flow_m3_s: b.flow_m3_s,
                    next_head_m: b.head_m,
                });
            }
        }
        let slopes = monotone_slopes(&points);
        Ok(Self {
            shape: Shape::Points(points.into_iter().zip(slopes).collect()),
            class: None,
        })
    }

    /// `H = H₀ (1 − (Q/Q₀)²)`: from the two numbers that stand on the box.
    ///
    /// Makers' shut-off head and free flow are often flattering; a bucket tells. Beyond `Q₀` and below 0 it is continued.
    ///
    /// Source: common practice; the shape of a centrifugal pump's curve to second order.
    ///
    /// # Errors
    /// A head or flow that cannot be.
    pub fn by_shut_off_and_free_flow(
        shut_off_m: f64,
        free_flow_m3_s: f64,
    ) -> Result<Self, FlowError> {
        within("pump", "shut-off head, m", shut_off_m, 0.01, HIGHEST_M)?;
        within("pump", "free flow, m³/s", free_flow_m3_s, 1e-6, MOST_M3_S)?;
        Ok(Self {
            shape: Shape::Parabola {
                shut_off_m,
                free_flow_m3_s,
            },
            class: None,
        })
    }

    /// The same pump at another speed: `Q ~ n`, `H ~ n²`.
    ///
    /// | argument | meaning | unit | range |
    /// |---|---|---|---|
    /// | `speed_ratio` | new over rated speed | − | 0.1…2 |
    ///
    /// Source: affinity laws of centrifugal pumps.
    ///
    /// # Errors
    /// A ratio outside the range.
    pub fn at_speed(&self, speed_ratio: f64) -> Result<Self, FlowError> {
        within("pump", "speed over rated speed", speed_ratio, 0.1, 2.0)?;
        let n = speed_ratio;
        let shape = match &self.shape {
            Shape::Points(points) => Shape::Points(
                points
                    .iter()
                    .map(|(p, slope)| {
                        let moved = CurvePoint {
                            flow_m3_s: n * p.flow_m3_s,
                            head_m: n * n * p.head_m,
                        };
                        (moved, n * slope)
                    })
                    .collect(),
            ),
            Shape::Parabola {
                shut_off_m,
                free_flow_m3_s,
            } => Shape::Parabola {
                shut_off_m: n * n * shut_off_m,
                free_flow_m3_s: n * free_flow_m3_s,
            },
        };
        Ok(Self {
            shape,
            class: self.class,
        })
    }

    /// Head, m, and its slope, m·s/m³ (never above zero).
    #[must_use]
    pub fn head_m(&self, flow_m3_s: f64) -> (f64, f64) {
        let q = flow_m3_s;
        match &self.shape {
            Shape::Parabola {
                shut_off_m,
                free_flow_m3_s,
            } => {
                let x = q / free_flow_m3_s;
                (
                    shut_off_m * (1.0 - x * x.abs()),
                    -2.0 * shut_off_m * x.abs() / free_flow_m3_s,
                )
            }
            Shape::Points(points) => {
                let last = points.len() - 1;
                let straight = |i: usize| {
                    let ((a, _), (b, _)) = (points[i], points[i + 1]);
                    (b.head_m - a.head_m) / (b.flow_m3_s - a.flow_m3_s)
                };
                if q >= points[last].0.flow_m3_s {
                    let p = points[last].0;
                    let slope = straight(last - 1);
                    return (p.head_m + slope * (q - p.flow_m3_s), slope);
                }
                if q <= 0.0 {
                    let slope = straight(0);
                    return (points[0].0.head_m + slope * q, slope);
                }
                let i = points
                    .windows(2)
                    .position(|pair| q < pair[1].0.flow_m3_s)
                    .unwrap_or(last - 1);
                let ((a, ma), (b, mb)) = (points[i], points[i + 1]);
                let width = b.flow_m3_s - a.flow_m3_s;
                let t = (q - a.flow_m3_s) / width;
                let (m0, m1, rise) = (ma * width, mb * width, b.head_m - a.head_m);
                let c = 3.0 * rise - 2.0 * m0 - m1;
                let d = m0 + m1 - 2.0 * rise;
                (
                    a.head_m + t * (m0 + t * (c + t * d)),
                    (m0 + t * (2.0 * c + t * 3.0 * d)) / width,
                )
            }
        }
    }

    /// Head at no flow, m.
    #[must_use]
    pub fn shut_off_m(&self) -> f64 {
        self.head_m(0.0).0
    }

    /// Flow at no head, m³/s, or the end of the curve where it stops before.
    #[must_use]
    pub fn most_m3_s(&self) -> f64 {
        match &self.shape {
            Shape::Parabola { free_flow_m3_s, .. } => *free_flow_m3_s,
            Shape::Points(points) => points[points.len() - 1].0.flow_m3_s,
        }
    }

    /// Whether this flow lies beyond what the curve was given for.
    #[must_use]
    pub fn beyond(&self, flow_m3_s: f64) -> bool {
        flow_m3_s > self.most_m3_s() * (1.0 + 1e-9)
    }

    /// The generic class it came from; `None` for a pump that somebody described.
    #[must_use]
    pub const fn class(&self) -> Option<PumpClass> {
        self.class
    }
}

/// Slopes at the points so that the cubics between them are monotone.
fn monotone_slopes(points: &[CurvePoint]) -> Vec<f64> {
    let n = points.len();
    let width: Vec<f64> = points
        .windows(2)
        .map(|p| p[1].flow_m3_s - p[0].flow_m3_s)
        .collect();
    let chord: Vec<f64> = points
        .windows(2)
        .zip(&width)
        .map(|(p, w)| (p[1].head_m - p[0].head_m) / w)
        .collect();
    if n == 2 {
        return vec![chord[0]; 2];
    }
    // Three-point end slope, kept between 0 and three chords (all chords fall).
    let end = |w0: f64, w1: f64, c0: f64, c1: f64| {
        let slope = ((2.0 * w0 + w1) * c0 - w0 * c1) / (w0 + w1);
        slope.clamp(3.0 * c0, 0.0)
    };
    let mut slopes = vec![end(width[0], width[1], chord[0], chord[1])];
    for i in 1..n - 1 {
        let (a, b) = (2.0 * width[i] + width[i - 1], width[i] + 2.0 * width[i - 1]);
        slopes.push((a + b) / (a / chord[i - 1] + b / chord[i]));
    }
    slopes.push(end(width[n - 2], width[n - 3], chord[n - 2], chord[n - 3]));
    slopes
}

/// What a pump draws, W: most likely, and the range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watts {
    /// W.
    pub middle_w: f64,
    /// W.
    pub low_w: f64,
    /// W.
    pub high_w: f64,
}

/// How a pump's draw is known.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum PumpPower {
    /// From a plate or a meter, whatever the flow. A plate says more than most pumps draw.
    Given {
        /// W.
        watts: f64,
    },
    /// Flow and draw, straight between them, flat beyond.
    Points(Vec<(f64, f64)>),
    /// Hydraulic power over an efficiency of pump and motor together.
    Efficiency {
        /// Least, −. Small pumps: 0.1–0.2 (common practice, no source).
        low_frac: f64,
        /// Best, −. Pool pumps: up to 0.45 (common practice, no source).
        high_frac: f64,
    },
}

impl PumpPower {
    /// Draw, W, with `P_h = ρ g Q H` over the efficiency where that is what is known.
    #[must_use]
    pub fn watts(&self, flow_m3_s: f64, head_m: f64, density_kg_m3: f64) -> Watts {
        let alike = |watts: f64| Watts {
            middle_w: watts,
            low_w: watts,
            high_w: watts,
        };
        match self {
            Self::Given { watts } => alike(*watts),
            Self::Points(points) => {
                let after = points.iter().position(|p| p.0 >= flow_m3_s);
                alike(match after {
                    Some(0) => points[0].1,
                    Some(i) => {
                        let (a, b) = (points[i - 1], points[i]);
                        a.1 + (b.1 - a.1) * (flow_m3_s - a.0) / (b.0 - a.0)
                    }
                    None => points.last().map_or(0.0, |p| p.1),
                })
            }
            Self::Efficiency {
                low_frac,
                high_frac,
            } => {
                let hydraulic_w = density_kg_m3 * GRAVITY_M_S2 * flow_m3_s * head_m;
                Watts {
                    middle_w: hydraulic_w / (0.5 * (low_frac + high_frac)),
                    low_w: hydraulic_w / high_frac,
                    high_w: hydraulic_w / low_frac,
                }
            }
        }
    }

    /// At another speed: `P ~ n³` at the flow that moved with the speed. Source: affinity laws.
    ///
    /// Ideal: motor and drive losses fall more slowly; half speed draws nearer a sixth than an eighth (common practice, no source).
    #[must_use]
    pub fn at_speed(&self, speed_ratio: f64) -> Self {
        let n = speed_ratio;
        match self {
            Self::Given { watts } => Self::Given {
                watts: n.powi(3) * watts,
            },
            Self::Points(points) => {
                Self::Points(points.iter().map(|p| (n * p.0, n.powi(3) * p.1)).collect())
            }
            Self::Efficiency { .. } => self.clone(),
        }
    }

    pub(crate) fn check(&self) -> Result<(), FlowError> {
        match self {
            Self::Given { watts } => within("pump", "power, W", *watts, 0.0, 2e4),
            Self::Points(points) => {
                if points.is_empty() {
                    return Err(FlowError::Empty {
                        what: "the pump's power curve",
                    });
                }
                for (i, p) in points.iter().enumerate() {
                    let above = if i == 0 { 0.0 } else { points[i - 1].0 + 1e-12 };
                    within(
                        "pump",
                        "flow of the power curve, m³/s",
                        p.0,
                        above,
                        MOST_M3_S,
                    )?;
                    within("pump", "power, W", p.1, 0.0, 2e4)?;
                }
                Ok(())
            }
            Self::Efficiency {
                low_frac,
                high_frac,
            } => {
                within("pump", "least efficiency", *low_frac, 0.01, 0.95)?;
                within("pump", "best efficiency", *high_frac, *low_frac, 0.95)
            }
        }
    }
}

/// A class of pump with the range it covers: for a builder who has no curve yet. **Not data of any pump**: numbers to
/// try plans with, from memory with low confidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PumpClass {
    /// Small mains submersible, 1/6–1/4 hp: 6–8 m, 1200–1800 gal/h, 250–350 W.
    Submersible,
    /// Fountain pump: 2–3 m, 1500–2500 L/h, 40–80 W.
    Fountain,
    /// Single-speed pool pump near 1 hp: 17–24 m, 75–110 gal/min, 1100–2100 W.
    Filter,
}

impl PumpClass {
    /// Every class.
    pub const ALL: [Self; 3] = [Self::Submersible, Self::Fountain, Self::Filter];

    /// The name written in scenarios.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Submersible => "submersible",
            Self::Fountain => "fountain",
            Self::Filter => "filter",
        }
    }

    /// The class of that name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.name() == name)
    }

    /// Shut-off head m, free flow m³/s, power W: low and high end.
    #[must_use]
    pub const fn range(self) -> [(f64, f64); 3] {
        /// Of 231 cubic inches, m³.
        const US_GALLON_M3: f64 = 3.785_411_784e-3;
        match self {
            Self::Submersible => [
                (6.0, 8.0),
                (
                    1_200.0 * US_GALLON_M3 / 3_600.0,
                    1_800.0 * US_GALLON_M3 / 3_600.0,
                ),
                (250.0, 350.0),
            ],
            Self::Fountain => [(2.0, 3.0), (1.5 / 3_600.0, 2.5 / 3_600.0), (40.0, 80.0)],
            Self::Filter => [
                (17.0, 24.0),
                (75.0 * US_GALLON_M3 / 60.0, 110.0 * US_GALLON_M3 / 60.0),
                (1_100.0, 2_100.0),
            ],
        }
    }

    /// The parabola at a place in the range: 0 the weakest, 0.5 the middle, 1 the strongest.
    ///
    /// # Errors
    /// A place outside 0…1.
    pub fn curve(self, place_frac: f64) -> Result<HeadCurve, FlowError> {
        within("pump class", "place in the range", place_frac, 0.0, 1.0)?;
        let at = |(low, high): (f64, f64)| low + place_frac * (high - low);
        let [head, flow, _] = self.range();
        let mut curve = HeadCurve::by_shut_off_and_free_flow(at(head), at(flow))?;
        curve.class = Some(self);
        Ok(curve)
    }

    /// What such a pump draws.
    #[must_use]
    pub const fn watts(self) -> Watts {
        let [_, _, (low_w, high_w)] = self.range();
        Watts {
            middle_w: 0.5 * (low_w + high_w),
            low_w,
            high_w,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<CurvePoint> {
        list.iter()
            .map(|&(flow_m3_s, head_m)| CurvePoint { flow_m3_s, head_m })
            .collect()
    }

    #[test]
    fn a_rising_curve_is_refused() {
        let rising = points(&[(0.0, 5.0), (1e-3, 5.2), (2e-3, 3.0)]);
        assert!(matches!(
            HeadCurve::by_points(&rising),
            Err(FlowError::Rising { .. })
        ));
        let late = points(&[(1e-4, 5.0), (1e-3, 4.0)]);
        assert!(matches!(
            HeadCurve::by_points(&late),
            Err(FlowError::NoShutOff { .. })
        ));
    }

    #[test]
    fn through_its_points_and_falling_between() {
        let given = points(&[(0.0, 7.0), (2e-4, 6.8), (1e-3, 4.0), (1.2e-3, 0.5)]);
        let curve = HeadCurve::by_points(&given).expect("falls");
        for p in &given {
            assert!((curve.head_m(p.flow_m3_s).0 - p.head_m).abs() < 1e-12);
        }
        let mut last = f64::INFINITY;
        for i in -100..1_500 {
            let q = f64::from(i) * 1e-6;
            let (h, slope) = curve.head_m(q);
            assert!(h < last && slope <= 0.0, "{q}");
            last = h;
        }
        assert!(curve.beyond(1.3e-3) && !curve.beyond(1.2e-3));
    }

    #[test]
    fn affinity_laws() {
        let given = points(&[(0.0, 7.0), (2e-4, 6.8), (1e-3, 4.0), (1.2e-3, 0.5)]);
        for curve in [
            HeadCurve::by_points(&given).expect("falls"),
            HeadCurve::by_shut_off_and_free_flow(7.6, 1.577e-3).expect("a pump"),
        ] {
            for n in [0.3, 0.5, 1.0, 1.4] {
                let moved = curve.at_speed(n).expect("in range");
                for i in 0..15 {
                    let q = f64::from(i) * 1e-4;
                    let (h, slope) = curve.head_m(q);
                    let (hn, sn) = moved.head_m(n * q);
                    // Q ~ n, H ~ n²: dH/dQ ~ n.
                    assert!((hn - n * n * h).abs() < 1e-12);
                    assert!((sn - n * slope).abs() < 1e-9 * (1.0 + slope.abs()));
                }
            }
        }
        // P ~ n³: half speed an eighth of the power, a quarter of the energy for a volume.
        let half = PumpPower::Given { watts: 800.0 }.at_speed(0.5);
        assert!((half.watts(1e-3, 1.0, 1e3).middle_w - 100.0).abs() < 1e-12);
    }

    #[test]
    fn power_from_an_efficiency() {
        // By hand: 1000·9.80665·0.001·5 = 49.03 W.
        let power = PumpPower::Efficiency {
            low_frac: 0.1,
            high_frac: 0.4,
        };
        let w = power.watts(1e-3, 5.0, 1_000.0);
        assert!((w.low_w - 122.583).abs() < 1e-3);
        assert!((w.middle_w - 196.133).abs() < 1e-3);
        assert!((w.high_w - 490.333).abs() < 1e-3);
    }
}
