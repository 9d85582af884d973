//! Tube on a board: lengths by other means, smooth paths, nothing overlapping, nothing outside.

use std::f64::consts::PI;

use proptest::prelude::*;
use swimdays_build::{
    Along, Board, BoardLayout, BuildError, DeckRequest, ExitEdge, Joint, LayoutRequest, Pattern,
    Point, Run, Shape, StretchKind, TIE_SPACING_M, Tube, Turn, WayOut, drawing, lay, lay_boards,
    lay_deck, spiral_length_m,
};
use swimdays_properties::materials::TubeMaterial;
use swimdays_quantity::Units;
use swimdays_tests::Errors;
use swimdays_tests::validation::{error_table, row};

use super::{config, real};

/// Rounding of sums of some thousand lengths, m.
const ROUNDING_M: f64 = 1e-9;
/// Simpson's rule with 2000 steps a turn, relative.
const SIMPSON: f64 = 1e-10;
/// Hand arithmetic in the comments is carried to a tenth of a millimetre, m.
const HAND_M: f64 = 1e-4;
/// Directions by differences of a millionth of a piece, rad.
const DIRECTION_RAD: f64 = 1e-3;
/// A thousandth of the tube may be lost to straight sampling.
const TOUCH: f64 = 0.999;

fn tube(diameter_m: f64) -> Tube {
    Tube {
        material: TubeMaterial::Polyethylene,
        outer_diameter_m: diameter_m,
        bore_m: 0.85 * diameter_m,
        makers_bend_radius_m: None,
    }
}

fn request(pattern: Pattern, length_m: f64, width_m: f64, diameter_m: f64) -> LayoutRequest {
    LayoutRequest {
        tube: tube(diameter_m),
        board: Board {
            length_m,
            width_m,
            margin_m: 0.0,
        },
        pitch_m: diameter_m,
        pattern,
        way_out: WayOut::Over,
        exit: ExitEdge::Same,
        wanted_m: None,
        tie_spacing_m: TIE_SPACING_M,
    }
}

const ROWS: Pattern = Pattern::Serpentine {
    turn: Turn::Round,
    along: Along::Length,
};

/// `∫ √(r² + a²) dθ` by Simpson's rule, r falling by the pitch a turn: another way than the closed form.
fn by_simpson(pitch: f64, outer: f64, inner: f64) -> f64 {
    let a = pitch / (2.0 * PI);
    let turns = (outer - inner) / pitch;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some thousand steps"
    )]
    let n = 2 * (1_000.0 * turns).ceil() as usize;
    let h = 2.0 * PI * turns / real(n);
    let f = |i: usize| (inner + a * h * real(i)).hypot(a);
    let inside: f64 = (1..n)
        .map(|i| if i % 2 == 1 { 4.0 } else { 2.0 } * f(i))
        .sum();
    h / 3.0 * (f(0) + f(n) + inside)
}

#[test]
fn spiral_lengths_by_other_means() {
    let mut rings = Vec::new();
    for pitch in [0.008, 0.012, 0.017_78, 0.025, 0.05] {
        for outer in [0.3, 0.6, 1.2, 3.0] {
            for share in [0.0, 0.2, 0.5, 0.9] {
                let inner = outer * share;
                let found = spiral_length_m(pitch, outer, inner);
                let other = by_simpson(pitch, outer, inner);
                assert!(
                    (found / other - 1.0).abs() < SIMPSON,
                    "{pitch} {outer} {inner}"
                );
                if share >= 0.2 {
                    // The area of the ring over the pitch, as builders reckon.
                    rings.push(1e3 * (found - PI * (outer * outer - inner * inner) / pitch));
                }
            }
        }
    }
    // A roll of turns of one thickness, hand arithmetic: 20 turns of 20 mm from 0.5 to 0.1 m: π (0.25 − 0.01)/0.02 = 37.6991 m; the
    // spiral is longer by (a/2) ln(0.5/0.1) = 2.6 mm (series of the closed form).
    let found = spiral_length_m(0.02, 0.5, 0.1);
    assert!((found - 37.7017).abs() < HAND_M, "{found}");
    error_table(
        "build-spiral",
        &[row(
            "length of a flat spiral",
            "area of its ring over the pitch",
            &Errors::of(&rings),
            "mm",
        )],
    );
}

