//! What stands around: house, trees, fence.

use crate::plane::Plane;
use crate::{SolarError, SunPosition};

/// Something that stands in the way, as seen from the middle of the water or heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Obstruction {
    /// Where it begins, degrees clockwise from true north, 0 to 360.
    pub from_azimuth_deg: f64,
    /// Where it ends, going clockwise from there, 0 to 360; may pass north (340 to 20).
    pub to_azimuth_deg: f64,
    /// Its top above the horizon, degrees, 0 to 90.
    pub elevation_deg: f64,
    /// Share of the light it stops: 1 a house, 0.6 to 0.9 a tree in leaf.
    pub opacity_frac: f64,
}

impl Obstruction {
    fn covers(&self, azimuth_deg: f64) -> bool {
        let width = self.width_deg();
        let along = (azimuth_deg - self.from_azimuth_deg).rem_euclid(360.0);
        along <= width
    }

    fn width_deg(&self) -> f64 {
        let width = self.to_azimuth_deg - self.from_azimuth_deg;
        if width < 0.0 { width + 360.0 } else { width }
    }

    fn check(&self, index: usize) -> Result<(), SolarError> {
        for azimuth_deg in [self.from_azimuth_deg, self.to_azimuth_deg] {
            if !(0.0..=360.0).contains(&azimuth_deg) {
                return Err(SolarError::Azimuth { index, azimuth_deg });
            }
        }
        // 360 to 0 is as empty as 10 to 10.
        if self.width_deg() <= 0.0 {
            return Err(SolarError::NoWidth {
                index,
                azimuth_deg: self.from_azimuth_deg,
            });
        }
        if !(0.0..=90.0).contains(&self.elevation_deg) {
            return Err(SolarError::Elevation {
                index,
                elevation_deg: self.elevation_deg,
            });
        }
        if !(0.0..=1.0).contains(&self.opacity_frac) {
            return Err(SolarError::Opacity {
                index,
                opacity_frac: self.opacity_frac,
            });
        }
        Ok(())
    }
}

/// Everything that stands around one plane. Where things overlap, the light passes one after the other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Horizon {
    obstructions: Vec<Obstruction>,
    /// Azimuths at which anything begins or ends, ascending, without repeats.
    edges_deg: Vec<f64>,
}

/// Widest strip of azimuth integrated at once, degrees: with three-point Gauss the error is under 1e-6 of the whole,
/// as the tests against closed forms show.
const STRIP_DEG: f64 = 5.0;

impl Horizon {
    /// Nothing stands around.
    #[must_use]
    pub fn open() -> Self {
        Self::default()
    }

    /// What stands around; the order does not matter.
    ///
    /// # Errors
    /// The first obstruction whose azimuths, elevation or opacity are out of range, or that has no width.
    pub fn new(list: &[Obstruction]) -> Result<Self, SolarError> {
        for (index, obstruction) in list.iter().enumerate() {
            obstruction.check(index)?;
        }
        let mut edges_deg: Vec<f64> = list
            .iter()
            .flat_map(|o| [o.from_azimuth_deg, o.to_azimuth_deg])
            .chain([0.0, 360.0])
            .collect();
        edges_deg.sort_by(f64::total_cmp);
        edges_deg.dedup();
        Ok(Self {
            obstructions: list.to_vec(),
            edges_deg,
        })
    }

