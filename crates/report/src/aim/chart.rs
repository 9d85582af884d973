//! The map of all positions: facing from left to right, tilt from bottom to top, the darker the better.

use swimdays_quantity::compass_name;
use swimdays_studies::Objective;

use super::AimSummary;
use super::text::{days, position, when, within};
use crate::chart::{
    Anchor, Axis, Cells, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Scale, Series, Shape, Tick,
    WIDTH_PX, as_f64, left_edge, line,
};
use crate::lines::TIE;
use crate::style::{ASCENT_EM, Ink, Ramp, Style};
use crate::words::{rough, whole};

/// Height of the sheet, px.
const HEIGHT_PX: f64 = 560.0;
/// Room on the right for the scale.
const SCALE_PX: f64 = 168.0;
/// Ends of the steps of heat, percent of the best.
const PERCENTS: [f64; 9] = [-1e9, 30.0, 50.0, 70.0, 80.0, 90.0, 95.0, 98.0, 1e9];
/// Half the size of a mark, px.
const MARK_PX: f64 = 7.0;
/// Room around the outermost positions for a mark, degrees of tilt and of facing.
const MARK_ROOM_DEG: (f64, f64) = (3.5, 6.5);

/// Draws the map.
#[must_use]
pub fn aim_chart(summary: &AimSummary, place: &str, style: &Style) -> Chart {
    let (title, subtitle) = headings(summary, place);
    let mut chart = Chart::sheet("aim", HEIGHT_PX, style, &title, &subtitle);
    let tilt_axis = tilts(summary.step_deg);
    let left = left_edge([&tilt_axis], style);
    let frame = Frame {
        left,
        top: 96.0,
        right: WIDTH_PX - MARGIN_PX - SCALE_PX,
        bottom: 448.0,
    };
    let (scale, names) = scale(summary);
    let cells = cells(summary, scale.clone());
    let middle = if summary.south { 360.0 } else { 180.0 };
    let half = MARK_ROOM_DEG.1.max(summary.step_deg / 2.0);
    let mut panel = Panel {
        name: "map",
        frame,
        x: facings(middle, half),
        y: tilt_axis,
        series: vec![Series {
            name: "map".into(),
            ink: Ink::Sun,
            shape: Shape::Cells(cells),
        }],
        outlined: true,
        parted: false,
    };
    outline(&mut panel, summary, middle);
    chart.label_left_axis(&panel, style.axis_px);
    for tick in &panel.x.ticks {
        let (x, _) = panel.px(tick.at, panel.y.min);
        chart.labels.push(
            Label::new(tick.label.clone(), x, frame.bottom + 20.0, style.axis_px)
                .anchored(Anchor::Middle)
                .in_ink(Ink::Muted),
        );
    }
    marks(&mut chart, &mut panel, summary, middle, style);
    chart.panels.push(panel);
    key(&mut chart, frame, &scale, &names, style);
    foot(&mut chart, summary, left, style);
    chart.alt += &format!(
        " {} As it stands: {}.",
        crate::aim::text::aim_lines(summary, 10_000)
            .iter()
            .take(2)
            .cloned()
            .collect::<Vec<_>>()
            .join(" "),
        position(&summary.given)
    );
    chart
}

fn headings(s: &AimSummary, place: &str) -> (String, String) {
    let best = position(&s.best);
    let title = match s.asked {
        _ if s.most() <= 0.0 && s.asked == Objective::SwimDays => {
            format!("No position of {} brings a swim day", s.heater)
        }
        _ if s.most() <= 0.0 => format!("No position of {} brings heat", s.heater),
        Objective::SwimDays => format!(
            "Most swim days, {}: {} {best}",
            days(s.best.swim_days),
            s.heater
        ),
        _ => format!(
            "Most heat, {}{TIE}kWh: {} {best}",
            rough(s.most()),
            s.heater
        ),
    };
    let what = match s.asked {
        Objective::SwimDays => "Swim days".to_owned(),
        _ => format!("Heat {}", when(s)),
    };
    (
        title.replace(TIE, " "),
        format!("{what} at each facing and tilt. {place}"),
    )
}

