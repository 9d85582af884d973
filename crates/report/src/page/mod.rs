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

pub use block::{Block, Chapter, Column, Table, Terms};
pub use season::{SeasonChapters, SeasonCharts, season_chapters};

use crate::ReportError;
use crate::chart::Chart;
use html::{attribute, text};
use theme::Theme;

/// Inter, regular and semi-bold, only the letters of European languages. SIL Open Font License 1.1, see `fonts/OFL.txt`.
const FONTS: [(u16, &[u8]); 2] = [
    (400, include_bytes!("../../fonts/Inter-Regular.woff2")),
    (600, include_bytes!("../../fonts/Inter-SemiBold.woff2")),
];

/// A table of more columns is not squeezed onto a narrow screen.
const MANY_COLUMNS: usize = 5;

/// A table of more rows may be parted by the edge of a sheet.
const LONG_ROWS: usize = 13;

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
            let class = chapter.opens.map_or("", |_| " class=\"opens\"");
            body += &format!("<section{class} aria-labelledby=\"{}\">\n", chapter.id);
            if let Some(part) = chapter.opens {
                body += &format!("<p class=\"part\">{}</p>\n", text(part));
            }
            body += &format!("<h2 id=\"{}\">{}</h2>\n", chapter.id, text(&chapter.title));
            write_blocks(&mut body, &chapter.blocks, &mut theme)?;
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

    /// Links to the chapters behind the first, a line for each part.
    fn contents(&self) -> String {
        let mut lines = String::new();
        for (at, chapter) in self.chapters.iter().enumerate().skip(1) {
            if let Some(part) = chapter.opens.filter(|_| at > 1) {
                lines += &format!("</ul>\n<ul aria-label=\"{}\">\n", attribute(part));
            }
            lines += &format!(
                "<li><a href=\"#{}\">{}</a></li>\n",
                chapter.id,
                text(&chapter.title)
            );
        }
        format!("<nav aria-label=\"On this page\">\n<ul>\n{lines}</ul>\n</nav>\n")
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

/// Blocks below each other; cautions that follow each other stand together.
fn write_blocks(body: &mut String, blocks: &[Block], theme: &mut Theme) -> Result<(), ReportError> {
    let warns = |block: Option<&Block>| matches!(block, Some(Block::Warning { .. }));
    for (at, block) in blocks.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| blocks.get(at));
        if warns(Some(block)) && !warns(before) {
            *body += "<div class=\"bewares\">\n";
        }
        write_block(body, block, theme)?;
        if warns(Some(block)) && !warns(blocks.get(at + 1)) {
            *body += "</div>\n";
        }
    }
    Ok(())
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
        Block::Chart(chart) => write_chart(body, chart, theme)?,
        Block::Beside(chart, blocks) => {
            *body += "<div class=\"beside\">\n";
            write_chart(body, chart, theme)?;
            write_blocks(body, blocks, theme)?;
            *body += "</div>\n";
        }
        Block::Table(table) => write_table(body, table, "wide"),
        Block::Card(table) => write_table(body, table, "card"),
        Block::Terms(terms) => write_terms(body, terms),
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

/// A drawing below its title, which is text of the page: it breaks into lines on a narrow screen, where the drawing slides.
fn write_chart(body: &mut String, chart: &Chart, theme: &mut Theme) -> Result<(), ReportError> {
    *body += &format!(
        "<figure class=\"{}\">\n<figcaption><strong>{}</strong>",
        attribute(chart.name),
        text(&chart.title)
    );
    if !chart.subtitle.is_empty() {
        *body += &format!("<span>{}</span>", text(&chart.subtitle));
    }
    // What slides must be reached by the keyboard.
    *body += &format!(
        "</figcaption>\n<div class=\"drawn\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\n{}\n</div>\n</figure>\n",
        attribute(&chart.title),
        theme.drawing(chart)?
    );
    Ok(())
}

fn write_terms(body: &mut String, terms: &Terms) {
    if terms.rows.is_empty() {
        return;
    }
    *body += &format!("<h3>{}</h3>\n<ul class=\"terms\">\n", text(&terms.caption));
    for [word, value, source] in &terms.rows {
        *body += &format!("<li><strong>{}</strong> {}", text(word), text(value));
        if !source.is_empty() {
            *body += &format!(" <span>– {}</span>", text(source));
        }
        *body += "</li>\n";
    }
    *body += "</ul>\n";
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

/// A table in a frame that slides where it is too wide, so that the keyboard must reach it.
fn write_table(body: &mut String, table: &Table, frame: &str) {
    // A long one may go on on the next sheet of paper.
    let long = if table.rows.len() > LONG_ROWS {
        " long"
    } else {
        ""
    };
    *body += &format!(
        "<div class=\"{frame}{long}\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\n",
        attribute(&table.caption)
    );
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
    *body += "</tbody>\n</table>\n</div>\n";
}
