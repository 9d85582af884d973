//! `swimdays weather normals TABLE.csv`: years of hours from a climate table of twelve months.

use std::io::Write;
use std::path::{Path, PathBuf};

use swimdays_quantity::Units;
use swimdays_report::weather::{WeatherReport, weather_lines};
use swimdays_weather::normals::{generate, read_table};

use super::args::NormalsArgs;
use super::describe::print_json;
use super::{files, units};
use crate::Done;
use crate::delivery::WIDTH;
use crate::failure::{Failure, print};

/// A table to fill in, of an invented place.
const TEMPLATE_METRIC: &str = include_str!("template-metric.csv");
/// The same in the units of the United States.
const TEMPLATE_US: &str = include_str!("template-us.csv");

pub(super) fn run(args: &NormalsArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    if args.template {
        return template(args, out);
    }
    let target = args.to.target();
    let paths = if args.json && args.out.is_none() {
        Vec::new()
    } else {
        paths(args)?
    };
    for path in &paths {
        files::free(path, args.force)?;
    }
    let table = read_table(&args.table).map_err(Failure::input)?;
    let mut first = None;
    let (mut made, mut lost) = (Vec::new(), Vec::new());
    for n in 0..args.years {
        let year = generate(&table, args.seed.wrapping_add(n)).map_err(Failure::input)?;
        if let Some(path) = usize::try_from(n).ok().and_then(|n| paths.get(n)) {
            let converted = swimdays_weather::convert(&year, target).map_err(Failure::input)?;
            made.push((path.clone(), converted.text));
            lost = converted.lost;
        }
        if first.is_none() {
            first = Some(WeatherReport::new(&year, env!("CARGO_PKG_VERSION")));
        }
    }
    let Some(report) = first else {
        return Err(Failure::input("--years 0: no year to make"));
    };
    files::put(&made, args.force)?;
    if args.json {
        for path in &paths {
            writeln!(err, "wrote {}", path.display())?;
        }
        return print_json(&report, out);
    }
    for line in weather_lines(&report, units(args.units), WIDTH) {
        print(out, format_args!("{line}\n"))?;
    }
    let named = match paths.as_slice() {
        [only] => only.display().to_string(),
        [first, .., last] => format!("{} to {}", first.display(), last.display()),
        [] => String::new(),
    };
    let others = if args.years > 1 {
        "all have these monthly means; the table above is of the first"
    } else {
        "other seeds give other years with these monthly means"
    };
    print(out, format_args!("{}: {named}; {others}.\n", target.name()))?;
    for lost in &lost {
        print(out, format_args!("Lost: {lost}.\n"))?;
    }
    Ok(())
}

/// Where the years go: one file, or one for each with its number before the ending.
fn paths(args: &NormalsArgs) -> Result<Vec<PathBuf>, Failure> {
    let ending = args.to.target().ending();
    let base = match &args.out {
        Some(path) => path.clone(),
        None => PathBuf::from(format!("{}.{ending}", files::stem(&args.table)?)),
    };
    if args.years == 1 {
        return Ok(vec![base]);
    }
    let name = base
        .file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .ok_or_else(|| Failure::input(format!("{}: not the name of a file", base.display())))?;
    let (stem, ending) = match name.strip_suffix(&format!(".{ending}")) {
        Some(stem) => (stem.to_owned(), format!(".{ending}")),
        None => {
            let ending = Path::new(&name)
                .extension()
                .map_or_else(String::new, |e| format!(".{}", e.to_string_lossy()));
            let stem = name.strip_suffix(&ending).unwrap_or(&name);
            (stem.to_owned(), ending)
        }
    };
    Ok((1..=args.years)
        .map(|n| base.with_file_name(format!("{stem}-{n}{ending}")))
        .collect())
}

fn template(args: &NormalsArgs, out: &mut dyn Write) -> Done {
    let text = match units(args.units) {
        Units::Us => TEMPLATE_US,
        Units::Metric => TEMPLATE_METRIC,
    };
    files::put(&[(args.table.clone(), text.to_owned())], args.force)?;
    print(
        out,
        format_args!(
            "{0}: a climate table to fill in. Put in your town's figures, then: swimdays weather normals {0}\n",
            args.table.display()
        ),
    )
}