/// The tilts, with words at both ends.
fn tilts(step_deg: f64) -> Axis {
    let names = [
        (0.0, "flat"),
        (15.0, "15°"),
        (30.0, "30°"),
        (45.0, "45°"),
        (60.0, "60°"),
        (75.0, "75°"),
        (90.0, "upright"),
    ];
    Axis {
        min: -MARK_ROOM_DEG.0.max(step_deg / 2.0),
        max: 90.0 + MARK_ROOM_DEG.0.max(step_deg / 2.0),
        ticks: names
            .into_iter()
            .map(|(at, name)| Tick {
                at,
                label: name.into(),
            })
            .collect(),
    }
}

/// The compass, the equator's side in the middle.
fn facings(middle: f64, half: f64) -> Axis {
    let ticks = (-4..=4)
        .map(|k| {
            let at = middle + 45.0 * f64::from(k);
            let name = match compass_name(at.rem_euclid(360.0)) {
                "N" => "north",
                "E" => "east",
                "S" => "south",
                "W" => "west",
                corner => corner,
            };
            Tick {
                at,
                label: name.into(),
            }
        })
        .collect();
    Axis {
        min: middle - 180.0 - half,
        max: middle + 180.0 + half,
        ticks,
    }
}

/// Columns of the picture, as columns of the summary's map: from one pole round to the same again.
fn columns(s: &AimSummary) -> Vec<usize> {
    let directions = s.directions().max(1);
    let from = if s.south { directions / 2 } else { 0 };
    (0..=directions).map(|k| (from + k) % directions).collect()
}

/// What is shown of a cell: days, or percent of the best.
fn shown(s: &AimSummary, azimuth: usize, tilt: usize) -> f64 {
    let value = s
        .cell(tilt, azimuth)
        .map_or(f64::NAN, |cell| cell.worth(s.asked));
    match s.asked {
        Objective::SwimDays => value,
        _ if s.most() > 0.0 => 100.0 * value / s.most(),
        _ => f64::NAN,
    }
}

fn cells(s: &AimSummary, scale: Scale) -> Cells {
    let middle = if s.south { 360.0 } else { 180.0 };
    Cells {
        x0: middle - 180.0 - s.step_deg / 2.0,
        y0: -s.step_deg / 2.0,
        width: s.step_deg,
        height: s.step_deg,
        rows: s.tilts_deg.len(),
        values: columns(s)
            .into_iter()
            .flat_map(|azimuth| (0..s.tilts_deg.len()).map(move |tilt| shown(s, azimuth, tilt)))
            .collect(),
        scale,
    }
}

/// The steps and what each is called, from little to much.
fn scale(s: &AimSummary) -> (Scale, Vec<String>) {
    if s.asked != Objective::SwimDays {
        let name = |pair: &[f64]| {
            if pair[0] < 0.0 {
                format!("below {:.0} %", pair[1])
            } else if pair[1] > 100.0 {
                format!("{:.0} to 100 %", pair[0])
            } else {
                format!("{:.0} to {:.0} %", pair[0], pair[1])
            }
        };
        return (
            Scale {
                ramp: Ramp::Sun,
                ends: PERCENTS.to_vec(),
                from_nothing: false,
            },
            PERCENTS.windows(2).map(name).collect(),
        );
    }
    let all = s.map.iter().map(|cell| cell.swim_days);
    let (least, most) = all.fold((f64::INFINITY, 0.0_f64), |(a, b), v| (a.min(v), b.max(v)));
    // The same shares as of heat, in whole days; the first that holds all cells is the last.
    let mut ends = vec![most.floor() + 1.0];
    for share in PERCENTS[1..PERCENTS.len() - 1].iter().rev() {
        let end = (most * share / 100.0).ceil();
        if ends.last().is_some_and(|last| end < *last)
            && ends.last().is_some_and(|last| *last > least)
        {
            ends.push(end);
        }
    }
    if ends.last().is_some_and(|last| *last > least) {
        ends.push(least.floor().min(most.floor()));
    }
    ends.reverse();
    let names = ends
        .windows(2)
        .map(|pair| {
            if pair[1] - pair[0] < 1.5 {
                days(pair[0])
            } else {
                format!("{} to {} days", whole(pair[0]), whole(pair[1] - 1.0))
            }
        })
        .collect();
    (
        Scale {
            ramp: Ramp::Sun,
            ends,
            from_nothing: false,
        },
        names,
    )
}

