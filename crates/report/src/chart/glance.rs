//! Weather at a glance: every hour of the file as one cell, day beside day; sun above, air below.
//!
//! The lines of sunrise and sunset are those of the place and the clock that the file names: where the sun of the file
//! leaves them, the time zone, the longitude or the hours are wrong.

use chrono::{Datelike, NaiveDate, Timelike};
use swimdays_weather::{WeatherYear, YearKind, minutes_off, sunrise_and_sunset_h};

use super::time::{Leg, as_f64, month_legs, rule};
use super::year::line;
use super::{Axis, Cells, Chart, Dash, Frame, Label, Panel, Scale, Series, Shape, Tick, left_edge};
use crate::Units;
use crate::style::{ASCENT_EM, Ink, Ramp, Style};
use crate::words::{MONTHS, day, weather_name, whole};

/// Hours of a day, and cells on top of each other.
const HOURS: usize = 24;
/// More columns than this would be narrower than a pixel: several days then share one.
const MOST_COLUMNS: usize = 732;
/// Sun below this is night, W/m².
const NIGHT_W_M2: f64 = 1.0;
/// Width of a step of sun, W/m².
const SUN_STEP_W_M2: f64 = 50.0;
/// Steps of the air's scale between two of its marks.
const STEPS_PER_TICK: f64 = 4.0;
/// Up to so many days each has its name, if there is room.
const NAMED_DAYS: usize = 14;
/// Up to so many days the rule shows weeks, beyond it months.
const WEEKS_UP_TO_DAYS: usize = 92;
/// From so many days on it shows years.
const YEARS_FROM_DAYS: usize = 800;
/// Room on the right for the scales.
const SCALE_PX: f64 = 84.0;

/// What the picture of a weather year is made from.
#[derive(Clone, Copy, Debug)]
pub struct GlanceView<'a> {
    /// The weather.
    pub weather: &'a WeatherYear,
    /// Units shown.
    pub units: Units,
}

/// One map: its name, its values and how they are read.
struct Map {
    name: &'static str,
    heading: String,
    ink: Ink,
    values: Vec<f64>,
    scale: Scale,
    /// Its scale as an axis.
    axis: Axis,
}

/// Draws a weather year.
#[must_use]
pub fn glance_chart(view: &GlanceView<'_>, style: &Style) -> Chart {
    let weather = view.weather;
    let grid = Grid::of(weather);
    let (title, subtitle) = headings(view);
    let mut chart = Chart::sheet("glance", 612.0, style, &title, &subtitle);
    let clock = clock_axis(view.units);
    let left = left_edge([&clock], style);
    let right = super::WIDTH_PX - super::MARGIN_PX - SCALE_PX;
    let ends = (0.0, as_f64(grid.days.len()).max(1.0));
    let legs = legs(&grid.days, view.units);
    let months = Axis {
        min: ends.0,
        max: ends.1,
        ticks: legs
            .iter()
            .skip(1)
            .map(|leg| Tick {
                at: leg.from,
                label: String::new(),
            })
            .collect(),
    };
    let maps = [sun_map(weather, &grid), air_map(weather, &grid, view.units)];
    for (map, top) in maps.into_iter().zip([118.0, 342.0]) {
        let frame = Frame {
            left,
            top,
            right,
            bottom: top + 184.0,
        };
        chart.labels.push(
            Label::new(map.heading.clone(), left, top - 10.0, style.label_px)
                .bold()
                .within(right - left),
        );
        let cells = Cells {
            x0: 0.0,
            y0: 0.0,
            width: as_f64(grid.per_column),
            height: 1.0,
            rows: HOURS,
            values: map.values,
            scale: map.scale.clone(),
        };
        let mut panel = Panel {
            name: map.name,
            frame,
            x: months.clone(),
            y: clock.clone(),
            series: vec![Series {
                name: map.name.into(),
                ink: map.ink,
                shape: Shape::Cells(cells),
            }],
            outlined: false,
            parted: false,
        };
        // A last column of fewer days reaches past the end.
        panel.x.max = ends.1.max(as_f64(grid.columns() * grid.per_column));
        chart.label_left_axis(&panel, style.axis_px);
        if map.name == "sun" {
            sun_lines(&mut chart, &mut panel, weather, &grid.days, style);
        }
        let name = match map.name {
            "sun" => "sun scale",
            _ => "air scale",
        };
        scale_beside(&mut chart, &panel, name, map.scale, map.axis, style);
        chart.panels.push(panel);
    }
    let rule_frame = Frame {
        left,
        top: 540.0,
        right,
        bottom: 556.0,
    };
    let span = ends.1.max(as_f64(grid.columns() * grid.per_column));
    let rule = rule(rule_frame, (ends.0, span), &legs);
    chart.label_legs(&rule, &legs, 578.0, style.axis_px);
    chart.labels.push(
        Label::new(foot(weather), left, 602.0, style.axis_px)
            .in_ink(Ink::Muted)
            .within(super::WIDTH_PX - super::MARGIN_PX - left),
    );
    chart.panels.push(rule);
    chart.alt += &spoken(view);
    chart
}

