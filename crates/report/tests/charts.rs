//! Charts: their series are the result's, their axes cover them, their labels stay clear of each other and of
//! the edge, and the files are what they should be.

#![allow(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "tests: small numbers, and a panic is a failed test"
)]

#[path = "fixture/checks.rs"]
mod checks;
mod fixture;
#[path = "fixture/flows.rs"]
mod flows;
#[path = "fixture/look.rs"]
mod look;
#[path = "fixture/studies.rs"]
mod studies;
#[path = "fixture/views.rs"]
mod views;

use chrono::{Datelike, TimeDelta};
use fixture::{Invented, TARGET_C, TOO_HOT_C, season};
use resvg::usvg;
use swimdays_report::Units;
use swimdays_report::chart::{
    Bar, Chart, GlanceView, PNG_PIXELS_PER_METRE, PNG_SCALE, Shape, YearView, glance_chart,
    season_ledger_chart, telling_week, week_from, year_chart,
};
use swimdays_report::style::{Ground, Ink, Style, text_width_px};
use swimdays_season::{Day, MonthDay};
use swimdays_weather::WeatherYear;
use views::{calendar, ledger, week, year};

/// Rounding of the SVG's positions to 1/8 px.
const ROUNDED_PX: f64 = 0.25;
/// Kerning, which our widths leave out, tightens a line of Inter by no more than this share.
const KERNING_FRAC: f64 = 0.03;
/// Series are converted, not computed: equal but for the rounding of a conversion.
const SAME: f64 = 1e-9;

/// Charts of seasons of many kinds: hot and cold, north and south, with a large board, a small one and none.
fn gallery() -> Vec<(String, Chart)> {
    let mut out = Vec::new();
    for south in [false, true] {
        for board in [0.0, 0.2, 1.0, 6.0] {
            for warmer_k in [-14.0, -6.0, 0.0, 6.0, 12.0] {
                let season = season(Invented {
                    south,
                    board,
                    warmer_k,
                });
                let units = if south { Units::Metric } else { Units::Us };
                let name = format!("south {south}, board {board}, {warmer_k} K");
                let charts = [
                    year(&season, units),
                    calendar(&season),
                    ledger(&season, if south { 6 } else { 0 }, board > 0.0),
                    season_ledger_chart(&season, board > 0.0, "Back yard", &Style::light()),
                    week(&season, units, board > 0.0),
                ];
                out.extend(
                    charts
                        .into_iter()
                        .map(|c| (format!("{} ({name})", c.name), c)),
                );
            }
        }
    }
    out.extend(glances());
    out.extend(flows::charts());
    out.extend(studies::charts());
    out.extend(checks::charts());
    out
}

/// Weather at a glance: whole years north and south, two units, a week, a few hours, four years of which one hour in three has a
/// hole, a clock that is hours off and a place where the sun stays up.
fn glances() -> Vec<(String, Chart)> {
    let mut out = Vec::new();
    for (name, change) in [
        ("year", (|_| ()) as fn(&mut WeatherYear)),
        ("week", |y| shorten(y, 24 * 7)),
        ("weeks", |y| shorten(y, 24 * 40 + 5)),
        ("five hours", |y| shorten(y, 5)),
        ("four years", |y| y.interval_minutes = 240),
        ("clock off", |y| y.place.utc_offset_h += 9.0),
        ("polar", |y| y.place.latitude_deg = 77.0),
        ("shifted", |y| y.radiation_shift_minutes = -40.5),
        ("long name", |y| y.place.name = "Long name ".repeat(40)),
        ("one temperature", |y| y.columns.air_c.fill(-11.0)),
    ] {
        for file in ["temperate", "cool-south", "hot-dry"] {
            let mut year = weather(file);
            change(&mut year);
            for units in [Units::Us, Units::Metric] {
                let view = GlanceView {
                    weather: &year,
                    units,
                };
                let chart = glance_chart(&view, &Style::light());
                out.push((format!("glance ({file}, {name}, {units:?})"), chart));
            }
        }
    }
    out
}

