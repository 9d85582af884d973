//! Text as text: nothing in a name becomes a tag, and none turns the lines that follow it.

/// Escaped for a place between tags; text that is not plain ASCII is isolated, so that a name written from right to
/// left does not turn what stands beside it.
pub(crate) fn text(text: &str) -> String {
    let safe = attribute(&loosened(text));
    if safe.is_ascii() {
        safe
    } else {
        format!("<bdi>{safe}</bdi>")
    }
}

/// A space that keeps a line of the terminal together may break a line of the page, where only a number and its unit stay
/// together: a phone is narrower than the longest of them.
fn loosened(text: &str) -> String {
    /// Letters of the longest unit that stays with its number.
    const UNIT: usize = 4;
    let mut out = String::with_capacity(text.len());
    for (at, part) in text.split('\u{A0}').enumerate() {
        let word = part.split(' ').next().unwrap_or_default();
        let ties = out.ends_with(|c: char| c.is_ascii_digit()) && word.chars().count() <= UNIT;
        if at > 0 {
            out.push(if ties { '\u{A0}' } else { ' ' });
        }
        out.push_str(part);
    }
    out
}

/// Escaped for an attribute or a title, where nothing may be a tag.
pub(crate) fn attribute(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Marks that order text from right to left beyond their own element.
            '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' => {}
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_becomes_a_tag() {
        assert_eq!(
            text("<script>alert('1')</script> & \"co\"\n"),
            "&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt; &amp; &quot;co&quot;"
        );
        assert_eq!(text("بركة \u{202E}x"), "<bdi>بركة x</bdi>");
        assert_eq!(attribute("é"), "é");
    }

    #[test]
    fn a_number_keeps_its_unit_and_nothing_else() {
        assert_eq!(
            loosened("2,700\u{A0}kWh\u{A0}(2,500\u{A0}to\u{A0}2,800)\u{A0}less heat"),
            "2,700\u{A0}kWh (2,500\u{A0}to 2,800) less heat"
        );
    }
}
