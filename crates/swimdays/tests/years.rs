//! Several weather years, a climate table in their place, and how files are to be read: by the real binary.

mod desk;

use std::fs;
use std::process::Command;

use desk::{Desk, json, root, sample, text};
use serde_json::Value;

/// Lines of an EPW file before its hours.
const EPW_HEAD: usize = 8;
/// Where in a row the air temperature stands.
const EPW_AIR: usize = 6;
/// What stands for an air temperature that is missing.
const EPW_NO_AIR: &str = "99.9";

const POOL: &str = r#"
[pool]
length = "24 ft"
width = "12 ft"
depth = "4 ft 6 in"
opens = "05-01"
closes = "09-30"
[pool.cover]
kind = "bubble"
"#;

const TABLE: &str = r#"
[site.normals]
max = "31 35 47 60 71 80 84 82 76 63 49 36 F"
min = "16 20 29 40 50 60 64 62 54 42 32 22 F"
sunshine = "136 146 186 216 260 288 304 279 237 195 138 118 h/month"
latitude = 40.5
longitude = -89.0
"#;

/// The temperate sample with each hour's air changed; `with` gets the number of the hour.
fn year(with: impl Fn(usize, f64) -> String) -> String {
    let path = root().join("weather-samples/temperate.epw");
    let epw = fs::read_to_string(path).expect("the sample");
    let lines = epw.lines().enumerate().map(|(at, line)| {
        let Some(hour) = at.checked_sub(EPW_HEAD) else {
            return line.to_owned();
        };
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        let air = cells[EPW_AIR].parse().expect("an air temperature");
        cells[EPW_AIR] = with(hour, air);
        cells.join(",")
    });
    lines.map(|line| line + "\n").collect()
}

/// Five years of one place, each half a kelvin warmer than the one before; a scenario that names them in this order.
fn five(desk: &Desk, order: [usize; 5]) -> String {
    for n in 0..5_u8 {
        let warmer = year(|_, air| format!("{:.1}", air + 0.5 * f64::from(n)));
        fs::write(desk.path(&format!("{n}.epw")), warmer).expect("a year");
    }
    let files = order.map(|n| format!("\"{n}.epw\"")).join(", ");
    let name = format!("five-{}.toml", order[0]);
    let scenario = format!("name = \"Five\"\n[site]\nweather = [{files}]\n{POOL}");
    fs::write(desk.path(&name), scenario).expect("a scenario");
    name
}

/// The values of a column of `daily.csv` on the days on which the pool is open.
fn open_days(csv: &str, column: &str) -> Vec<f64> {
    let mut lines = csv.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let head = lines.next().expect("a head");
    let at = |name: &str| head.iter().position(|h| *h == name).expect("a column");
    let (open, at) = (at("open"), at(column));
    lines
        .filter(|cells| cells[open] == "1")
        .map(|cells| cells[at].parse().expect("a number"))
        .collect()
}

fn days(value: &Value, key: &str) -> u64 {
    value[key].as_u64().unwrap_or_else(|| panic!("{key}"))
}

