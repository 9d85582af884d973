//! Whether the heater runs empty by itself, how far a slipped hose draws the pool down, and where the tube is under suction.

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_properties::water;

use crate::BuildError;
use crate::error::within;
use crate::layout::{Along, BoardLayout, Pattern};

/// Fall that drains tube by itself: 1 in 50 (plumbing asks 1 in 48, 1/4 in per ft, for small drains: International Plumbing
/// Code table 704.1, from memory); soft tube that sags between ties needs it all.
pub const DRAINING_FALL: f64 = 0.02;

/// How the board stands, for draining.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Angle from the horizontal, degrees.
    pub tilt_deg: f64,
    /// The board's length (x) is level and its width runs up the slope; otherwise the other way round.
    pub length_is_level: bool,
    /// Fall of each row towards the outlet as the tube comes down the board, m per m; 0 for rows that are level.
    pub row_fall: f64,
}

/// Whether water stays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drainage {
    /// It runs empty by itself.
    pub drains: bool,
    /// Share of the tube's water that may stay when air is let in (a rough figure).
    pub stays_frac: f64,
    /// How much higher one end of each row must be than the other to drain, m; none where that does not help.
    pub row_rise_m: Option<f64>,
    /// What to do before frost.
    pub advice: &'static str,
}

/// Whether a layout drains.
///
/// A spiral holds water in the lower half of every ring whatever its tilt. Rows that lie across the slope drain when each falls by
/// [`DRAINING_FALL`] towards the outlet, one way and then the other; rows that run up and down keep every lower turn full.
///
/// The share that stays is rough (our estimate): half of a tilted ring or of rows without fall, all of what lies flat or stands
/// in lower turns.
#[must_use]
pub fn drainage(layout: &BoardLayout, stand: &Stand) -> Drainage {
    let tilted = stand.tilt_deg.to_radians().sin().abs() >= DRAINING_FALL;
    let stays_frac = if tilted { 0.5 } else { 1.0 };
    let Pattern::Serpentine { along, .. } = layout.request.pattern else {
        return Drainage {
            drains: false,
            stays_frac,
            row_rise_m: None,
            advice: "A spiral keeps water in the lower half of each ring: blow it out at low pressure, or take the board down and \
                     pour it out.",
        };
    };
    let board = layout.request.board;
    let length = match along {
        Along::Length => board.length_m,
        Along::Width => board.width_m,
    };
    if (along == Along::Length) != stand.length_is_level {
        return Drainage {
            drains: false,
            stays_frac: 1.0,
            row_rise_m: None,
            advice: "Rows that run up and down keep water in every lower turn: blow them out, or turn the board so that the rows \
                     lie across the slope.",
        };
    }
    let drains = tilted && stand.row_fall >= DRAINING_FALL;
    Drainage {
        drains,
        stays_frac: if drains { 0.0 } else { stays_frac },
        row_rise_m: Some(DRAINING_FALL * length),
        advice: if drains {
            "Open the lower end and let air in at the top: the rows run empty."
        } else {
            "Level rows keep water: let each row fall towards the outlet as the tube comes down the board, or blow it out."
        },
    }
}

/// Heights of a loop above the pool's water line, m; below is negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// Where the return's end is.
    pub return_end_m: f64,
    /// Where the pump draws.
    pub suction_m: f64,
    /// Highest point of the loop.
    pub top_m: f64,
    /// Lowest point outside the pool where a hose could slip off; not known: as low as the pipe ends allow is taken.
    pub lowest_joint_m: Option<f64>,
}

/// What keeps the pool from running out and the top from being sucked flat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Siphon {
    /// How far the pool could fall by itself when a joint slips, m below the water line; 0 when none lies below it. A pump that
    /// runs empties it further, whatever the heights.
    pub drains_to_m: f64,
    /// The lowest joint is not known, and the depth above is the most that it may be.
    pub joint_unknown: bool,
    /// Water that would run out with this surface, m³.
    pub loses_m3: f64,
    /// A hole of 3–5 mm in the return this far below the water line lets air in, m; none when the return ends above it.
    pub hole_below_m: Option<f64>,
    /// A check valve after the pump is needed: water runs back when it stops, or turns round at night.
    pub check_valve: bool,
    /// Pressure at the top of a full loop that returns below water, pump standing, Pa above (below: negative) the air's.
    pub top_pressure_pa: f64,
    /// The top is below the air's pressure: air is drawn in at any leak and thin tube flattens.
    pub top_sucks: bool,
    /// So high that water boils off at the top when it is hot: the column breaks and the pump must lift the whole height.
    pub breaks: bool,
}