fn weather(sample: &str) -> WeatherYear {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../weather-samples")
        .join(format!("{sample}.epw"));
    swimdays_weather::read(&path).unwrap()
}

fn shorten(year: &mut WeatherYear, hours: usize) {
    let c = &mut year.columns;
    for column in [
        &mut c.air_c,
        &mut c.dew_point_c,
        &mut c.pressure_pa,
        &mut c.wind_m_s,
        &mut c.ghi_w_m2,
        &mut c.dni_w_m2,
        &mut c.dhi_w_m2,
    ] {
        column.truncate(hours);
    }
}

#[test]
fn the_maps_cells_are_the_hours() {
    let year = weather("temperate");
    let view = GlanceView {
        weather: &year,
        units: Units::Us,
    };
    let chart = glance_chart(&view, &Style::light());
    for name in ["sun", "air"] {
        let Shape::Cells(cells) = &chart.panel(name).unwrap().series(name).unwrap().shape else {
            panic!("cells")
        };
        assert_eq!(cells.values.len(), 8760);
        assert_eq!((cells.columns(), cells.rows), (365, 24));
        for (i, value) in cells.values.iter().enumerate() {
            // °F by its definition: 9/5 °C + 32.
            let wanted = match name {
                "sun" => year.columns.ghi_w_m2[i],
                _ => year.columns.air_c[i] * 9.0 / 5.0 + 32.0,
            };
            assert!((value - wanted).abs() < SAME, "{name} {i}");
        }
    }
}

/// What an hour is coloured is what the scale beside the map says; tones fall in lightness step by step, so that
/// they read printed grey (CIE lightness after the sRGB standard, IEC 61966-2-1).
#[test]
fn tones_of_a_scale_grow_darker_step_by_step() {
    /// Two steps that differ by less are hard to tell apart even side by side.
    const LEAST_STEP: f64 = 1.0;
    let lightness = |rgb: [u8; 3]| {
        let linear = rgb.map(|v| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 {
                v / 12.92
            } else {
                ((v + 0.055) / 1.055).powf(2.4)
            }
        });
        let y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
        116.0 * y.cbrt() - 16.0
    };
    let year = weather("hot-dry");
    for (style, darker) in [(Style::light(), 1.0), (Style::dark(), -1.0)] {
        let view = GlanceView {
            weather: &year,
            units: Units::Metric,
        };
        let chart = glance_chart(&view, &style);
        for name in ["sun", "air"] {
            let Shape::Cells(cells) = &chart.panel(name).unwrap().series(name).unwrap().shape
            else {
                panic!("cells")
            };
            let tones: Vec<f64> = (0..cells.scale.steps())
                .map(|step| lightness(cells.scale.rgb(step, &style)))
                .collect();
            // The first step of the sun is the night, which has the shade of the rule.
            let first = usize::from(cells.scale.from_nothing);
            for pair in tones[first..].windows(2) {
                assert!(
                    darker * (pair[0] - pair[1]) > LEAST_STEP,
                    "{name} {:?}: {tones:?}",
                    style.ground
                );
            }
            let scale = chart.panel(&format!("{name} scale")).unwrap();
            assert_eq!(scale.series.len(), cells.scale.steps());
        }
    }
}

#[test]
fn a_map_of_a_year_is_small_and_missing_hours_stay_paper() {
    /// A year of cells drawn one by one would take a megabyte and more.
    const LARGEST_BYTES: usize = 250_000;
    let mut year = weather("temperate");
    let svg = |year: &WeatherYear| {
        let view = GlanceView {
            weather: year,
            units: Units::Us,
        };
        glance_chart(&view, &Style::light())
            .svg(&Style::light())
            .unwrap()
    };
    let whole = svg(&year);
    assert!(whole.len() < LARGEST_BYTES, "{} bytes", whole.len());
    shorten(&mut year, 5);
    // By hand: five hours of night are one block in each map, 22 and some steps beside them.
    let part = svg(&year);
    assert!(part.contains("d=\"M0 0h1v5h-1z\""), "{part}");
}

