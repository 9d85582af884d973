//! One page for a scenario: no script, nothing from elsewhere, readable without colour, made to be printed.
//!
//! A page is [`Chapter`]s of [`Block`]s, which the commands' reports yield; this module only writes them down. The look
//! is that of the drawings: a builder's sheet with the edge of a folding rule above each chapter, a card to cut out, and a title block
//! at the foot as on a drawing.

mod block;
pub(crate) mod html;
mod models;
mod season;
mod theme;

use std::io::Write;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

pub use block::{Block, Chapter, Column, Table};
pub use season::{SeasonCharts, season_chapters};

use crate::ReportError;
use html::{attribute, text};
use theme::Theme;

/// Inter, regular and semi-bold, only the letters of European languages. SIL Open Font License 1.1, see `fonts/OFL.txt`.
const FONTS: [(u16, &[u8]); 2] = [
    (400, include_bytes!("../../fonts/Inter-Regular.woff2")),
    (600, include_bytes!("../../fonts/Inter-SemiBold.woff2")),
];

/// A table of more columns is not squeezed onto a narrow screen.
const MANY_COLUMNS: usize = 5;

/// The sheet's rules.
const CSS: &str = include_str!("page.css");

/// A whole page.
#[derive(Clone, Debug)]
pub struct Page {
    /// What the page is about: the scenario's name.
    pub title: String,
    /// In reading order.
    pub chapters: Vec<Chapter>,
    /// The title block at the foot: what, and what of it.
    pub block: Vec<(String, String)>,
}

impl Page {
    /// Writes the page.
    ///
    /// # Errors
    /// What a drawing or the writer says.
    pub fn write(&self, mut to: impl Write) -> Result<(), ReportError> {
        let mut theme = Theme::new();
        let mut body = String::with_capacity(512 * 1024);
        body += &format!("<h1>{}</h1>\n", text(&self.title));
        for (at, chapter) in self.chapters.iter().enumerate() {
            // The answer comes before the list of what follows.
            if at == 1 {
                body += &self.contents();
            }
            body += &format!(
                "<section aria-labelledby=\"{id}\">\n<h2 id=\"{id}\">{}</h2>\n",
                text(&chapter.title),
                id = chapter.id
            );
            for block in &chapter.blocks {
                write_block(&mut body, block, &mut theme)?;
            }
            body += "</section>\n";
        }
        let fonts: String = FONTS
            .iter()
            .map(|(weight, bytes)| {
                format!(
                    "@font-face{{font-family:Inter;font-weight:{weight};src:url(data:font/woff2;base64,{}) format(\"woff2\")}}\n",
                    STANDARD.encode(bytes)
                )
            })
            .collect();
        let title = attribute(&self.title);
        let html = format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <link rel=\"icon\" href=\"data:,\">\n<title>{title}</title>\n<style>\n{fonts}{}{CSS}</style>\n</head>\n<body>\n<main>\n{body}</main>\n{}</body>\n</html>\n",
            theme.css(),
            self.foot()
        );
        to.write_all(html.as_bytes())
            .map_err(serde_json::Error::io)?;
        Ok(())
    }

    fn contents(&self) -> String {
        let items: String = self.chapters[1..]
            .iter()
            .map(|c| format!("<li><a href=\"#{}\">{}</a></li>\n", c.id, text(&c.title)))
            .collect();
        format!("<nav aria-label=\"On this page\">\n<ul>\n{items}</ul>\n</nav>\n")
    }

    fn foot(&self) -> String {
        let cells: String = self
            .block
            .iter()
            .map(|(what, value)| {
                format!(
                    "<div><dt>{}</dt><dd>{}</dd></div>\n",
                    text(what),
                    text(value)
                )
            })
            .collect();
        format!("<footer>\n<dl>\n{cells}</dl>\n</footer>\n")
    }
}

fn write_block(body: &mut String, block: &Block, theme: &mut Theme) -> Result<(), ReportError> {
    match block {
        Block::Lead(sentences) => {
            *body += "<div class=\"lead\">\n";
            for sentence in sentences {
                *body += &format!("<p>{}</p>\n", text(sentence));
            }
            *body += "</div>\n";
        }
        Block::Text(words) => *body += &format!("<p>{}</p>\n", text(words)),
        Block::Heading(words) => *body += &format!("<h3>{}</h3>\n", text(words)),
        Block::Chart(chart) => {
            // A wide drawing scrolls within itself on a narrow screen; then the keyboard must reach it.
            *body += &format!(
                "<figure tabindex=\"0\" aria-label=\"{}\">\n{}\n</figure>\n",
                attribute(chart.labels.first().map_or("", |label| &label.text)),
                theme.drawing(chart)?
            );
        }
        Block::Table(table) => {
            *body += &format!(
                "<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\n",
                attribute(&table.caption)
            );
            write_table(body, table);
            *body += "</div>\n";
        }
        Block::Card(table) => {
            *body += &format!(
                "<div class=\"card\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\n",
                attribute(&table.caption)
            );
            write_table(body, table);
            *body += "</div>\n";
        }
        Block::List(items) => write_list(body, "ul", items),
        Block::Steps(items) => write_list(body, "ol", items),
        Block::Warning {
            short,
            number,
            text: words,
        } => {
            *body += "<div class=\"beware\">\n";
            *body += &format!("<p><strong>{}</strong></p>\n", text(short));
            if !number.is_empty() {
                *body += &format!("<p>{}</p>\n", text(number));
            }
            if !words.is_empty() {
                *body += &format!("<p>{}</p>\n", text(words));
            }
            *body += "</div>\n";
        }
    }
    Ok(())
}

fn write_list(body: &mut String, tag: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    *body += &format!("<{tag}>\n");
    for item in items {
        *body += &format!("<li>{}</li>\n", text(item));
    }
    *body += &format!("</{tag}>\n");
}

fn write_table(body: &mut String, table: &Table) {
    let class = |numbers: bool| if numbers { " class=\"n\"" } else { "" };
    // Many columns keep their width on a narrow screen: the table slides.
    let many = if table.columns.len() > MANY_COLUMNS {
        " class=\"many\""
    } else {
        ""
    };
    *body += &format!(
        "<table{many}>\n<caption>{}</caption>\n<thead>\n<tr>",
        text(&table.caption)
    );
    for column in &table.columns {
        *body += &format!(
            "<th scope=\"col\"{}>{}</th>",
            class(column.numbers),
            text(&column.name)
        );
    }
    *body += "</tr>\n</thead>\n<tbody>\n";
    for row in &table.rows {
        *body += "<tr>";
        for (at, cell) in row.iter().enumerate() {
            let numbers = table.columns.get(at).is_some_and(|c| c.numbers);
            *body += &if at == 0 {
                format!("<th scope=\"row\"{}>{}</th>", class(numbers), text(cell))
            } else {
                format!("<td{}>{}</td>", class(numbers), text(cell))
            };
        }
        *body += "</tr>\n";
    }
    *body += "</tbody>\n</table>\n";
}