/// Depth of the anti-siphon hole below the water line, m: 50 mm, so that waves do not uncover it (common practice, no source).
pub const HOLE_DEPTH_M: f64 = 0.05;
/// Suction at which hot water (70 °C boils at 31 kPa absolute) parts at the top, Pa: IAPWS saturation, rounded; sea level.
const PARTS_AT_PA: f64 = -70_000.0;

/// The siphon of a loop.
///
/// A full loop whose ends both lie under water has `p = −ρ g h` at height h. A joint that slips below the water line empties the
/// pool to the suction's or return's end, whichever lies deeper, but not below the joint.
///
/// Source: hydrostatics.
///
/// # Errors
/// Heights beyond 50 m; a surface that is not positive.
pub fn siphon(heights: &Heights, pool_area_m2: f64) -> Result<Siphon, BuildError> {
    for (what, h) in [
        ("height of the return's end, m", heights.return_end_m),
        ("height of the suction, m", heights.suction_m),
        ("height of the loop's top, m", heights.top_m),
        (
            "height of the lowest joint, m",
            heights.lowest_joint_m.unwrap_or(0.0),
        ),
    ] {
        within(what, h, -50.0, 50.0)?;
    }
    within("water surface, m²", pool_area_m2, 0.1, 1e5)?;
    let deepest_end = heights.return_end_m.min(heights.suction_m).min(0.0);
    let joint = heights.lowest_joint_m.unwrap_or(deepest_end).min(0.0);
    let drains_to_m = 0.0 - deepest_end.max(joint);
    let under = heights.return_end_m < 0.0;
    let top_pressure_pa = if under {
        -water::density_kg_m3(25.0) * GRAVITY_M_S2 * heights.top_m
    } else {
        0.0
    };
    Ok(Siphon {
        drains_to_m,
        joint_unknown: heights.lowest_joint_m.is_none(),
        loses_m3: drains_to_m * pool_area_m2,
        hole_below_m: under.then(|| HOLE_DEPTH_M.min(-heights.return_end_m)),
        check_valve: heights.top_m > 0.0,
        top_pressure_pa,
        top_sucks: top_pressure_pa < -1.0,
        breaks: top_pressure_pa < PARTS_AT_PA,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slipped_hose_on_the_ground() {
        // Return 0.3 m and suction 0.6 m below the line, joint 1 m below it (pool above ground): falls to the suction, 0.6 m; on
        // 26.7 m² 16.0 m³. Top 2 m up: 997.05 · 9.80665 · 2 = 19 555 Pa below the air.
        let s = siphon(
            &Heights {
                return_end_m: -0.3,
                suction_m: -0.6,
                top_m: 2.0,
                lowest_joint_m: Some(-1.0),
            },
            26.7,
        )
        .expect("sound");
        assert!((s.drains_to_m - 0.6).abs() < 1e-12);
        assert!((s.loses_m3 - 16.02).abs() < 1e-9);
        assert!((s.top_pressure_pa + 19_555.0).abs() < 5.0);
        assert!(s.top_sucks && s.check_valve && !s.breaks);
        assert_eq!(s.hole_below_m, Some(HOLE_DEPTH_M));
    }

    #[test]
    fn no_joint_below_water_drains_nothing() {
        let s = siphon(
            &Heights {
                return_end_m: 0.1,
                suction_m: -0.6,
                top_m: 1.0,
                lowest_joint_m: Some(0.1),
            },
            20.0,
        )
        .expect("sound");
        // Nought and not minus nought: it is printed.
        assert!(s.drains_to_m.abs() < 1e-12 && s.drains_to_m.is_sign_positive());
        let level = Heights {
            return_end_m: -0.3,
            suction_m: -0.6,
            top_m: 1.0,
            lowest_joint_m: Some(0.0),
        };
        let level_s = siphon(&level, 20.0).expect("sound");
        assert!(level_s.drains_to_m.is_sign_positive() && !level_s.joint_unknown);
        // Not known: down to the deeper end, 0.6 m, 12 m³.
        let unknown = Heights {
            lowest_joint_m: None,
            ..level
        };
        let unknown = siphon(&unknown, 20.0).expect("sound");
        assert!(unknown.joint_unknown && (unknown.loses_m3 - 12.0).abs() < 1e-9);
        assert_eq!(s.hole_below_m, None);
        assert!(!s.top_sucks);
    }
}
