//! CSV files and the output folder.

#![allow(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "tests: small numbers, and a panic is a failed test"
)]

mod fixture;

use std::fs;

use fixture::{Invented, season};
use swimdays_report::ReportError;
use swimdays_report::output::{MANIFEST, OutputFolder};
use swimdays_report::tables::{write_daily_csv, write_hourly_csv};

/// The contract of issue 2: flows sum to what was stored within this, W.
const CLOSES_W: f64 = 0.5;
/// Where each cell was rounded to four decimals.
const ROUNDED: f64 = 6e-5;

const HEADER: &str = "time,air_c,dew_point_c,wind_m_s,ghi_w_m2,plane_w_m2,sky_longwave_w_m2,water_c,outlet_c,heater_w,\
sun_on_water_w,evaporation_w,convection_w,longwave_w,ground_w,walls_w,make_up_w,rain_w,other_heater_w,pump_heat_w,\
stored_w,pump_on_frac,cover_on_frac,tube_c,cover_c";

fn hours(invented: Invented) -> (Vec<String>, Vec<Vec<String>>) {
    let mut file = Vec::new();
    write_hourly_csv(&mut file, &season(invented)).unwrap();
    let mut reader = csv::Reader::from_reader(file.as_slice());
    let header = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows = reader
        .records()
        .map(|r| r.unwrap().iter().map(str::to_owned).collect())
        .collect();
    (header, rows)
}

#[test]
fn hours_have_the_agreed_columns_and_close() {
    let (header, rows) = hours(Invented::default());
    assert_eq!(header.join(","), HEADER);
    assert_eq!(rows.len(), 8760);
    assert_eq!(rows[0][0], "2001-01-01T00:00");
    let column = |name: &str| header.iter().position(|h| h == name).unwrap();
    let stored = column("stored_w");
    let flows: Vec<_> = header
        .iter()
        .enumerate()
        .filter(|(i, h)| h.ends_with("_w") && *i != stored)
        .map(|(i, _)| i)
        .collect();
    assert_eq!(flows.len(), 11);
    let result = season(Invented::default());
    for (i, row) in rows.iter().enumerate() {
        let number = |c: usize| row[c].parse::<f64>().unwrap();
        let sum: f64 = flows.iter().map(|c| number(*c)).sum();
        assert!((sum - number(stored)).abs() < CLOSES_W, "row {i}");
        let wanted = result.hourly.as_ref().unwrap().water_c[i];
        assert!((number(column("water_c")) - wanted).abs() < ROUNDED);
    }
}

#[test]
fn what_there_is_none_of_is_an_empty_cell() {
    let (header, rows) = hours(Invented {
        board: 0.0,
        ..Invented::default()
    });
    let column = |name: &str| header.iter().position(|h| h == name).unwrap();
    for row in &rows {
        assert_eq!(row[column("outlet_c")], "");
        assert_eq!(row[column("plane_w_m2")], "");
        assert_eq!(row[column("heater_w")], "0.00", "no heat is a number");
    }
    let (_, with) = hours(Invented::default());
    let empty = with
        .iter()
        .filter(|r| r[column("outlet_c")].is_empty())
        .count();
    let off = with
        .iter()
        .filter(|r| r[column("pump_on_frac")] == "0.0000")
        .count();
    assert!(empty == off && off > 4000 && off < 8760);
    assert!(!with.iter().flatten().any(|cell| cell.contains("NaN")));
}

#[test]
fn a_southern_year_runs_from_july_to_june() {
    let (_, rows) = hours(Invented {
        south: true,
        ..Invented::default()
    });
    assert_eq!(rows[0][0], "2001-07-01T00:00");
    assert!(rows[8759][0].starts_with("2002-06-30T23"));
    assert!(rows.windows(2).all(|w| w[0][0] < w[1][0]));
}