/// Start and end direction of a piece.
fn headings(shape: &Shape) -> (f64, f64) {
    let heading = |from: Point, to: Point| (to.y_m - from.y_m).atan2(to.x_m - from.x_m);
    let e = 1e-6;
    (
        heading(shape.point(0.0), shape.point(e)),
        heading(shape.point(1.0 - e), shape.point(1.0)),
    )
}

fn turn_rad(a: f64, b: f64) -> f64 {
    let d = (b - a).rem_euclid(2.0 * PI);
    d.min(2.0 * PI - d)
}

fn shapes(run: &Run) -> Vec<(StretchKind, Shape)> {
    run.stretches
        .iter()
        .flat_map(|s| s.shapes.iter().map(move |shape| (s.kind, *shape)))
        .collect()
}

/// What holds for every layout.
fn assert_sound(layout: &BoardLayout) {
    let r = &layout.request;
    let d = r.tube.outer_diameter_m;
    let elbows = matches!(
        r.pattern,
        Pattern::Serpentine {
            turn: Turn::Elbows { .. },
            ..
        }
    );
    let mut total = 0.0;
    for run in &layout.runs {
        let pieces = shapes(run);
        // Joined, and smooth but for elbows.
        for pair in pieces.windows(2) {
            assert!(pair[0].1.point(1.0).distance_m(pair[1].1.point(0.0)) < ROUNDING_M);
            let turn = turn_rad(headings(&pair[0].1).1, headings(&pair[1].1).0);
            // A spiral leaves its circle's direction by `p/2πr`; the straight leads follow the circle's.
            let spiral = r.pitch_m / (2.0 * PI * layout.least_radius_m);
            let round = r.pattern == Pattern::RoundSpiral;
            let allowed = DIRECTION_RAD
                + if elbows {
                    1.6
                } else if round {
                    spiral
                } else {
                    0.0
                };
            assert!(turn < allowed, "a corner of {turn} rad in {:?}", r.pattern);
        }
        // The table sums up, without gaps.
        let mut done = 0.0;
        for s in &run.stretches {
            assert!((s.start_m - done).abs() < ROUNDING_M);
            let by_pieces: f64 = s.shapes.iter().map(Shape::length_m).sum();
            assert!((s.length_m() - by_pieces).abs() < ROUNDING_M);
            done = s.end_m;
        }
        total += done;
        // Within the board, and on it but for the leads.
        let m = r.board.margin_m + 0.5 * d - 1e-9;
        for (kind, shape) in &pieces {
            for p in shape.points() {
                assert!((-1e-9..=r.board.length_m + 1e-9).contains(&p.x_m));
                assert!((-1e-9..=r.board.width_m + 1e-9).contains(&p.y_m));
                if matches!(kind, StretchKind::Ring | StretchKind::Turn) {
                    let lead = p.y_m < m || p.x_m < m;
                    let first = matches!(shape, Shape::Line { .. });
                    assert!(
                        (lead && first)
                            || (p.x_m >= m
                                && p.y_m >= m
                                && p.x_m <= r.board.length_m - m
                                && p.y_m <= r.board.width_m - m),
                        "{kind:?} {p:?}"
                    );
                }
            }
        }
        for edge in [run.entry, run.exit] {
            let on = edge.x_m.abs() < 1e-9
                || edge.y_m.abs() < 1e-9
                || (edge.x_m - r.board.length_m).abs() < 1e-9
                || (edge.y_m - r.board.width_m).abs() < 1e-9;
            assert!(on, "{edge:?} is not at the edge");
        }
    }
    assert!((layout.laid_m - total - layout.links_m).abs() < ROUNDING_M * 10.0);
    if let Some(bend) = layout.bend_radius_m {
        assert!(bend >= layout.least_radius_m * (1.0 - 1e-9), "{bend} kinks");
    }
    assert!(layout.laid_m <= layout.fits_m * (1.0 + 1e-9));
    if let Some(wanted) = r.wanted_m {
        assert!(layout.laid_m <= wanted * (1.0 + 1e-9));
        assert!((layout.laid_m + layout.left_over_m - wanted).abs() < ROUNDING_M * 10.0);
    }
    assert!(layout.covered_frac() > 0.0 && layout.covered_frac() <= 1.0 + 1e-9);
    no_overlap(layout);
}

