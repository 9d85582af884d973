//! Quantities as people write them, against an independent unit library and by hand arithmetic.

use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use swimdays_quantity::{
    Kind, QuantityError, Units, bucket, compass, day_hours, hours_of_day, month_day, months, parse,
    parse_price,
};

/// Two routes through exact factors differ by rounding only: a few units in the last place.
const ROUNDING_REL: f64 = 1e-12;

/// Conventional inches of mercury are tabulated to seven digits (NIST SP 811, B.8), the library has more.
const TABULATED_REL: f64 = 1e-6;

/// Values computed with the general-purpose Python library `pint` 0.25.3 (International Table Btu, US therm).
const PINT: &[(&str, Kind, f64)] = &[
    ("12 ft", Kind::Length, 3.657_6),
    ("1/2 in", Kind::Length, 0.0127),
    ("1 yard", Kind::Length, 0.9144),
    ("1 mile", Kind::Length, 1609.344),
    ("288 ft2", Kind::Area, 26.756_075_519_999_996),
    ("15,000 gal", Kind::Volume, 56.781_176_759_999_99),
    ("100 imp gal", Kind::Volume, 0.454_609_000_000_000_15),
    ("3 quarts", Kind::Volume, 0.002_839_058_837_999_999_5),
    ("1 cu ft", Kind::Volume, 0.028_316_846_591_999_994),
    ("4 gpm", Kind::Flow, 0.000_252_360_785_599_999_96),
    ("50 gal/week", Kind::Flow, 3.129_474_027_777_777_4e-7),
    ("1 imp gal/min", Kind::Flow, 7.576_816_666_666_67e-5),
    ("15 cfm", Kind::Flow, 0.007_079_211_647_999_998_5),
    ("40,000 Btu/h", Kind::Power, 11_722.842_806_888_892),
    ("1.5 hp", Kind::Power, 1_118.549_807_373_405_2),
    ("3 therm", Kind::Energy, 87.900_333_333_333_35),
    ("100,000 Btu", Kind::Energy, 29.307_107_017_222_23),
    ("5 MJ", Kind::Energy, 1.388_888_888_888_888_8),
    ("10 mph", Kind::Speed, 4.470_4),
    ("300 ft/min", Kind::Speed, 1.523_999_999_999_999_8),
    ("10 knots", Kind::Speed, 5.144_444_444_444_445),
    ("15 psi", Kind::Pressure, 103_421.359_397_525_45),
    ("40 lb", Kind::Mass, 18.143_694_800_000_002),
    ("5 oz", Kind::Mass, 0.141_747_615_625_000_02),
    ("3.5 Btu/h ft2 F", Kind::Conductance, 19.873_921_693_897_213),
    ("5 h·ft²·°F/Btu", Kind::Resistance, 0.880_550_918_411_529_2),
    ("R-5", Kind::Resistance, 0.880_550_918_411_529_2),
    (
        "0.3 Btu/h ft F",
        Kind::LinearConductance,
        0.519_220_399_911_417_4,
    ),
    (
        "0.8 Btu in/h ft2 F",
        Kind::LinearConductance,
        0.115_382_311_091_426_12,
    ),
    (
        "0.8 Btu/ft2 F",
        Kind::AreaHeatCapacity,
        16_353.398_422_406_85,
    ),
    ("0.25 in/week", Kind::WaterDepthRate, 0.907_142_857_142_857),
    ("9 F", Kind::TemperatureDifference, 5.0),
    ("-40 F", Kind::Temperature, -40.0),
    ("0 °F", Kind::Temperature, -17.777_777_777_777_743),
    ("80F", Kind::Temperature, 26.666_666_666_666_686),
    ("212 degF", Kind::Temperature, 100.0),
];

fn close(found: f64, wanted: f64, rel: f64) -> bool {
    (found - wanted).abs() <= rel * wanted.abs().max(1.0)
}