#[test]
fn days_sum_to_the_season() {
    let season = season(Invented::default());
    let mut file = Vec::new();
    write_daily_csv(&mut file, &season).unwrap();
    let mut reader = csv::Reader::from_reader(file.as_slice());
    let header: Vec<_> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 365);
    let sum = |name: &str| -> f64 {
        let c = header.iter().position(|h| h == name).unwrap();
        rows.iter().map(|r| r[c].parse::<f64>().unwrap()).sum()
    };
    assert!((sum("heaters_kwh") - season.heat_kwh.heaters).abs() < 365.0 * ROUNDED);
    assert!((sum("evaporation_kwh") - season.heat_kwh.evaporation).abs() < 365.0 * ROUNDED);
    assert!((sum("swim_day") - season.swim_days as f64).abs() < 1e-9);
    assert!((sum("too_hot_day") - season.too_hot_days as f64).abs() < 1e-9);
    assert!((sum("pump_h") - season.pump_hours).abs() < 365.0 * ROUNDED);
}

#[test]
fn without_hours_the_table_says_so() {
    let mut season = season(Invented::default());
    season.hourly = None;
    assert!(matches!(
        write_hourly_csv(Vec::new(), &season),
        Err(ReportError::NoHours)
    ));
}

fn put(folder: &mut OutputFolder, name: &str, text: &str) -> Result<(), ReportError> {
    folder.write(name, |out| {
        out.write_all(text.as_bytes()).unwrap();
        Ok(())
    })
}

fn names(dir: &std::path::Path) -> Vec<String> {
    let mut out: Vec<_> = fs::read_dir(dir)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    out.sort();
    out
}

#[test]
fn a_new_folder_appears_whole() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().join("deep/er/results");
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "hourly.csv", "a").unwrap();
    assert!(!dir.exists(), "nothing is seen before the end");
    let files = folder.commit().unwrap();
    assert_eq!(files, [dir.join("hourly.csv")]);
    assert_eq!(names(&dir), ["hourly.csv", MANIFEST]);
    assert_eq!(
        names(dir.parent().unwrap()),
        ["results"],
        "nothing is left beside"
    );
}

#[test]
fn a_failed_run_leaves_everything_as_it_was() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().join("deep/results");
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "a").unwrap();
    let result = folder.write("b.csv", |_| Err(ReportError::NoHours));
    assert!(result.is_err());
    drop(folder);
    assert!(names(root.path()).is_empty());

    fs::create_dir_all(&dir).unwrap();
    fs::write(dir.join("notes.txt"), "mine").unwrap();
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "a").unwrap();
    drop(folder);
    assert_eq!(names(&dir), ["notes.txt"]);
}

#[test]
fn a_second_run_replaces_its_own_files_and_no_others() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().join("results");
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "first").unwrap();
    put(&mut folder, "old.png", "first").unwrap();
    folder.commit().unwrap();
    fs::write(dir.join("notes.txt"), "mine").unwrap();

    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "second").unwrap();
    folder.commit().unwrap();
    assert_eq!(
        names(&dir),
        ["a.csv", "notes.txt", MANIFEST],
        "what the last run did not make again is gone"
    );
    assert_eq!(fs::read_to_string(dir.join("a.csv")).unwrap(), "second");
    assert_eq!(fs::read_to_string(dir.join("notes.txt")).unwrap(), "mine");
}

#[test]
fn a_file_of_someone_else_is_not_replaced_unless_insisted() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().to_path_buf();
    fs::write(dir.join("a.csv"), "mine").unwrap();
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    let refused = put(&mut folder, "a.csv", "new");
    assert!(matches!(&refused, Err(ReportError::NotOurs(path)) if path.ends_with("a.csv")));
    assert!(refused.unwrap_err().to_string().contains("--force"));
    drop(folder);
    assert_eq!(fs::read_to_string(dir.join("a.csv")).unwrap(), "mine");

    let mut folder = OutputFolder::prepare(&dir, true).unwrap();
    put(&mut folder, "a.csv", "new").unwrap();
    folder.commit().unwrap();
    assert_eq!(fs::read_to_string(dir.join("a.csv")).unwrap(), "new");
}

#[test]
fn a_file_that_comes_while_running_is_not_replaced_either() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().join("results");
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "new").unwrap();
    fs::create_dir(&dir).unwrap();
    fs::write(dir.join("a.csv"), "mine").unwrap();
    assert!(matches!(folder.commit(), Err(ReportError::NotOurs(_))));
    assert_eq!(names(&dir), ["a.csv"]);
    assert_eq!(fs::read_to_string(dir.join("a.csv")).unwrap(), "mine");
}

