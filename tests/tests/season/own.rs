//! Surface heats by code of our own: other equations for saturation, the sources' own units, bisection.

/// CODATA 2018.
const SIGMA: f64 = 5.670_374_419e-8;
/// Water: middle of ISO/TR 12596 (0.95) and limnology (0.97), both from memory.
const WATER_EMISSIVITY: f64 = 0.96;
/// Psychrometer coefficient of WMO-No. 8, 1/K (from memory).
const PSYCHROMETER_1_K: f64 = 6.53e-4;
/// 1 mmHg = 1 torr = 101325/760 Pa within 2e-7.
const PA_PER_MMHG: f64 = 101_325.0 / 760.0;

/// Saturation pressure over liquid water, Pa: IAPWS auxiliary equation.
///
/// Source: Wagner & Pruß (2002), J. Phys. Chem. Ref. Data 31:387, equation 2.5 (from memory; checked below against the
/// triple point and the boiling point). The program uses Hyland & Wexler (1983).
pub(crate) fn saturation_pa(t_c: f64) -> f64 {
    const CRITICAL_K: f64 = 647.096;
    const CRITICAL_PA: f64 = 22.064e6;
    const TERMS: [(f64, f64); 6] = [
        (-7.859_517_83, 1.0),
        (1.844_082_59, 1.5),
        (-11.786_649_7, 3.0),
        (22.680_741_1, 3.5),
        (-15.961_871_9, 4.0),
        (1.801_225_02, 7.5),
    ];
    let t = t_c + 273.15;
    let theta: f64 = 1.0 - t / CRITICAL_K;
    let sum: f64 = TERMS.iter().map(|(a, n)| a * theta.powf(*n)).sum();
    CRITICAL_PA * (CRITICAL_K / t * sum).exp()
}

/// Latent heat, J/kg, by straight lines between IAPWS-95 values (CoolProp 8.0.0), 0.01…40 °C.
pub(crate) fn latent_j_kg(t_c: f64) -> f64 {
    const TABLE: [(f64, f64); 9] = [
        (0.01, 2500.9),
        (5.0, 2489.0),
        (10.0, 2477.2),
        (15.0, 2465.4),
        (20.0, 2453.5),
        (25.0, 2441.7),
        (30.0, 2429.8),
        (35.0, 2417.9),
        (40.0, 2406.0),
    ];
    let at = TABLE
        .windows(2)
        .find(|pair| t_c <= pair[1].0)
        .unwrap_or(&TABLE[7..]);
    let ((a, la), (b, lb)) = (at[0], at[1]);
    1e3 * (la + (lb - la) * (t_c - a) / (b - a))
}

/// Weather over the water.
#[derive(Clone, Copy)]
pub(crate) struct Air {
    pub(crate) air_c: f64,
    pub(crate) dew_c: f64,
    pub(crate) pressure_pa: f64,
    /// At the water, m/s.
    pub(crate) wind_m_s: f64,
    pub(crate) longwave_w_m2: f64,
}

/// Smith, Löf & Jones (1994), Solar Energy 53:3: `(30.6 + 32.1 v)` kJ/(m²·h·mmHg) (coefficients from memory), W/(m²·Pa).
pub(crate) fn vapour_w_m2_pa(wind_m_s: f64) -> f64 {
    (30.6 + 32.1 * wind_m_s) * 1e3 / 3600.0 / PA_PER_MMHG
}

/// Evaporation, convection, longwave into open water, W/m².
pub(crate) fn open_water(air: &Air, factor: f64, water_c: f64) -> [f64; 3] {
    let k = factor * vapour_w_m2_pa(air.wind_m_s);
    let evaporation = -k * (saturation_pa(water_c) - saturation_pa(air.dew_c));
    // Bowen (1926): q_c/q_e = γP (T_w − T_a)/(p_w − p_a).
    let convection = -k * PSYCHROMETER_1_K * air.pressure_pa * (water_c - air.air_c);
    let longwave = WATER_EMISSIVITY * (air.longwave_w_m2 - SIGMA * (water_c + 273.15).powi(4));
    [evaporation, convection, longwave]
}

/// A thin layer between water and weather.
pub(crate) struct Layer {
    pub(crate) absorbed_w_m2: f64,
    pub(crate) emissivity: f64,
    pub(crate) to_air_w_m2_k: f64,
    pub(crate) to_water_w_m2_k: f64,
}

impl Layer {
    /// Its temperature, °C, by bisection of its balance.
    pub(crate) fn temperature_c(&self, air_c: f64, longwave_w_m2: f64, water_c: f64) -> f64 {
        let gain = |t: f64| {
            self.absorbed_w_m2
                + self.emissivity * (longwave_w_m2 - SIGMA * (t + 273.15).powi(4))
                + self.to_air_w_m2_k * (air_c - t)
                + self.to_water_w_m2_k * (water_c - t)
        };
        let (mut low, mut high) = (-80.0, 200.0);
        for _ in 0..70 {
            let middle = 0.5 * (low + high);
            if gain(middle) > 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Convection and longwave that the layer takes in at `layer_c`, W/m².
    pub(crate) fn above(&self, air_c: f64, longwave_w_m2: f64, layer_c: f64) -> [f64; 2] {
        [
            self.to_air_w_m2_k * (air_c - layer_c),
            self.emissivity * (longwave_w_m2 - SIGMA * (layer_c + 273.15).powi(4)),
        ]
    }
}

/// Wet bulb, °C: `e = e_s(t_w) − 6.53e-4 P (t − t_w)`, WMO-No. 8 (from memory), by bisection.
pub(crate) fn wet_bulb_c(air: &Air) -> f64 {
    let e = saturation_pa(air.dew_c);
    let (mut low, mut high) = (-60.0, air.air_c);
    for _ in 0..60 {
        let t = 0.5 * (low + high);
        if saturation_pa(t) - PSYCHROMETER_1_K * air.pressure_pa * (air.air_c - t) > e {
            high = t;
        } else {
            low = t;
        }
    }
    0.5 * (low + high)
}

/// Triple point 611.657 Pa, boiling point 101 325 Pa at 99.974 °C (IAPWS; from memory).
#[test]
fn the_other_saturation_equation_meets_its_fixed_points() {
    assert!((saturation_pa(0.01) - 611.657).abs() < 0.01);
    assert!((saturation_pa(99.974) - 101_325.0).abs() < 5.0);
}
