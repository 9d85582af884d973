//! The commented scenario that `swimdays new` writes.

use std::path::Path;

use swimdays_quantity::Units;

use crate::diagnostic::Diagnostic;

/// What a person answers before the scenario is written. Texts are written as in a scenario: `"24 ft"`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answers {
    /// What the scenario is called.
    pub name: String,
    /// What is to be printed.
    pub units: Units,
    /// Path of the weather file, as seen from the scenario's folder.
    pub weather: String,
    /// Whether that file is a climate table and no hourly weather.
    pub is_climate_table: bool,
    /// `none`, `us` or `eu`.
    pub summer_time: String,
    /// Length of the pool.
    pub length: String,
    /// Its width.
    pub width: String,
    /// Its mean depth.
    pub depth: String,
    /// First day of the season, month-day.
    pub opens: String,
    /// Last day.
    pub closes: String,
    /// `bubble`, `foam`, `solid`, `disks`, `liquid` or `none`.
    pub cover: String,
    /// Length of tube on the board; absent: no board.
    pub tube_length: Option<String>,
    /// Area of the board.
    pub board_area: String,
    /// Which way it looks: a compass point or degrees.
    pub facing: String,
    /// How steep it stands.
    pub tilt: String,
    /// Flow through it.
    pub flow: String,
    /// Price of electricity.
    pub electricity: String,
}

impl Default for Answers {
    fn default() -> Self {
        Self::usual(Units::Us)
    }
}

impl Answers {
    /// The usual answers, in feet and gallons or in metres and litres.
    #[must_use]
    pub fn usual(units: Units) -> Self {
        let pick = |us: &str, metric: &str| match units {
            Units::Us => us.to_owned(),
            Units::Metric => metric.to_owned(),
        };
        Self {
            name: "My pool".into(),
            units,
            weather: "weather.epw".into(),
            is_climate_table: false,
            summer_time: pick("us", "none"),
            length: pick("24 ft", "7.5 m"),
            width: pick("12 ft", "3.5 m"),
            depth: pick("4 ft 6 in", "1.4 m"),
            opens: "05-01".into(),
            closes: "09-30".into(),
            cover: "bubble".into(),
            tube_length: Some(pick("200 ft", "60 m")),
            board_area: pick("32 ft2", "3 m2"),
            facing: "S".into(),
            tilt: "35 deg".into(),
            flow: pick("4 gpm", "15 L/min"),
            electricity: pick("0.17 $/kWh", "0.30 €/kWh"),
        }
    }

    /// Turns what depends on the half of the world: summer lies around the new year, the midday sun in the north.
    pub fn turn_south(&mut self) {
        self.summer_time = "none".into();
        self.opens = "11-01".into();
        self.closes = "03-31".into();
        self.facing = "N".into();
    }
}

/// What is wrong with the answer that is written under `key` (`"pool.length"`), read beside the others as a scenario
/// is; nothing when it can stand.
#[must_use]
pub fn check_answer(answers: &Answers, key: &str) -> Vec<Diagnostic> {
    let read = crate::parse(&template(answers), "answers", Path::new(""), &[]);
    read.map_or_else(|errors| errors.diagnostics, |_| Vec::new())
        .into_iter()
        .filter(|d| d.key == key)
        .collect()
}

/// A string as TOML writes it.
fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

/// The text as it grows.
struct Text(String);

impl Text {
    /// A line as it is.
    fn line(&mut self, line: &str) {
        self.0.push_str(line);
        self.0.push('\n');
    }

    /// `key = "value"` with a comment behind it.
    fn key(&mut self, key: &str, value: &str, comment: &str) {
        let set = format!("{key} = {}", quoted(value));
        if comment.is_empty() {
            self.line(&set);
        } else {
            self.line(&format!("{set:<34}# {comment}"));
        }
    }
}

