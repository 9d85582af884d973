//! Real TMY3 and EPW years through the whole chain.

use swimdays_season::{Detail, run};
use swimdays_solar::LongwaveSource;
use swimdays_tests::{outside_folder, validation};
use swimdays_weather::Format;

use crate::{REAL_YEARS, Ran, closes, real_year};

#[test]
fn real_years_run_through_the_whole_chain() {
    if outside_folder("SWIMDAYS_WEATHER_DIR").is_none() {
        return;
    }
    let mut rows = vec![
        "| real year | longwave from | swim days bare, cover and board | too hot | water, °C | heaters, kWh | closure, kWh |".to_owned(),
        "|---|---|---|---|---|---|---|".to_owned(),
    ];
    let mut formats = Vec::new();
    for (_, name) in REAL_YEARS {
        let weather = real_year(name).expect("the folder is there");
        formats.push(weather.format);
        let bare = Ran::on("bare", &[], &weather);
        let both = Ran::on("cover-and-board", &[], &weather);
        for (what, ran) in [("bare", &bare), ("cover and board", &both)] {
            let what = format!("{name}, {what}");
            closes(ran, &what);
            let s = &ran.season;
            assert!(
                s.swim_days <= 153,
                "{what}: {} swim days, 153 open",
                s.swim_days
            );
            let hourly = ran.hourly();
            let columns = [
                &hourly.water_c,
                &hourly.air_c,
                &hourly.dew_point_c,
                &hourly.wind_m_s,
                &hourly.ghi_w_m2,
                &hourly.sky_longwave_w_m2,
                &hourly.pump_on_frac,
                &hourly.cover_on_frac,
            ];
            for column in columns {
                assert_eq!(column.len(), weather.len(), "{what}");
                assert!(column.iter().all(|v| v.is_finite()), "{what}");
            }
            assert!(
                s.water_min_c >= 0.0 && s.water_max_c < 45.0,
                "{what}: {} to {}",
                s.water_min_c,
                s.water_max_c
            );
            assert!(
                s.periodic.is_some_and(|p| p.difference_k.abs() <= 0.05),
                "{what}: {:?}",
                s.periodic
            );
            // The longwave that the file has, or the next best.
            let expected = if weather.columns.infrared_w_m2.is_some() {
                LongwaveSource::Infrared
            } else if weather.columns.sky_cover_frac.is_some() {
                LongwaveSource::SkyCover
            } else {
                LongwaveSource::SunCloudiness
            };
            assert_eq!(ran.year.longwave_source, expected, "{what}");
            // A run for studies gives the same.
            let days = run(&ran.plan, &ran.year, Detail::Days).expect("a run");
            assert_eq!(
                (days.swim_days, days.too_hot_days),
                (s.swim_days, s.too_hot_days),
                "{what}"
            );
            assert!(days.hourly.is_none());
            assert_eq!(days.heat_kwh, s.heat_kwh, "{what}");
        }
        assert!(both.season.swim_days >= bare.season.swim_days, "{name}");
        let heat = both.season.heat_kwh.heaters;
        // 3.3 m² of tube, May to September, eight hours a day: less than all the sun on it, more than nothing.
        let sun = both.season.heaters[0].sun_on_plane_kwh;
        assert!(heat > 0.0 && heat < sun, "{name}: {heat} of {sun} kWh");
        let line = format!(
            "| {name} | {} | {}, {} | {}, {} | {:.1} to {:.1} | {heat:.0} | {} |",
            both.year.longwave_source.name(),
            bare.season.swim_days,
            both.season.swim_days,
            bare.season.too_hot_days,
            both.season.too_hot_days,
            both.season.water_min_c,
            both.season.water_max_c,
            if both.season.heat_kwh.residual().abs() < 1e-6 {
                "below 1e-6"
            } else {
                "above 1e-6"
            }
        );
        println!("{line}");
        rows.push(line);
    }
    validation::table("season-real-years", &rows);
    assert!(formats.contains(&Format::Tmy3) && formats.contains(&Format::Epw));
}