/// A line around all cells that are as good as the best, along their edges.
fn outline(panel: &mut Panel, s: &AimSummary, middle: f64) {
    if s.most() <= 0.0 {
        return;
    }
    let enough = s.as_good.gives_at_least;
    let columns = columns(s);
    let rows = s.tilts_deg.len();
    let good = |x: Option<usize>, y: Option<usize>| {
        x.and_then(|x| columns.get(x))
            .zip(y.filter(|y| *y < rows))
            .and_then(|(azimuth, tilt)| s.cell(tilt, *azimuth))
            .is_some_and(|cell| cell.worth(s.asked) >= enough)
    };
    let corner = |x: usize, y: usize| {
        (
            middle - 180.0 - s.step_deg / 2.0 + as_f64(x) * s.step_deg,
            as_f64(y) * s.step_deg - s.step_deg / 2.0,
        )
    };
    let mut points = Vec::new();
    let mut edge = |from: (f64, f64), to: (f64, f64)| points.extend([from, to, (to.0, f64::NAN)]);
    for x in 0..=columns.len() {
        for y in 0..=rows {
            let here = good(Some(x), Some(y));
            // The sheet's own edge is no border of what is good.
            if x > 0 && x < columns.len() && here != good(x.checked_sub(1), Some(y)) && y < rows {
                edge(corner(x, y), corner(x, y + 1));
            }
            if y > 0 && y < rows && here != good(Some(x), y.checked_sub(1)) && x < columns.len() {
                edge(corner(x, y), corner(x + 1, y));
            }
        }
    }
    panel.series.push(line(
        "as good halo",
        Ink::Paper,
        points.clone(),
        4.5,
        Dash::Solid,
    ));
    panel
        .series
        .push(line("as good", Ink::Text, points, 2.0, Dash::Solid));
}

/// The best position as a cross, the scenario's as a ring, each with its name.
fn marks(chart: &mut Chart, panel: &mut Panel, s: &AimSummary, middle: f64, style: &Style) {
    let f = panel.frame;
    let per_px = (
        (panel.x.max - panel.x.min) / (f.right - f.left),
        (panel.y.max - panel.y.min) / (f.bottom - f.top),
    );
    let at = |azimuth: f64, tilt: f64| {
        let off = (azimuth - middle + 180.0).rem_euclid(360.0) - 180.0;
        // Flat faces every way: its mark stands in the middle.
        (if tilt < 0.5 { middle } else { middle + off }, tilt)
    };
    let best = at(s.best.azimuth_deg, s.best.tilt_deg);
    let given = at(s.given.azimuth_deg, s.given.tilt_deg);
    let cross: Vec<(f64, f64)> = [
        (-1.0, -1.0),
        (1.0, 1.0),
        (0.0, f64::NAN),
        (-1.0, 1.0),
        (1.0, -1.0),
    ]
    .into_iter()
    .map(|(x, y)| {
        (
            best.0 + x * MARK_PX * per_px.0,
            best.1 + y * MARK_PX * per_px.1,
        )
    })
    .collect();
    let ring: Vec<(f64, f64)> = (0..=24)
        .map(|k| {
            let angle = std::f64::consts::TAU * f64::from(k) / 24.0;
            (
                given.0 + 1.3 * MARK_PX * per_px.0 * angle.cos(),
                given.1 + 1.3 * MARK_PX * per_px.1 * angle.sin(),
            )
        })
        .collect();
    for (name, points) in [("best", cross), ("as it stands", ring)] {
        let halo = format!("{name} halo");
        panel
            .series
            .push(line(&halo, Ink::Paper, points.clone(), 7.0, Dash::Solid));
        panel
            .series
            .push(line(name, Ink::Text, points, 3.0, Dash::Solid));
    }
    let (best_px, given_px) = (panel.px(best.0, best.1), panel.px(given.0, given.1));
    let apart = (best_px.0 - given_px.0).hypot(best_px.1 - given_px.1);
    // Names above the one that stands higher and below the other; one name for two marks that lie on each other.
    let best_up = best_px.1 <= given_px.1;
    let names = if apart < 1.5 * MARK_PX {
        vec![("best, and as it stands", best_px, true)]
    } else {
        vec![
            ("best", best_px, best_up),
            ("as it stands", given_px, !best_up),
        ]
    };
    let mut named: Vec<Label> = Vec::new();
    for (name, (x, y), up) in names {
        let label = Label::new(name, 0.0, 0.0, style.label_px)
            .bold()
            .anchored(Anchor::Middle);
        let zero = label.text_box();
        let half = (zero.right - zero.left) / 2.0 + 4.0;
        let x = x.clamp(f.left + half, f.right - half);
        let above = y - 1.3 * MARK_PX - 8.0;
        let below = y + 1.3 * MARK_PX + 6.0 + ASCENT_EM * label.size_px;
        let free = |y: f64, named: &[Label]| {
            let place = Label {
                x,
                y,
                ..label.clone()
            }
            .text_box();
            place.top > f.top + 2.0
                && place.bottom < f.bottom - 2.0
                && !named
                    .iter()
                    .any(|n| n.text_box().grown(2.0).overlaps(&place))
        };
        let order = if up { [above, below] } else { [below, above] };
        if let Some(y) = order.into_iter().find(|y| free(*y, &named)) {
            named.push(Label {
                x,
                y,
                on_patch: true,
                ..label
            });
        }
    }
    chart.labels.extend(named);
}