/// A commented scenario with these answers; it is read back by [`crate::parse`] if the answers are valid.
#[must_use]
pub fn template(answers: &Answers) -> String {
    let a = answers;
    let us = a.units == Units::Us;
    let mut t = Text(String::new());
    t.line("# Quantities carry their unit, as people write them: \"24 ft\", \"12 ft 6 in\", \"80 F\", \"3 m\", \"25 °C\".");
    t.line("# What is left out is taken as usual; every result lists what was assumed.");
    t.line("# Try a change without editing:  --set pool.cover.kind=none");
    t.line("");
    t.key("name", &a.name, "");
    t.key("units", a.units.name(), "us | metric: what is printed");
    t.line("\n[site]");
    if !a.is_climate_table {
        t.line("# An hourly weather file of a place near you, or a list of files, one a year. The path starts at this file's folder.");
        t.key("weather", &a.weather, "");
    }
    t.key(
        "summer_time",
        &a.summer_time,
        "none | us | eu: the clock on the wall",
    );
    t.key(
        "wind",
        "suburban",
        "open | suburban | sheltered: what stands around the pool",
    );
    if a.is_climate_table {
        t.line("\n[site.normals]");
        t.line("# Weather years are made from this climate table. The path starts at this file's folder.");
        t.key("table", &a.weather, "");
    }
    t.line("\n[pool]");
    t.key("length", &a.length, "");
    t.key("width", &a.width, "");
    t.key(
        "depth",
        &a.depth,
        "mean depth: middle of the shallow and the deep end",
    );
    t.key("opens", &a.opens, "month-day");
    t.key("closes", &a.closes, "");
    t.line("\n# House, trees, fence as seen from the middle of the water; take out the # and add more such tables:");
    t.line("# [[pool.shade]]");
    t.line(
        "# from = \"E\"                      # compass point or degrees clockwise from true north",
    );
    t.line("# to = \"SE\"                       # going clockwise");
    t.line("# elevation = \"25 deg\"            # how high it stands above the horizon; or height and distance");
    t.line("# opacity = 0.7                   # 1 a house, 0.7 a tree in leaf");
    t.line("\n[swim]");
    t.key(
        "target",
        if us { "79 F" } else { "26 °C" },
        "the coldest water you swim in",
    );
    t.key("too_hot", if us { "90 F" } else { "32 °C" }, "the hottest");
    t.key("hours", "15:00-19:00", "when it must be warm");
    t.line("\n# A cover can drown a child or a pet: take it off altogether before anybody swims.");
    t.line("[pool.cover]");
    t.key(
        "kind",
        &a.cover,
        "bubble | foam | solid | disks | liquid | none",
    );
    t.key(
        "on",
        "always",
        "or hours such as \"19:00-10:00\"; it comes off in the swim hours",
    );
    if let Some(tube_length) = &a.tube_length {
        board(&mut t, a, tube_length);
    }
    t.line("\n[prices]");
    t.key("electricity", &a.electricity, "");
    t.0
}

fn board(t: &mut Text, a: &Answers, tube_length: &str) {
    let (outer, bore) = match a.units {
        Units::Us => ("0.70 in", "0.60 in"),
        Units::Metric => ("18 mm", "15 mm"),
    };
    t.line("\n# A black tube on a board. Standing full in the sun it gets hot enough to scald: let the first water run");
    t.line("# back below the surface, away from people. Tie it down against wind; keep it off fences that children climb.");
    t.line("[[heater]]");
    t.key("name", "board", "");
    t.key("kind", "board", "board | deck | panel");
    t.key(
        "facing",
        &a.facing,
        "compass point or degrees clockwise from true north",
    );
    t.key("tilt", &a.tilt, "0 deg flat, 90 deg upright");
    t.line("\n[heater.tube]");
    t.key(
        "material",
        "polyethylene",
        "polyethylene | hdpe | pex | pvc | epdm | polypropylene | copper",
    );
    t.key("outer_diameter", outer, "");
    t.key("bore", bore, "inside diameter; nominal sizes are not it");
    t.key("length", tube_length, "");
    t.line("\n[heater.board]");
    t.key("area", &a.board_area, "");
    t.key(
        "layout",
        "rectangular-spiral",
        "round-spiral | rectangular-spiral | serpentine",
    );
    t.line("\n# Electricity near water kills: residual-current protection (GFCI), bonding, a licensed electrician.");
    t.line("[pump]");
    t.key("kind", "filter", "a tee off the filter pump, or own");
    t.key("flow", &a.flow, "or measured: bucket = \"5 gal in 75 s\"");
    t.key("hours", "9:00-17:00", "");
}