    /// Whether nothing stands around.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.obstructions
            .iter()
            .all(|o| o.opacity_frac <= 0.0 || o.elevation_deg <= 0.0)
    }

    /// Share of the light from one direction that passes, 0 to 1.
    #[must_use]
    pub fn passing_frac(&self, azimuth_deg: f64, elevation_deg: f64) -> f64 {
        self.obstructions
            .iter()
            .filter(|o| o.elevation_deg > elevation_deg && o.covers(azimuth_deg))
            .map(|o| 1.0 - o.opacity_frac)
            .product()
    }

    /// Share of the beam, and of the light around the sun, that passes, 0 to 1.
    ///
    /// The sun counts as a point at its centre. Below the horizon the answer is that for the horizon.
    #[must_use]
    pub fn beam_frac(&self, sun: &SunPosition) -> f64 {
        self.passing_frac(sun.azimuth_deg, sun.elevation_deg().max(0.0))
    }

    /// Share of the plane's light from the even dome that still comes from open sky, 0 to 1.
    ///
    /// ```text
    /// s = ∫∫ T(γ, α) max(0, cos θ) cos α dα dγ  /  ∫∫ max(0, cos θ) cos α dα dγ,   0 ≤ α ≤ 90°
    /// ```
    ///
    /// α: elevation, γ: azimuth, θ: angle to the plane's normal, T: [`Self::passing_frac`]. Exact in elevation,
    /// three-point Gauss in azimuth over strips of at most 5°. A wall of height h all around a flat plane leaves
    /// `cos² h`. A plane that sees no sky has 1.
    ///
    /// Source: definition of the view factor (Liu & Jordan 1963 for the open sky).
    #[must_use]
    pub fn sky_frac(&self, plane: &Plane) -> f64 {
        if self.is_open() {
            return 1.0;
        }
        // Nodes and weights of three-point Gauss–Legendre on −1…1.
        let node = 0.6_f64.sqrt();
        let nodes = [(-node, 5.0 / 9.0), (0.0, 8.0 / 9.0), (node, 5.0 / 9.0)];
        let (mut passing, mut whole) = (0.0, 0.0);
        for edges in self.edges_deg.windows(2) {
            let width = edges[1] - edges[0];
            let strips = (width / STRIP_DEG).ceil().max(1.0);
            let strip = width / strips;
            let mut begin = edges[0];
            // The last strip ends at the edge but for rounding.
            while begin < edges[1] - 0.5 * strip {
                for (at, weight) in nodes {
                    let azimuth_deg = begin + 0.5 * strip * (1.0 + at);
                    let (p, w) = self.lune(plane, azimuth_deg);
                    passing += weight * strip * p;
                    whole += weight * strip * w;
                }
                begin += strip;
            }
        }
        if whole > 0.0 {
            (passing / whole).clamp(0.0, 1.0)
        } else {
            1.0
        }
    }

    /// Light from one azimuth onto the plane, with and without what stands there, per unit of azimuth.
    fn lune(&self, plane: &Plane, azimuth_deg: f64) -> (f64, f64) {
        let (sin_tilt, cos_tilt) = plane.tilt_deg.to_radians().sin_cos();
        let toward = sin_tilt * (azimuth_deg - plane.azimuth_deg).to_radians().cos();
        // The plane sees the elevations at which cos θ = sin α cos β + cos α `toward` is positive.
        let horizon_of_plane = (-toward).atan2(cos_tilt);
        let right = std::f64::consts::FRAC_PI_2;
        let (low, high) = if cos_tilt >= 0.0 {
            (horizon_of_plane.clamp(0.0, right), right)
        } else if toward > 0.0 {
            (0.0, toward.atan2(-cos_tilt))
        } else {
            (0.0, 0.0)
        };
        let light = |from: f64, to: f64| {
            let at = |a: f64| {
                let (sin, cos) = a.sin_cos();
                0.5 * cos_tilt * sin * sin + 0.5 * toward * (a + sin * cos)
            };
            if to > from { at(to) - at(from) } else { 0.0 }
        };
        let whole = light(low, high);
        // From the bottom up, one band between neighbouring tops at a time.
        let mut passing = 0.0;
        let mut bottom_deg = 0.0;
        loop {
            let frac = self.passing_frac(azimuth_deg, bottom_deg);
            let top_deg = self
                .obstructions
                .iter()
                .filter(|o| o.elevation_deg > bottom_deg && o.covers(azimuth_deg))
                .map(|o| o.elevation_deg)
                .fold(f64::INFINITY, f64::min)
                .min(90.0);
            let (from, to) = (f64::to_radians(bottom_deg), f64::to_radians(top_deg));
            passing += frac * light(from.clamp(low, high), to.clamp(low, high));
            if top_deg >= 90.0 {
                return (passing, whole);
            }
            bottom_deg = top_deg;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the quadrature in azimuth may cost.
    const QUADRATURE: f64 = 1e-6;

    fn ring(elevation_deg: f64, opacity_frac: f64) -> Obstruction {
        Obstruction {
            from_azimuth_deg: 0.0,
            to_azimuth_deg: 360.0,
            elevation_deg,
            opacity_frac,
        }
    }

    fn sun(zenith_deg: f64, azimuth_deg: f64) -> SunPosition {
        SunPosition {
            zenith_deg,
            azimuth_deg,
            earth_sun_distance_au: 1.0,
            equation_of_time_minutes: 0.0,
            declination_deg: 0.0,
        }
    }

    #[test]
    fn a_ring_leaves_the_square_of_the_cosine() {
        // View factor of a disc of sky: sin² of its half angle (closed form).
        for h in [0.0_f64, 10.0, 35.0, 60.0, 90.0] {
            let s = Horizon::new(&[ring(h, 1.0)])
                .unwrap()
                .sky_frac(&Plane::HORIZONTAL);
            assert!(
                (s - h.to_radians().cos().powi(2)).abs() < QUADRATURE,
                "{h}: {s}"
            );
            let half = Horizon::new(&[ring(h, 0.5)])
                .unwrap()
                .sky_frac(&Plane::HORIZONTAL);
            assert!((half - 0.5 - 0.5 * h.to_radians().cos().powi(2)).abs() < QUADRATURE);
        }
    }

    #[test]
    fn the_open_sky_of_a_tilted_plane_integrates_to_liu_and_jordan() {
        // A nearly clear ring forces the integration; the whole must be π (1 + cos β)/2.
        for tilt in [0.0, 20.0, 45.0, 90.0, 130.0] {
            let plane = Plane {
                tilt_deg: tilt,
                azimuth_deg: 200.0,
            };
            let horizon = Horizon::open();
            let n = 7200;
            let whole: f64 = (0..n)
                .map(|i| {
                    horizon
                        .lune(&plane, (f64::from(i) + 0.5) * 360.0 / f64::from(n))
                        .1
                })
                .sum::<f64>()
                * std::f64::consts::TAU
                / f64::from(n);
            let expected = std::f64::consts::PI * plane.sky_view_frac();
            assert!(
                (whole - expected).abs() < 1e-5,
                "{tilt}: {whole} {expected}"
            );
        }
    }

    #[test]
    fn half_the_horizon_takes_half_of_the_loss_of_a_flat_plane() {
        let wall = Obstruction {
            from_azimuth_deg: 300.0,
            to_azimuth_deg: 120.0,
            ..ring(40.0, 1.0)
        };
        let half = Horizon::new(&[wall]).unwrap().sky_frac(&Plane::HORIZONTAL);
        let full = Horizon::new(&[ring(40.0, 1.0)])
            .unwrap()
            .sky_frac(&Plane::HORIZONTAL);
        assert!((1.0 - half - 0.5 * (1.0 - full)).abs() < QUADRATURE);
    }

    #[test]
    fn a_wall_in_front_hurts_an_upright_plane_and_one_behind_does_not() {
        let plane = Plane {
            tilt_deg: 90.0,
            azimuth_deg: 180.0,
        };
        let front = Obstruction {
            from_azimuth_deg: 90.0,
            to_azimuth_deg: 270.0,
            ..ring(30.0, 1.0)
        };
        let behind = Obstruction {
            from_azimuth_deg: 270.0,
            to_azimuth_deg: 90.0,
            ..ring(30.0, 1.0)
        };
        let s = Horizon::new(&[front]).unwrap().sky_frac(&plane);
        // Closed form: ∫ cos²α from h to 90° over ∫ from 0 = 1 − (2h + sin 2h)/π.
        let h = 30.0_f64.to_radians();
        let expected = 1.0 - (2.0 * h + (2.0 * h).sin()) / std::f64::consts::PI;
        assert!((s - expected).abs() < QUADRATURE, "{s} {expected}");
        assert!((Horizon::new(&[behind]).unwrap().sky_frac(&plane) - 1.0).abs() < QUADRATURE);
    }

    #[test]
    fn stacked_things_let_light_through_one_after_the_other() {
        let horizon = Horizon::new(&[ring(20.0, 0.5), ring(50.0, 0.4)]).unwrap();
        assert!((horizon.beam_frac(&sun(80.0, 10.0)) - 0.3).abs() < 1e-12);
        assert!((horizon.beam_frac(&sun(60.0, 10.0)) - 0.6).abs() < 1e-12);
        assert!((horizon.beam_frac(&sun(30.0, 10.0)) - 1.0).abs() < 1e-12);
        let (a, b) = (
            20.0_f64.to_radians().sin().powi(2),
            50.0_f64.to_radians().sin().powi(2),
        );
        let expected = 0.3 * a + 0.6 * (b - a) + (1.0 - b);
        assert!((horizon.sky_frac(&Plane::HORIZONTAL) - expected).abs() < QUADRATURE);
    }

    #[test]
    fn an_obstruction_may_pass_north() {
        let tree = Obstruction {
            from_azimuth_deg: 340.0,
            to_azimuth_deg: 20.0,
            ..ring(30.0, 1.0)
        };
        let horizon = Horizon::new(&[tree]).unwrap();
        for (azimuth, passes) in [
            (341.0, 0.0),
            (0.0, 0.0),
            (19.0, 0.0),
            (21.0, 1.0),
            (180.0, 1.0),
        ] {
            assert!(
                (horizon.beam_frac(&sun(70.0, azimuth)) - passes).abs() < 1e-12,
                "{azimuth}"
            );
        }
    }

    #[test]
    fn wrong_ones_are_named() {
        let good = ring(30.0, 1.0);
        let cases = [
            (
                Obstruction {
                    from_azimuth_deg: -5.0,
                    ..good
                },
                "obstruction 1: azimuth -5°",
            ),
            (
                Obstruction {
                    to_azimuth_deg: f64::NAN,
                    ..good
                },
                "obstruction 1: azimuth NaN°",
            ),
            (
                Obstruction {
                    to_azimuth_deg: 0.0,
                    ..good
                },
                "obstruction 1: it begins and ends at 0°",
            ),
            (
                Obstruction {
                    elevation_deg: 91.0,
                    ..good
                },
                "obstruction 1: elevation 91°",
            ),
            (
                Obstruction {
                    opacity_frac: 1.2,
                    ..good
                },
                "obstruction 1: opacity 1.2",
            ),
        ];
        for (bad, message) in cases {
            let found = Horizon::new(&[good, bad]).unwrap_err().to_string();
            assert!(found.starts_with(message), "{found}");
        }
        assert!(Horizon::open().is_open() && Horizon::new(&[]).unwrap().is_open());
    }
}
