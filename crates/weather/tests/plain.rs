//! What is written as plain CSV reads back bit for bit, whatever the interval, the kind and the hemisphere.

use chrono::{NaiveDate, TimeDelta};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use swimdays_weather::normals::Known;
use swimdays_weather::{Columns, Format, Place, WeatherYear, YearKind, parse, write};

/// Few, since each writes and reads hundreds of rows; the seed is fixed so that a failure is found again.
fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 60,
        rng_seed: RngSeed::Fixed(20_260_514),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Four days of noise around the end of February; `given` says which of the optional columns are there, `zero` that they are 0 throughout.
fn days(
    kind: YearKind,
    interval_minutes: u32,
    south: bool,
    shift_minutes: f64,
    given: [bool; 4],
    zero: bool,
    noise: &[f64],
) -> WeatherYear {
    let n = (4 * 24 * 60 / interval_minutes) as usize;
    let column = |from: usize, low: f64, high: f64| -> Vec<f64> {
        (0..n)
            .map(|i| low + (high - low) * noise[(i * 7 + from * 13) % noise.len()])
            .collect()
    };
    let optional = |which: usize, low: f64, high: f64, may_be_zero: bool| {
        given[which].then(|| {
            if zero && may_be_zero {
                vec![0.0; n]
            } else {
                column(7 + which, low, high)
            }
        })
    };
    let (year, month, day) = if kind == YearKind::Typical {
        (2001, 2, 27)
    } else {
        (2020, 2, 28)
    };
    let latitude_deg = 90.0 * noise[0];
    WeatherYear {
        place: Place {
            name: "Nowhere, \u{e9}: \"7\" = #1".replace('"', "'"),
            latitude_deg: if south { -latitude_deg } else { latitude_deg },
            longitude_deg: -180.0 + 360.0 * noise[1],
            utc_offset_h: if south { -9.5 } else { 5.75 },
            altitude_m: -400.0 + 5000.0 * noise[2],
        },
        format: Format::Plain,
        kind,
        first_start: NaiveDate::from_ymd_opt(year, month, day)
            .and_then(|day| day.and_hms_opt(0, 0, 0))
            .expect("a date"),
        interval_minutes,
        columns: Columns {
            air_c: column(0, -60.0, 55.0),
            dew_point_c: column(1, -80.0, 40.0),
            pressure_pa: column(2, 50_000.0, 105_000.0),
            wind_m_s: column(3, 0.0, 55.0),
            ghi_w_m2: column(4, 0.0, 1400.0),
            dni_w_m2: column(5, 0.0, 1100.0),
            dhi_w_m2: column(6, 0.0, 900.0),
            infrared_w_m2: optional(0, 100.0, 600.0, false),
            sky_cover_frac: optional(1, 0.0, 1.0, true),
            rain_mm: optional(2, 0.0, 50.0, true),
            albedo_frac: optional(3, 0.1, 1.0, false),
        },
        radiation_shift_minutes: shift_minutes,
        normals: None,
        notes: Vec::new(),
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn plain_reads_back_bit_for_bit(
        typical in any::<bool>(),
        minutes in prop_oneof![Just(60_u32), Just(30), Just(15), Just(10), Just(5)],
        south in any::<bool>(),
        shift in prop_oneof![Just(0.0), -90.0..90.0_f64],
        given in any::<[bool; 4]>(),
        zero in any::<bool>(),
        noise in prop::collection::vec(0.0..1.0_f64, 40..60),
    ) {
        let kind = if typical { YearKind::Typical } else { YearKind::Measured };
        let mut year = days(kind, minutes, south, shift, given, zero, &noise);
        year.normals = (!zero).then_some(Known { sun: south, moisture: given[0], wind: given[1] });
        let text = write::to_plain(&year);
        let mut back = parse(text.as_bytes(), "plain").expect("readable");
        back.notes.clear();
        prop_assert_eq!(&back, &year);
        prop_assert_eq!(write::to_plain(&back), text);
    }
}

/// Damage as disks and people do it: bytes changed, lost, put in, cut off, repeated.
fn damage(bytes: &mut Vec<u8>, edits: &[(prop::sample::Index, u8, u8)]) {
    for (at, how, byte) in edits {
        if bytes.is_empty() {
            break;
        }
        let i = at.index(bytes.len());
        match how {
            0 => bytes[i] = *byte,
            1 => {
                bytes.remove(i);
            }
            2 => bytes.insert(i, *byte),
            3 => bytes[i] = b"0123456789,;.-+/\n\t\"#: TZ"[usize::from(*byte) % 24],
            4 => bytes.truncate(i),
            _ => {
                let end = (i + 300).min(bytes.len());
                let again = bytes[i..end].to_vec();
                bytes.splice(i..i, again);
            }
        }
    }
}

/// What holds for every year that is let through.
fn assert_sound(bytes: &[u8]) {
    let Ok(year) = parse(bytes, "any") else {
        return;
    };
    for (column, values) in year.columns.each() {
        assert_eq!(values.len(), year.len(), "{column}");
        assert!(values.iter().all(|value| value.is_finite()), "{column}");
    }
    assert!(!year.is_empty() && 60 % year.interval_minutes == 0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..config() })]

    #[test]
    fn any_bytes_below_the_names_never_panic(
        bytes in prop::collection::vec(
            prop_oneof![Just(b','), Just(b'\n'), Just(b'"'), Just(b'9'), Just(b'-'), Just(b':'), Just(b'.'), Just(b'0'), any::<u8>()],
            0..3000,
        ),
    ) {
        let year = days(YearKind::Measured, 60, false, 0.0, [true; 4], false, &[0.5; 40]);
        let text = write::to_plain(&year);
        let head: String = text.split_inclusive('\n').take(9).collect();
        assert_sound(&[head.as_bytes(), &bytes].concat());
    }

    #[test]
    fn damaged_files_never_panic(
        typical in any::<bool>(),
        packed in any::<bool>(),
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0..6_u8, any::<u8>()), 1..12),
    ) {
        use std::io::Write as _;
        let kind = if typical { YearKind::Typical } else { YearKind::Measured };
        let year = days(kind, 60, true, 3.0, [true; 4], false, &[0.3, 0.7, 0.2, 0.9, 0.5, 0.1, 0.8]);
        let mut bytes = write::to_plain(&year).into_bytes();
        if packed {
            let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
            encoder.write_all(&bytes).expect("memory");
            bytes = encoder.finish().expect("memory");
            let unpacked = parse(&bytes, "packed").expect("whole");
            prop_assert_eq!(unpacked.len(), year.len());
        }
        damage(&mut bytes, &edits);
        assert_sound(&bytes);
    }
}