/// No two places of the tube that are not neighbours along it are closer than its width; the way out over the rings is left out.
fn no_overlap(layout: &BoardLayout) {
    let d = layout.request.tube.outer_diameter_m;
    let step = 0.5 * d;
    let mut all: Vec<(f64, Point)> = Vec::new();
    for (k, run) in layout.runs.iter().enumerate() {
        // Runs are far from each other along the tube.
        let mut done = 1e4 * real(k);
        for (kind, shape) in shapes(run) {
            let length = shape.length_m();
            if kind != StretchKind::WayOut {
                let mut s = 0.0;
                while s < length {
                    all.push((done + s, shape.point_at_m(s)));
                    s += step;
                }
            }
            done += length;
        }
    }
    // Sorted into squares of the tube's width: only neighbours are compared.
    let mut cells = std::collections::HashMap::<(i64, i64), Vec<usize>>::new();
    #[allow(clippy::cast_possible_truncation, reason = "cells of a board")]
    let cell = |p: Point| ((p.x_m / d).floor() as i64, (p.y_m / d).floor() as i64);
    for (i, (_, p)) in all.iter().enumerate() {
        cells.entry(cell(*p)).or_default().push(i);
    }
    for (s, p) in &all {
        let (cx, cy) = cell(*p);
        for other in (cx - 1..=cx + 1).flat_map(|x| (cy - 1..=cy + 1).map(move |y| (x, y))) {
            for j in cells.get(&other).into_iter().flatten() {
                let (t, q) = all[*j];
                // Along the tube three diameters away it may not come back: it bends to at least two.
                let apart = p.distance_m(q);
                assert!(
                    (s - t).abs() < 3.0 * d || apart > TOUCH * d,
                    "{:?}: {apart} between {s} and {t} at {p:?}",
                    layout.request.pattern
                );
            }
        }
    }
}

#[test]
fn two_hundred_feet_on_four_by_eight() {
    // 0.70 in tube (17.78 mm), bend radius 8 diameters. Two spirals on 48 × 96 in, each of outer radius (48 − 0.70)/2 = 23.65 in.
    // Turns that fit: (23.65 − 5.6)/0.7 = 25.79 → 25.5, inner radius 5.80 in. Length by rings π (23.65² − 5.8²)/0.7 = 2359.2 in,
    // lead-in 24 in, way out 24 in: 2407.2 in = 200.60 ft.
    let r = request(
        Pattern::RoundSpiral,
        96.0 * 0.025_4,
        48.0 * 0.025_4,
        0.70 * 0.025_4,
    );
    let full = lay(&r).expect("fits");
    assert_eq!(full.runs.len(), 2);
    let feet = full.runs[0].length_m() / 0.304_8;
    assert!((feet - 200.60).abs() < 0.02, "{feet}");
    assert_eq!(full.runs[0].crossings, 25);
    assert_sound(&full);
    // 200 ft wanted: one half ring ends within one turn of the length.
    let wanted = lay(&LayoutRequest {
        wanted_m: Some(60.96),
        ..r
    })
    .expect("fits");
    assert_eq!(wanted.runs.len(), 1);
    assert!(wanted.left_over_m < 2.0 * PI * 0.17);
    assert_sound(&wanted);
}

#[test]
fn rings_as_a_tape_finds_them() {
    let r = request(Pattern::RoundSpiral, 1.2, 1.2, 0.02);
    let run = &lay(&r).expect("fits").runs[0];
    let centre = run.centre.expect("round");
    for s in run.stretches.iter().filter(|s| s.kind == StretchKind::Ring) {
        // Ring k begins at 0.59 − 0.02 (k − 1) and is 5 mm nearer at each quarter.
        let begin = 0.59 - 0.02 * (real(s.number) - 1.0);
        for (q, offset) in s.offsets_m.iter().enumerate() {
            assert!((offset - (begin - 0.005 * real(q))).abs() < ROUNDING_M);
        }
        assert!((s.shapes[0].point(0.0).distance_m(centre) - begin).abs() < ROUNDING_M);
    }
}

