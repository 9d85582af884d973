//! Heat of one pass through the heater, from flow and rise, with what household instruments leave open.

use swimdays_properties::water;

use crate::reading::Accuracy;

/// Standard deviations to each side within which 90 % of a normal variable lie.
pub const SIGMAS_OF_90: f64 = 1.644_853_6;

/// Rise of a pass above which water is kept too long in the tube, K: 3 to 5 °F (2 to 3 K) are usual at rated flow and twice that is
/// borne (common practice, no source).
pub const HIGH_RISE_K: f64 = 6.0;

/// A power with the ends within which it lies nine times out of ten.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    /// Best value, W; negative: the water was cooled.
    pub value_w: f64,
    /// Lower end of 90 %, W.
    pub low_w: f64,
    /// Upper end of 90 %, W.
    pub high_w: f64,
}

/// Water that went through the heater, as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Flow, m³/s.
    pub flow_m3_s: f64,
    /// Standard deviation of the flow, share.
    pub flow_sd_frac: f64,
    /// Into the heater, °C.
    pub inlet_c: f64,
    /// Out of it, °C.
    pub outlet_c: f64,
    /// One thermometer read both.
    pub one_thermometer: bool,
}

impl Pass {
    /// Warmer by, K.
    #[must_use]
    pub fn rise_k(&self) -> f64 {
        self.outlet_c - self.inlet_c
    }

    /// Heat that the water takes along: `V̇ ρ c_p (outlet − inlet)`, W.
    ///
    /// | symbol | argument | unit | range |
    /// |---|---|---|---|
    /// | V̇ | `flow_m3_s` | m³/s | ≥ 0 |
    /// | ρ, c_p | at the mean of inlet and outlet | kg/m³, J/(kg K) | 0…100 °C |
    ///
    /// The range holds 90 %: errors of flow and rise, taken as independent and normal, added in squares
    /// (JCGM 100:2008, equation 10, from memory).
    ///
    /// ```
    /// use swimdays_check::spot::Pass;
    /// use swimdays_check::Accuracy;
    /// // 500 × gpm × °F (common practice, no source): 2 gpm warmed by 5 °F are 5000 Btu/h, 1465 W.
    /// let pass = Pass { flow_m3_s: 2.0 * 6.309e-5, flow_sd_frac: 0.1, inlet_c: 21.11, outlet_c: 23.89, one_thermometer: true };
    /// let heat = pass.heat(&Accuracy::default());
    /// assert!((heat.value_w / 1465.0 - 1.0).abs() < 0.01);
    /// ```
    #[must_use]
    pub fn heat(&self, accuracy: &Accuracy) -> Heat {
        let mean_c = f64::midpoint(self.inlet_c, self.outlet_c);
        let carries_w_k =
            self.flow_m3_s * water::density_kg_m3(mean_c) * water::specific_heat_j_kg_k(mean_c);
        let value_w = carries_w_k * self.rise_k();
        let flow_w = value_w * self.flow_sd_frac;
        let rise_w = carries_w_k * rise_sd_k(self.one_thermometer, accuracy);
        let half_w = SIGMAS_OF_90 * flow_w.hypot(rise_w);
        Heat {
            value_w,
            low_w: value_w - half_w,
            high_w: value_w + half_w,
        }
    }
}

/// Standard deviation of a rise, K: two readings, and with two thermometers the offsets of both.
///
/// With one thermometer its offset falls out of the difference.
#[must_use]
pub fn rise_sd_k(one_thermometer: bool, accuracy: &Accuracy) -> f64 {
    let readings = std::f64::consts::SQRT_2 * accuracy.reading_sd_k;
    if one_thermometer {
        readings
    } else {
        readings.hypot(std::f64::consts::SQRT_2 * accuracy.offset_sd_k)
    }
}

/// Standard deviation of one measured flow, share: the timing and the bucket's mark.
#[must_use]
pub fn flow_sd_frac(accuracy: &Accuracy) -> f64 {
    accuracy.flow_sd_frac.hypot(accuracy.bucket_sd_frac)
}

#[cfg(test)]
mod tests {
    use super::*;

    const GPM: f64 = 3.785_411_784e-3 / 60.0;
    /// The rule rounds 8.33 lb/gal × 60 × 1 Btu/lb °F = 499.8 and forgets that warm water is lighter: 1 % at 35 °C.
    const RULE_WITHIN: f64 = 0.012;

    /// Btu/h = 500 × gpm × °F: common practice, no source. 1 Btu/h = 0.293 07 W.
    #[test]
    fn the_rule_of_thumb_comes_out_over_pools_and_flows() {
        for gpm in [0.5, 2.0, 4.0, 10.0, 40.0] {
            for inlet_f in [45.0, 60.0, 70.0, 85.0, 95.0] {
                for rise_f in [-2.0, 0.5, 5.0, 20.0] {
                    let celsius = |f: f64| (f - 32.0) / 1.8;
                    let pass = Pass {
                        flow_m3_s: gpm * GPM,
                        flow_sd_frac: 0.0,
                        inlet_c: celsius(inlet_f),
                        outlet_c: celsius(inlet_f + rise_f),
                        one_thermometer: true,
                    };
                    let rule_w = 500.0 * gpm * rise_f * 0.293_07;
                    let found = pass.heat(&Accuracy::default()).value_w;
                    assert!(
                        (found / rule_w - 1.0).abs() < RULE_WITHIN,
                        "{gpm} {inlet_f} {rise_f}: {found} {rule_w}"
                    );
                }
            }
        }
    }

    /// By hand: two thermometers of ±0.3 K differ by 0.42 K (one sigma), with two readings of 0.15 K by 0.47 K, 24 % of 2 K; one
    /// thermometer leaves 0.21 K, 11 %. With a flow of 10 % the sigma is 26 % or 15 %, 90 % are 1.645 of that.
    #[test]
    fn two_thermometers_leave_twice_the_doubt_of_one() {
        let pass = |one_thermometer| Pass {
            flow_m3_s: 2.0 * GPM,
            flow_sd_frac: 0.1,
            inlet_c: 24.0,
            outlet_c: 26.0,
            one_thermometer,
        };
        let half = |one| {
            let heat = pass(one).heat(&Accuracy::HOUSEHOLD);
            (heat.high_w - heat.low_w) / (2.0 * heat.value_w)
        };
        assert!(
            (half(false) - 1.645 * 0.257).abs() < 0.003,
            "{}",
            half(false)
        );
        assert!((half(true) - 1.645 * 0.146).abs() < 0.003, "{}", half(true));
    }
}
