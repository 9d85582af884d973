//! Flow, electricity, heat.

use crate::control::Window;
use crate::{PumpError, within};

/// Largest flow that is believed, m³/s (a hundred litres a second).
const LARGEST_FLOW_M3_S: f64 = 0.1;

/// How the flow through the heaters is known.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum FlowSource {
    /// Said outright.
    Given {
        /// m³/s.
        flow_m3_s: f64,
    },
    /// Measured with bucket and watch, at the height of the return.
    Bucket {
        /// What the bucket holds, m³.
        volume_m3: f64,
        /// How long it took to fill, s.
        seconds: f64,
    },
}

impl FlowSource {
    /// Flow, m³/s.
    #[must_use]
    pub fn flow_m3_s(&self) -> f64 {
        match *self {
            Self::Given { flow_m3_s } => flow_m3_s,
            Self::Bucket { volume_m3, seconds } => volume_m3 / seconds,
        }
    }
}

/// Which pump pushes the water.
#[derive(Clone, Debug, PartialEq)]
#[allow(
    clippy::large_enum_variant,
    reason = "a plan holds one pump; a box would be in every reader's way"
)]
pub enum PumpKind {
    /// A pump of its own, for the heaters alone.
    Own {
        /// What it draws, W.
        power_w: f64,
    },
    /// A tee off the filter pump.
    Filter {
        /// What the filter pump draws, W: counted in hours in which it runs for the heaters alone.
        power_w: f64,
        /// What heating adds to that while it runs anyway, W.
        extra_power_w: f64,
        /// Hours it runs anyway, by month (wall clock).
        hours: [Vec<Window>; 12],
    },
}

/// Flow, power and what the pump does anyway.
///
/// Electricity near water kills: residual-current device, bonding, a licensed electrician; local codes decide.
#[derive(Clone, Debug, PartialEq)]
pub struct Pump {
    /// How the flow is known.
    pub flow: FlowSource,
    /// Which pump it is.
    pub kind: PumpKind,
    /// Share of the electricity that ends as heat in the water. All the hydraulic power does, and in a submersible
    /// pump the motor's loss as well: 0.3–1.0 (common practice, no source).
    pub heat_to_water_frac: f64,
}

impl Pump {
    /// Checks the values.
    ///
    /// # Errors
    /// A flow, power or share that cannot be.
    pub fn check(&self) -> Result<(), PumpError> {
        if let FlowSource::Bucket { volume_m3, seconds } = self.flow {
            within("bucket, m³", volume_m3, 1e-4, 10.0)?;
            within("time to fill the bucket, s", seconds, 0.1, 86_400.0)?;
        }
        within("flow, m³/s", self.flow_m3_s(), 1e-7, LARGEST_FLOW_M3_S)?;
        within(
            "share of the electricity that heats the water",
            self.heat_to_water_frac,
            0.0,
            1.0,
        )?;
        match &self.kind {
            PumpKind::Own { power_w } => within("pump power, W", *power_w, 0.0, 2e4),
            PumpKind::Filter {
                power_w,
                extra_power_w,
                hours,
            } => {
                within("filter pump power, W", *power_w, 0.0, 2e4)?;
                within("power that heating adds, W", *extra_power_w, 0.0, 2e4)?;
                hours.iter().flatten().try_for_each(Window::check)
            }
        }
    }

    /// Flow through the heaters, m³/s.
    #[must_use]
    pub fn flow_m3_s(&self) -> f64 {
        self.flow.flow_m3_s()
    }

    /// What the pump draws when it runs for the heaters alone, W.
    #[must_use]
    pub fn power_w(&self) -> f64 {
        match self.kind {
            PumpKind::Own { power_w } | PumpKind::Filter { power_w, .. } => power_w,
        }
    }

    /// Electricity that heating adds, W: the whole pump, or only the extra while the filter runs anyway.
    #[must_use]
    pub fn heating_power_w(&self, filter_running: bool) -> f64 {
        match self.kind {
            PumpKind::Filter { extra_power_w, .. } if filter_running => extra_power_w,
            _ => self.power_w(),
        }
    }

    /// Heat to the water that heating adds, W.
    #[must_use]
    pub fn heating_heat_to_water_w(&self, filter_running: bool) -> f64 {
        self.heat_to_water_frac * self.heating_power_w(filter_running)
    }

    /// Electricity that the filter draws whether the heaters run or not, W.
    #[must_use]
    pub fn filter_power_w(&self) -> f64 {
        match self.kind {
            PumpKind::Own { .. } => 0.0,
            PumpKind::Filter { power_w, .. } => power_w,
        }
    }

    /// Heat to the water from the filter's own hours, W.
    #[must_use]
    pub fn filter_heat_to_water_w(&self) -> f64 {
        self.heat_to_water_frac * self.filter_power_w()
    }

    /// Hours in which the filter runs anyway, by month; none for a pump of its own.
    #[must_use]
    pub fn filter_windows(&self) -> [Vec<Window>; 12] {
        match &self.kind {
            PumpKind::Own { .. } => Default::default(),
            PumpKind::Filter { hours, .. } => hours.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_the_filter_runs_anyway_only_the_added_energy_counts() {
        let pump = Pump {
            flow: FlowSource::Bucket {
                volume_m3: 0.019,
                seconds: 76.0,
            },
            kind: PumpKind::Filter {
                power_w: 1_100.0,
                extra_power_w: 60.0,
                hours: Default::default(),
            },
            heat_to_water_frac: 0.5,
        };
        pump.check().expect("a usual pump");
        // 19 L in 76 s, by hand.
        assert!((pump.flow_m3_s() - 0.000_25).abs() < 1e-12);
        assert!((pump.heating_power_w(true) - 60.0).abs() < 1e-12);
        assert!((pump.heating_power_w(false) - 1_100.0).abs() < 1e-12);
        assert!((pump.filter_heat_to_water_w() - 550.0).abs() < 1e-12);
        assert!((pump.heating_heat_to_water_w(true) - 30.0).abs() < 1e-12);
    }

    #[test]
    fn a_pump_without_flow_is_refused() {
        let pump = Pump {
            flow: FlowSource::Given { flow_m3_s: 0.0 },
            kind: PumpKind::Own { power_w: 60.0 },
            heat_to_water_frac: 0.3,
        };
        assert!(matches!(pump.check(), Err(PumpError::OutOfRange { .. })));
    }
}
