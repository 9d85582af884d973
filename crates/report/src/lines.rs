//! Text into lines for a terminal: numbers stay with their units, and nothing in a name steers the terminal.

use crate::Units;
use crate::words::{half, rough, whole};

/// A space at which no line breaks; written as a plain one.
pub(crate) const TIE: &str = "\u{a0}";

/// Units that stay with the number before them.
const UNITS: [&str; 16] = [
    "°F", "°C", "%", "kWh", "kW", "W", "h", "min", "s", "gal", "L", "ft", "in", "m", "cm", "mm",
];

/// Words into lines of at most `width`; lines after the first are indented.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text
        .split(|c: char| c.is_whitespace() && !TIE.contains(c))
        .filter(|w| !w.is_empty())
    {
        let unit = UNITS.contains(&word.trim_end_matches(['.', ',', ';', ':', ')']));
        match words.last_mut() {
            Some(number) if unit && number.ends_with(|c: char| c.is_ascii_digit()) => {
                number.push_str(TIE);
                number.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    let mut lines: Vec<String> = Vec::new();
    for word in words.iter().map(|w| shortened(w, width - 2)) {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            Some(_) => lines.push(format!("  {word}")),
            None => lines.push(word),
        }
    }
    for line in &mut lines {
        *line = line.replace(TIE, " ");
    }
    lines
}

/// Words that stay on one line.
pub(crate) fn tied(text: &str) -> String {
    text.replace(' ', TIE)
}

/// An amount of heat.
pub(crate) fn kwh(value: f64) -> String {
    format!("{}{TIE}kWh", rough(value))
}

/// In halves of a degree.
pub(crate) fn temperature(celsius: f64, units: Units) -> String {
    let value = half(units.temperature_value(celsius));
    format!("{value}{TIE}{}", units.temperature_unit())
}

/// An amount in whole units of the currency.
pub(crate) fn money(amount: f64, currency: &str) -> String {
    let sign = shortened(currency, 6);
    let gap = if sign.chars().all(char::is_alphabetic) {
        " "
    } else {
        ""
    };
    if amount > 0.0 && amount < 1.0 {
        format!("under {sign}{gap}1")
    } else {
        format!("{sign}{gap}{}", whole(amount))
    }
}

/// A share in whole percent; what is there is never called nothing.
pub(crate) fn percent(part: f64, whole: f64) -> String {
    let share = 100.0 * (part / whole.max(1e-9)).max(0.0);
    if share > 0.0 && share < 0.5 {
        format!("under{TIE}1{TIE}%")
    } else {
        format!("{share:.0}{TIE}%")
    }
}

/// A head and its items, separated by semicolons, over at most `most` lines; what does not fit is counted.
pub(crate) fn list(head: &str, items: &[String], most: usize, width: usize) -> Vec<String> {
    if items.is_empty() || head.is_empty() {
        return Vec::new();
    }
    list_with(head, items, 1, most, width)
        .unwrap_or_else(|| wrap(&format!("{head} {} in summary.json.", items.len()), width))
}

/// As [`list`], with the first `fewest` items at the least; `None` where they take more than `most` lines.
pub(crate) fn list_with(
    head: &str,
    items: &[String],
    fewest: usize,
    most: usize,
    width: usize,
) -> Option<Vec<String>> {
    let shown = |shown: usize| {
        let tail = match items.len() - shown {
            0 => String::new(),
            rest => format!("; {rest} more"),
        };
        wrap(
            &format!("{head} {}{tail}.", items[..shown].join("; ")),
            width,
        )
    };
    (fewest.max(1)..=items.len())
        .rev()
        .map(shown)
        .find(|lines| lines.len() <= most)
}

/// At most `most` lines; the last is cut with an ellipsis when there is more.
pub(crate) fn wrapped(text: &str, most: usize, width: usize) -> Vec<String> {
    let mut lines = wrap(text, width);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = shortened(&format!("{last} …"), width).replace(TIE, " ");
            if !last.ends_with('…') {
                last.push('…');
            }
        }
    }
    lines
}

/// At most `most` characters; control characters and marks that turn the direction of writing, which could steer a
/// terminal, are left out.
pub(crate) fn shortened(text: &str, most: usize) -> String {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let clean: String = text.chars().filter(|c| !steers(*c)).collect();
    if clean.chars().count() <= most {
        return clean;
    }
    let kept: String = clean.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// With a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit() {
        // Eleven columns would end after “is 78”.
        assert_eq!(wrap("the pool is 78 °F.", 14), ["the pool is", "  78 °F."]);
        assert_eq!(wrap("in it", 60), ["in it"]);
        assert_eq!(percent(0.3, 100.0), "under\u{a0}1\u{a0}%");
        assert_eq!(percent(0.0, 100.0), "0\u{a0}%");
        assert_eq!(percent(0.6, 100.0), "1\u{a0}%");
    }

    #[test]
    fn names_do_not_steer_the_terminal() {
        assert_eq!(shortened("a\u{1b}[31m\u{202e}b", 40), "a[31mb");
        assert_eq!(shortened("abcdef", 4), "abc…");
    }
}