#[test]
fn the_years_series_are_the_days() {
    let season = season(Invented::default());
    let chart = year(&season, Units::Us);
    let panel = chart.panel("temperature").unwrap();
    let Shape::Line { points, .. } = &panel.series("water_mean").unwrap().shape else {
        panic!("a line")
    };
    assert_eq!(points.len(), season.days.len());
    for (i, (point, day)) in points.iter().zip(&season.days).enumerate() {
        assert!((point.0 - (i as f64 + 0.5)).abs() < SAME);
        // °F by its definition: 9/5 °C + 32.
        assert!((point.1 - (day.water_mean_c * 9.0 / 5.0 + 32.0)).abs() < SAME);
    }
    let Shape::Area(span) = &panel.series("water_span").unwrap().shape else {
        panic!("an area")
    };
    for (s, day) in span.iter().zip(&season.days) {
        assert!((s.1 - (day.water_min_c * 1.8 + 32.0)).abs() < SAME);
        assert!((s.2 - (day.water_max_c * 1.8 + 32.0)).abs() < SAME);
    }
    let rule = chart.panel("rule").unwrap();
    for (name, wanted) in [
        ("swim_days", season.swim_days),
        ("too_hot_days", season.too_hot_days),
    ] {
        let Shape::Bars(marks) = &rule.series(name).unwrap().shape else {
            panic!("bars")
        };
        assert_eq!(marks.len(), wanted, "{name}");
        for mark in marks {
            let day = &season.days[mark.x0.floor() as usize];
            assert!(if name == "swim_days" {
                day.swim
            } else {
                day.too_hot
            });
        }
    }
}

#[test]
fn the_calendars_boxes_are_the_days() {
    for south in [false, true] {
        let season = season(Invented {
            south,
            warmer_k: 6.0,
            ..Invented::default()
        });
        let chart = calendar(&season);
        let panel = chart.panel("calendar").unwrap();
        let first = season.days[0].date;
        for (name, keep) in [
            ("swim_days", (|d| d.swim) as fn(&Day) -> bool),
            ("too_hot_days", |d| d.too_hot),
            ("cold_days", |d| d.open && !d.swim && !d.too_hot),
        ] {
            let Shape::Bars(marks) = &panel.series(name).unwrap().shape else {
                panic!("bars")
            };
            let wanted: Vec<&Day> = season.days.iter().filter(|d| keep(d)).collect();
            assert_eq!(marks.len(), wanted.len(), "{name}");
            for (mark, day) in marks.iter().zip(wanted) {
                assert_eq!(mark.x0.floor() as u32 + 1, day.date.day());
                // Rows from the top, in the order of the swim year.
                let months = (day.date.year() - first.year()) * 12 + day.date.month0() as i32
                    - first.month0() as i32;
                assert_eq!(11 - mark.y0.floor() as i32, months, "{}", day.date);
            }
        }
        assert!(season.too_hot_days > 0 && season.swim_days > 0);
    }
}

#[test]
fn the_ledgers_bars_are_the_months() {
    let season = season(Invented {
        south: true,
        ..Invented::default()
    });
    let chart = ledger(&season, 6, true);
    let panel = chart.panel("heat").unwrap();
    let mut up = [0.0; 12];
    let mut down = [0.0; 12];
    for series in &panel.series {
        let Shape::Bars(bars) = &series.shape else {
            continue;
        };
        for bar in bars {
            let month = (bar.x0.floor() as usize + 6) % 12;
            let height = bar.y1 - bar.y0;
            if height > 0.0 {
                up[month] += height
            } else {
                down[month] += height
            }
        }
    }
    for month in 0..12 {
        let l = &season.heat_by_month_kwh[month];
        // What was stored is the sum of all causes, and all causes are drawn, however small.
        assert!(
            (up[month] + down[month] - l.stored_change).abs() < 1e-6,
            "month {month}"
        );
    }
    let Shape::Bars(heater) = &panel.series("solar heater").unwrap().shape else {
        panic!("bars")
    };
    let drawn: f64 = heater.iter().map(|b: &Bar| b.y1 - b.y0).sum();
    assert!((drawn - season.heat_kwh.heaters).abs() < 1e-6);
}

