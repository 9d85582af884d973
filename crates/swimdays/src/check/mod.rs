//! `swimdays check`: what was measured against what it should be.

mod args;
mod learnt;
mod notes;
mod spot;

use std::io::Write;

use swimdays_quantity::Units;

pub(crate) use args::CheckArgs;

use crate::Done;
use crate::args::UnitsArg;
use crate::failure::print;

pub(crate) fn run(args: &CheckArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    if args.template {
        let units = match args.how.units {
            Some(UnitsArg::Metric) => Units::Metric,
            Some(UnitsArg::Us) | None => Units::Us,
        };
        return print(
            out,
            format_args!("{}", swimdays_check::log::template(units)),
        );
    }
    if args.flow.is_some() || args.inlet.is_some() {
        return spot::run(args, out);
    }
    notes::run(args, out, err)
}