/// The hours laid out as days.
struct Grid {
    days: Vec<NaiveDate>,
    /// Days that share a column.
    per_column: usize,
    /// Column and row of each interval.
    cells: Vec<usize>,
}

impl Grid {
    fn of(weather: &WeatherYear) -> Self {
        let first = weather.first_start.date();
        let place: Vec<(usize, usize)> = (0..weather.len())
            .map(|i| {
                let start = weather.start_of(i);
                let day = (start.date() - first).num_days();
                (usize::try_from(day).unwrap_or(0), start.hour() as usize)
            })
            .collect();
        let count = place.last().map_or(0, |(day, _)| day + 1);
        let per_column = count.div_ceil(MOST_COLUMNS).max(1);
        Self {
            days: first.iter_days().take(count).collect(),
            per_column,
            cells: place
                .into_iter()
                .map(|(day, hour)| day / per_column * HOURS + hour)
                .collect(),
        }
    }

    fn columns(&self) -> usize {
        self.days.len().div_ceil(self.per_column)
    }

    /// Mean of what falls into each cell.
    fn laid(&self, values: &[f64]) -> Vec<f64> {
        let mut sums = vec![(0.0, 0.0); self.columns() * HOURS];
        for (&cell, &value) in self.cells.iter().zip(values) {
            if let Some((sum, count)) = sums.get_mut(cell) {
                *sum += value;
                *count += 1.0;
            }
        }
        sums.into_iter()
            .map(|(sum, count)| if count > 0.0 { sum / count } else { f64::NAN })
            .collect()
    }
}

fn sun_map(weather: &WeatherYear, grid: &Grid) -> Map {
    let values = grid.laid(&weather.columns.ghi_w_m2);
    let most = values.iter().copied().fold(1000.0, f64::max);
    let mut ends = vec![0.0, NIGHT_W_M2];
    let mut end = SUN_STEP_W_M2;
    while end < most + SUN_STEP_W_M2 {
        ends.push(end);
        end += SUN_STEP_W_M2;
    }
    let mut axis = Axis::round([0.0, most], 6.0, "");
    axis.max = ends.last().copied().unwrap_or(axis.max).max(axis.max);
    Map {
        name: "sun",
        heading: "Sun on level ground, W/m²".into(),
        ink: Ink::Sun,
        values,
        scale: Scale {
            ramp: Ramp::Sun,
            ends,
            from_nothing: true,
        },
        axis,
    }
}

fn air_map(weather: &WeatherYear, grid: &Grid, units: Units) -> Map {
    let values: Vec<f64> = grid
        .laid(&weather.columns.air_c)
        .into_iter()
        .map(|c| units.temperature_value(c))
        .collect();
    let axis = Axis::round(values.iter().copied(), 6.0, "");
    let step = match axis.ticks.as_slice() {
        [first, second, ..] => (second.at - first.at) / STEPS_PER_TICK,
        _ => (axis.max - axis.min) / STEPS_PER_TICK,
    };
    let mut ends = vec![axis.min];
    let mut end = axis.min;
    while end < axis.max - 1e-9 {
        end += step;
        ends.push(end);
    }
    let axis = Axis {
        max: end.max(axis.max),
        ..axis
    };
    Map {
        name: "air",
        heading: format!("Air temperature, {}", units.temperature_unit()),
        ink: Ink::Air,
        values,
        scale: Scale {
            ramp: Ramp::Warmth,
            ends,
            from_nothing: false,
        },
        axis,
    }
}

