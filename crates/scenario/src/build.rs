//! `[build]`: how the heaters are built and where they stand; the sides of each board.

use swimdays_build::{ExitEdge, Place, Shop, TIE_SPACING_M, WayOut};
use swimdays_quantity::{Kind, Units};
use swimdays_season::{Assumption, HeaterPlan, PoolPlan, Shell};

use crate::document::{Table, Value};
use crate::section::Section;
use crate::shop::shop;
use crate::walk::{Usual, Walk};
use crate::words::source::{OWN_CHOICE, PRACTICE};

/// Gust to build for when none is given, m/s: 90 mph (own choice: the lower end of the maps of building codes; the local one decides).
const GUST_M_S: f64 = 40.2336;
/// Height of ends under water below the surface, m.
const DEPTH_M: f64 = 0.3;

/// How rows are joined.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TurnWord {
    /// Half circles where they fit, else bulbs.
    #[default]
    AsFits,
    /// Half circles.
    Round,
    /// Teardrops wider than the distance of the rows.
    Bulb,
    /// Two elbows a turn.
    Elbows,
}

/// What only the builder of one heater needs.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct HeaterBuild {
    /// The heater's name.
    pub name: String,
    /// Length and width of its board or boards together, where they were written, m.
    pub sides_m: Option<(f64, f64)>,
    /// The maker's smallest bend radius, to the middle of the tube, m.
    pub bend_radius_m: Option<f64>,
    /// Stands in the wind of a roof.
    pub roof: bool,
}

/// What the build sheet needs beside the plan.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct BuildPlan {
    /// Sizes and prices.
    pub shop: Shop,
    /// Where the heaters stand; roof by their wind when not said.
    pub place: Option<Place>,
    /// Gust, m/s.
    pub gust_m_s: f64,
    /// Distance from the pool's fence, m.
    pub fence_m: Option<f64>,
    /// Boards that each heater is made of.
    pub boards: Option<u32>,
    /// How a spiral comes out of its middle.
    pub way_out: WayOut,
    /// Where; the better of the two when not said.
    pub exit: Option<ExitEdge>,
    /// Kept free along every edge, m.
    pub margin_m: f64,
    /// Between ties along the tube, m.
    pub tie_spacing_m: f64,
    /// How rows are joined.
    pub turns: TurnWord,
    /// Back and edges are painted too.
    pub paint_both_sides: bool,
    /// Lowest joint outside the pool, above the water, m; not known when not said.
    pub lowest_joint_m: Option<f64>,
    /// The ground beside the pool, above the water, m: its depth below it where the pool stands above the ground.
    pub ground_m: f64,
    /// The pool stands above the ground.
    pub pool_above_ground: bool,
    /// Lower edge of each board above what it stands on, m; from the heater's height when not said.
    pub lower_edge_m: Option<f64>,
    /// Depth of each board's stand, front to back, m; the board's own footprint when not said.
    pub stand_depth_m: Option<f64>,
    /// Length and width of a deck run, m.
    pub deck_m: (Option<f64>, Option<f64>),
    /// A hose from the tap fills the heater or the pool.
    pub tap_fill: bool,
    /// End of the return, above the water, m.
    pub return_end_m: f64,
    /// Where the pump draws, above the water, m.
    pub suction_m: f64,
    /// Heaters in the plan's order.
    pub heaters: Vec<HeaterBuild>,
    /// What was taken because nothing was said.
    pub assumptions: Vec<Assumption>,
}

