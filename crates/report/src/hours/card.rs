//! The card to tape beside the timer: for each month when the pump goes on and off, and when the cover.

use std::io::Write;

use serde::Serialize;
use swimdays_pump::Window;
use swimdays_season::Plan;

use super::HoursSummary;
use crate::chart::{
    Axis, Bar, Chart, Frame, Label, MARGIN_PX, Panel, Series, Shape, WIDTH_PX, as_f64,
};
use crate::page::Table;
use crate::style::{Ink, Style};
use crate::words::{MONTHS, clock};
use crate::{ReportError, Units};

/// Minutes of a day.
const DAY_MINUTES: usize = 1440;

/// From a time of day to another, hours after midnight.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OnOff {
    /// On.
    pub on_h: f64,
    /// Off.
    pub off_h: f64,
}

/// One month of the card.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CardRow {
    /// 0 = January.
    #[serde(skip)]
    pub month: usize,
    /// Its name.
    #[serde(rename = "month")]
    pub name: &'static str,
    /// The pump's timer.
    pub pump: Vec<OnOff>,
    /// The cover on the water.
    pub cover: Vec<OnOff>,
}

/// A row for each of `months`.
pub(super) fn rows(plan: &Plan, pump: &[Vec<Window>; 12], months: &[usize]) -> Vec<CardRow> {
    let swim = Window {
        start_h: plan.swim.from_h,
        end_h: plan.swim.to_h,
    };
    months
        .iter()
        .map(|&month| CardRow {
            month,
            name: MONTHS[month],
            pump: stretches(&pump[month], None),
            cover: plan.cover.as_ref().map_or_else(Vec::new, |cover| {
                stretches(&cover.on[month], cover.off_in_swim_hours.then_some(&swim))
            }),
        })
        .collect()
}

/// The minutes that `windows` cover and `less` does not, as stretches; one over midnight is one.
fn stretches(windows: &[Window], less: Option<&Window>) -> Vec<OnOff> {
    let minute = |hours: f64| {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "hours of a day are checked: 0 to 24"
        )]
        let minute = (hours * 60.0).round() as usize;
        minute.min(DAY_MINUTES)
    };
    let mut on = [false; DAY_MINUTES];
    let mut fill = |window: &Window, value: bool| {
        let (from, to) = (minute(window.start_h), minute(window.end_h));
        if to > from {
            on[from..to].fill(value);
        } else {
            on[from..].fill(value);
            on[..to].fill(value);
        }
    };
    for window in windows {
        fill(window, true);
    }
    if let Some(less) = less {
        fill(less, false);
    }
    if on.iter().all(|on| *on) {
        return vec![OnOff {
            on_h: 0.0,
            off_h: 24.0,
        }];
    }
    let before = |m: usize| on[(m + DAY_MINUTES - 1) % DAY_MINUTES];
    (0..DAY_MINUTES)
        .filter(|&m| on[m] && !before(m))
        .map(|from| {
            let length = (0..DAY_MINUTES)
                .take_while(|n| on[(from + n) % DAY_MINUTES])
                .count();
            let end = from + length;
            let end = if end > DAY_MINUTES {
                end - DAY_MINUTES
            } else {
                end
            };
            OnOff {
                on_h: as_f64(from) / 60.0,
                off_h: as_f64(end) / 60.0,
            }
        })
        .collect()
}

/// Rows of the card with like months in a row taken together: their name, then on and off of pump and cover.
fn grouped(rows: &[CardRow], units: Units) -> Vec<[String; 5]> {
    let mut groups: Vec<(&CardRow, &CardRow)> = Vec::new();
    for row in rows {
        match groups.last_mut() {
            Some((first, last)) if first.pump == row.pump && first.cover == row.cover => {
                *last = row
            }
            _ => groups.push((row, row)),
        }
    }
    groups
        .into_iter()
        .flat_map(|(first, last)| {
            let name = if first.name == last.name {
                first.name.to_owned()
            } else {
                format!("{}–{}", first.name, last.name)
            };
            switches(first, &name, units)
        })
        .collect()
}

