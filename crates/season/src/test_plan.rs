//! Plans for this crate's own tests: the pool of `scenarios/cover-and-board.toml`, written out in SI.

use swimdays_collector::{BOND_DEFAULT_W_M_K, BoardSpec, HeaterSpec, Layout, TubeSpec};
use swimdays_pool::{CoverKind, EvaporationModel, GroundSpec, SunOnWater};
use swimdays_properties::materials::{BoardMaterial, GroundMaterial, ShellMaterial, TubeMaterial};
use swimdays_pump::{
    Control, DifferentialControl, FlowSource, Limits, Pump, PumpKind, SensorPlace, Window,
    every_month,
};
use swimdays_solar::{Orbit, Plane, TranspositionModel};

use crate::{
    CoverPlan, HeaterPlan, Models, MonthDay, Plan, PoolPlan, Prices, PumpPlan, Ranged, Shell,
    SitePlan, SummerTime, SwimPlan,
};

fn hours(start_h: f64, end_h: f64) -> [Vec<Window>; 12] {
    every_month(&[Window { start_h, end_h }])
}

/// 24 × 12 ft, 4.5 ft deep, open all year, bubble cover, 200 ft of tube on a board, pump from 9:30 to 17:00.
pub(crate) fn cover_and_board() -> Plan {
    let (length_m, width_m, depth_m) = (7.315, 3.658, 1.372);
    Plan {
        name: "test".into(),
        site: SitePlan {
            summer_time: SummerTime::None,
            ground_albedo_frac: None,
        },
        pool: PoolPlan {
            area_m2: length_m * width_m,
            volume_m3: length_m * width_m * depth_m,
            shell: Shell::InGround {
                ground: GroundSpec {
                    shell_thickness_m: 0.15,
                    shell: ShellMaterial::Concrete,
                    insulation_m2_k_w: 0.0,
                    ground: GroundMaterial::MoistSoil,
                    depth_m: 4.0,
                },
                contact_area_m2: length_m * width_m + 2.0 * depth_m * (length_m + width_m),
            },
            wind_at_water_frac: Ranged {
                value: 0.3,
                low: 0.2,
                high: 0.4,
            },
            sun: SunOnWater {
                finish_reflectance_frac: 0.5,
                mean_depth_m: depth_m,
            },
            sun_factor: Ranged::exact(1.0),
            obstructions: Vec::new(),
            evaporation: EvaporationModel::SmithLofJones,
            activity_frac: 0.5,
            bathing_factor: 1.4,
            bathing_h_per_day: 2.0,
            splash_kg_m2_day: 1.0,
            backwash_m3_week: 0.0,
            opens: MonthDay { month: 1, day: 1 },
            closes: MonthDay { month: 12, day: 31 },
            start_c: None,
        },
        cover: Some(CoverPlan {
            off_above_c: Some(30.0),
            ..CoverPlan::usual(CoverKind::Bubble)
        }),
        heaters: vec![board("board", 61.0)],
        pump: Some(PumpPlan {
            pump: Pump {
                flow: FlowSource::Given { flow_m3_s: 2.52e-4 },
                kind: PumpKind::Own { power_w: 100.0 },
                heat_to_water_frac: 0.3,
            },
            control: Control::Timer(hours(9.5, 17.0)),
            limits: Limits {
                water_limit_c: Some(31.0),
                frost_stop_c: Some(2.0),
                night_cooling: None,
            },
            check_valve: true,
            connecting_length_m: 18.0,
            connecting_bore_m: 0.038,
            cost: None,
        }),
        other_heater: None,
        swim: SwimPlan {
            target_c: 26.0,
            too_hot_c: 32.0,
            from_h: 15.0,
            to_h: 19.0,
        },
        prices: Prices {
            currency: "$".into(),
            electricity_per_kwh: None,
            gas_per_kwh: None,
            water_per_m3: None,
        },
        models: Models {
            transposition: TranspositionModel::Perez,
            orbit: Orbit::Real,
        },
        assumptions: Vec::new(),
    }
}

/// Touching half-inch tube of this length, facing south at 35°.
pub(crate) fn board(name: &str, length_m: f64) -> HeaterPlan {
    HeaterPlan {
        name: name.into(),
        spec: HeaterSpec::Board(BoardSpec {
            tube: TubeSpec {
                material: TubeMaterial::Polyethylene,
                outer_diameter_m: 0.017_78,
                bore_m: 0.015_24,
                length_m,
                parallel_circuits: 1,
                absorptance_frac: 0.94,
                emissivity_frac: 0.92,
            },
            board_area_m2: (length_m * 0.017_78 * 1.5).max(2.97),
            layout: Layout::RoundSpiral {
                inner_diameter_m: 0.3,
                outer_diameter_m: 1.2,
            },
            pitch_m: 0.017_78,
            board: BoardMaterial::Plywood,
            board_thickness_m: 0.012_7,
            bond_conductance_w_m_k: BOND_DEFAULT_W_M_K,
            board_absorptance_frac: 0.94,
            back_insulation_m2_k_w: 0.0,
            back_exposed: true,
            lid: None,
            exposed_shape_frac: 0.5,
            tilt_deg: 35.0,
        }),
        plane: Plane {
            tilt_deg: 35.0,
            azimuth_deg: 180.0,
        },
        obstructions: Vec::new(),
        wind_frac: Ranged {
            value: 0.4,
            low: 0.2,
            high: 0.6,
        },
        performance: Ranged {
            value: 1.0,
            low: 0.85,
            high: 1.1,
        },
        side_by_side: false,
        height_above_water_m: 0.5,
        cost: None,
    }
}

/// The same with a sensor instead of a timer, at set-points that the rise holds.
pub(crate) fn sensor_plan() -> Plan {
    let mut plan = cover_and_board();
    if let Some(pump) = &mut plan.pump {
        pump.control = Control::Differential(DifferentialControl {
            on_k: 4.0,
            off_k: 0.3,
            sensor: SensorPlace::Board,
            least_run_s: 60.0,
            within: None,
        });
    }
    plan
}
