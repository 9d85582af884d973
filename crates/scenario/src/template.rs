//! The commented scenario that `swimdays new` writes.

use std::fmt::Write as _;

use swimdays_quantity::Units;

/// What a person answers before the scenario is written. Texts are written as in a scenario: `"24 ft"`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answers {
    /// What the scenario is called.
    pub name: String,
    /// What is to be printed.
    pub units: Units,
    /// Path of the weather file, as seen from the scenario's folder.
    pub weather: String,
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
}

/// A string as TOML writes it.
fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

/// A commented scenario with these answers; it is read back by [`crate::parse`] if the answers are valid.
#[must_use]
pub fn template(answers: &Answers) -> String {
    let a = answers;
    let (outer, bore) = match a.units {
        Units::Us => ("0.70 in", "0.60 in"),
        Units::Metric => ("18 mm", "15 mm"),
    };
    let mut out = String::new();
    // Writing into a string cannot fail.
    let _ = write!(
        out,
        "# Quantities carry their unit, as people write them: \"24 ft\", \"12 ft 6 in\", \"80 F\", \"3 m\", \"25 °C\".\n\
         # What is left out is taken as usual; every result lists what was assumed.\n\
         # Try a change without editing:  --set pool.cover.kind=none\n\
         \n\
         name = {name}\n\
         units = \"{units}\"                # us | metric: what is printed\n\
         \n\
         [site]\n\
         # An hourly weather year of a place near you: TMY3 (CSV) or EPW. The path starts at this file's folder.\n\
         weather = {weather}\n\
         summer_time = {summer_time}           # none | us | eu: the clock on the wall\n\
         wind = \"suburban\"            # open | suburban | sheltered: what stands around the pool\n\
         \n\
         [pool]\n\
         length = {length}\n\
         width = {width}\n\
         depth = {depth}           # mean depth: middle of the shallow and the deep end\n\
         opens = {opens}             # month-day\n\
         closes = {closes}\n\
         \n\
         # House, trees, fence as seen from the middle of the water:\n\
         # [[pool.shade]]\n\
         # from = \"E\"                 # compass point or degrees clockwise from true north\n\
         # to = \"SE\"\n\
         # elevation = \"25 deg\"       # how high it stands above the horizon; or height and distance\n\
         # opacity = 0.7              # 1 a house, 0.7 a tree in leaf\n\
         \n\
         [swim]\n\
         target = \"{target}\"             # the coldest water you swim in\n\
         too_hot = \"{too_hot}\"            # the hottest\n\
         hours = \"15:00-19:00\"        # when it must be warm\n\
         \n\
         # A cover can drown a child or a pet: take it off altogether before anybody swims.\n\
         [pool.cover]\n\
         kind = {cover}            # bubble | foam | solid | disks | liquid | none\n\
         on = \"always\"                # or hours such as \"19:00-10:00\"; it comes off in the swim hours\n",
        name = quoted(&a.name),
        units = a.units.name(),
        weather = quoted(&a.weather),
        summer_time = quoted(&a.summer_time),
        length = quoted(&a.length),
        width = quoted(&a.width),
        depth = quoted(&a.depth),
        opens = quoted(&a.opens),
        closes = quoted(&a.closes),
        target = if a.units == Units::Us {
            "79 F"
        } else {
            "26 °C"
        },
        too_hot = if a.units == Units::Us {
            "90 F"
        } else {
            "32 °C"
        },
        cover = quoted(&a.cover),
    );
    if let Some(tube_length) = &a.tube_length {
        let _ = write!(
            out,
            "\n\
             # A black tube on a board. Standing full in the sun it gets hot enough to scald: let the first water run\n\
             # back below the surface, away from people. Tie it down against wind; keep it off fences that children climb.\n\
             [[heater]]\n\
             name = \"board\"\n\
             kind = \"board\"               # board | deck | panel\n\
             facing = {facing}\n\
             tilt = {tilt}              # 0 deg flat, 90 deg upright\n\
             \n\
             [heater.tube]\n\
             material = \"polyethylene\"\n\
             outer_diameter = \"{outer}\"\n\
             bore = \"{bore}\"              # inside diameter\n\
             length = {tube_length}\n\
             \n\
             [heater.board]\n\
             area = {area}\n\
             layout = \"rectangular-spiral\" # round-spiral | rectangular-spiral | serpentine\n\
             \n\
             # Electricity near water kills: residual-current protection (GFCI), bonding, a licensed electrician.\n\
             [pump]\n\
             kind = \"filter\"              # a tee off the filter pump, or own\n\
             flow = {flow}               # or measured: bucket = \"5 gal in 75 s\"\n\
             hours = \"9:00-17:00\"\n",
            facing = quoted(&a.facing),
            tilt = quoted(&a.tilt),
            tube_length = quoted(tube_length),
            area = quoted(&a.board_area),
            flow = quoted(&a.flow),
        );
    }
    let _ = write!(
        out,
        "\n[prices]\nelectricity = {}\n",
        quoted(&a.electricity)
    );
    out
}
