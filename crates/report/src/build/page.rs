//! One page to print: no script, nothing from elsewhere, every text escaped.

use std::io::Write;

use swimdays_build::{DEFERENCE, Step, running, tape};

use super::table::{layouts, rows};
use super::text::{loads, paragraphs, unnumbered, water};
use super::{BuildReport, Cut};
use crate::page::html::{attribute as plain, text as t};
use crate::{ReportError, Units};

const STYLE: &str = "body{font:15px/1.45 sans-serif;color:#1b1b1b;background:#fff;max-width:60em;margin:1em auto;padding:0 1em}\
h1{font-size:1.6em}h2{font-size:1.25em;margin-top:1.6em;border-bottom:1px solid #888}table{border-collapse:collapse;width:100%;font-size:.92em}\
th,td{border:1px solid #999;padding:.2em .45em;text-align:left;vertical-align:top}td.n{text-align:right;white-space:nowrap}svg{max-width:100%;height:auto}\
figure{margin:0;overflow-x:auto}figure svg{min-width:640px}.c{border-left:4px solid #b00020;padding-left:.7em;margin:.6em 0}.w{overflow-x:auto}li{margin:.35em 0}\
@media print{body{font-size:11px;margin:0;max-width:none}figure svg{min-width:0;max-height:230mm}h2{break-after:avoid}tr,li,.c,.k,svg{break-inside:avoid}}@page{margin:14mm}";

/// Writes the page; `drawings` are the SVG of each sheet that has a layout, in the order of the report.
///
/// # Errors
/// What the writer says.
pub fn write_page(
    mut to: impl Write,
    report: &BuildReport,
    drawings: &[String],
) -> Result<(), ReportError> {
    let mut html = String::with_capacity(64 * 1024);
    let units = report.units;
    html += &format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>Build sheet: {}</title><style>{STYLE}</style></head><body>\n<h1>Build sheet: {}</h1>\n",
        plain(&report.name),
        t(&report.name)
    );
    html += "<h2>In short</h2>\n";
    for text in paragraphs(report) {
        html += &format!("<p>{}</p>\n", t(&text));
    }
    cautions(&mut html, report);
    for ((title, layout), svg) in layouts(report).iter().zip(drawings) {
        html += &format!(
            "<h2>Drawing: {}</h2>\n<figure>{}</figure>\n",
            t(title),
            inline(svg)
        );
        html += "<p>To scale. Distances are to the middle of the tube. On a round spiral the four distances of a ring are from the middle at 9, 12, 3 and 6 o'clock; \
                 on a rectangular one from the left, upper, right and lower edge; of a row from the edge.</p>\n";
        html += &format!(
            "<h3>Rings and rows: {}</h3>\n<div class=\"w\"><table><thead><tr><th>tube</th><th>what</th><th>no.</th><th>distances</th><th>tube runs from</th><th>to</th></tr></thead><tbody>\n",
            t(title)
        );
        for r in rows(layout, units) {
            html += &format!(
                "<tr><td class=\"n\">{}</td><td>{}</td><td class=\"n\">{}</td><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
                r.tube,
                r.what,
                r.number,
                t(&r.offsets),
                t(&r.starts),
                t(&r.ends)
            );
        }
        html += "</tbody></table></div>\n";
    }
    parts(&mut html, report);
    html += "<h2>Cut</h2>\n";
    for (cut, times) in equal_once(&report.cuts) {
        cut_line(&mut html, cut, times, units);
    }
    html += "<h2>Weight, wind and water</h2>\n";
    for h in &report.heaters {
        if let Some(text) = loads(report, h) {
            html += &format!("<p>{}</p>\n", t(&text));
        }
        if let Some(d) = h.drainage {
            html += &format!("<p>{}: {}</p>\n", t(&h.title()), t(d.advice));
        }
    }
    html += &format!("<p>{}</p>\n", t(&water(report)));
    for (title, list) in [
        ("Build", &report.steps.build),
        ("First run", &report.steps.first_run),
        ("Before winter", &report.steps.winter),
        ("In spring", &report.steps.spring),
    ] {
        steps(&mut html, title, list, report);
    }
    if !report.assumptions.is_empty() {
        html += "<h2>Taken because nothing was said</h2>\n<ul>\n";
        for a in &report.assumptions {
            html += &format!(
                "<li>{} = {}: {}</li>\n",
                t(&a.key),
                t(&a.value),
                t(&a.source)
            );
        }
        html += "</ul>\n";
    }
    html += &format!("<p>swimdays {}</p>\n</body></html>\n", t(report.version));
    to.write_all(html.as_bytes())
        .map_err(serde_json::Error::io)?;
    Ok(())
}

/// An SVG inside a page needs no name space.
fn inline(svg: &str) -> String {
    svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1)
}

fn cautions(html: &mut String, report: &BuildReport) {
    *html += &format!(
        "<h2>Read first</h2>\n<p><strong>{}</strong></p>\n",
        t(DEFERENCE)
    );
    if let Some(why) = &report.no_season {
        *html += &format!("<p>{}</p>\n", t(why));
    }
    for c in &report.cautions {
        // What the first line says already is not said again.
        let number = if c.number.is_empty() || c.short.contains(&c.number) {
            String::new()
        } else {
            format!(" <em>{}</em>", t(&c.number))
        };
        *html += &format!(
            "<div class=\"c\"><strong>{}</strong>{number} {} <small>({})</small></div>\n",
            t(&c.short),
            t(&c.text),
            t(c.source)
        );
    }
}