#[test]
fn factors_agree_with_an_independent_unit_library() {
    for &(text, kind, wanted) in PINT {
        let found = parse(text, kind).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!(
            close(found, wanted, ROUNDING_REL),
            "{text}: {found} against {wanted}"
        );
    }
    let found = parse("29.92 inHg", Kind::Pressure).expect("a pressure");
    assert!(
        (found / 101_320.748_119_002_72 - 1.0).abs() < TABULATED_REL,
        "{found}"
    );
}

/// Hand arithmetic: 12 ft 6 in = 150 in = 150 × 25.4 mm; 4 ft × 8 ft = 32 ft² = 32 × 0.09290304 m²; and so on.
#[test]
fn every_way_of_writing_it() {
    let cases: &[(&str, Kind, f64)] = &[
        ("12 ft 6 in", Kind::Length, 3.81),
        ("12' 6\"", Kind::Length, 3.81),
        ("12′ 6″", Kind::Length, 3.81),
        ("12'6\"", Kind::Length, 3.81),
        ("12ft6in", Kind::Length, 3.81),
        ("12 feet 6 inches", Kind::Length, 3.81),
        ("1 1/2 in", Kind::Length, 0.0381),
        ("1-1/2 in", Kind::Length, 0.0381),
        ("1½ in", Kind::Length, 0.0381),
        ("½\"", Kind::Length, 0.0127),
        ("12 ft 6 1/2 in", Kind::Length, 3.8227),
        ("24FT", Kind::Length, 7.3152),
        ("3m", Kind::Length, 3.0),
        ("-2 ft 6 in", Kind::Length, -0.762),
        ("\u{2212}1 m", Kind::Length, -1.0),
        ("3 x 100 ft", Kind::Length, 91.44),
        ("3 × 100 ft", Kind::Length, 91.44),
        (".5 m", Kind::Length, 0.5),
        ("5. m", Kind::Length, 5.0),
        ("1e2 cm", Kind::Length, 1.0),
        ("12\u{a0}ft", Kind::Length, 3.6576),
        ("4 ft x 8 ft", Kind::Area, 2.972_897_28),
        ("4'×8'", Kind::Area, 2.972_897_28),
        ("32 sq ft", Kind::Area, 2.972_897_28),
        ("32 ft²", Kind::Area, 2.972_897_28),
        ("32 ft^2", Kind::Area, 2.972_897_28),
        ("3 m²", Kind::Area, 3.0),
        ("2 m x 1 m x 50 cm", Kind::Volume, 1.0),
        ("1,234.5 L", Kind::Volume, 1.2345),
        ("15 000 L", Kind::Volume, 15.0),
        ("15\u{202f}000 L", Kind::Volume, 15.0),
        ("4.5 L/min", Kind::Flow, 7.5e-5),
        ("80 °F", Kind::Temperature, 80.0 / 1.8 - 32.0 / 1.8),
        ("80 degrees F", Kind::Temperature, 80.0 / 1.8 - 32.0 / 1.8),
        ("25°C", Kind::Temperature, 25.0),
        ("25 º C", Kind::Temperature, 25.0),
        ("-5 C", Kind::Temperature, -5.0),
        ("4 K", Kind::TemperatureDifference, 4.0),
        ("35°", Kind::Angle, 35.0),
        ("35 deg", Kind::Angle, 35.0),
        ("1 h 30 min", Kind::Duration, 5400.0),
        ("20 W/(m²·K)", Kind::Conductance, 20.0),
        ("20 W/m2K", Kind::Conductance, 20.0),
        ("0.5 W/mK", Kind::LinearConductance, 0.5),
        ("1 m2 K/W", Kind::Resistance, 1.0),
        ("1 gal/min", Kind::Flow, 3.785_411_784e-3 / 60.0),
    ];
    for &(text, kind, wanted) in cases {
        let found = parse(text, kind).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!(
            close(found, wanted, ROUNDING_REL),
            "{text}: {found} against {wanted}"
        );
    }
}