/// The lines of one row: a second stretch of pump or cover has its own line.
fn switches(row: &CardRow, name: &str, units: Units) -> Vec<[String; 5]> {
    let lines = row.pump.len().max(row.cover.len()).max(1);
    (0..lines)
        .map(|n| {
            let pair = |all: &[OnOff], none: &str| match all.get(n) {
                Some(OnOff { on_h, off_h }) if off_h - on_h >= 24.0 => {
                    ["all day".to_owned(), "–".to_owned()]
                }
                Some(OnOff { on_h, off_h }) => [clock(*on_h, units), clock(*off_h, units)],
                None if n == 0 => [none.to_owned(), none.to_owned()],
                None => [String::new(), String::new()],
            };
            let [pump_on, pump_off] = pair(&row.pump, "stays off");
            let [cover_on, cover_off] = pair(&row.cover, "–");
            let name = if n == 0 {
                name.to_owned()
            } else {
                "and".to_owned()
            };
            [name, pump_on, pump_off, cover_on, cover_off]
        })
        .collect()
}

/// Heads of the card.
const HEADS: [&str; 5] = ["month", "pump on", "pump off", "cover on", "cover off"];

/// How many columns are shown: none for a cover that is not there.
fn shown(rows: &[CardRow]) -> usize {
    if rows.iter().all(|row| row.cover.is_empty()) {
        3
    } else {
        HEADS.len()
    }
}

/// The card as lines, at most `most` of them.
#[must_use]
pub(super) fn card_lines(rows: &[CardRow], units: Units, most: usize) -> Vec<String> {
    let columns = shown(rows);
    let line = |cells: &[String]| {
        let cells: Vec<String> = cells
            .iter()
            .take(columns)
            .map(|cell| format!("{cell:<12}"))
            .collect();
        format!("  {}", cells.concat()).trim_end().to_owned()
    };
    let mut lines = vec![line(&HEADS.map(str::to_owned))];
    lines.extend(grouped(rows, units).iter().map(|row| line(row)));
    if lines.len() > most {
        lines.truncate(most.saturating_sub(1));
        lines.push("  … more in card.txt".to_owned());
    }
    lines
}

/// The card for a page.
pub(super) fn table(rows: &[CardRow], units: Units) -> Table {
    let columns = shown(rows);
    let mut table = Table::new("Beside the timer (clock on the wall)", &HEADS[..columns]);
    for row in grouped(rows, units) {
        table.row(row.into_iter().take(columns));
    }
    table
}