#[test]
fn a_small_heater_is_never_hidden_among_the_others() {
    let season = season(Invented {
        board: 0.02,
        ..Invented::default()
    });
    assert!(
        ledger(&season, 0, true)
            .panel("heat")
            .unwrap()
            .series("solar heater")
            .is_some()
    );
    assert!(
        ledger(&season, 0, false)
            .panel("heat")
            .unwrap()
            .series("solar heater")
            .is_none()
    );
}

#[test]
fn the_weeks_series_are_the_hours() {
    let season = season(Invented::default());
    let from = telling_week(&season).unwrap();
    let chart = week(&season, Units::Metric, true);
    let hourly = season.hourly.as_ref().unwrap();
    let begin = from.and_hms_opt(0, 0, 0).unwrap();
    let first = hourly.start.iter().position(|s| *s == begin).unwrap();
    let panel = chart.panel("temperature").unwrap();
    for (name, column) in [
        ("water", &hourly.water_c),
        ("outlet", &hourly.outlet_c),
        ("air", &hourly.air_c),
    ] {
        let Shape::Line { points, .. } = &panel.series(name).unwrap().shape else {
            panic!("a line")
        };
        assert_eq!(points.len(), 168);
        for (i, point) in points.iter().enumerate() {
            let wanted = column[first + i];
            assert!(
                (point.1 - wanted).abs() < SAME || (point.1.is_nan() && wanted.is_nan()),
                "{name} {i}"
            );
        }
    }
    let Shape::Bars(pump) = &chart.panel("rule").unwrap().series("pump").unwrap().shape else {
        panic!("bars")
    };
    let drawn: f64 = pump.iter().map(|b| (b.x1 - b.x0) * (b.y1 - b.y0)).sum();
    let ran: f64 = hourly.pump_on_frac[first..first + 168].iter().sum();
    assert!((drawn - ran).abs() < 1e-9 && ran > 0.0);
    assert!(hourly.start[first + 167] - begin == TimeDelta::hours(167));
}

#[test]
fn the_telling_week_is_an_open_one_in_which_the_heater_works_and_the_water_warms() {
    let season = season(Invented::default());
    let from = telling_week(&season).unwrap();
    let heat = |start: usize| -> f64 {
        season.days[start..start + 7]
            .iter()
            .map(|d| d.heat_kwh.heaters)
            .sum()
    };
    let rise = |start: usize| season.days[start + 6].water_mean_c - season.days[start].water_mean_c;
    let open: Vec<usize> = (0..season.days.len() - 6)
        .filter(|start| season.days[*start..start + 7].iter().all(|d| d.open))
        .collect();
    let most = open.iter().map(|s| heat(*s)).fold(0.0, f64::max);
    let chosen = season.days.iter().position(|d| d.date == from).unwrap();
    assert!(open.contains(&chosen) && heat(chosen) >= most / 2.0);
    for start in open.into_iter().filter(|s| heat(*s) >= most / 2.0) {
        assert!(rise(start) <= rise(chosen) + 1e-9);
    }
}

#[test]
fn a_week_starts_where_asked_and_ends_within_the_run() {
    let season = season(Invented::default());
    let start = |month, day| week_from(&season, MonthDay { month, day }).map(|d| d.to_string());
    assert_eq!(start(5, 14).as_deref(), Some("2001-05-14"));
    assert_eq!(start(12, 30).as_deref(), Some("2001-12-25"));
    assert_eq!(start(2, 29), None);
}

#[test]
fn axes_cover_all_that_is_drawn() {
    for (name, chart) in gallery() {
        look::axes_cover(&name, &chart);
    }
}

#[test]
fn labels_stay_on_the_sheet_and_clear_of_each_other() {
    for (name, chart) in gallery() {
        look::labels_are_clear(&name, &chart);
    }
}