/// The tones beside the map, much above.
fn key(chart: &mut Chart, map: Frame, scale: &Scale, names: &[String], style: &Style) {
    const STEP_PX: f64 = 30.0;
    const SWATCH_PX: f64 = 22.0;
    let left = map.right + 18.0;
    let heading = if names.iter().any(|n| n.contains('%')) {
        "Share of the best"
    } else {
        "Swim days"
    };
    chart.labels.push(
        Label::new(heading, left, map.top + 12.0, style.axis_px)
            .bold()
            .within(WIDTH_PX - MARGIN_PX - left),
    );
    for (row, (step, name)) in names.iter().enumerate().rev().enumerate() {
        let top = map.top + 26.0 + as_f64(row) * STEP_PX;
        let value = scale.ends[step].max(-1e8);
        chart.panels.push(Panel {
            name: "key",
            frame: Frame {
                left,
                top,
                right: left + SWATCH_PX,
                bottom: top + SWATCH_PX,
            },
            x: Axis::plain(0.0, 1.0),
            y: Axis::plain(0.0, 1.0),
            series: vec![Series {
                name: name.clone(),
                ink: Ink::Sun,
                shape: Shape::Cells(Cells {
                    x0: 0.0,
                    y0: 0.0,
                    width: 1.0,
                    height: 1.0,
                    rows: 1,
                    values: vec![value],
                    scale: scale.clone(),
                }),
            }],
            outlined: false,
            parted: false,
        });
        chart.labels.push(Label::new(
            name.clone(),
            left + SWATCH_PX + 8.0,
            top + 0.5 * SWATCH_PX + 0.36 * style.axis_px,
            style.axis_px,
        ));
    }
}

/// How to read the map, below it.
fn foot(chart: &mut Chart, s: &AimSummary, left: f64, style: &Style) {
    let lines = [
        "Which way it faces, from true north; how steep it stands. Darker is better.".to_owned(),
        format!(
            "Outlined: as good as the best ({}). Each cell is {} of its own, {:.1}° wide.",
            within(s).replace(TIE, " "),
            match s.weather.len() {
                0 | 1 => "a season".to_owned(),
                n => format!("{n} seasons"),
            },
            s.step_deg
        ),
        match s.loss.percent {
            Some(percent) => format!(
                "As it stands it gives {percent:.1} % less than at its best (range {:.1} to {:.1} %).",
                s.loss.percent_low.unwrap_or(percent),
                s.loss.percent_high.unwrap_or(percent)
            )
            .replace("-", "−"),
            None if s.loss.value < 0.5 => "As it stands: as many days as at its best.".to_owned(),
            None => format!(
                "As it stands: {} fewer than at its best (range {} to {}).",
                days(s.loss.value),
                whole(s.loss.low),
                whole(s.loss.high)
            ),
        },
    ];
    let mut y = 494.0;
    for line in lines {
        chart.labels.push(
            Label::new(line, left, y, style.axis_px)
                .in_ink(Ink::Muted)
                .within(WIDTH_PX - MARGIN_PX - left),
        );
        y += 22.0;
    }
}
