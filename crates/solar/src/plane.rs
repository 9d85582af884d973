//! Sun on a plane of any tilt.

use crate::SunPosition;

/// A plane by its tilt from the horizontal and the compass direction it faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Angle from the horizontal, degrees: 0 lies flat and looks up, 90 stands upright, 180 looks down.
    pub tilt_deg: f64,
    /// Direction the plane faces, degrees clockwise from true north. Of no effect on a flat plane.
    pub azimuth_deg: f64,
}

impl Plane {
    /// Flat, looking up.
    pub const HORIZONTAL: Self = Self {
        tilt_deg: 0.0,
        azimuth_deg: 180.0,
    };

    /// Cosine of the angle between the beam and the plane's normal; negative when the sun is behind the plane.
    ///
    /// `cos θ = cos θz cos β + sin θz sin β cos(γs − γ)`
    ///
    /// Source: Duffie & Beckman (2013), equation 1.6.3.
    #[must_use]
    pub fn incidence_cos(&self, sun: &SunPosition) -> f64 {
        let (sin_zenith, cos_zenith) = sun.zenith_deg.to_radians().sin_cos();
        let (sin_tilt, cos_tilt) = self.tilt_deg.to_radians().sin_cos();
        let across = (sun.azimuth_deg - self.azimuth_deg).to_radians().cos();
        cos_zenith * cos_tilt + sin_zenith * sin_tilt * across
    }

    /// Share of the hemisphere above the plane that is sky when nothing stands around: `(1 + cos β)/2`.
    ///
    /// Source: Liu & Jordan (1963), Solar Energy 7:53.
    #[must_use]
    pub fn sky_view_frac(&self) -> f64 {
        0.5 * (1.0 + self.tilt_deg.to_radians().cos())
    }
}

/// How diffuse light is spread over the sky.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum TranspositionModel {
    /// Perez and others (1990): dome, circumsolar part and horizon band, by the clearness and brightness of the sky.
    #[default]
    Perez,
    /// Hay, Davies, Klucher, Reindl (1990): dome, circumsolar part and a brighter horizon.
    Hdkr,
    /// Hay & Davies (1980): dome and circumsolar part.
    HayDavies,
    /// Liu & Jordan (1963): the dome alone.
    Isotropic,
}

impl TranspositionModel {
    /// All of them, the default first.
    pub const ALL: [Self; 4] = [Self::Perez, Self::Hdkr, Self::HayDavies, Self::Isotropic];

    /// The name by which it is chosen.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Perez => "perez",
            Self::Hdkr => "hdkr",
            Self::HayDavies => "hay-davies",
            Self::Isotropic => "isotropic",
        }
    }

    /// The model of that name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|model| model.name() == name)
    }
}

/// The light of one moment, as a weather file and the sun's distance give it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sky {
    /// Global horizontal irradiance, W/m².
    pub ghi_w_m2: f64,
    /// Direct normal irradiance, W/m².
    pub dni_w_m2: f64,
    /// Diffuse horizontal irradiance, W/m².
    pub dhi_w_m2: f64,
    /// Irradiance outside the atmosphere facing the sun, W/m².
    pub extraterrestrial_normal_w_m2: f64,
    /// Relative optical air mass.
    pub air_mass: f64,
    /// Reflectance of the ground in front of the plane.
    pub albedo_frac: f64,
}

/// Light on the plane by where it comes from; what stands in the way is left out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PlaneIrradiance {
    /// Straight from the sun, W/m².
    pub beam_w_m2: f64,
    /// From around the sun, W/m²: comes from the sun's direction, shaded and reflected like the beam.
    pub circumsolar_w_m2: f64,
    /// From the even dome of the sky, W/m².
    pub sky_w_m2: f64,
    /// From the band along the horizon, W/m²; negative when the horizon is darker than the dome.
    pub horizon_w_m2: f64,
    /// Reflected by the ground, W/m².
    pub ground_w_m2: f64,
    /// Cosine of the angle of incidence of the beam; 0 when the sun is behind the plane or below the horizon.
    pub incidence_cos: f64,
}

impl PlaneIrradiance {
    /// All of it, W/m².
    #[must_use]
    pub fn total_w_m2(&self) -> f64 {
        self.beam_w_m2 + self.diffuse_w_m2()
    }

    /// All but the beam, W/m².
    #[must_use]
    pub fn diffuse_w_m2(&self) -> f64 {
        self.circumsolar_w_m2 + self.sky_w_m2 + self.horizon_w_m2 + self.ground_w_m2
    }
}

/// Cosine of 89°, rounded: the least cosine of the zenith by which the beam ratio of Hay–Davies and HDKR divides. Near the
/// horizon the ratio grows without bound while the hour's mean does not. Common practice, no source; digits as in pvlib.
const LEAST_COS_ZENITH_BEAM_RATIO: f64 = 0.017_45;