/// Hand arithmetic: a US therm is 29.3001 kWh (NIST SP 811), 1000 US gallons are 3.785411784 m³ (exact).
#[test]
fn prices_with_their_currency() {
    let cases: &[(&str, Kind, f64, Option<&str>)] = &[
        ("0.17 $/kWh", Kind::EnergyPrice, 0.17, Some("$")),
        ("$0.17/kWh", Kind::EnergyPrice, 0.17, Some("$")),
        ("$ 0.17 per kWh", Kind::EnergyPrice, 0.17, Some("$")),
        ("17 ct/kWh", Kind::EnergyPrice, 0.17, None),
        ("17 ¢ / kWh", Kind::EnergyPrice, 0.17, None),
        ("0.30 EUR/kWh", Kind::EnergyPrice, 0.30, Some("EUR")),
        ("€0.30/kWh", Kind::EnergyPrice, 0.30, Some("€")),
        (
            "1.40 $/therm",
            Kind::EnergyPrice,
            1.40 / 29.300_111_111_111_11,
            Some("$"),
        ),
        (
            "6 $/1000 gal",
            Kind::VolumePrice,
            6.0 / 3.785_411_784,
            Some("$"),
        ),
        (
            "$6/1,000 gal",
            Kind::VolumePrice,
            6.0 / 3.785_411_784,
            Some("$"),
        ),
        ("2.50 €/m³", Kind::VolumePrice, 2.5, Some("€")),
        ("120 $", Kind::Money, 120.0, Some("$")),
        ("$1,200", Kind::Money, 1200.0, Some("$")),
        ("AUD 85", Kind::Money, 85.0, Some("AUD")),
        ("85 CHF", Kind::Money, 85.0, Some("CHF")),
    ];
    for &(text, kind, wanted, currency) in cases {
        let found = parse_price(text, kind).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!(
            close(found.value, wanted, ROUNDING_REL),
            "{text}: {found:?}"
        );
        assert_eq!(found.currency.as_deref(), currency, "{text}");
    }
}

#[test]
fn what_cannot_be_meant_is_refused_with_advice() {
    let cases: &[(&str, Kind, &str, &str)] = &[
        ("24", Kind::Length, "needs a unit", "\"24 ft\""),
        (
            "12 ft 6",
            Kind::Length,
            "without its unit: `6`",
            "12 ft 6 in",
        ),
        ("1/2", Kind::Length, "needs a unit", "\"1/2 in\""),
        (
            "80 F",
            Kind::Length,
            "is a temperature, a length is wanted",
            "24 ft",
        ),
        (
            "24 ft",
            Kind::Temperature,
            "is a length, a temperature is wanted",
            "80 F",
        ),
        ("3,5 m", Kind::Length, "comma", "\"3.5 m\""),
        ("0,175 m", Kind::Length, "comma", "\"0.175 m\""),
        ("1.234,5 m", Kind::Length, "comma", "3.5 m"),
        ("15,00 gal", Kind::Volume, "comma", "\"15.00 gal\""),
        ("24 furlongs", Kind::Length, "not known: `furlongs`", "ft"),
        ("ft", Kind::Length, "has no number", "24 ft"),
        ("", Kind::Length, "is empty", "24 ft"),
        ("  ", Kind::Length, "is empty", "24 ft"),
        (
            "6 in 12 ft",
            Kind::Length,
            "do not belong together",
            "12 ft 6 in",
        ),
        ("1e400 m", Kind::Length, "too large", "ordinary"),
        ("1e300 mi", Kind::Length, "too large", "ordinary"),
        ("nan m", Kind::Length, "has no number", "24 ft"),
        ("inf m", Kind::Length, "has no number", "24 ft"),
        (
            "4 x 8 ft",
            Kind::Area,
            "two ways",
            "each number with its unit",
        ),
        (
            "4 ft x 8 ft",
            Kind::Length,
            "is an area, a length is wanted",
            "24 ft",
        ),
        (
            "$5",
            Kind::Length,
            "is an amount of money, a length is wanted",
            "24 ft",
        ),
        (
            "0.17 /kWh",
            Kind::EnergyPrice,
            "has no currency",
            "0.17 $/kWh",
        ),
        (
            "0.17 kWh",
            Kind::EnergyPrice,
            "is an amount of energy, a price of energy is wanted",
            "0.17 $/kWh",
        ),
        (
            "$0.17",
            Kind::EnergyPrice,
            "is an amount of money, a price of energy is wanted",
            "0.17 $/kWh",
        ),
        (
            "$6/1000 gal",
            Kind::EnergyPrice,
            "is a price of water",
            "0.17 $/kWh",
        ),
        ("120", Kind::Money, "needs a unit", "\"120 $\""),
    ];
    for &(text, kind, wanted, advice) in cases {
        match parse(text, kind) {
            Ok(value) => panic!("{text:?} was read as {value}"),
            Err(error) => {
                assert!(error.to_string().contains(wanted), "{text:?}: {error}");
                assert!(
                    error.advice().contains(advice),
                    "{text:?}: {}",
                    error.advice()
                );
            }
        }
    }
}