#[test]
fn a_rectangular_spiral_by_hand() {
    // 1.0 × 0.6 m, tube 20 mm, bends to 0.1 m (given), touching. Inset 0.01. Sharp corners:
    // up 0.59, along 0.98, down 0.58, back 0.96, up 0.56, along 0.94, down 0.54, back 0.92, up .52, along .90, down .50, back .88, …
    // side k of the ups: 0.58 − 0.02·(2j−1)... the ring stops when a side is shorter than 0.2: ups and downs 0.58 − 0.04 j ≥ 0.2 → j ≤ 9.
    let mut r = request(Pattern::RectangularSpiral, 1.0, 0.6, 0.02);
    r.tube.makers_bend_radius_m = Some(0.1);
    r.wanted_m = Some(5.0);
    // One ring and the next half: 0.59 + 0.98 + 0.58 + 0.96 + 0.56 + 0.94 and down from y = 0.57 to the edge 0.57: 5.18, less six corners
    // of (2 − π/2)·0.1 = 0.042920: 4.92248.
    let layout = lay(&r).expect("fits");
    assert!(
        (layout.laid_m - 4.922_48).abs() < HAND_M,
        "{}",
        layout.laid_m
    );
    assert!((layout.left_over_m - 0.077_52).abs() < HAND_M);
    assert_eq!(layout.runs[0].crossings, 1);
    assert_sound(&layout);
    let full = lay(&LayoutRequest {
        wanted_m: None,
        ..r
    })
    .expect("fits");
    let rings = full.runs[0]
        .stretches
        .iter()
        .filter(|s| s.kind == StretchKind::Ring)
        .count();
    // Ring j (from 0) is begun when its up side 0.58 − 0.02 (2j − 1) and its top 0.98 − 0.04 j hold two bends: j ≤ 10 by the up side
    // (0.60 − 0.04·10 = 0.2), and the ring before is closed by its down side 0.58 − 0.04·9 = 0.22.
    assert_eq!(rings, 11);
    assert_sound(&full);
}

#[test]
fn rows_by_hand() {
    // 2.0 × 1.0 m, tube 20 mm that bends to 0.1 m, rows 0.2 m apart: (1.0 − 0.02)/0.2 = 4.9 → 5 rows at 0.01, 0.21 … 0.81.
    // Rows between turns run from 0.11 to 1.89: 1.78; first and last to the edge: 1.89. 2·1.89 + 3·1.78 + 4·π·0.1 = 10.37664 m.
    let mut r = request(ROWS, 2.0, 1.0, 0.02);
    r.tube.makers_bend_radius_m = Some(0.1);
    r.pitch_m = 0.2;
    let layout = lay(&r).expect("fits");
    assert!(
        (layout.laid_m - 10.376_64).abs() < HAND_M,
        "{}",
        layout.laid_m
    );
    assert_sound(&layout);
    // Bulbs at 0.12: cos φ = (0.1 + 0.06)/0.2 = 0.8, φ = 0.643501, sin φ 0.6: reach 0.1·2.2 = 0.22, side 0.04, each bulb
    // 0.1 (π + 2.574004) = 0.5715597. Rows (1.0 − 0.02 − 0.08)/0.12 = 7.5 → 8. Ends 0.23 … 1.77: 6·1.54 + 2·1.77 + 7·0.5715597 = 16.78092.
    r.pitch_m = 0.12;
    r.pattern = Pattern::Serpentine {
        turn: Turn::Bulb,
        along: Along::Length,
    };
    let bulbs = lay(&r).expect("fits");
    assert!(
        (bulbs.laid_m - 16.780_92).abs() < HAND_M,
        "{}",
        bulbs.laid_m
    );
    assert_sound(&bulbs);
    // Elbows at 50 mm: 20 rows of 0.01 … 0.96, each 1.98 between the corners and 1.99 at the ends, 19 joints of 0.05.
    r.pitch_m = 0.05;
    r.pattern = Pattern::Serpentine {
        turn: Turn::Elbows {
            least_pitch_m: 0.05,
        },
        along: Along::Length,
    };
    let elbows = lay(&r).expect("fits");
    assert!((elbows.laid_m - (18.0 * 1.98 + 2.0 * 1.99 + 19.0 * 0.05)).abs() < HAND_M);
    assert_eq!(elbows.runs[0].elbows, 38);
}