#[test]
fn five_years_give_the_middle_and_the_range_of_all() {
    let desk = Desk::new();
    let scenario = five(&desk, [3, 0, 4, 2, 1]);
    let output = desk.run(&["season", &scenario, "--out", "all"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(told.lines().count() <= 25, "{told}");
    assert!(told.contains("in the middle one of 5 years"), "{told}");
    assert!(told.contains("Year by year: "), "{told}");

    let all: Value =
        serde_json::from_slice(&fs::read(desk.path("all/summary.json")).expect("a summary"))
            .expect("JSON");
    let years = all["weather_years"].as_array().expect("the years");
    assert_eq!(years.len(), 5);
    // Warmer air, more swim days: the middle one is the third of the five.
    let shown: Vec<&Value> = years.iter().filter(|y| y["shown"] == true).collect();
    assert_eq!(shown.len(), 1);
    assert_eq!(shown[0]["label"], "2.epw");
    let alone = desk.run(&["season", &scenario, "--weather", "2.epw", "--out", "one"]);
    assert!(alone.status.success(), "{}", text(&alone.stderr));
    for file in ["hourly.csv", "daily.csv"] {
        let read = |folder: &str| fs::read(desk.path(folder).join(file)).expect("a table");
        assert!(
            read("all") == read("one"),
            "{file} is that of the middle year"
        );
    }
    let one: Value =
        serde_json::from_slice(&fs::read(desk.path("one/summary.json")).expect("a summary"))
            .expect("JSON");
    assert_eq!(all["swim_days"], one["swim_days"]);
    assert_eq!(shown[0]["swim_days_low"], one["swim_days_low"]);
    assert_eq!(shown[0]["swim_days_high"], one["swim_days_high"]);
    // One in ten of the pool lies between the least and the greatest one-in-ten of its parts.
    for key in ["swim_days_low", "swim_days_high"] {
        let (pooled, parts) = (days(&all, key), years.iter().map(|y| days(y, key)));
        assert!(parts.clone().min() <= Some(pooled), "{key} {pooled}");
        assert!(parts.max() >= Some(pooled), "{key} {pooled}");
    }
    assert_eq!(all["range_draws"], 5 * 48);
    let method = all["range_method"].as_str().expect("a method");
    assert!(method.contains("5 weather years"), "{method}");
}

/// Beside swim days everything has its middle and its ends, and each year's numbers are those of its own tables.
#[test]
fn every_result_has_its_middle_and_its_ends_over_the_years() {
    let desk = Desk::new();
    let scenario = five(&desk, [3, 0, 4, 2, 1]);
    let output = desk.run(&["season", &scenario, "--out", "all"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(
        told.contains("Middle of the 5 years (least to most): first swim day "),
        "{told}"
    );
    let read = |name: &str| fs::read_to_string(desk.path(name)).expect("a file");
    let all: Value = serde_json::from_str(&read("all/summary.json")).expect("JSON");
    let (over, years) = (
        &all["over_years"],
        all["weather_years"].as_array().expect("years"),
    );

    // Of the year that is shown the tables are at hand.
    let shown = years.iter().find(|y| y["shown"] == true).expect("one");
    let daily = read("all/daily.csv");
    let water = open_days(&daily, "water_mean_c");
    #[allow(clippy::cast_precision_loss, reason = "days of a year")]
    let mean = water.iter().sum::<f64>() / water.len() as f64;
    let heat: f64 = open_days(&daily, "sun_on_water_kwh").iter().sum();
    let near = |value: &Value, wanted: f64, within: f64| {
        let found = value.as_f64().expect("a number");
        assert!((found - wanted).abs() < within, "{found} for {wanted}");
    };
    // The table has four decimals; 153 of them add up.
    near(&shown["water_open_c"]["mean"], mean, 1e-3);
    near(&shown["energy_open_kwh"]["sun_on_water"], heat, 2e-2);
    let lowest = open_days(&daily, "water_min_c")
        .into_iter()
        .fold(f64::MAX, f64::min);
    near(&shown["water_open_c"]["min"], lowest, 1e-3);

    // Of five the third in rising order, the first and the last.
    for pointer in [
        "/water_open_c/mean",
        "/water_open_c/max",
        "/energy_open_kwh/evaporation",
        "/water_make_up_m3",
        "/pump_kwh",
    ] {
        let mut values: Vec<f64> = years
            .iter()
            .map(|y| {
                y.pointer(pointer)
                    .and_then(Value::as_f64)
                    .expect("a number")
            })
            .collect();
        values.sort_by(f64::total_cmp);
        let spread = over.pointer(pointer).expect("a spread");
        for (key, at) in [("low", 0), ("middle", 2), ("high", 4)] {
            near(&spread[key], values[at], 1e-12);
        }
    }
    let mut first: Vec<&str> = years
        .iter()
        .map(|y| &y["first_swim_day"].as_str().expect("a date")[5..])
        .collect();
    first.sort_unstable();
    assert_eq!(over["first_swim_day"]["low"], first[0]);
    assert_eq!(over["first_swim_day"]["middle"], first[2]);
    assert_eq!(over["first_swim_day"]["high"], first[4]);
    assert!(
        over["method"]
            .as_str()
            .expect("words")
            .contains("5 weather years")
    );

    let one = json(&desk.run(&["season", &scenario, "--weather", "2.epw", "--json"]));
    assert!(one["over_years"].is_null());
}

/// A swim year of the south begins in July: the first swim day of one year may lie in December, of the next in January.
#[test]
fn swim_days_of_the_south_are_ordered_from_july_on() {
    let desk = Desk::new();
    let table = root().join("weather-samples/cool-south.normals.csv");
    let table = table.to_string_lossy().replace('\\', "/");
    let scenario = format!(
        "[site]\nnormals = {{ table = \"{table}\", years = 5 }}\n{}[swim]\ntarget = \"20 C\"\n",
        POOL.replace("05-01", "10-01").replace("09-30", "04-30")
    );
    fs::write(desk.path("s.toml"), scenario).expect("a scenario");
    let output = desk.run(&["season", "s.toml", "--json"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let summary = json(&output);
    let from_july = |date: &str| {
        let month: u32 = date[..2].parse().expect("a month");
        let day: u32 = date[3..].parse().expect("a day");
        ((month + 5) % 12, day)
    };
    for key in ["first_swim_day", "last_swim_day"] {
        let mut dates: Vec<&str> = summary["weather_years"]
            .as_array()
            .expect("years")
            .iter()
            .filter_map(|y| y[key].as_str())
            .map(|date| &date[5..])
            .collect();
        assert!(
            dates.len() >= 3,
            "swim days are wanted for this test: {dates:?}"
        );
        dates.sort_by_key(|d| from_july(d));
        let spread = &summary["over_years"][key];
        assert_eq!(spread["low"], dates[0], "{key}: {dates:?}");
        assert_eq!(spread["high"], dates[dates.len() - 1], "{key}: {dates:?}");
        assert_eq!(spread["middle"], dates[(dates.len() - 1) / 2], "{key}");
    }
}

/// The sample with its clock three hours ahead beside the sample as it is.
#[test]
fn a_file_that_is_not_good_is_named_before_all_else() {
    let desk = Desk::new();
    let epw = fs::read_to_string(root().join("weather-samples/temperate.epw")).expect("a sample");
    let head = epw.lines().next().expect("a head");
    let mut cells: Vec<&str> = head.split(',').collect();
    // LOCATION, city, region, country, source, station, latitude, longitude, UTC offset, altitude.
    cells[8] = "-3";
    let wrong = epw.replacen(head, &cells.join(","), 1);
    fs::write(desk.path("wrong.epw"), wrong).expect("a year");
    let bare = sample("bare.toml");
    let alone = ["season", &bare, "--weather", "wrong.epw"];
    let output = desk.run(&alone);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    let first: Vec<&str> = told.lines().take(4).collect();
    let first = first.join(" ");
    assert!(
        first.contains("In doubt: wrong.epw is not good for a season: its sun comes"),
        "{told}"
    );
    assert!(told.lines().count() <= 25, "{told}");
    let both = [&alone[..], &["--weather", "sample:temperate", "--json"]].concat();
    let summary = json(&desk.run(&both));
    let warnings = summary["warnings"].as_array().expect("warnings");
    assert_eq!(warnings[0]["kind"], "weather_not_good");
    assert_eq!(warnings[0]["count"], 1);
    let good = json(&desk.run(&["season", &bare, "--weather", "sample:temperate", "--json"]));
    let warnings = good["warnings"].as_array().expect("warnings");
    assert!(warnings.iter().all(|w| w["kind"] != "weather_not_good"));
}

#[test]
fn neither_the_order_of_years_nor_the_number_of_threads_changes_anything() {
    let desk = Desk::new();
    let (up, down) = (five(&desk, [0, 1, 2, 3, 4]), five(&desk, [4, 3, 2, 1, 0]));
    let up_json = json(&desk.run(&["season", &up, "--json"]));
    let down_json = json(&desk.run(&["season", &down, "--json"]));
    for key in [
        "swim_days",
        "swim_days_low",
        "swim_days_high",
        "measures",
        "weather",
        "water_c",
    ] {
        assert_eq!(up_json[key], down_json[key], "{key}");
    }
    let with_threads = |n: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_swimdays"))
            .args(["season", &up, "--json"])
            .env("RAYON_NUM_THREADS", n)
            .current_dir(desk.path(""))
            .output()
            .expect("the program starts");
        assert!(output.status.success());
        output.stdout
    };
    assert!(with_threads("1") == with_threads("2"), "the same bytes");
}

#[test]
fn years_of_other_places_are_doubted() {
    let desk = Desk::new();
    let two = |a: &str, b: &str| {
        let args = ["season", &sample("bare.toml"), "--json", "--weather", a];
        let output = desk.run(&[&args[..], &["--weather", b]].concat());
        assert!(output.status.success(), "{}", text(&output.stderr));
        let summary = json(&output);
        let warnings = summary["warnings"].as_array().expect("warnings");
        let found = warnings.iter().find(|w| w["kind"] == "places_differ");
        found.map(|w| w["text"].as_str().unwrap_or_default().to_owned())
    };
    let apart = two("sample:temperate", "sample:hot-dry").expect("a warning");
    assert!(apart.contains("are of places 27.1° apart"), "{apart}");
    let halves = two("sample:cool-south", "sample:temperate").expect("a warning");
    assert!(halves.contains("south of it"), "{halves}");
    let samples = root().join("weather-samples");
    let file = |name: &str| samples.join(name).to_string_lossy().into_owned();
    assert_eq!(
        two(&file("temperate.epw"), &file("temperate.tmy3.csv")),
        None
    );
    let twice = ["--weather", "sample:temperate"].repeat(2);
    let output = desk.run(&[&["season", &sample("bare.toml")][..], &twice[..]].concat());
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("is named before"));
}

#[test]
fn a_part_of_a_year_is_not_one_of_several() {
    let desk = Desk::new();
    let whole = root().join("weather-samples/temperate.tmy3.csv");
    let csv = fs::read_to_string(whole).expect("the sample");
    let part: String = csv
        .lines()
        .take(2 + 100 * 24)
        .map(|l| format!("{l}\n"))
        .collect();
    fs::write(desk.path("part.csv"), part).expect("a part");
    let scenario = format!("[site]\nweather = [\"sample:temperate\", \"part.csv\"]\n{POOL}");
    fs::write(desk.path("s.toml"), scenario).expect("a scenario");
    let output = desk.run(&["season", "s.toml"]);
    assert_eq!(output.status.code(), Some(2));
    let told = text(&output.stderr);
    assert!(
        told.contains("s.toml, line 2:  site.weather = \"part.csv\"")
            && told.contains("is no whole year"),
        "{told}"
    );
    let given = desk.run(&[
        "season",
        "s.toml",
        "--weather",
        "a.epw",
        "--weather",
        "b.epw",
    ]);
    let told = text(&given.stderr);
    assert!(
        told.contains("--weather a.epw") && told.contains("--weather b.epw"),
        "all at once: {told}"
    );
}

#[test]
fn a_gap_is_filled_when_that_is_asked_for() {
    let desk = Desk::new();
    let gap = |hour| (4000..4006).contains(&hour);
    let holed = year(|hour, air| {
        if gap(hour) {
            EPW_NO_AIR.to_owned()
        } else {
            air.to_string()
        }
    });
    fs::write(desk.path("holed.epw"), holed).expect("a year");
    let scenario = format!("[site]\nweather = \"holed.epw\"\n{POOL}");
    fs::write(desk.path("s.toml"), &scenario).expect("a scenario");
    let refused = desk.run(&["season", "s.toml", "--json"]);
    assert_eq!(refused.status.code(), Some(2));
    let told = text(&refused.stderr);
    assert!(told.contains("s.toml, line 2:  site.weather"), "{told}");
    let filled = desk.run(&["season", "s.toml", "--json", "--fill", "6 h"]);
    assert!(filled.status.success(), "{}", text(&filled.stderr));
    let notes = json(&filled)["weather"]["notes"].to_string();
    assert!(notes.contains("\"filled\""), "{notes}");
    let written = scenario.replace("[pool]\nlength", "fill = \"6 h\"\n[pool]\nlength");
    fs::write(desk.path("t.toml"), &written).expect("a scenario");
    let by_key = desk.run(&["season", "t.toml", "--json"]);
    assert!(
        by_key.status.success(),
        "{written}\n{}",
        text(&by_key.stderr)
    );
    assert_eq!(json(&by_key)["swim_days"], json(&filled)["swim_days"]);
    let bare = desk.run(&["season", "s.toml", "--json", "--fill", "6"]);
    assert_eq!(json(&bare)["swim_days"], json(&filled)["swim_days"]);
    let wrong = desk.run(&["season", "s.toml", "--fill", "6 kg"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(text(&wrong.stderr).contains("site.fill"));
}

#[test]
fn a_climate_table_is_enough_for_a_season() {
    let desk = Desk::new();
    fs::write(desk.path("town.toml"), format!("{TABLE}{POOL}")).expect("a scenario");
    let output = desk.run(&["season", "town.toml"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(told.lines().count() <= 25, "{told}");
    assert!(
        told.contains(
            "Made from monthly normals without sums of sun, dew point and wind: that alone makes it"
        ),
        "{told}"
    );
    assert!(told.contains("monthly normals"), "{told}");
    let file = desk.path("town/summary.json");
    let summary: Value = serde_json::from_slice(&fs::read(file).expect("a summary")).expect("JSON");
    assert_eq!(summary["weather"]["format"], "monthly normals");
    assert_eq!(summary["weather"]["latitude_deg"], 40.5);
    assert_eq!(
        summary["weather_normals"]["without"],
        serde_json::json!(["sums of sun", "dew point", "wind"])
    );
    assert_eq!(summary["weather_years"].as_array().map(Vec::len), Some(5));
    // No end is nearer than the normals' own error, nor than the pool's open days allow.
    let error = days(&summary["weather_normals"], "swim_days_error");
    let middle = days(&summary, "swim_days");
    assert!(error > 0 && middle - days(&summary, "swim_days_low") >= error);
    assert!(days(&summary, "swim_days_high") >= (middle + error).min(153));
    let method = summary["range_method"].as_str().expect("a method");
    assert!(
        method.contains(&format!("widened by ± {error} days")),
        "{method}"
    );
    let with = |set: &str| {
        let output = desk.run(&["season", "town.toml", "--json", "--set", set]);
        assert!(output.status.success(), "{set}: {}", text(&output.stderr));
        json(&output)
    };
    let again = with("site.normals.years=5");
    for key in ["weather_years", "energy_kwh", "swim_days_low"] {
        assert_eq!(
            again[key], summary[key],
            "the same for the same seed: {key}"
        );
    }
    assert_ne!(
        with("site.normals.seed=100")["weather_years"],
        summary["weather_years"]
    );
    let warmer = "site.normals.max=36 40 52 65 76 85 89 87 81 68 54 41 F";
    assert!(days(&with(warmer), "swim_days") > days(&summary, "swim_days"));
    let file = with("site.weather=sample:temperate");
    assert_eq!(file["weather"]["format"], "EPW");
    assert!(file["weather_normals"].is_null());
}

#[test]
fn a_climate_table_in_a_file_is_the_same() {
    let desk = Desk::new();
    fs::write(
        desk.path("town.toml"),
        format!("{TABLE}altitude = \"100 m\"\n{POOL}"),
    )
    .expect("a scenario");
    let mut table = String::from(
        "# latitude_deg: 40.5\n# longitude_deg: -89\n# altitude_m: 100\n# utc_offset_h: -6\nmonth,max_f,min_f,sunshine_h_month\n",
    );
    let rows = [
        (31, 16, 136),
        (35, 20, 146),
        (47, 29, 186),
        (60, 40, 216),
        (71, 50, 260),
        (80, 60, 288),
        (84, 64, 304),
        (82, 62, 279),
        (76, 54, 237),
        (63, 42, 195),
        (49, 32, 138),
        (36, 22, 118),
    ];
    for (month, (max, min, sunshine)) in (1..).zip(rows) {
        table += &format!("{month},{max},{min},{sunshine}\n");
    }
    fs::write(desk.path("town.csv"), table).expect("a table");
    let by_keys = desk.run(&["season", "town.toml", "--json"]);
    let by_file = desk.run(&[
        "season",
        "town.toml",
        "--json",
        "--set",
        "site.normals={ table = \"town.csv\" }",
    ]);
    assert!(by_file.status.success(), "{}", text(&by_file.stderr));
    let (by_keys, by_file) = (json(&by_keys), json(&by_file));
    for key in ["swim_days", "swim_days_low", "swim_days_high"] {
        assert_eq!(by_keys[key], by_file[key], "{key}");
    }
    let missing = desk.run(&[
        "season",
        "town.toml",
        "--set",
        "site.normals={ table = \"nowhere.csv\" }",
    ]);
    assert_eq!(missing.status.code(), Some(2));
    let told = text(&missing.stderr);
    assert!(
        told.contains("site.normals.table") && told.contains("nowhere.csv"),
        "{told}"
    );
}
