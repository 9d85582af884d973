//! Sun and longwave on one plane through the year.

use swimdays_solar::{
    Horizon, Obstruction, Plane, PlaneIrradiance, Sky, SunPosition, TranspositionModel,
    plane_irradiance, plane_longwave_w_m2,
};

use crate::SeasonError;

/// Sun and longwave on one heater's plane during one interval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PlaneRow {
    /// Beam and circumsolar after obstructions, W/m².
    pub beam_w_m2: f64,
    /// Dome, horizon band and ground after obstructions, W/m².
    pub diffuse_w_m2: f64,
    /// Cosine of the angle of incidence.
    pub incidence_cos: f64,
    /// Longwave, W/m².
    pub longwave_w_m2: f64,
    /// Irradiance with obstructions left out, W/m².
    pub open_w_m2: f64,
}

/// One plane through the year.
#[derive(Clone, Debug, PartialEq)]
pub struct PreparedPlane {
    pub(crate) plane: Plane,
    pub(crate) obstructions: Vec<Obstruction>,
    /// In the order of the run.
    pub rows: Vec<PlaneRow>,
    /// Largest irradiance of the year after obstructions, W/m².
    pub peak_w_m2: f64,
    /// Sum of [`PlaneRow::open_w_m2`] over all rows, W/m².
    pub(crate) open_sum_w_m2: f64,
}

/// What lights every plane in one interval.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SkyRow {
    pub sun: SunPosition,
    pub sky: Sky,
    /// There is light from the sun.
    pub lit: bool,
    /// From the open sky on level ground, W/m².
    pub longwave_w_m2: f64,
    pub air_c: f64,
}

impl PreparedPlane {
    pub(crate) fn new(
        model: TranspositionModel,
        skies: &[SkyRow],
        plane: Plane,
        obstructions: &[Obstruction],
    ) -> Result<Self, SeasonError> {
        let horizon = Horizon::new(obstructions)?;
        let sky_frac = horizon.sky_frac(&plane);
        let rows: Vec<PlaneRow> = skies
            .iter()
            .map(|row| {
                let mut out = PlaneRow {
                    longwave_w_m2: plane_longwave_w_m2(
                        row.longwave_w_m2,
                        row.air_c,
                        &plane,
                        sky_frac,
                    ),
                    ..PlaneRow::default()
                };
                if row.lit {
                    let on_plane: PlaneIrradiance =
                        plane_irradiance(model, &plane, &row.sun, &row.sky);
                    let beam_frac = horizon.beam_frac(&row.sun);
                    out.beam_w_m2 = (on_plane.beam_w_m2 + on_plane.circumsolar_w_m2) * beam_frac;
                    out.diffuse_w_m2 = ((on_plane.sky_w_m2 + on_plane.horizon_w_m2) * sky_frac
                        + on_plane.ground_w_m2)
                        .max(0.0);
                    out.incidence_cos = on_plane.incidence_cos;
                    out.open_w_m2 = on_plane.total_w_m2();
                }
                out
            })
            .collect();
        let peak_w_m2 = rows
            .iter()
            .map(|r| r.beam_w_m2 + r.diffuse_w_m2)
            .fold(0.0, f64::max);
        Ok(Self {
            plane,
            obstructions: obstructions.to_vec(),
            open_sum_w_m2: rows.iter().map(|r| r.open_w_m2).sum(),
            rows,
            peak_w_m2,
        })
    }
}