/// Light on a plane, W/m², by parts, obstructions left out.
///
/// ```text
/// beam    DNI max(0, cos θ)
/// ground  GHI ρ (1 − cos β)/2
/// sky     Liu & Jordan   DHI (1 + cos β)/2
///         Hay & Davies   DHI [A Rb + (1 − A)(1 + cos β)/2],          A = DNI/I0n, Rb = cos θ/cos θz
///         HDKR           DHI [A Rb + (1 − A)(1 + cos β)/2 (1 + f sin³(β/2))],  f = sqrt(DNI cos θz/GHI)
///         Perez          DHI [(1 − F1)(1 + cos β)/2 + F1 a/b + F2 sin β]
/// ```
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | θz, θ | `sun`, `plane` | degree | any |
/// | β | `plane.tilt_deg` | degree | 0–180 |
/// | GHI, DNI, DHI | `sky` | W/m² | ≥ 0 |
/// | I0n | `sky.extraterrestrial_normal_w_m2` | W/m² | > 0 |
/// | ρ | `sky.albedo_frac` | 1 | 0–1 |
///
/// With the sun's centre at or below the horizon there is no beam and the diffuse light is taken as an even dome.
/// DNI above I0n (a faulty file) counts as A = 1. Where Perez' darker horizon would make the whole sky negative,
/// it is 0.
///
/// Source: Liu & Jordan (1963), Solar Energy 7:53; Hay & Davies (1980), First Canadian Solar Radiation Data
/// Workshop, 59; Reindl, Beckman, Duffie (1990), Solar Energy 45:9; Perez, Ineichen, Seals, Michalsky, Stewart (1990),
/// Solar Energy 44:271, equation 9 and tables 1 and 6; Duffie & Beckman (2013), sections 2.14 to 2.16.
///
/// Differs: `Rb` is bounded by the sun at 89°, as Perez' own `b` is at 85°.
#[must_use]
pub fn plane_irradiance(
    model: TranspositionModel,
    plane: &Plane,
    sun: &SunPosition,
    sky: &Sky,
) -> PlaneIrradiance {
    let cos_zenith = sun.cos_zenith();
    let view = plane.sky_view_frac();
    let mut parts = PlaneIrradiance {
        sky_w_m2: sky.dhi_w_m2 * view,
        ground_w_m2: sky.ghi_w_m2 * sky.albedo_frac * (1.0 - view),
        ..PlaneIrradiance::default()
    };
    if cos_zenith <= 0.0 {
        return parts;
    }
    let incidence_cos = plane.incidence_cos(sun).max(0.0);
    parts.incidence_cos = incidence_cos;
    parts.beam_w_m2 = sky.dni_w_m2 * incidence_cos;
    match model {
        TranspositionModel::Isotropic => {}
        TranspositionModel::HayDavies | TranspositionModel::Hdkr => {
            let anisotropy = (sky.dni_w_m2 / sky.extraterrestrial_normal_w_m2).min(1.0);
            let ratio = incidence_cos / cos_zenith.max(LEAST_COS_ZENITH_BEAM_RATIO);
            parts.circumsolar_w_m2 = sky.dhi_w_m2 * anisotropy * ratio;
            parts.sky_w_m2 *= 1.0 - anisotropy;
            if model == TranspositionModel::Hdkr && sky.ghi_w_m2 > 0.0 {
                let beam_share = (sky.dni_w_m2 * cos_zenith / sky.ghi_w_m2).sqrt();
                let half_tilt = (0.5 * plane.tilt_deg).to_radians().sin();
                parts.horizon_w_m2 = parts.sky_w_m2 * beam_share * half_tilt.powi(3);
            }
        }
        TranspositionModel::Perez => perez(plane, sun, sky, cos_zenith, &mut parts),
    }
    parts
}

/// Upper limits of the clearness bins 1 to 7. Source: Perez and others (1990), table 1.
const PEREZ_BIN_ENDS: [f64; 7] = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];