/// Reads `[shop]`, `[build]` and what boards and tubes have for the builder.
pub(crate) fn build(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    heaters: &[HeaterPlan],
    pool: &PoolPlan,
    currency: &str,
) -> BuildPlan {
    // Nothing here changes a season: the assumptions go their own way.
    let plan_assumptions = std::mem::take(&mut walk.assumptions);
    let shop = shop(walk, root, currency);
    let mut s = root.section(walk, "build");
    let places = [
        ("ground", Place::Ground),
        ("roof", Place::Roof),
        ("fence", Place::Fence),
        ("pool-wall", Place::PoolWall),
        ("deck", Place::Deck),
    ];
    let place = s.word(walk, "place", &places).given();
    let gust = s.quantity(walk, "gust", Kind::Speed, 5.0..=100.0);
    let usual = Usual {
        value: GUST_M_S,
        source: "lower end of the maps in building codes: own choice, ask for the local one",
    };
    let gust_m_s = s.or_assume(walk, "gust", gust, usual, |v, units| {
        units.format(Kind::Speed, *v, 0)
    });
    let fence_m = s
        .quantity(walk, "fence_distance", Kind::Length, 0.0..=1000.0)
        .given();
    let boards = s.count(walk, "boards", 1..=200).given();
    let way_out = s.word(
        walk,
        "way_out",
        &[("over", WayOut::Over), ("behind", WayOut::Behind)],
    );
    let way_out = s.or_assume(walk, "way_out", way_out, own(WayOut::Over), |_, _| {
        "over".into()
    });
    let exit = s.word(
        walk,
        "exit_edge",
        &[("same", ExitEdge::Same), ("any", ExitEdge::Any)],
    );
    let exit = exit.given();
    let length = |m: &f64, units: Units| swimdays_build::tape(*m, units);
    let margin = s.quantity(walk, "margin", Kind::Length, 0.0..=1.0);
    let margin_m = s.or_assume(walk, "margin", margin, own(0.0), length);
    let ties = s.quantity(walk, "tie_spacing", Kind::Length, 0.05..=3.0);
    let usual = Usual {
        value: TIE_SPACING_M,
        source: PRACTICE,
    };
    let tie_spacing_m = s.or_assume(walk, "tie_spacing", ties, usual, length);
    let turns = [
        ("round", TurnWord::Round),
        ("bulb", TurnWord::Bulb),
        ("elbows", TurnWord::Elbows),
    ];
    let turns = s.word(walk, "turns", &turns).or(TurnWord::AsFits);
    let both = s.flag(walk, "paint_both_sides");
    let usual = Usual {
        value: true,
        source: PRACTICE,
    };
    let paint_both_sides = s.or_assume(walk, "paint_both_sides", both, usual, |yes, _| {
        yes.to_string()
    });
    let lowest_joint_m = s
        .quantity(walk, "lowest_joint", Kind::Length, -10.0..=10.0)
        .given();
    let lower_edge_m = s
        .quantity(walk, "lower_edge", Kind::Length, 0.0..=50.0)
        .given();
    let stand_depth_m = s
        .quantity(walk, "stand_depth", Kind::Length, 0.05..=100.0)
        .given();
    for (said, key, value) in [
        (
            lowest_joint_m.is_some(),
            "lowest_joint",
            "not known: as low as the pipe ends under water",
        ),
        (
            lower_edge_m.is_some(),
            "lower_edge",
            "from the heater's height, the ground at the water's level (below it where the pool stands above the ground); 0 on a roof",
        ),
        (
            stand_depth_m.is_some(),
            "stand_depth",
            "the board's own footprint",
        ),
    ] {
        if !said {
            walk.assume(format!("build.{key}"), value.into(), OWN_CHOICE);
        }
    }
    let pool_above_ground = matches!(pool.shell, Shell::AboveGround { .. });
    let ground_m = if pool_above_ground {
        -pool.volume_m3 / pool.area_m2
    } else {
        0.0
    };
    let deck_m = (
        s.quantity(walk, "deck_length", Kind::Length, 0.3..=200.0)
            .given(),
        s.quantity(walk, "deck_width", Kind::Length, 0.3..=200.0)
            .given(),
    );
    let tap_fill = s.flag(walk, "tap_fill");
    let usual = Usual {
        value: true,
        source: PRACTICE,
    };
    let tap_fill = s.or_assume(walk, "tap_fill", tap_fill, usual, |yes, _| yes.to_string());
    s.finish(walk);
    let mut plumbing = root.section(walk, "plumbing");
    // Wrong values are reported where the plumbing is read.
    let mut quiet = |key: &str| {
        let errors = walk.errors.len();
        let value = plumbing
            .quantity(walk, key, Kind::Length, -10.0..=30.0)
            .given();
        walk.errors.truncate(errors);
        value
    };
    let return_end_m = quiet("outlet_height").unwrap_or(-DEPTH_M);
    let suction_m = -quiet("inlet_depth").unwrap_or(DEPTH_M);
    let heaters = each_heater(walk, root, heaters);
    let assumptions = std::mem::replace(&mut walk.assumptions, plan_assumptions);
    BuildPlan {
        shop,
        place,
        gust_m_s,
        fence_m,
        boards,
        way_out,
        exit,
        margin_m,
        tie_spacing_m,
        turns,
        paint_both_sides,
        lowest_joint_m,
        ground_m,
        pool_above_ground,
        lower_edge_m,
        stand_depth_m,
        deck_m,
        tap_fill,
        return_end_m,
        suction_m,
        heaters,
        assumptions,
    }
}

fn own<T>(value: T) -> Usual<T> {
    Usual {
        value,
        source: OWN_CHOICE,
    }
}

/// What boards and tubes have for the builder alone, by the names of the heaters.
fn each_heater(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    heaters: &[HeaterPlan],
) -> Vec<HeaterBuild> {
    let text = |table: &Table, key: &str| match table.get(key).map(|node| &node.value) {
        Some(Value::Text(text)) => Some(text.clone()),
        _ => None,
    };
    let errors = walk.errors.len();
    let sections = root.sections(walk, "heater", |at, table| {
        text(table, "name").unwrap_or_else(|| (at + 1).to_string())
    });
    // A list that is none is reported where the heaters are read.
    walk.errors.truncate(errors);
    let mut found: Vec<HeaterBuild> = Vec::new();
    for mut section in sections {
        let Some(table) = section.table else { continue };
        let Some(name) = text(table, "name") else {
            continue;
        };
        let roof = text(table, "wind").as_deref() == Some("roof");
        let mut tube = section.section(walk, "tube");
        let bend = tube
            .quantity(walk, "bend_radius", Kind::Length, 0.01..=5.0)
            .given();
        let errors = walk.errors.len();
        let mut board = section.section(walk, "board");
        let sides_m = board.sides("area").or_else(|| {
            let length = board
                .quantity(walk, "length", Kind::Length, 0.1..=100.0)
                .given();
            let width = board
                .quantity(walk, "width", Kind::Length, 0.1..=100.0)
                .given();
            length.zip(width)
        });
        walk.errors.truncate(errors);
        found.push(HeaterBuild {
            name,
            sides_m,
            bend_radius_m: bend,
            roof,
        });
    }
    heaters
        .iter()
        .filter_map(|plan| found.iter().find(|h| h.name == plan.name).cloned())
        .collect()
}
