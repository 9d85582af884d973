//! `swimdays new`: a commented scenario to start from.

use std::fs::OpenOptions;
use std::io::{BufRead, IsTerminal, Write};

use swimdays_quantity::Units;
use swimdays_scenario::{Answers, template};

use crate::Done;
use crate::args::NewArgs;
use crate::failure::Failure;
use crate::samples;

pub(crate) fn run(args: &NewArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let path = &args.scenario;
    if !args.force && path.symlink_metadata().is_ok() {
        return Err(Failure::input(format!(
            "{}: is there already and stays as it is; choose another name, or --force to replace it",
            path.display()
        )));
    }
    let mut answers = usual(Units::Us);
    if !args.yes && std::io::stdin().is_terminal() {
        ask(&mut answers, &mut std::io::stdin().lock(), err)?;
    }
    let text = template(&answers);
    let mut options = OpenOptions::new();
    options.write(true);
    if args.force {
        options.create(true).truncate(true);
    } else {
        options.create_new(true);
    }
    let mut file = options
        .open(path)
        .map_err(|e| Failure::input(format!("{}: cannot be written: {e}", path.display())))?;
    file.write_all(text.as_bytes())?;
    writeln!(out, "wrote {}", path.display())?;
    if answers.weather.starts_with(samples::PREFIX) {
        writeln!(
            out,
            "its weather is an invented sample: put the name of a TMY3 or EPW file of your place into site.weather"
        )?;
    }
    writeln!(out, "next: swimdays season {}", path.display())?;
    Ok(())
}

fn usual(units: Units) -> Answers {
    Answers {
        weather: format!("{}temperate", samples::PREFIX),
        ..Answers::usual(units)
    }
}

/// Asks what matters most; an empty line takes what stands in brackets.
fn ask(answers: &mut Answers, input: &mut dyn BufRead, err: &mut dyn Write) -> Done {
    let mut question = |text: &str, usual: &str| -> Result<String, Failure> {
        write!(err, "{text} [{usual}]: ")?;
        err.flush()?;
        let mut line = String::new();
        input.read_line(&mut line)?;
        let line = line.trim();
        Ok(if line.is_empty() {
            usual.to_owned()
        } else {
            line.to_owned()
        })
    };
    let units = question("Feet and gallons (us) or metres and litres (metric)?", "us")?;
    if units.eq_ignore_ascii_case("metric") {
        *answers = usual(Units::Metric);
    }
    answers.name = question("What shall it be called?", &answers.name)?;
    answers.weather = question("Weather file (TMY3 or EPW) of your place", &answers.weather)?;
    answers.length = question("Length of the pool", &answers.length)?;
    answers.width = question("Width", &answers.width)?;
    answers.depth = question("Mean depth", &answers.depth)?;
    answers.opens = question("Open from (month-day)", &answers.opens)?;
    answers.closes = question("Open until (month-day)", &answers.closes)?;
    answers.cover = question(
        "Cover: bubble, foam, solid, disks, liquid or none",
        &answers.cover,
    )?;
    let tube = question(
        "Length of tube on the board (none for no board)",
        answers.tube_length.as_deref().unwrap_or("none"),
    )?;
    answers.tube_length = (tube != "none").then_some(tube);
    if answers.tube_length.is_some() {
        answers.board_area = question("Area of the board", &answers.board_area)?;
        answers.facing = question("Which way does it face?", &answers.facing)?;
        answers.tilt = question("How steep?", &answers.tilt)?;
        answers.flow = question("Flow through it", &answers.flow)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_taken_in_order_and_blanks_keep_the_usual() {
        let mut answers = usual(Units::Us);
        let mut typed = "metric\nOurs\n\n8 m\n\n\n\n\nnone\nnone\n".as_bytes();
        ask(&mut answers, &mut typed, &mut Vec::new()).expect("answers");
        assert_eq!(answers.units, Units::Metric);
        assert_eq!(
            (answers.name.as_str(), answers.length.as_str()),
            ("Ours", "8 m")
        );
        assert_eq!(answers.width, Answers::usual(Units::Metric).width);
        assert_eq!(
            (answers.cover.as_str(), answers.tube_length),
            ("none", None)
        );
    }
}
