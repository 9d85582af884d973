//! Several weather years and years made from normals: what the summary and the terminal say of them.

#![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

#[path = "fixture/plan.rs"]
mod fixture;

use fixture::{plan, stepped, weather};
use swimdays_report::text::{MOST_LINES, season_lines};
use swimdays_report::{
    DayRange, MeasureDays, NormalsSummary, Span, Spread, Summary, SummaryInput, Units,
    WarningSummary, WeatherYearDays, YearResults,
};
use swimdays_season::Warning;
use swimdays_weather::normals::Known;

fn years(days: &[usize], shown: usize) -> Vec<WeatherYearDays> {
    (0..days.len())
        .map(|i| WeatherYearDays {
            label: format!("{}.csv", 2001 + i),
            place: "Elmwater Bend".into(),
            kind: "measured",
            swim_days: days[i],
            swim_days_low: days[i] - 9,
            swim_days_high: days[i] + 7,
            too_hot_days: 0,
            first_swim_day: None,
            last_swim_day: None,
            shown: i == shown,
            results: YearResults::default(),
        })
        .collect()
}

fn summary(
    years: &[WeatherYearDays],
    normals: Option<NormalsSummary>,
    warnings: &[WarningSummary],
    doubts: &[&'static str],
) -> Summary {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let mut season = stepped(&plan, &weather);
    season.swim_days = 93;
    season
        .warnings
        .extend(["measured_year"].iter().chain(doubts).map(|kind| Warning {
            kind,
            count: 1,
            text: format!("told of {kind}, which takes some words to explain to the reader").into(),
        }));
    let range = DayRange {
        low: 71,
        high: 118,
        draws: 240,
        method: "10 to 90 % of 240 draws".into(),
    };
    let measures = [("bare", 40), ("cover", 83), ("board", 42)].map(|(name, days)| MeasureDays {
        name: name.into(),
        swim_days: days,
        too_hot_days: 0,
    });
    Summary::new(&SummaryInput {
        plan: &plan,
        weather: &weather,
        years,
        normals,
        warnings,
        season: &season,
        range: Some(&range),
        measures: &measures,
        units: Units::Us,
        program_version: "0.0.0",
    })
}

/// The lines without their breaks.
fn plain(summary: &Summary) -> String {
    let lines = season_lines(summary, 100).join(" ");
    lines.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn few_years_are_named_and_of_many_the_spread_is_told() {
    let told = plain(&summary(&years(&[93, 99, 88], 0), None, &[], &[]));
    assert!(
        told.contains("93 swim days in the middle one of 3 years (likely 71 to 118)"),
        "{told}"
    );
    assert!(
        told.contains(
            "Year by year: 93 (2001.csv), 99 (2002.csv), 88 (2003.csv). Months, heat and charts are of 2001.csv."
        ),
        "{told}"
    );
    assert!(told.contains("Each by itself, in its middle year: bare pool 40 days"));

    // By hand: sorted 80 84 86 90 93 95 97 99 103, a quarter of nine is two: 86 and 97.
    let nine = [93, 99, 84, 80, 103, 95, 86, 97, 90];
    let told = plain(&summary(&years(&nine, 0), None, &[], &[]));
    assert!(
        told.contains(
            "Swim days over 9 years: 80 (2004.csv) to 103 (2005.csv), half of them 86 to 97. Months,"
        ),
        "{told}"
    );

    let told = plain(&summary(&years(&[93, 99], 0), None, &[], &[]));
    assert!(told.contains("in the poorer of 2 years"), "{told}");
    let one = plain(&summary(&years(&[93], 0), None, &[], &[]));
    assert!(one.contains(": 93 swim days (likely 71 to 118), the first"));
    assert!(!one.contains("Year by year") && one.contains("Each by itself: bare"));
}

/// What the terminal says of the years beside their swim days, and nothing of it for one.
#[test]
fn what_else_the_years_gave_is_told_with_its_middle_and_ends() {
    let mut three = years(&[93, 99, 88], 0);
    let dates = ["2003-05-20", "2001-05-06", "2002-06-02"];
    for (i, year) in three.iter_mut().enumerate() {
        year.first_swim_day = Some(dates[i].to_owned());
        year.last_swim_day = Some(format!("200{i}-09-1{i}"));
        year.too_hot_days = [0, 4, 1][i];
        let k = [1.0, 0.0, 2.0][i];
        year.results = YearResults {
            water_open_c: Some(Span {
                min: 10.0 + k,
                mean: 25.0 + k,
                max: 31.0 + k,
            }),
            running_cost: Some(14.0 + k),
            water_make_up_m3: 20.0 + k,
            ..YearResults::default()
        };
        year.results.energy_open_kwh.heaters = 400.0 + 100.0 * k;
    }
    let s = summary(&three, None, &[], &[]);
    let over = s.over_years.as_ref().unwrap();
    // By hand: the second of each three in rising order.
    assert_eq!(over.too_hot_days, Some(spread(1, 0, 4)));
    assert_eq!(over.running_cost, Some(spread(15.0, 14.0, 16.0)));
    assert_eq!(
        over.water_open_c.map(|w| [w.min, w.mean, w.max]),
        Some([
            spread(11.0, 10.0, 12.0),
            spread(26.0, 25.0, 27.0),
            spread(32.0, 31.0, 33.0)
        ])
    );
    let dates = spread("05-20".to_owned(), "05-06".into(), "06-02".into());
    assert_eq!(over.first_swim_day, Some(dates));
    assert_eq!(
        over.energy_open_kwh.heaters,
        Some(spread(500.0, 400.0, 600.0))
    );
    assert_eq!(over.other_heater_cost, None, "what no year has");
    let told = plain(&s);
    let wanted = "Middle of the 3 years (least to most): first swim day May 20 (May 6 to Jun 2); last Sep 11 (Sep 10 to Sep 12); days too hot 1 (0 to 4);";
    assert!(told.contains(wanted), "{told}");
    // In a row of its own, long enough, all of it: 26 °C are 78.8 °F, 25 and 27 °C 77 and 80.6 °F; 21 m³ are 5548 gal.
    let mut wide = s.clone();
    wide.weather_years.clear();
    let lines = season_lines(&wide, 100).join(" ");
    assert!(lines.contains("running cost $15 (14 to 16)"), "{lines}");

    assert!(summary(&three[..1], None, &[], &[]).over_years.is_none());
    let one = plain(&summary(&three[..1], None, &[], &[]));
    assert!(!one.contains("Middle of the"), "{one}");
}

fn spread<T>(middle: T, low: T, high: T) -> Spread<T> {
    Spread { middle, low, high }
}

#[test]
fn one_of_several_is_not_told_to_be_but_one() {
    let has = |s: &Summary| s.warnings.iter().any(|w| w.kind == "measured_year");
    assert!(has(&summary(&years(&[93], 0), None, &[], &[])));
    assert!(!has(&summary(&years(&[93, 99], 0), None, &[], &[])));
}

#[test]
fn places_apart_stand_among_the_doubts() {
    let apart = [WarningSummary {
        kind: "places_differ",
        count: 3,
        text: "a and b are of places 7.0° apart".into(),
    }];
    let s = summary(&years(&[93, 99, 88], 0), None, &apart, &[]);
    let head = season_lines(&s, 100)[..4].join("\n");
    assert!(
        head.contains("In doubt: a and b are of places 7.0° apart."),
        "{head}"
    );
}

/// With everything at once there is still room for what years and normals add, for the cautions and for the weather.
#[test]
fn there_is_room_for_all_of_it() {
    let known = Known {
        sun: false,
        moisture: false,
        wind: false,
    };
    let apart = [WarningSummary {
        kind: "places_differ",
        count: 3,
        text: "2001.csv and 2003.csv are of places 7.0° apart: the range then holds the difference between places as well as that between years".into(),
    }];
    let mut s = summary(
        &years(&[93, 99, 88, 91, 95, 92], 0),
        Some(NormalsSummary::new(known, Some(14))),
        &apart,
        &["sun_and_clock", "weather_ends", "boils", "short_cycling"],
    );
    for n in 1..6 {
        s.measures.push(MeasureDays {
            name: format!("a further heater with a long name {n}"),
            swim_days: 50,
            too_hot_days: 3,
        });
    }
    for width in [60, 72, 80, 100] {
        let lines = season_lines(&s, width);
        assert!(lines.len() <= MOST_LINES, "{width}");
        assert!(lines.iter().all(|l| l.chars().count() <= width), "{width}");
        let all = lines.join(" ");
        let all = all
            .replace('\u{a0}', " ")
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        for wanted in [
            "Made from monthly normals without sums of sun, dew point and wind: that alone makes it uncertain by at least ± 14 days.",
            "Year by year: 93 (2001.csv)",
            "Middle of the 6 years (least to most):",
            "Local codes and licensed practice decide; this certifies nothing.",
            "Weather: ",
        ] {
            assert!(
                all.contains(wanted),
                "{wanted} at {width}:\n{}",
                lines.join("\n")
            );
        }
    }
}