fn parts(html: &mut String, report: &BuildReport) {
    let priced = report.priced_cost().is_some();
    let heads = if priced {
        "<th>each</th><th>cost</th>"
    } else {
        ""
    };
    *html += &format!(
        "<h2>Buy</h2>\n<div class=\"w\"><table><thead><tr><th>how many</th><th>what</th><th>needed</th><th>over</th>{heads}</tr></thead><tbody>\n"
    );
    let money = |m: Option<f64>| m.map_or("not priced".to_owned(), |m| report.money(m));
    for p in &report.parts {
        let costs = if priced {
            format!(
                "<td class=\"n\">{}</td><td class=\"n\">{}</td>",
                t(&money(p.price)),
                t(&money(p.cost))
            )
        } else {
            String::new()
        };
        *html += &format!(
            "<tr><td class=\"n\">{}</td><td>{}</td><td>{}</td><td>{}</td>{costs}</tr>\n",
            p.count,
            t(&p.what),
            t(&p.needed),
            t(&p.left_over)
        );
    }
    *html += "</tbody></table></div>\n";
    let left = report.not_priced();
    let sum = match report.priced_cost() {
        Some(sum) if left.is_empty() => format!("In all {}.", report.money(sum)),
        Some(sum) => format!("In all {}, without {}.", report.money(sum), left.join(", ")),
        None => "No prices: write your shop's into [shop].".to_owned(),
    };
    // What lies between boards depends on how far apart they stand.
    let boards: usize = report.heaters.iter().map(super::HeaterSheet::boards).sum();
    let sum = if boards > 1 {
        format!(
            "{sum} The hose between the boards is not in the list: measure it where they stand."
        )
    } else {
        sum
    };
    *html += &format!("<p><strong>{}</strong></p>\n", t(&sum));
}

/// Like cuts once, with how many there are, in the order of the first of each.
fn equal_once(cuts: &[Cut]) -> Vec<(&Cut, usize)> {
    let mut out: Vec<(&Cut, usize)> = Vec::new();
    for cut in cuts {
        match out.iter_mut().find(|(seen, _)| same_cut(seen, cut)) {
            Some((_, times)) => *times += 1,
            None => out.push((cut, 1)),
        }
    }
    out
}

/// The same but for the numbers that count the pieces.
fn same_cut(a: &Cut, b: &Cut) -> bool {
    a.kind == b.kind
        && a.stock_m == b.stock_m
        && (a.left_m - b.left_m).abs() < 1e-6
        && a.pieces.len() == b.pieces.len()
        && a.pieces.iter().zip(&b.pieces).all(|(x, y)| {
            (x.1, x.2) == (y.1, y.2) && unnumbered(a.kind, &x.0) == unnumbered(b.kind, &y.0)
        })
}

/// Words for each, and a strip to scale for a stud.
fn cut_line(html: &mut String, cut: &Cut, times: usize, units: Units) {
    let sheet = cut
        .stock_m
        .1
        .map_or(String::new(), |w| format!(" × {}", tape(w, units)));
    // Equal pieces of one length once.
    let mut pieces: Vec<(String, usize)> = Vec::new();
    for (name, length, width) in &cut.pieces {
        let width = width.map_or(String::new(), |w| format!(" × {}", tape(w, units)));
        let text = format!(
            "{} {}{width}",
            unnumbered(cut.kind, name),
            tape(*length, units)
        );
        match pieces.iter_mut().find(|(seen, _)| *seen == text) {
            Some((_, n)) => *n += 1,
            None => pieces.push((text, 1)),
        }
    }
    let pieces: Vec<String> = pieces
        .into_iter()
        .map(|(text, n)| {
            if n == 1 {
                text
            } else {
                format!("{n} × {text}")
            }
        })
        .collect();
    let left = if cut.left_m > 0.005 {
        format!("; {} over", running(cut.left_m, units))
    } else {
        String::new()
    };
    let words = format!(
        "{times} × {} {}{sheet}: {}{left}",
        cut.kind,
        tape(cut.stock_m.0, units),
        pieces.join(", ")
    );
    if cut.kind != "stud" {
        *html += &format!("<p>{}</p>\n", t(&words));
        return;
    }
    // Words and strip stay on one sheet of paper.
    *html += &format!("<div class=\"k\"><p>{}</p>\n", t(&words));
    let scale = 600.0 / cut.stock_m.0;
    *html += &format!(
        "<svg width=\"600\" height=\"18\" viewBox=\"0 0 600 18\" role=\"img\" aria-label=\"{}\">",
        plain(&words)
    );
    let mut x = 0.0;
    for (_, length, _) in &cut.pieces {
        *html += &format!(
            "<rect x=\"{x:.1}\" y=\"1\" width=\"{:.1}\" height=\"16\" fill=\"#e9d8b4\" stroke=\"#333\"/>",
            length * scale
        );
        x += length * scale + 1.0;
    }
    *html += "</svg></div>\n";
}

fn steps(html: &mut String, title: &str, list: &[Step], report: &BuildReport) {
    if list.is_empty() {
        return;
    }
    *html += &format!("<h2>{}</h2>\n<ol>\n", t(title));
    for s in list {
        let number = if s.number.is_empty() {
            String::new()
        } else {
            format!(" <em>{}.</em>", t(&s.number))
        };
        let read: Vec<String> = s
            .cautions
            .iter()
            .filter_map(|kind| report.cautions.iter().find(|c| c.kind == *kind))
            .map(|c| t(&c.short))
            .collect();
        let read = if read.is_empty() {
            String::new()
        } else {
            format!("<div class=\"c\">{}</div>", read.join("<br>"))
        };
        *html += &format!(
            "<li>{} <small>{}</small>{number}{read}</li>\n",
            t(&s.act),
            t(&s.why)
        );
    }
    *html += "</ol>\n";
}
