//! Make-up water, rain and mains.

use swimdays_pool::{AnnualCycle, mains_c, make_up_w_m2, rain_w_m2};

use crate::{near, slope_holds};

#[test]
fn make_up_and_rain() {
    // 1 mm/day of water 15 K colder: 1/86400 · 4180.6 · 15 = 0.7258 W/m².
    let flux = make_up_w_m2(1.0 / 86_400.0, 12.0, 27.0);
    near(flux.w_m2, -0.725_8, 1e-4, "make-up");
    assert_eq!(flux, rain_w_m2(1.0 / 86_400.0, 12.0, 27.0));
    slope_holds("make-up", |c| make_up_w_m2(1e-4, 12.0, c), 27.0);
}

#[test]
fn mains_as_the_source_writes_it() {
    // Burch & Christensen (2007) in °F and degrees (from memory), 15 January as the coldest day.
    let source = |mean_f: f64, amplitude_f: f64, day: f64| {
        let ratio = 0.4 + 0.01 * (mean_f - 44.0);
        let lag = 35.0 - 1.0 * (mean_f - 44.0);
        let angle = (0.986 * (day - 15.0 - lag) - 90.0).to_radians();
        (mean_f + 6.0 + ratio * amplitude_f * angle.sin() - 32.0) / 1.8
    };
    for (mean_f, amplitude_f) in [(48.0, 26.0), (60.0, 18.0), (75.0, 8.0)] {
        let north = AnnualCycle {
            mean_c: (mean_f - 32.0) / 1.8,
            amplitude_k: amplitude_f / 1.8,
            coldest_day: 15.0,
        };
        let south = AnnualCycle {
            coldest_day: 197.5,
            ..north
        };
        for day in (0..365).map(f64::from) {
            near(
                mains_c(&north, day),
                source(mean_f, amplitude_f, day),
                1e-9,
                "north",
            );
            near(
                mains_c(&south, day + 182.5),
                mains_c(&north, day),
                1e-9,
                "south",
            );
        }
    }
}