#[test]
fn a_very_long_name_is_cut_and_no_text_is_small() {
    let season = season(Invented::default());
    let place = "A name of a place that goes on and on <script>&\"'\u{7} ".repeat(9);
    let view = YearView {
        days: &season.days,
        target_c: TARGET_C,
        too_hot_c: TOO_HOT_C,
        range: None,
        place: &place,
        units: Units::Us,
    };
    let chart = year_chart(&view, &Style::light());
    assert!(
        chart
            .text_boxes()
            .iter()
            .all(|b| chart.sheet_frame().contains(b))
    );
    assert!(chart.labels.iter().all(|l| l.size_px >= 14.0));
    let svg = chart.svg(&Style::light()).unwrap();
    assert!(!svg.contains("<script") && !svg.contains('\u{7}'));
    assert!(usvg::Tree::from_str(&svg, &usvg::Options::default()).is_ok());
}

/// Our boxes against those that resvg's own shaping gives to the drawn text.
#[test]
fn text_boxes_are_where_the_text_is_drawn() {
    let season = season(Invented::default());
    for chart in [
        year(&season, Units::Us),
        ledger(&season, 0, true),
        week(&season, Units::Us, true),
    ] {
        let svg = chart.svg(&Style::light()).unwrap();
        let mut options = usvg::Options {
            font_family: "Inter".into(),
            ..Default::default()
        };
        for file in ["Inter-Regular.ttf", "Inter-SemiBold.ttf"] {
            let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("fonts")
                .join(file);
            options
                .fontdb_mut()
                .load_font_data(std::fs::read(path).unwrap());
        }
        let tree = usvg::Tree::from_str(&svg, &options).unwrap();
        let mut drawn = Vec::new();
        texts(tree.root(), &mut drawn);
        assert_eq!(drawn.len(), chart.labels.len(), "all labels are drawn");
        for (text, (label, ours)) in drawn
            .iter()
            .zip(chart.labels.iter().zip(chart.text_boxes()))
        {
            let theirs = text.abs_bounding_box();
            let (left, right) = (f64::from(theirs.left()), f64::from(theirs.right()));
            assert!(
                left >= ours.left - ROUNDED_PX
                    && right <= ours.right + ROUNDED_PX
                    && right - left >= (1.0 - KERNING_FRAC) * (ours.right - ours.left) - ROUNDED_PX,
                "“{}”: {theirs:?} against {ours:?}",
                label.text
            );
            // Theirs reaches from the font's full ascent to its full descent and so encloses the letters.
            assert!(
                f64::from(theirs.top()) <= ours.top
                    && f64::from(theirs.bottom()) >= ours.bottom - 1.0
            );
        }
    }
}

fn texts<'a>(group: &'a usvg::Group, out: &mut Vec<&'a usvg::Text>) {
    for node in group.children() {
        match node {
            usvg::Node::Text(text) => out.push(text),
            usvg::Node::Group(group) => texts(group, out),
            _ => {}
        }
    }
}

#[test]
fn a_png_has_two_pixels_to_the_px_and_says_144_dpi() {
    let season = season(Invented::default());
    let chart = week(&season, Units::Us, true);
    let file = chart.png(&Style::light()).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(&file))
        .read_info()
        .unwrap();
    let info = reader.info();
    assert_eq!(f64::from(info.width), chart.width_px * f64::from(PNG_SCALE));
    assert_eq!(
        f64::from(info.height),
        chart.height_px * f64::from(PNG_SCALE)
    );
    let dims = info.pixel_dims.unwrap();
    assert_eq!(
        (dims.xppu, dims.yppu, dims.unit),
        (PNG_PIXELS_PER_METRE, PNG_PIXELS_PER_METRE, png::Unit::Meter)
    );
    // 144 dots per inch of 0.0254 m.
    assert!((f64::from(dims.xppu) * 0.0254 - 144.0).abs() < 0.01);
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    let paper = Style::light().rgb(Ink::Paper);
    assert_eq!(pixels[..3], paper, "the corner is paper");
    let inked = pixels.chunks_exact(3).filter(|p| **p != paper).count();
    assert!(inked > pixels.len() / 3 / 20, "something is drawn");
}