/// F11 F12 F13 F21 F22 F23 by clearness bin. Source: Perez and others (1990), table 6.
const PEREZ_COEFFICIENTS: [[f64; 6]; 8] = [
    [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
    [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
    [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
    [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
    [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
    [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
    [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
    [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
];

/// Cosine of 85°. Source: Perez and others (1990), equation 9, `b = max(cos 85°, cos θz)`.
const PEREZ_LEAST_COS_ZENITH: f64 = 0.087_155_742_747_658_17;

/// Factor of θz³ (radians) in the sky's clearness. Source: Perez and others (1990), equation 1.
const PEREZ_KAPPA: f64 = 1.041;

fn perez(
    plane: &Plane,
    sun: &SunPosition,
    sky: &Sky,
    cos_zenith: f64,
    parts: &mut PlaneIrradiance,
) {
    if sky.dhi_w_m2 <= 0.0 {
        return;
    }
    let zenith_rad = sun.zenith_deg.to_radians();
    let cube = PEREZ_KAPPA * zenith_rad.powi(3);
    let clearness = ((sky.dhi_w_m2 + sky.dni_w_m2) / sky.dhi_w_m2 + cube) / (1.0 + cube);
    let brightness = sky.dhi_w_m2 * sky.air_mass / sky.extraterrestrial_normal_w_m2;
    let bin = PEREZ_BIN_ENDS
        .iter()
        .filter(|&&end| clearness >= end)
        .count();
    let [f11, f12, f13, f21, f22, f23] = PEREZ_COEFFICIENTS[bin];
    let f1 = (f11 + f12 * brightness + f13 * zenith_rad).max(0.0);
    let f2 = f21 + f22 * brightness + f23 * zenith_rad;

    let dome = parts.sky_w_m2 * (1.0 - f1);
    let circumsolar =
        sky.dhi_w_m2 * f1 * parts.incidence_cos / cos_zenith.max(PEREZ_LEAST_COS_ZENITH);
    let horizon = sky.dhi_w_m2 * f2 * plane.tilt_deg.to_radians().sin();
    if dome + circumsolar + horizon > 0.0 {
        parts.sky_w_m2 = dome;
        parts.circumsolar_w_m2 = circumsolar;
        parts.horizon_w_m2 = horizon;
    } else {
        parts.sky_w_m2 = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of one evaluation at about 1000 W/m².
    const ROUNDING_W_M2: f64 = 1e-9;

    fn sun(zenith_deg: f64, azimuth_deg: f64) -> SunPosition {
        SunPosition {
            zenith_deg,
            azimuth_deg,
            earth_sun_distance_au: 1.0,
            equation_of_time_minutes: 0.0,
            declination_deg: 0.0,
        }
    }

    fn sky(dni_w_m2: f64, dhi_w_m2: f64, zenith_deg: f64) -> Sky {
        Sky {
            ghi_w_m2: dhi_w_m2 + dni_w_m2 * zenith_deg.to_radians().cos().max(0.0),
            dni_w_m2,
            dhi_w_m2,
            extraterrestrial_normal_w_m2: 1360.0,
            air_mass: crate::relative_air_mass(zenith_deg),
            albedo_frac: 0.2,
        }
    }

    #[test]
    fn a_flat_plane_receives_the_global_irradiance() {
        // Up to 85°, where the bound of Perez begins to act.
        for zenith in [5.0, 30.0, 60.0, 84.0] {
            let sky = sky(500.0, 150.0, zenith);
            for model in TranspositionModel::ALL {
                let on = plane_irradiance(model, &Plane::HORIZONTAL, &sun(zenith, 130.0), &sky);
                assert!(
                    (on.total_w_m2() - sky.ghi_w_m2).abs() < ROUNDING_W_M2,
                    "{model:?}"
                );
            }
        }
    }

    #[test]
    fn east_and_west_are_mirrored_about_noon() {
        let sky = sky(600.0, 120.0, 50.0);
        for model in TranspositionModel::ALL {
            let east = Plane {
                tilt_deg: 40.0,
                azimuth_deg: 90.0,
            };
            let west = Plane {
                tilt_deg: 40.0,
                azimuth_deg: 270.0,
            };
            let a = plane_irradiance(model, &east, &sun(50.0, 120.0), &sky).total_w_m2();
            let b = plane_irradiance(model, &west, &sun(50.0, 240.0), &sky).total_w_m2();
            assert!((a - b).abs() < ROUNDING_W_M2);
        }
    }

    #[test]
    fn below_the_horizon_there_is_only_the_dome_and_the_ground() {
        let sky = Sky {
            ghi_w_m2: 5.0,
            ..sky(0.0, 5.0, 91.0)
        };
        let plane = Plane {
            tilt_deg: 30.0,
            azimuth_deg: 180.0,
        };
        for model in TranspositionModel::ALL {
            let on = plane_irradiance(model, &plane, &sun(91.0, 180.0), &sky);
            assert!(
                on.beam_w_m2.abs() < ROUNDING_W_M2 && on.circumsolar_w_m2.abs() < ROUNDING_W_M2
            );
            assert!((on.sky_w_m2 - 5.0 * plane.sky_view_frac()).abs() < ROUNDING_W_M2);
        }
    }

    #[test]
    fn nothing_shines_at_night_and_no_part_is_nan() {
        let dark = Sky {
            ghi_w_m2: 0.0,
            dni_w_m2: 0.0,
            dhi_w_m2: 0.0,
            ..sky(0.0, 0.0, 40.0)
        };
        let plane = Plane {
            tilt_deg: 60.0,
            azimuth_deg: 10.0,
        };
        for zenith in [0.0, 40.0, 89.9, 90.0, 120.0] {
            for model in TranspositionModel::ALL {
                let on = plane_irradiance(model, &plane, &sun(zenith, 180.0), &dark);
                assert!(on.total_w_m2().abs() < ROUNDING_W_M2, "{on:?}");
            }
        }
    }

    #[test]
    fn names_go_there_and_back() {
        for model in TranspositionModel::ALL {
            assert_eq!(TranspositionModel::by_name(model.name()), Some(model));
        }
        assert_eq!(TranspositionModel::by_name("Perez?"), None);
    }
}