/// The clock from midnight to midnight.
pub(crate) fn clock_axis(units: Units) -> Axis {
    let names = match units {
        Units::Us => ["midnight", "6 am", "noon", "6 pm", "midnight"],
        Units::Metric => ["0:00", "6:00", "12:00", "18:00", "24:00"],
    };
    Axis {
        min: 0.0,
        max: 24.0,
        ticks: [0.0, 6.0, 12.0, 18.0, 24.0]
            .into_iter()
            .zip(names)
            .map(|(at, label)| Tick {
                at,
                label: label.into(),
            })
            .collect(),
    }
}

/// Legs of the rule: days, weeks, months or years, as many as can be read.
fn legs(days: &[NaiveDate], units: Units) -> Vec<Leg> {
    if days.len() > WEEKS_UP_TO_DAYS && days.len() < YEARS_FROM_DAYS {
        return month_legs(days).into_iter().map(|(_, leg)| leg).collect();
    }
    let years = days.len() >= YEARS_FROM_DAYS;
    let long = if days.len() <= NAMED_DAYS { 1 } else { 7 };
    let mut legs: Vec<Leg> = Vec::new();
    for (i, date) in days.iter().enumerate() {
        let begins = if years {
            date.ordinal() == 1
        } else {
            i % long == 0
        };
        let at = as_f64(i);
        match legs.last_mut() {
            Some(leg) if !begins => leg.to = at + 1.0,
            _ => legs.push(Leg {
                from: at,
                to: at + 1.0,
                name: if years {
                    date.year().to_string()
                } else {
                    day(*date, units)
                },
            }),
        }
    }
    legs
}

/// Sunrise and sunset over the map of the sun, each with its name on the night's side.
fn sun_lines(
    chart: &mut Chart,
    panel: &mut Panel,
    weather: &WeatherYear,
    days: &[NaiveDate],
    style: &Style,
) {
    const HALO_PX: f64 = 3.5;
    const LINE_PX: f64 = 1.5;
    /// Of a place on the day's side of its line.
    const DAY_COST: f64 = 500.0;
    /// A line that leaps from one end of the clock to the other is broken, hours.
    const LEAP_H: f64 = 12.0;
    let times: Vec<Option<(f64, f64)>> = days
        .iter()
        .map(|date| sunrise_and_sunset_h(&weather.place, *date))
        .collect();
    let points = |of: fn((f64, f64)) -> f64| -> Vec<(f64, f64)> {
        let mut out: Vec<(f64, f64)> = Vec::new();
        for (i, time) in times.iter().enumerate() {
            let hour = time.map_or(f64::NAN, of);
            if out
                .last()
                .is_some_and(|last| (last.1 - hour).abs() > LEAP_H)
            {
                out.push((as_f64(i), f64::NAN));
            }
            out.push((as_f64(i) + 0.5, hour));
        }
        out
    };
    let both = [
        ("sunrise", points(|t| t.0), DAY_COST, 0.0),
        ("sunset", points(|t| t.1), 0.0, DAY_COST),
    ];
    for (name, points, ..) in &both {
        let halo = format!("{name} halo");
        let points = points.clone();
        panel
            .series
            .push(line(&halo, Ink::Paper, points, HALO_PX, Dash::Solid));
    }
    for (name, points, above, below) in both {
        let series = line(name, Ink::Text, points, LINE_PX, Dash::Solid);
        let label = Label::new(name, 0.0, 0.0, style.axis_px);
        let beside = (panel.pixels(&series), above, below);
        if let Some(spot) = chart.best_beside(panel.frame, &[beside], &[], &label) {
            chart.labels.push(Label {
                x: spot.left,
                y: spot.top + ASCENT_EM * label.size_px,
                on_patch: true,
                ..label
            });
        }
        panel.series.push(series);
    }
}