#[test]
fn what_cannot_be_says_what_would_work() {
    // Touching rows of 0.70 in tube need 2 · 5.6 = 11.2 in between rows for half circles, 5.6 + 0.35 in for bulbs.
    let kink = lay(&request(ROWS, 2.4, 1.2, 0.017_78)).expect_err("kinks");
    let words = kink.told(Units::Us);
    assert!(matches!(kink, BuildError::Kinks { .. }));
    assert!(
        words.contains("11 1/4 in") && words.contains("6 in") && words.contains("spiral"),
        "{words}"
    );
    let small = lay(&request(Pattern::RoundSpiral, 0.25, 0.25, 0.017_78)).expect_err("small");
    assert!(matches!(small, BuildError::BoardTooSmall { .. }));
    assert!(small.told(Units::Metric).contains("wider board"));
    let small = lay(&request(Pattern::RectangularSpiral, 0.25, 0.25, 0.017_78)).expect_err("small");
    assert!(matches!(small, BuildError::BoardTooSmall { .. }));
    let mut r = request(Pattern::RoundSpiral, 1.2, 1.2, 0.02);
    r.pitch_m = 0.018;
    assert!(matches!(lay(&r), Err(BuildError::RowsOverlap { .. })));
    r.pitch_m = 0.02;
    r.wanted_m = Some(1.0);
    assert!(matches!(lay(&r), Err(BuildError::WantedTooShort { .. })));
    r.wanted_m = Some(f64::NAN);
    assert!(lay(&r).is_err());
}

#[test]
fn five_boards_uncut_and_cut() {
    let r = LayoutRequest {
        wanted_m: Some(300.0),
        ..request(Pattern::RectangularSpiral, 2.44, 1.22, 0.02)
    };
    let through = lay_boards(&r, 5, Joint::Through { between_m: 0.5 }).expect("fits");
    // Fills board after board: three hold about 110 m each, so 300 m reaches the third.
    assert!(through.layouts.len() < 5 && through.empty_boards > 0);
    assert!(through.laid_m <= 300.0 && (through.laid_m + through.left_over_m - 300.0).abs() < 1e-9);
    assert!((through.starts_m[1] - through.layouts[0].laid_m - 0.5).abs() < 1e-9);
    let cut = lay_boards(&r, 5, Joint::Cut).expect("fits");
    assert_eq!(cut.layouts.len(), 5);
    assert!(cut.layouts.iter().all(|l| l.laid_m <= 60.0));
    for layout in through.layouts.iter().chain(&cut.layouts[..1]) {
        assert_sound(layout);
    }
    assert!(lay_boards(&r, 0, Joint::Cut).is_err());
}

#[test]
fn a_deck_of_rows() {
    // 4 × 3 m, rows 0.3 m apart of 20 mm tube that bends to 0.16 m: half circles need 0.32, so bulbs.
    let deck = DeckRequest {
        tube: tube(0.02),
        length_m: 4.0,
        width_m: 3.0,
        margin_m: 0.1,
        spacing_m: 0.3,
        depth_m: 0.05,
        wanted_m: None,
    };
    let found = lay_deck(&deck).expect("fits");
    assert!(found.bulbs);
    // Side of a bulb 0.16 − 0.15 = 0.01: rows from 0.12 to 2.88: 9.2 gaps → 10 rows.
    assert_eq!(found.rows, 10);
    assert!((found.bed_depth_m - 0.06).abs() < 1e-12);
    assert_sound(&found.layout);
    let wide = lay_deck(&DeckRequest {
        spacing_m: 0.4,
        ..deck
    })
    .expect("fits");
    assert!(!wide.bulbs);
    assert!(matches!(
        lay_deck(&DeckRequest {
            spacing_m: 0.1,
            ..deck
        }),
        Err(BuildError::Kinks { .. })
    ));
}

#[test]
fn ties_are_no_further_apart_than_said() {
    for pattern in [Pattern::RoundSpiral, Pattern::RectangularSpiral] {
        let layout = lay(&request(pattern, 2.4, 1.2, 0.02)).expect("fits");
        for run in &layout.runs {
            // Along the tube: where each tie lies on it, by fine steps.
            let mut points: Vec<(f64, Point)> = Vec::new();
            let mut done = 0.0;
            for (_, shape) in shapes(run) {
                let steps = 400;
                for i in 0..steps {
                    let frac = real(i) / real(steps);
                    points.push((done + frac * shape.length_m(), shape.point(frac)));
                }
                done += shape.length_m();
            }
            let mut places: Vec<f64> = run
                .ties
                .iter()
                .filter_map(|tie| {
                    points
                        .iter()
                        .min_by(|a, b| a.1.distance_m(*tie).total_cmp(&b.1.distance_m(*tie)))
                        .map(|p| p.0)
                })
                .collect();
            assert_eq!(places.len(), run.ties.len());
            places.sort_by(f64::total_cmp);
            let gap = places
                .windows(2)
                .map(|w| w[1] - w[0])
                .fold(places[0], f64::max);
            // A corner between two lines adds at most its own length and the two ends of the lines.
            assert!(gap <= 1.6 * TIE_SPACING_M, "{pattern:?}: {gap}");
        }
    }
}

