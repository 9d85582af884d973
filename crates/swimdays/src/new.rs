//! `swimdays new`: a commented scenario to start from.

use std::fs::OpenOptions;
use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;

use swimdays_quantity::Units;
use swimdays_scenario::{Answers, check_answer, template};
use swimdays_weather::normals::read_table;

use crate::Done;
use crate::args::NewArgs;
use crate::failure::{Failure, print};
use crate::samples;

pub(crate) fn run(args: &NewArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let mut input = std::io::stdin().lock();
    let asks = !args.yes && std::io::stdin().is_terminal();
    write_new(args, asks.then_some(&mut input), out, err)
}

/// Asks when there is `input` to answer from, and writes the scenario.
fn write_new(
    args: &NewArgs,
    input: Option<&mut dyn BufRead>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Done {
    let path = &args.scenario;
    if !args.force && path.symlink_metadata().is_ok() {
        return Err(Failure::input(format!(
            "{}: is there already and stays as it is; choose another name, or --force to replace it",
            path.display()
        )));
    }
    let mut answers = usual(Units::Us);
    if let Some(input) = input {
        let folder = path.parent().unwrap_or(Path::new(""));
        Asker { folder, input, err }.all(&mut answers)?;
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
    print(out, format_args!("wrote {}\n", path.display()))?;
    if answers.weather.starts_with(samples::PREFIX) {
        print(
            out,
            format_args!(
                "its weather is an invented sample: put the name of an hourly weather file of your place into site.weather\n"
            ),
        )?;
    }
    print(
        out,
        format_args!("next: swimdays season {}\n", path.display()),
    )
}

fn usual(units: Units) -> Answers {
    Answers {
        weather: format!("{}temperate", samples::PREFIX),
        ..Answers::usual(units)
    }
}

/// What is asked, of whom.
struct Asker<'a> {
    /// Where the scenario will lie.
    folder: &'a Path,
    input: &'a mut dyn BufRead,
    err: &'a mut dyn Write,
}

impl Asker<'_> {
    /// Asks what matters most; an empty line takes what stands in brackets.
    fn all(&mut self, answers: &mut Answers) -> Done {
        if self.units()? == Units::Metric {
            *answers = usual(Units::Metric);
        }
        answers.name = self.line("What shall it be called?", &answers.name)?;
        self.weather(answers)?;
        self.valid(answers, "Length of the pool", "pool.length", |a| {
            &mut a.length
        })?;
        self.valid(answers, "Width", "pool.width", |a| &mut a.width)?;
        self.valid(answers, "Mean depth", "pool.depth", |a| &mut a.depth)?;
        self.valid(answers, "Open from (month-day)", "pool.opens", |a| {
            &mut a.opens
        })?;
        self.valid(answers, "Open until (month-day)", "pool.closes", |a| {
            &mut a.closes
        })?;
        self.valid(
            answers,
            "Cover: bubble, foam, solid, disks, liquid or none",
            "pool.cover.kind",
            |a| &mut a.cover,
        )?;
        self.tube(answers)?;
        if answers.tube_length.is_some() {
            self.valid(
                answers,
                "Area of the board",
                "heater.board.board.area",
                |a| &mut a.board_area,
            )?;
            self.valid(
                answers,
                "Which way does it face?",
                "heater.board.facing",
                |a| &mut a.facing,
            )?;
            self.valid(answers, "How steep?", "heater.board.tilt", |a| &mut a.tilt)?;
            self.valid(answers, "Flow through it", "pump.flow", |a| &mut a.flow)?;
        }
        Ok(())
    }

    /// One line; what stands in brackets when it is empty.
    fn line(&mut self, text: &str, usual: &str) -> Result<String, Failure> {
        write!(self.err, "{text} [{usual}]: ")?;
        self.err.flush()?;
        let mut line = String::new();
        if self.input.read_line(&mut line)? == 0 {
            writeln!(self.err)?;
            return Err(Failure::input(
                "nothing written: the answers ended before the last question; --yes takes the usual ones",
            ));
        }
        let line = line.trim();
        Ok(if line.is_empty() { usual } else { line }.to_owned())
    }

    /// Asks until the answer can stand in a scenario.
    fn valid(
        &mut self,
        answers: &mut Answers,
        text: &str,
        key: &str,
        field: impl Fn(&mut Answers) -> &mut String,
    ) -> Done {
        let usual = field(answers).clone();
        loop {
            *field(answers) = self.line(text, &usual)?;
            if self.stands(answers, key)? {
                return Ok(());
            }
        }
    }

    /// Whether the answer under `key` can stand; says why not.
    fn stands(&mut self, answers: &Answers, key: &str) -> Result<bool, Failure> {
        let wrong = check_answer(answers, key);
        for diagnostic in &wrong {
            writeln!(self.err, "  {}: {}", diagnostic.found, diagnostic.problem)?;
            for (what, said) in [
                ("allowed", &diagnostic.allowed),
                ("to do", &diagnostic.advice),
            ] {
                if !said.is_empty() {
                    writeln!(self.err, "  {what}: {said}")?;
                }
            }
        }
        Ok(wrong.is_empty())
    }

    fn units(&mut self) -> Result<Units, Failure> {
        loop {
            let answer = self.line(
                "Feet and gallons (us) or metres and litres (metric)?",
                Units::Us.name(),
            )?;
            match Units::from_name(&answer.to_ascii_lowercase()) {
                Some(units) => return Ok(units),
                None => writeln!(self.err, "  \"{answer}\": write us or metric")?,
            }
        }
    }

    /// A file that is not there yet is taken, with a warning; a place in the south turns what is offered next.
    fn weather(&mut self, answers: &mut Answers) -> Done {
        let usual = answers.weather.clone();
        loop {
            let answer = self.line(
                "Hourly weather file of your place, or a climate table",
                &usual,
            )?;
            answers.weather.clone_from(&answer);
            let path = self.folder.join(&answer);
            let table = read_table(&path);
            answers.is_climate_table = table.is_ok();
            let place = match table {
                Ok(normals) => Ok(normals.place),
                Err(_) => samples::read(&path).map(|year| year.place),
            };
            match place {
                Ok(place) => {
                    if place.latitude_deg < 0.0 {
                        answers.turn_south();
                    }
                    return Ok(());
                }
                Err(reason) if answer.starts_with(samples::PREFIX) => {
                    writeln!(self.err, "  {reason}")?;
                }
                Err(reason) => {
                    writeln!(self.err, "  taken, but it cannot be read yet: {reason}")?;
                    return Ok(());
                }
            }
        }
    }

    fn tube(&mut self, answers: &mut Answers) -> Done {
        let usual = answers.tube_length.clone();
        loop {
            let answer = self.line(
                "Length of tube on the board (none for no board)",
                usual.as_deref().unwrap_or("none"),
            )?;
            answers.tube_length = (!answer.eq_ignore_ascii_case("none")).then_some(answer);
            if self.stands(answers, "heater.board.tube.length")? {
                return Ok(());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Answers typed into `swimdays new` in a fresh folder: how it ended, what was asked, what was written.
    fn typed(typed: &str) -> (Done, String, Option<String>) {
        let folder = tempfile::TempDir::new().expect("a folder");
        let scenario = folder.path().join("pool.toml");
        let args = NewArgs {
            scenario: scenario.clone(),
            yes: false,
            force: false,
        };
        let mut err = Vec::new();
        let done = write_new(
            &args,
            Some(&mut typed.as_bytes()),
            &mut Vec::new(),
            &mut err,
        );
        let written = std::fs::read_to_string(scenario).ok();
        (done, String::from_utf8(err).expect("text"), written)
    }

    fn written(answers: &str) -> (String, String) {
        let (done, asked, written) = typed(answers);
        done.unwrap_or_else(|e| panic!("{}\n{asked}", e.text()));
        let written = written.expect("a scenario");
        swimdays_scenario::parse(&written, "pool.toml", Path::new(""), &[])
            .unwrap_or_else(|e| panic!("{e}\n{written}"));
        (written, asked)
    }

    #[test]
    fn answers_are_taken_in_order_and_blanks_keep_the_usual() {
        let (text, asked) = written("Metric\nOurs\n\n8 m\n\n\n\n\nnone\nNone\n");
        let usual = Answers::usual(Units::Metric);
        for line in [
            "units = \"metric\"",
            "name = \"Ours\"",
            "length = \"8 m\"",
            &format!("width = \"{}\"", usual.width),
            "kind = \"none\"",
        ] {
            assert!(text.contains(line), "{line} in\n{text}");
        }
        assert!(!text.contains("[[heater]]"), "no board:\n{text}");
        assert!(!asked.contains("allowed"), "nothing to object to:\n{asked}");
    }

    #[test]
    fn each_wrong_answer_is_asked_again_with_the_reason() {
        let (text, asked) = written(concat!(
            "imperial\nus\n",
            "Ours\n",
            "sample:mars\nsample:temperate\n",
            "24\n-3 ft\n20 ft\n",
            "10 kg\n10 ft\n",
            "9 miles\n5 ft\n",
            "31-31\n05-15\n",
            "someday\n09-15\n",
            "tarp\nfoam\n",
            "long\n400 ft\n",
            "1 ft x 8 ft\n5 ft x 8 ft\n",
            "up\nSSW\n",
            "35\n40 deg\n",
            "fast\n5 gpm\n",
        ));
        for reason in [
            "write us or metric",
            "there is no sample weather",
            "needs a unit",
            "is outside what is plausible",
            "is a mass, a length is wanted",
            "is not a word known here",
            "is too small for the tube",
            "\"up\": ",
            "\"someday\": ",
            "\"31-31\": ",
            "\"fast\": ",
        ] {
            assert!(asked.contains(reason), "{reason} in\n{asked}");
        }
        for line in [
            "length = \"20 ft\"",
            "opens = \"05-15\"",
            "area = \"5 ft x 8 ft\"",
            "facing = \"SSW\"",
            "tilt = \"40 deg\"",
            "flow = \"5 gpm\"",
        ] {
            assert!(text.contains(line), "{line} in\n{text}");
        }
    }

    #[test]
    fn answers_that_end_early_write_nothing() {
        let whole = "us\nOurs\n\n\n\n\n\n\n\n\n\n\n\n\n";
        assert!(written(whole).0.contains("Ours"));
        for questions in 0..whole.lines().count() {
            let some: String = whole.split_inclusive('\n').take(questions).collect();
            let (done, _, written) = typed(&some);
            let failure = done.expect_err("the last answer is missing");
            assert_eq!(failure.code(), 2);
            assert!(failure.text().contains("nothing written"));
            assert_eq!(written, None, "after {questions} answers");
        }
    }

    #[test]
    fn weather_that_is_not_there_is_taken_with_a_warning() {
        let (text, asked) = written("\n\nlater.epw\n\n\n\n\n\n\nnone\n");
        assert!(text.contains("weather = \"later.epw\""), "{text}");
        assert!(asked.contains("cannot be read yet"), "{asked}");
    }

    #[test]
    fn a_climate_table_stands_in_for_hourly_weather() {
        let folder = tempfile::TempDir::new().expect("a folder");
        let mut table = String::from(
            "# latitude_deg: -41\n# longitude_deg: 175\n# altitude_m: 5\n# utc_offset_h: 12\nmonth,max_c,min_c\n",
        );
        for month in 1..=12 {
            table += &format!("{month},20,12\n");
        }
        let file = folder.path().join("town.csv");
        std::fs::write(&file, table).expect("a table");
        let blanks = "\n".repeat(12);
        let (text, asked) = written(&format!("\n\n{}\n{blanks}", file.display()));
        assert!(text.contains("[site.normals]\n") && text.contains("table = "));
        assert!(!text.contains("weather = "), "{text}");
        assert!(text.contains("facing = \"N\""), "it lies in the south");
        assert!(!asked.contains("cannot be read"), "{asked}");
    }

    #[test]
    fn in_the_south_other_months_and_the_north_are_offered() {
        let blanks = "\n".repeat(12);
        let (text, _) = written(&format!("\n\nsample:cool-south\n{blanks}"));
        for line in [
            "opens = \"11-01\"",
            "closes = \"03-31\"",
            "facing = \"N\"",
            "summer_time = \"none\"",
        ] {
            assert!(text.contains(line), "{line} in\n{text}");
        }
        let (text, _) = written(&format!("\n\nsample:hot-dry\n{blanks}"));
        assert!(text.contains("opens = \"05-01\"") && text.contains("facing = \"S\""));
    }
}