/// The tones beside their map, with what they stand for.
pub(crate) fn scale_beside(
    chart: &mut Chart,
    map: &Panel,
    name: &'static str,
    scale: Scale,
    axis: Axis,
    style: &Style,
) {
    let frame = Frame {
        left: map.frame.right + 14.0,
        right: map.frame.right + 30.0,
        ..map.frame
    };
    let mut panel = Panel {
        name,
        frame,
        x: Axis::plain(0.0, 1.0),
        y: axis,
        series: Vec::new(),
        outlined: false,
        parted: false,
    };
    for tick in std::mem::take(&mut panel.y.ticks) {
        let (_, y) = panel.px(0.0, tick.at);
        chart.labels.push(
            Label::new(
                tick.label.trim().to_owned(),
                frame.right + 6.0,
                y + 0.36 * style.axis_px,
                style.axis_px,
            )
            .in_ink(Ink::Muted),
        );
    }
    // Each step is a grid of one cell: steps need not be of one width.
    panel.series = scale
        .ends
        .windows(2)
        .map(|ends| Series {
            name: format!("{} to {}", whole(ends[0]), whole(ends[1])),
            ink: Ink::Other,
            shape: Shape::Cells(Cells {
                x0: 0.0,
                y0: ends[0],
                width: 1.0,
                height: ends[1] - ends[0],
                rows: 1,
                values: vec![ends[0]],
                scale: scale.clone(),
            }),
        })
        .collect();
    chart.panels.push(panel);
}

/// The title and the line below it.
fn headings(view: &GlanceView<'_>) -> (String, String) {
    let (weather, units) = (view.weather, view.units);
    let all = weather.summary().all;
    let place = &weather.place;
    let t = |c: f64| whole(units.temperature_value(c));
    let air = format!(
        "air {} to {} {}",
        t(all.air_lowest_c),
        t(all.air_highest_c),
        units.temperature_unit()
    );
    let title = match all.sun_kwh_m2_day {
        Some(sun) => format!("{sun:.1} kWh/m² of sun a day, {air}"),
        None => format!("Less than a day of weather: {air}"),
    };
    let kind = match weather.kind {
        YearKind::Typical => "a typical year",
        YearKind::Measured => "measured",
    };
    let subtitle = format!(
        "{}, {kind}. Clock: local standard time, {}.",
        weather_name(&place.name, place.latitude_deg, place.longitude_deg),
        utc(place.utc_offset_h)
    );
    (title, subtitle)
}

/// How to read the maps, below them.
fn foot(weather: &WeatherYear) -> String {
    let read = "Darker is more. Lines: when the sun rises and sets there, by this clock";
    if weather.radiation_shift_minutes.abs() < 0.5 {
        return format!("{read}.");
    }
    format!(
        "{read}; the file's sun is {}, as drawn.",
        minutes_off(weather.radiation_shift_minutes)
    )
}

/// `UTC−6`, `UTC+5:30`.
pub(crate) fn utc(offset_h: f64) -> String {
    let sign = if offset_h < 0.0 { '−' } else { '+' };
    let minutes = (offset_h.abs() * 60.0).round();
    let (hours, rest) = ((minutes / 60.0).floor(), minutes % 60.0);
    if rest > 0.0 {
        format!("UTC{sign}{hours:.0}:{rest:02.0}")
    } else {
        format!("UTC{sign}{hours:.0}")
    }
}

/// The months in words, for those who do not see the picture.
fn spoken(view: &GlanceView<'_>) -> String {
    let months = view.weather.summary().months;
    let parts: Vec<String> = months
        .iter()
        .zip(MONTHS)
        .filter_map(|(stretch, name)| {
            let stretch = stretch.as_ref()?;
            let sun = stretch
                .sun_kwh_m2_day
                .map_or_else(String::new, |sun| format!("{sun:.1} kWh/m² a day, "));
            let air = whole(view.units.temperature_value(stretch.air_c));
            Some(format!("{name} {sun}{air}"))
        })
        .collect();
    format!(
        " Sun and mean air ({}) by month: {}.",
        view.units.temperature_unit(),
        parts.join("; ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_is_named_by_its_distance_from_utc() {
        assert_eq!(utc(-6.0), "UTC−6");
        assert_eq!(utc(5.5), "UTC+5:30");
        assert_eq!(utc(0.0), "UTC+0");
        assert_eq!(utc(-3.5), "UTC−3:30");
    }
}
