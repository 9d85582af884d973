//! `swimdays sweep` as a person runs it, with the real binary.

mod desk;

use std::fs;
use std::process::Command;

use desk::{Desk, json, sample, text};

const VARY: [&str; 4] = [
    "--vary",
    "heater.board.area=16..64 ft2 in 4 values",
    "--vary",
    "pool.cover.kind=none,bubble",
];

fn sweep(desk: &Desk, more: &[&str]) -> std::process::Output {
    let scenario = sample("cover-and-board.toml");
    let mut args = vec!["sweep", &scenario];
    args.extend(VARY);
    args.extend(more);
    desk.run(&args)
}

fn done(desk: &Desk, more: &[&str]) -> String {
    let output = sweep(desk, more);
    assert!(
        output.status.success(),
        "{more:?}: {}",
        text(&output.stderr)
    );
    // No bar where there is no terminal.
    assert!(output.stderr.is_empty(), "{}", text(&output.stderr));
    text(&output.stdout)
}

fn read(desk: &Desk, name: &str) -> String {
    fs::read_to_string(desk.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

#[test]
fn every_combination_has_its_row_and_it_is_the_season() {
    let desk = Desk::new();
    let told = done(&desk, &[]);
    assert!(told.contains("8 rows: cover-and-board-sweep.csv"), "{told}");
    let table = read(&desk, "cover-and-board-sweep.csv");
    let lines: Vec<Vec<&str>> = table.lines().map(|l| l.split(',').collect()).collect();
    assert_eq!(lines.len(), 9, "{table}");
    assert_eq!(
        lines[0][..4],
        [
            "heater.board.area",
            "pool.cover.kind",
            "weather",
            "swim_days"
        ]
    );
    let begins: Vec<[&str; 2]> = lines[1..].iter().map(|l| [l[0], l[1]]).collect();
    // By hand: 16 to 64 in four goes by sixteens; the last key runs fastest.
    assert_eq!(
        begins,
        [
            ["16 ft2", "none"],
            ["16 ft2", "bubble"],
            ["32 ft2", "none"],
            ["32 ft2", "bubble"],
            ["48 ft2", "none"],
            ["48 ft2", "bubble"],
            ["64 ft2", "none"],
            ["64 ft2", "bubble"],
        ]
    );
    // One row against the command that runs one season.
    let scenario = sample("cover-and-board.toml");
    let season = json(&desk.run(&[
        "season",
        &scenario,
        "--json",
        "--set",
        "heater.board.area=48 ft2",
    ]));
    let row = &lines[6];
    let cell = |head: &str| {
        let at = lines[0].iter().position(|h| *h == head);
        at.map_or("", |at| row[at])
    };
    assert_eq!(cell("swim_days"), season["swim_days"].to_string());
    assert_eq!(
        cell("first_swim_day"),
        season["first_swim_day"].as_str().unwrap_or("").to_owned()
    );
    for (head, value) in [
        ("heaters_open_kwh", &season["energy_open_kwh"]["heaters"]),
        ("pump_h", &season["pump_hours"]),
        ("running_cost_$", &season["pump_cost"]),
    ] {
        let found: f64 = cell(head).parse().unwrap_or(f64::NAN);
        let expected = value.as_f64().unwrap_or(f64::NAN);
        assert!(
            (found - expected).abs() <= 5e-4,
            "{head}: {found} {expected}"
        );
    }
}

#[test]
fn parts_behind_one_another_are_the_whole_for_any_number_of_threads() {
    let desk = Desk::new();
    done(&desk, &["--out", "all.csv"]);
    let all = read(&desk, "all.csv");
    for parts in [2, 3, 8, 11] {
        let mut joined = String::new();
        for part in 1..=parts {
            let (part, file) = (format!("{part}/{parts}"), format!("{part}-of-{parts}.csv"));
            done(&desk, &["--out", &file, "--part", &part]);
            joined += &read(&desk, &file);
        }
        assert_eq!(joined, all, "{parts} parts");
    }
    for threads in ["1", "2"] {
        let output = Command::new(env!("CARGO_BIN_EXE_swimdays"))
            .args(["sweep", &sample("cover-and-board.toml"), "--out", threads])
            .args(VARY)
            .env("RAYON_NUM_THREADS", threads)
            .current_dir(desk.folder.path())
            .output()
            .expect("the program starts");
        assert!(output.status.success(), "{}", text(&output.stderr));
        assert_eq!(read(&desk, threads), all);
    }
}

#[test]
fn a_torn_file_is_finished_to_the_same_bytes() {
    let desk = Desk::new();
    done(&desk, &["--out", "all.csv"]);
    let all = read(&desk, "all.csv");
    let third = all.match_indices('\n').nth(3).map_or(0, |(at, _)| at);
    // Nothing at all, within the head, at its end, within a row, at the end of a row, all of it.
    for cut in [
        0,
        7,
        all.find('\n').unwrap_or(0) + 1,
        third - 9,
        third + 1,
        all.len(),
    ] {
        fs::write(desk.path("torn.csv"), &all[..cut]).expect("written");
        done(&desk, &["--out", "torn.csv", "--resume"]);
        assert_eq!(read(&desk, "torn.csv"), all, "cut at {cut}");
    }
    // A later part has no head.
    done(&desk, &["--out", "part.csv", "--part", "2/2"]);
    let part = read(&desk, "part.csv");
    fs::write(desk.path("part.csv"), &part[..part.len() - 20]).expect("written");
    done(&desk, &["--out", "part.csv", "--part", "2/2", "--resume"]);
    assert_eq!(read(&desk, "part.csv"), part);
}

#[test]
fn a_file_of_another_sweep_is_left_alone() {
    let desk = Desk::new();
    done(&desk, &["--out", "all.csv"]);
    let all = read(&desk, "all.csv");
    let again = sweep(&desk, &["--out", "all.csv"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("--resume goes on with it, --force replaces it"));
    // Another pool: the values are those of this sweep, the seasons are not.
    for (more, says) in [
        (
            vec!["--set", "pool.depth=6 ft"],
            "row 8 is not of this sweep",
        ),
        (
            vec!["--vary", "pool.depth=4 ft,5 ft"],
            "its first line is not that of this sweep",
        ),
        (vec!["--part", "2/2"], "row 1 is not of this sweep"),
    ] {
        let mut args = vec!["--out", "all.csv", "--resume"];
        args.extend(more);
        let other = sweep(&desk, &args);
        let told = text(&other.stderr);
        assert_eq!(other.status.code(), Some(2), "{told}");
        assert!(told.contains(says), "{told}");
        assert_eq!(read(&desk, "all.csv"), all);
    }
    done(
        &desk,
        &["--out", "all.csv", "--force", "--set", "pool.depth=6 ft"],
    );
    assert_ne!(read(&desk, "all.csv"), all);
}

#[test]
fn what_is_no_sweep_is_told_with_what_is() {
    let desk = Desk::new();
    let scenario = sample("cover-and-board.toml");
    for (vary, says) in [
        ("pool.cover.kind", "is not path=values"),
        (
            "heater.board.area=10..100 ft2/10",
            "10..100 ft2 in 10 values",
        ),
        ("heater.bord.area=1 ft2,2 ft2", "did you mean"),
        ("pool.cover.kind=none,bubbles", "bubble"),
        (
            "heater.board.tilt=20 deg,400 deg",
            "with heater.board.tilt=400 deg",
        ),
    ] {
        let output = desk.run(&["sweep", &scenario, "--vary", vary]);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{vary}: {told}");
        assert!(told.contains(says), "{vary}: {told}");
    }
    for (more, says) in [
        (["--part", "0/3"], "--part 3/8"),
        (["--part", "4/3"], "--part 3/8"),
        (["--part", "half"], "--part 3/8"),
        (["--out", "no/where.csv"], "there is no folder no"),
    ] {
        let output = sweep(&desk, &more);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{more:?}: {told}");
        assert!(told.contains(says), "{more:?}: {told}");
    }
    assert_eq!(desk.names(), Vec::<String>::new(), "nothing is left behind");
}

/// Weather as a key: every place its own file.
#[test]
fn the_weather_can_be_varied() {
    let desk = Desk::new();
    let folder = desk::root().join("weather-samples");
    let vary = format!(
        "site.weather={0}/temperate.epw,{0}/hot-dry.epw",
        folder.to_string_lossy()
    );
    let output = desk.run(&[
        "sweep",
        &sample("cover-and-board.toml"),
        "--vary",
        &vary,
        "--out",
        "w.csv",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let table = read(&desk, "w.csv");
    assert_eq!(table.lines().count(), 3, "{table}");
    assert!(
        table.contains(",temperate.epw,") && table.contains(",hot-dry.epw,"),
        "{table}"
    );
    fs::write(desk.path("w.csv"), &table[..table.len() - 5]).expect("written");
    let output = desk.run(&[
        "sweep",
        &sample("cover-and-board.toml"),
        "--vary",
        &vary,
        "--out",
        "w.csv",
        "--resume",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert_eq!(read(&desk, "w.csv"), table);
}

/// Ctrl-C: whole rows stay, and the sweep goes on where it stopped.
#[cfg(unix)]
#[test]
fn ctrl_c_leaves_finished_rows() {
    let desk = Desk::new();
    let args = [
        "sweep",
        &sample("cover-and-board.toml"),
        "--vary",
        "heater.board.tilt=0..90 deg in 2000 values",
        "--out",
        "long.csv",
    ];
    let child = Command::new(env!("CARGO_BIN_EXE_swimdays"))
        .args(args)
        .current_dir(desk.folder.path())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the program starts");
    // Until the first rows are there.
    let rows = || fs::read_to_string(desk.path("long.csv")).map_or(0, |t| t.lines().count());
    for _ in 0..6000 {
        if rows() > 1 {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    let interrupt = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(interrupt.is_ok_and(|s| s.success()));
    let output = child.wait_with_output().expect("it ends");
    let told = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{told}");
    assert!(told.contains("--resume goes on"), "{told}");
    let table = read(&desk, "long.csv");
    assert!(
        table.ends_with('\n') && table.lines().count() > 1,
        "{table}"
    );
    let columns = |line: &str| line.split(',').count();
    let head = table.lines().next().map_or(0, columns);
    assert!(table.lines().all(|line| columns(line) == head));
}