#[test]
fn clock_calendar_and_compass() {
    for (text, hours) in [
        ("9:30", 9.5),
        ("9", 9.0),
        ("9 am", 9.0),
        ("5pm", 17.0),
        ("12 am", 0.0),
        ("12:15 pm", 12.25),
        ("noon", 12.0),
        ("midnight", 0.0),
        ("24:00", 24.0),
        ("00:00", 0.0),
        ("9 a.m.", 9.0),
    ] {
        let found = hours_of_day(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!((found - hours).abs() < 1e-12, "{text}: {found}");
    }
    for text in [
        "",
        "25:00",
        "9:60",
        "24:30",
        "13 pm",
        "0 am",
        "9.30",
        "9:5",
        "half nine",
        "9:30:00",
    ] {
        assert!(hours_of_day(text).is_err(), "{text}");
    }
    let night = day_hours("19:00-10:00").expect("a night")[0];
    assert!((night.length_h() - 15.0).abs() < 1e-12);
    assert_eq!(
        day_hours("9–11, 2 pm to 5 pm")
            .expect("two stretches")
            .len(),
        2
    );
    assert!(matches!(
        day_hours("1-5 pm"),
        Err(QuantityError::Ambiguous { .. })
    ));
    for text in ["9:00", "9:00-9:00", "", "always", "9:00-17:00,"] {
        assert!(day_hours(text).is_err(), "{text}");
    }
    for text in ["05-01", "5-1", "May 1", "1 May", "1 may"] {
        let day = month_day(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!((day.month, day.day), (5, 1), "{text}");
    }
    for text in [
        "5/1",
        "13-01",
        "02-29",
        "04-31",
        "05-00",
        "May",
        "2001-05-01",
        "0501",
    ] {
        assert!(month_day(text).is_err(), "{text}");
    }
    let winter = months("Nov-Feb").expect("months over New Year");
    assert_eq!(winter.iter().filter(|&&on| on).count(), 4);
    assert!(winter[10] && winter[11] && winter[0] && winter[1]);
    assert!(months("Ma").is_err() && months("May-").is_err());
    for (text, deg) in [
        ("N", 0.0),
        ("SSW", 202.5),
        ("south-west", 225.0),
        ("South", 180.0),
        ("200 deg", 200.0),
        ("-90 deg", 270.0),
        ("360°", 0.0),
    ] {
        let found = compass(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!((found - deg).abs() < 1e-9, "{text}: {found}");
    }
    for text in ["", "200", "SSSW", "up", "20 ft"] {
        assert!(compass(text).is_err(), "{text}");
    }
    // 5 × 231 in³ = 18.92705892 L in 75 s.
    let (volume, time) = bucket("5 gal in 75 s").expect("a bucket");
    let flow = volume / time;
    assert!(close(flow * 1e6, 252.360_785_6, ROUNDING_REL), "{flow}");
    for text in [
        "5 gal",
        "5 gal in 75",
        "5 in in 75 s",
        "5 gal in 0 s",
        "-5 gal in 3 s",
    ] {
        assert!(bucket(text).is_err(), "{text}");
    }
}

fn runner() -> TestRunner {
    TestRunner::new_with_rng(
        Config {
            cases: 4000,
            failure_persistence: None,
            ..Config::default()
        },
        TestRng::deterministic_rng(RngAlgorithm::ChaCha),
    )
}

/// What is printed can be typed back in: the value returns within half of the last printed decimal.
#[test]
fn what_is_printed_is_read_back() {
    for kind in Kind::ALL.into_iter().filter(|kind| !kind.is_money()) {
        for units in [Units::Us, Units::Metric] {
            let step = units.value(kind, 1.0) - units.value(kind, 0.0);
            runner()
                .run(&(-1e5..1e5_f64, 0_usize..4), |(value, decimals)| {
                    let text = units.format(kind, value, decimals);
                    let back = parse(&text, kind)
                        .map_err(|e| TestCaseError::fail(format!("{text}: {e}")))?;
                    let places = i32::try_from(decimals).unwrap_or(0);
                    let half = 0.5 * 10_f64.powi(-places) / step + 1e-9 * value.abs().max(1.0);
                    prop_assert!(
                        (back - value).abs() <= half * 1.000_001,
                        "{} {}",
                        text,
                        back
                    );
                    Ok(())
                })
                .unwrap_or_else(|e| panic!("{kind} {}: {e}", units.name()));
        }
    }
}

/// No text makes any reader panic, and what is read is finite.
#[test]
fn no_text_panics() {
    let pieces = prop::sample::select(vec![
        "1", "12", "000", ",", ".", "/", "-", " ", "  ", "ft", "in", "'", "\"", "x", "×", "*", "e",
        "E9", "m2", "²", "½", "°", "F", "$", "€", "kWh", "per", "gal", "am", "pm", ":", "May", "R",
        "+", "\u{2212}", "é", "０", "USD", "1000", "0", "in 5 s", "(", ")", "·", "\n", "\0",
    ]);
    let texts = prop_oneof![
        prop::collection::vec(pieces, 0..9).prop_map(|p| p.concat()),
        any::<String>(),
    ];
    runner()
        .run(&texts, |text| {
            for kind in Kind::ALL {
                if let Ok(value) = parse(&text, kind) {
                    prop_assert!(value.is_finite());
                }
            }
            if let Ok(hours) = hours_of_day(&text) {
                prop_assert!((0.0..=24.0).contains(&hours));
            }
            if let Ok(direction) = compass(&text) {
                prop_assert!((0.0..360.0).contains(&direction));
            }
            let _ = (
                day_hours(&text),
                month_day(&text),
                months(&text),
                bucket(&text),
            );
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
}

/// Labels and values for charts: 26 °C is 78.8 °F, 1 m is 1/0.3048 ft, 1 m³/s is 15850.32 gpm (NIST SP 811).
#[test]
fn printed_units() {
    assert_eq!(Units::Us.temperature_unit(), "°F");
    assert_eq!(Units::Metric.temperature_unit(), "°C");
    assert!(close(Units::Us.temperature_value(26.0), 78.8, ROUNDING_REL));
    assert_eq!(Units::Us.format_temperature(26.0, 1), "78.8 °F");
    assert_eq!(Units::Us.format_temperature_difference(5.0, 1), "9.0 °F");
    assert_eq!(Units::Metric.format_temperature(-0.04, 1), "0.0 °C");
    assert_eq!(Units::Us.format_volume(40.0, 0), "10,567 gal");
    assert_eq!(Units::Us.format_area(100.0, 0), "1,076 ft²");
    assert_eq!(Units::Metric.format_flow(2.5e-4, 1), "15.0 L/min");
    assert!(close(Units::Us.flow_value(1.0), 15_850.323_141_489, 1e-9));
    assert_eq!(Units::Us.format_heat_kwh(12_345.6, 0), "12,346 kWh");
    assert_eq!(Units::Metric.format_power(1_500.0, 1), "1.5 kW");
    assert_eq!(
        Units::Us.format_short(Kind::Temperature, 32.222_222_222_222, 1),
        "90 °F"
    );
    assert_eq!(Units::Us.format_small_length(0.0127, 2), "0.50 in");
}