/// One interval alone, and one that is no hour: nothing but the head says how long it is.
#[test]
fn one_interval_reads_back() {
    for minutes in [60, 30, 5] {
        let mut year = days(
            YearKind::Measured,
            minutes,
            false,
            0.0,
            [false; 4],
            false,
            &[0.5; 40],
        );
        for (_, column) in year.columns.each_mut() {
            column.truncate(1);
        }
        year.first_start += TimeDelta::minutes(25);
        let mut back = parse(write::to_plain(&year).as_bytes(), "one").expect("readable");
        back.notes.clear();
        assert_eq!(back, year);
    }
}

/// The samples, read as they are published, written and read again.
#[test]
fn the_samples_read_back() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples");
    for name in [
        "temperate.epw",
        "temperate.tmy3.csv",
        "temperate.plain.csv",
        "hot-dry.nsrdb.csv",
        "hot-dry.tmy2",
        "cool-south.pvgis.csv",
        "cool-south.plain.csv.gz",
    ] {
        let mut year = swimdays_weather::read(&folder.join(name)).expect("sample");
        let mut back = parse(write::to_plain(&year).as_bytes(), "plain").expect("readable");
        year.format = Format::Plain;
        year.notes.clear();
        back.notes.clear();
        assert_eq!(back, year, "{name}");
    }
}