#[test]
fn drawings_hold_the_tube() {
    for pattern in [Pattern::RoundSpiral, Pattern::RectangularSpiral] {
        let layout = lay(&request(pattern, 2.4, 1.2, 0.02)).expect("fits");
        let d = drawing(&layout, 0.0, Units::Metric);
        // The drawn axis is as long as the tube, to the chords of three degrees (1/24 · 0.0524² = 1.1e-4).
        let drawn: f64 = d
            .strokes
            .iter()
            .filter(|s| s.width_m > 0.0)
            .map(|s| {
                s.points
                    .windows(2)
                    .map(|w| w[0].distance_m(w[1]))
                    .sum::<f64>()
            })
            .sum();
        assert!(
            (drawn / layout.laid_m - 1.0).abs() < 2e-3,
            "{drawn} {}",
            layout.laid_m
        );
        assert_eq!(d.ties.len(), layout.ties());
        for p in d.strokes.iter().flat_map(|s| &s.points).chain(&d.ties) {
            assert!(
                p.x_m >= d.low.x_m
                    && p.x_m <= d.high.x_m
                    && p.y_m >= d.low.y_m
                    && p.y_m <= d.high.y_m
            );
        }
        assert!(d.labels.len() > 8 && d.dimensions.len() > 3);
    }
}

proptest! {
    #![proptest_config(config(60))]

    /// Any board with any tube gives a sound layout or says what would work; never a panic.
    #[test]
    fn any_layout_is_sound(
        length in 0.1..2.6_f64,
        width in 0.1..2.6_f64,
        diameter in 0.008..0.03_f64,
        bend in 2.0..12.0_f64,
        gap in 1.0..3.0_f64,
        margin in 0.0..0.08_f64,
        pattern in 0..6_usize,
        any_exit in any::<bool>(),
        wanted in proptest::option::of(1.0..200.0_f64),
    ) {
        let along = if any_exit { Along::Length } else { Along::Width };
        let pattern = match pattern {
            0 | 1 => Pattern::RoundSpiral,
            2 | 3 => Pattern::RectangularSpiral,
            4 => Pattern::Serpentine { turn: Turn::Round, along },
            _ => Pattern::Serpentine { turn: Turn::Bulb, along },
        };
        let rows = matches!(pattern, Pattern::Serpentine { .. });
        let mut r = request(pattern, length, width, diameter);
        r.tube.makers_bend_radius_m = Some(bend * diameter);
        // Rows need room for their turns.
        r.pitch_m = if rows { gap * (bend + 0.5) * diameter } else { gap * diameter };
        r.board.margin_m = margin;
        r.exit = if any_exit { ExitEdge::Any } else { ExitEdge::Same };
        r.wanted_m = wanted;
        match lay(&r) {
            Ok(layout) => assert_sound(&layout),
            Err(e) => prop_assert!(!e.told(Units::Us).is_empty()),
        }
    }

    /// More board never takes less tube, and more tube wanted never lies shorter.
    #[test]
    fn larger_boards_take_more(
        width in 0.6..1.3_f64,
        more in 0.0..0.5_f64,
        wanted in 10.0..60.0_f64,
    ) {
        for pattern in [Pattern::RectangularSpiral, Pattern::RoundSpiral] {
            let small = lay(&request(pattern, 1.4, width, 0.02)).expect("fits");
            let large = lay(&request(pattern, 1.4, (width + more).min(1.4), 0.02)).expect("fits");
            // Round spirals beside each other: two small ones may hold more than one larger, so only rectangles are compared.
            if pattern == Pattern::RectangularSpiral {
                prop_assert!(large.fits_m >= small.fits_m - 1e-9);
            }
            let less = lay(&LayoutRequest { wanted_m: Some(wanted), ..small.request }).expect("fits");
            let longer = lay(&LayoutRequest { wanted_m: Some(wanted + 5.0), ..small.request }).expect("fits");
            prop_assert!(longer.laid_m >= less.laid_m - 1e-9);
        }
    }
}