/// Writes the card as CSV: every month by itself; a month whose pump or cover goes on twice has two rows.
///
/// # Errors
/// [`ReportError`] when writing fails.
pub fn write_card_csv<W: Write>(out: W, rows: &[CardRow], units: Units) -> Result<(), ReportError> {
    let mut table = csv::Writer::from_writer(out);
    table.write_record(HEADS.map(|head| head.replace(' ', "_")))?;
    for row in rows {
        for mut cells in switches(row, row.name, units) {
            cells[0] = row.name.to_owned();
            for cell in &mut cells {
                if cell == "–" {
                    cell.clear();
                }
            }
            table.write_record(cells)?;
        }
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}

/// Height of a row, px.
const ROW_PX: f64 = 42.0;
/// Upper edge of the first row, px.
const TOP_PX: f64 = 134.0;
/// Size of the hours, px.
const HOURS_PX: f64 = 22.0;

/// Draws the card.
#[must_use]
pub fn card_chart(summary: &HoursSummary, units: Units, style: &Style) -> Chart {
    let rows = grouped(&summary.card, units);
    let columns = shown(&summary.card);
    let count = as_f64(rows.len()).max(1.0);
    let bottom = TOP_PX + count * ROW_PX;
    let kinds = ["electricity", "cover"];
    let cautions: Vec<&str> = summary
        .cautions
        .iter()
        .filter(|c| kinds.contains(&c.kind))
        .map(|c| c.short.as_str())
        .collect();
    let notes = as_f64(cautions.len() + 1);
    let title = format!("Pump and cover hours, {}", summary.name);
    let subtitle = format!("Set by the {}", summary.clock);
    let mut chart = Chart::sheet(
        "card",
        bottom + 22.0 + notes * 24.0,
        style,
        &title,
        &subtitle,
    );
    let right = WIDTH_PX - MARGIN_PX;
    let mut panel = Panel {
        name: "card",
        frame: Frame {
            left: MARGIN_PX,
            top: TOP_PX,
            right,
            bottom,
        },
        x: Axis::plain(0.0, 1.0),
        y: Axis::plain(0.0, count),
        series: Vec::new(),
        outlined: true,
        parted: false,
    };
    let tones = (0..rows.len()).step_by(2).map(|at| {
        let y = count - 1.0 - as_f64(at);
        Bar {
            x0: 0.0,
            x1: 1.0,
            y0: y,
            y1: y + 1.0,
        }
    });
    panel.series.push(Series {
        name: "rows".into(),
        ink: Ink::Shade,
        shape: Shape::Bars(tones.collect()),
    });
    let width = (right - MARGIN_PX) / as_f64(columns);
    let x = |column: usize| MARGIN_PX + 16.0 + as_f64(column) * width;
    for (column, head) in HEADS.iter().take(columns).enumerate() {
        chart.labels.push(
            Label::new(*head, x(column), TOP_PX - 14.0, style.label_px)
                .bold()
                .in_ink(Ink::Muted),
        );
    }
    let mut told = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        let y = TOP_PX + (as_f64(at) + 0.5) * ROW_PX + 0.36 * HOURS_PX;
        for (column, cell) in row.iter().take(columns).enumerate() {
            let ink = match column {
                0 => Ink::Text,
                1 | 2 => Ink::Pump,
                _ => Ink::Water,
            };
            let label = Label::new(cell.clone(), x(column), y, HOURS_PX)
                .in_ink(ink)
                .within(width - 20.0);
            chart
                .labels
                .push(if column == 0 { label } else { label.bold() });
        }
        told.push(row[..columns].join(" "));
    }
    let room = right - MARGIN_PX;
    let said = cautions
        .into_iter()
        .chain(std::iter::once(summary.cautions_note));
    for (at, text) in said.enumerate() {
        chart.labels.push(
            Label::new(
                text,
                MARGIN_PX,
                bottom + 32.0 + as_f64(at) * 24.0,
                style.axis_px,
            )
            .in_ink(Ink::Text)
            .within(room),
        );
    }
    chart.panels.push(panel);
    chart.alt = format!("{}. {}.", chart.alt, told.join("; "));
    chart
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window(start_h: f64, end_h: f64) -> Window {
        Window { start_h, end_h }
    }

    fn on_off(on_h: f64, off_h: f64) -> OnOff {
        OnOff { on_h, off_h }
    }

    #[test]
    fn the_cover_is_off_in_swim_hours() {
        // By hand: always on, off from 15 to 19: on at 19, off at 15.
        let swim = window(15.0, 19.0);
        assert_eq!(
            stretches(&[Window::ALWAYS], Some(&swim)),
            [on_off(19.0, 15.0)]
        );
        // On from 17 to 10 over midnight: from 19 on only.
        assert_eq!(
            stretches(&[window(17.0, 10.0)], Some(&swim)),
            [on_off(19.0, 10.0)]
        );
        // On by day: two stretches.
        assert_eq!(
            stretches(&[window(9.0, 21.5)], Some(&swim)),
            [on_off(9.0, 15.0), on_off(19.0, 21.5)]
        );
        assert_eq!(stretches(&[Window::ALWAYS], None), [on_off(0.0, 24.0)]);
        assert!(stretches(&[], Some(&swim)).is_empty());
    }

    #[test]
    fn like_months_stand_in_one_row_on_the_screen_and_alone_in_the_table() {
        let row = |month: usize, pump: &[OnOff]| CardRow {
            month,
            name: MONTHS[month],
            pump: pump.to_vec(),
            cover: vec![on_off(19.0, 15.0)],
        };
        let rows = [
            row(4, &[on_off(10.0, 16.0)]),
            row(5, &[on_off(9.0, 12.0), on_off(14.0, 17.5)]),
            row(6, &[on_off(9.0, 12.0), on_off(14.0, 17.5)]),
            row(7, &[]),
        ];
        assert_eq!(
            card_lines(&rows, Units::Us, 20),
            [
                "  month       pump on     pump off    cover on    cover off",
                "  May         10 am       4 pm        7 pm        3 pm",
                "  Jun–Jul     9 am        noon        7 pm        3 pm",
                "  and         2 pm        5:30 pm",
                "  Aug         stays off   stays off   7 pm        3 pm",
            ]
        );
        let mut csv = Vec::new();
        write_card_csv(&mut csv, &rows[..2], Units::Metric).expect("written");
        assert_eq!(
            String::from_utf8_lossy(&csv),
            "month,pump_on,pump_off,cover_on,cover_off\nMay,10:00,16:00,19:00,15:00\nJun,9:00,12:00,19:00,15:00\nJun,14:00,17:30,,\n"
        );
    }
}