fn page() -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/weather.md");
    std::fs::read_to_string(path).expect("docs/weather.md")
}

/// The example that the page shows is read as a person would: by hand from the definitions of °F, mph and inches.
#[test]
fn the_pages_example_is_read() {
    const ROUNDING: f64 = 1e-9;
    let page = page();
    let example = page
        .split("<!-- example plain-week -->\n```csv\n")
        .nth(1)
        .and_then(|rest| rest.split("```").next())
        .expect("the example");
    let year = parse(example.as_bytes(), "example").expect("readable");
    let c = &year.columns;
    assert_eq!(year.place.name, "Back yard, Elmwater Bend");
    assert_eq!(
        (year.len(), year.interval_minutes, year.kind),
        (5, 60, YearKind::Measured)
    );
    assert_eq!(year.first_start.to_string(), "2026-05-14 09:00:00");
    let rain = c.rain_mm.as_ref().expect("rain");
    for (found, expected) in [
        (c.air_c[0], (58.1 - 32.0) / 1.8),
        // The empty cell: halfway between 64.4 °F, 18 °C, and 66.2 °F, 19 °C.
        (c.air_c[3], 18.5),
        (c.wind_m_s[1], 4.0 * 0.44704),
        (c.ghi_w_m2[2], 690.0),
        (c.dni_w_m2[3], 20.0),
        (rain[3], 0.508),
        (year.place.utc_offset_h, -5.0),
    ] {
        assert!((found - expected).abs() < ROUNDING, "{found} {expected}");
    }
}

/// Every name that the page's table of columns offers is one that the reader takes.
#[test]
fn the_pages_names_are_known() {
    let page = page();
    let table = page
        .split("| column | names | meaning |")
        .nth(1)
        .and_then(|rest| rest.split("\n\n").next())
        .expect("the table of columns");
    let mut tried = 0;
    for row in table.lines().skip(2) {
        let names = row.split('|').nth(2).expect("a cell of names");
        let mut first_base = None;
        for name in names.split('`').skip(1).step_by(2) {
            let full = match (name.strip_prefix('_'), first_base) {
                // `_hpa` after `pressure_pa`.
                (Some(unit), Some(base)) => format!("{base}_{unit}"),
                _ => name.replace('…', "w_m2"),
            };
            if full.starts_with("time") || full == "date" {
                continue;
            }
            if first_base.is_none() {
                first_base = ["pressure", "wind", "ghi", "sky_cover"]
                    .into_iter()
                    .find(|base| full.starts_with(base));
            }
            let cell = match full.as_str() {
                "air_k" | "dew_point_k" | "infrared_w_m2" => "290",
                "pressure_pa" => "100000",
                "pressure_hpa" | "pressure_mbar" => "1000",
                "pressure_kpa" => "100",
                "pressure_inhg" => "29.5",
                _ => "0.5",
            };
            // The quantities that a year needs, but for the one that is tried.
            let mut header =
                String::from("# latitude_deg: 1\n# longitude_deg: 1\n# altitude_m: 0\ntime");
            let mut cells = String::from("2026-05-14 12:00");
            for (needed, value) in [
                ("air_c", "20"),
                ("dew_point_c", "10"),
                ("wind_m_s", "1"),
                ("ghi_w_m2", "9"),
                ("dni_w_m2", "0"),
                ("dhi_w_m2", "9"),
            ] {
                let base = needed.split('_').next().unwrap_or_default();
                if !full.starts_with(base) {
                    header += &format!(",{needed}");
                    cells += &format!(",{value}");
                }
            }
            let text = format!("{header},{full}\n{cells},{cell}\n");
            let year = parse(text.as_bytes(), &full).unwrap_or_else(|e| panic!("{e}"));
            assert!(
                !year
                    .notes
                    .iter()
                    .any(|note| note.text.contains("not known")),
                "{full} is not used"
            );
            tried += 1;
        }
    }
    assert!(tried >= 30, "only {tried} names found in the page");
}