#[test]
fn the_same_season_gives_the_same_bytes() {
    let draw = || {
        let season = season(Invented::default());
        let chart = year(&season, Units::Us);
        (
            chart.svg(&Style::light()).unwrap(),
            chart.png(&Style::light()).unwrap(),
        )
    };
    assert_eq!(draw(), draw());
}

#[test]
fn an_svg_names_our_font_and_fallbacks_and_says_what_it_shows() {
    let season = season(Invented::default());
    let svg = year(&season, Units::Us).svg(&Style::dark()).unwrap();
    assert!(svg.contains("Inter, &apos;Segoe UI&apos;"));
    assert!(svg.contains("<title>") && svg.contains("<desc>") && svg.contains("role=\"img\""));
    assert!(svg.trim_end().ends_with("</svg>"));
    assert_eq!(Style::dark().ground, Ground::Dark);
}

#[test]
fn a_gap_in_a_series_is_not_drawn_over() {
    let mut season = season(Invented::default());
    if let Some(hourly) = &mut season.hourly {
        hourly.water_c.iter_mut().for_each(|v| *v = f64::NAN);
        hourly.air_c.iter_mut().for_each(|v| *v = f64::NAN);
        hourly.outlet_c.iter_mut().for_each(|v| *v = f64::NAN);
    }
    let chart = week(&season, Units::Us, true);
    assert!(
        chart
            .panel("temperature")
            .unwrap()
            .series("water")
            .unwrap()
            .values()
            .is_empty()
    );
    assert!(chart.svg(&Style::light()).is_ok());
}

/// A run with a given start has empty days before it.
#[test]
fn empty_days_before_a_start_are_left_out() {
    let mut season = season(Invented::default());
    for day in &mut season.days[..120] {
        day.water_min_c = f64::NAN;
        day.water_mean_c = f64::NAN;
        day.water_max_c = f64::NAN;
        day.heat_kwh.fill(f64::NAN);
    }
    let chart = year(&season, Units::Us);
    let panel = chart.panel("temperature").unwrap();
    assert_eq!(
        panel.series("water_mean").unwrap().values().len(),
        365 - 120
    );
    assert_eq!(panel.series("air_mean").unwrap().values().len(), 365);
    assert!(
        !chart.alt.contains("NaN") && !chart.alt.contains('–'),
        "{}",
        chart.alt
    );
    assert!(chart.svg(&Style::light()).is_ok());
    let chosen = telling_week(&season).unwrap();
    assert!(
        season
            .days
            .iter()
            .any(|d| d.date == chosen && d.open && d.water_mean_c.is_finite())
    );
}

#[test]
fn a_value_alone_is_drawn() {
    let mut season = season(Invented::default());
    let from = telling_week(&season).unwrap();
    let hourly = season.hourly.as_mut().unwrap();
    let noon = hourly
        .start
        .iter()
        .position(|s| *s == from.and_hms_opt(12, 0, 0).unwrap())
        .unwrap();
    for (i, outlet) in hourly.outlet_c.iter_mut().enumerate() {
        *outlet = if i == noon { 30.0 } else { f64::NAN };
    }
    let orange = {
        let [r, g, b] = Style::light().rgb(Ink::Outlet);
        format!("stroke=\"#{r:02X}{g:02X}{b:02X}\"")
    };
    let svg = week(&season, Units::Metric, true)
        .svg(&Style::light())
        .unwrap();
    assert_eq!(svg.matches(&orange).count(), 1);
}

#[test]
fn widths_come_from_the_font() {
    let one = text_width_px("m", 100.0, false);
    assert!((text_width_px("mmm", 100.0, false) - 3.0 * one).abs() < 1e-6);
    assert!(text_width_px("water", 16.0, true) > text_width_px("water", 16.0, false));
}