#[test]
fn a_list_that_leads_elsewhere_is_not_followed() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().join("results");
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "a").unwrap();
    folder.commit().unwrap();
    fs::write(root.path().join("precious.txt"), "mine").unwrap();
    let list = dir.join(MANIFEST);
    let text = fs::read_to_string(&list).unwrap() + "../precious.txt\n/etc/hostname\n";
    fs::write(&list, text).unwrap();
    let mut folder = OutputFolder::prepare(&dir, false).unwrap();
    put(&mut folder, "a.csv", "b").unwrap();
    folder.commit().unwrap();
    assert_eq!(
        fs::read_to_string(root.path().join("precious.txt")).unwrap(),
        "mine"
    );
    for bad in ["../x", "a/b", "", ".hidden", MANIFEST, "c:x"] {
        let mut folder = OutputFolder::prepare(&dir, false).unwrap();
        assert!(
            matches!(put(&mut folder, bad, ""), Err(ReportError::BadName(_))),
            "{bad}"
        );
    }
}

#[test]
fn a_list_of_that_name_by_someone_else_is_refused() {
    let root = tempfile::tempdir().unwrap();
    fs::write(root.path().join(MANIFEST), "my own list\n").unwrap();
    assert!(matches!(
        OutputFolder::prepare(root.path(), false),
        Err(ReportError::NotOurs(_))
    ));
    let file = root.path().join("file");
    fs::write(&file, "").unwrap();
    assert!(matches!(
        OutputFolder::prepare(&file, true),
        Err(ReportError::NotAFolder(_))
    ));
}

#[test]
fn a_folder_in_the_way_is_named_even_when_insisted() {
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().to_path_buf();
    fs::create_dir(dir.join("year.png")).unwrap();
    for force in [false, true] {
        let mut folder = OutputFolder::prepare(&dir, force).unwrap();
        let refused = put(&mut folder, "year.png", "new").unwrap_err();
        assert!(
            matches!(&refused, ReportError::FolderInTheWay(path) if path.ends_with("year.png"))
        );
        let told = refused.to_string();
        assert!(
            told.contains("is a folder") && told.contains("--out") && !told.contains("--force"),
            "{told}"
        );
    }
    fs::create_dir(dir.join(MANIFEST)).unwrap();
    assert!(matches!(
        OutputFolder::prepare(&dir, true),
        Err(ReportError::FolderInTheWay(_))
    ));
}

/// All that a person sees of an error: the message and its causes.
fn chain(error: &dyn std::error::Error) -> String {
    let mut told = error.to_string();
    let mut cause = error.source();
    while let Some(e) = cause {
        told += &format!(": {e}");
        cause = e.source();
    }
    told
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_named_once_and_as_asked_for() {
    // A folder cannot be made below a file, not even by the one who may do everything.
    let root = tempfile::tempdir().unwrap();
    let file = root.path().join("file");
    fs::write(&file, "").unwrap();
    let wanted = file.join("deep/results");
    let told = chain(&OutputFolder::prepare(&wanted, false).unwrap_err());
    assert!(
        told.starts_with(&format!("cannot write in {} (", wanted.display()))
            && told.ends_with("choose another folder with --out")
            && !told.contains(".swimdays")
            && told.matches("os error").count() == 1,
        "{told}"
    );
    // A name that is too long for any file system fails late, when the files are in place.
    let wanted = root.path().join("x".repeat(400));
    let mut folder = OutputFolder::prepare(&wanted, false).unwrap();
    put(&mut folder, "a.csv", "a").unwrap();
    let told = chain(&folder.commit().unwrap_err());
    assert!(
        told.starts_with("cannot write in ") && told.matches("os error").count() == 1,
        "{told}"
    );
    assert_eq!(names(root.path()), ["file"]);
}

#[test]
fn a_cause_is_told_once() {
    let denied = || std::io::Error::from(std::io::ErrorKind::PermissionDenied);
    let text = denied().to_string();
    for error in [
        ReportError::File {
            doing: "writing",
            path: "a.csv".into(),
            source: denied(),
        },
        ReportError::NotWritable {
            folder: "results".into(),
            cause: denied(),
        },
        ReportError::Table(csv::Error::from(denied())),
        ReportError::Json(serde_json::Error::io(denied())),
    ] {
        let told = chain(&error);
        assert_eq!(told.matches(&text).count(), 1, "{told}");
    }
}
