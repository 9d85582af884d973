//! `swimdays weather convert FILE --to …`: the same year in another format.

use std::io::Write;
use std::path::PathBuf;

use super::args::ConvertArgs;
use super::{files, read};
use crate::Done;
use crate::failure::{Failure, print};

pub(super) fn run(args: &ConvertArgs, out: &mut dyn Write) -> Done {
    let target = args.to.target();
    let path = match &args.out {
        Some(path) => path.clone(),
        None => PathBuf::from(format!("{}.{}", files::stem(&args.file)?, target.ending())),
    };
    files::free(&path, args.force)?;
    let year = read(&args.file, &args.reading)?;
    let converted = swimdays_weather::convert(&year, target).map_err(Failure::input)?;
    files::put(&[(path.clone(), converted.text)], args.force)?;
    print(
        out,
        format_args!(
            "{}: {}, {} interval{}; read back, every value in it is as it was.\n",
            path.display(),
            target.name(),
            year.len(),
            if year.len() == 1 { "" } else { "s" }
        ),
    )?;
    for lost in &converted.lost {
        print(out, format_args!("Lost: {lost}.\n"))?;
    }
    if converted.lost.is_empty() {
        print(out, format_args!("Nothing was lost.\n"))?;
    }
    if !converted.unmarked.is_empty() {
        let kinds = converted.unmarked.join(", ");
        print(
            out,
            format_args!("Not marked in it: which values were {kinds}.\n"),
        )?;
    }
    Ok(())
}
