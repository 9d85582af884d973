//! What is wrong or doubtful with an operating point, with the number that raised it.

use super::friction::FrictionLimit;

/// What to tell the builder.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Warning {
    /// A valve that shuts everything: the pump runs against it, heats its own water and may burst something.
    DeadHeaded {
        /// The shut piece.
        piece: String,
    },
    /// The head does not reach the height that no siphon gives back.
    CannotLift {
        /// Shut-off head, m.
        shut_off_m: f64,
        /// Height of the open end or vent above the pool's surface, m.
        lift_m: f64,
    },
    /// The empty loop cannot be filled over its high point: it must be filled by hand, or never runs.
    CannotStart {
        /// Height of the highest point above the pool's surface, m.
        high_point_m: f64,
        /// Head at the heater's inlet while it stands still, m above the pool's surface.
        available_m: f64,
    },
    /// Filling works, but so slowly that air stays in the way down and the siphon may not form.
    AirStays {
        /// Piece with the slowest water on the way down.
        piece: String,
        /// There, while filling, m/s.
        velocity_m_s: f64,
        /// Speed that carries air along, m/s.
        needed_m_s: f64,
    },
    /// The siphon is lost at a vent or an end above the water: the pump lifts to that height all the time.
    SiphonLost {
        /// Piece whose outlet is open.
        piece: String,
        /// Height above the pool's surface, m.
        height_m: f64,
    },
    /// Behind a vent the water cannot run off by its weight as fast as it comes: it spills.
    VentSpills {
        /// Piece whose outlet is open.
        piece: String,
        /// Its height above the pool's surface, m.
        height_m: f64,
        /// Height that the pipes behind it need at this flow, m.
        needed_m: f64,
    },
    /// Less than air pressure inside: air is drawn in at a leak, a soft tube flattens.
    BelowAtmospheric {
        /// Piece.
        piece: String,
        /// Height of the place above the pool's surface, m.
        height_m: f64,
        /// Gauge pressure there, Pa (negative).
        gauge_pa: f64,
    },
    /// So near to boiling that the column breaks: the siphon does not hold.
    ColumnBreaks {
        /// Piece.
        piece: String,
        /// Absolute pressure there, Pa.
        absolute_pa: f64,
        /// Pressure needed, Pa: the vapour's and a margin for dissolved air.
        needed_pa: f64,
    },
    /// The pump's inlet is so far below air pressure that the pump cavitates.
    PumpCavitates {
        /// Absolute pressure at its inlet, Pa.
        absolute_pa: f64,
        /// Pressure needed, Pa.
        needed_pa: f64,
    },
    /// The pump stands above the water and cannot fill its own suction: it runs dry.
    RunsDry {
        /// Height of its suction's highest point above the pool's surface, m.
        height_m: f64,
    },
    /// Nothing flows in this piece though the pump runs.
    StandsStill {
        /// Piece.
        piece: String,
    },
    /// The water goes against the order of the pieces.
    Backwards {
        /// Piece.
        piece: String,
        /// m³/s, negative.
        flow_m3_s: f64,
    },
    /// A branch side by side with others that once filled may never be: the pressure there does not reach its high point.
    BranchKeepsAir {
        /// First piece of the branch.
        piece: String,
        /// Height of its high point above the pool's surface, m.
        high_point_m: f64,
        /// Head where it begins, m above the pool's surface.
        available_m: f64,
    },
    /// A friction or coil formula is used outside its range.
    FrictionOutside {
        /// Piece.
        piece: String,
        /// Which range.
        limit: FrictionLimit,
    },
    /// A fitting is used outside the range of its source.
    FittingOutside {
        /// Piece.
        piece: String,
    },
    /// Neither laminar nor turbulent: the drop may be off by tens of per cent.
    Transition {
        /// Piece.
        piece: String,
        /// Its Reynolds number.
        reynolds: f64,
    },
    /// The flow lies beyond the pump's curve.
    BeyondCurve {
        /// m³/s.
        flow_m3_s: f64,
        /// End of the curve, m³/s.
        most_m3_s: f64,
    },
    /// A generic class stands in for the pump's own curve.
    GenericPump {
        /// Name of the class.
        class: &'static str,
    },
}
