//! Where the radiation lies: as the format declares, or as the sun shows.

use super::Builder;
use crate::column::Column;
use crate::sun_check::{
    DOUBTFUL_HALVES_MINUTES, DOUBTFUL_SHIFT_MINUTES, LARGEST_SHIFT_MINUTES, Series, SunCheck,
    SunVerdict, judged, measure,
};
use crate::suns::Axis;
use crate::year::NoteKind;

/// Where the radiation lies, and whether place and clock were seen to be right.
pub(super) struct Clock {
    pub(super) shift_minutes: f64,
    /// `None` with too few clear days to tell.
    pub(super) on_the_sun: Option<bool>,
}

impl Builder<'_> {
    /// Holds the global irradiance, NaN where missing, against the sun, and notes what differs.
    pub(super) fn clock(&mut self, axis: Axis, ghi_w_m2: &[f64]) -> Clock {
        let declared = self.raw.declared_shift_minutes;
        let series = Series {
            ghi_w_m2,
            axis,
            place: &self.raw.place,
        };
        let Some(check) = measure(&series).map(|measured| judged(&series, &measured, declared))
        else {
            return Clock {
                shift_minutes: declared,
                on_the_sun: None,
            };
        };
        let n = ghi_w_m2.len();
        let mut clock = Clock {
            shift_minutes: declared,
            on_the_sun: Some(true),
        };
        let halves_apart = check.halves_apart_minutes.unwrap_or(0.0);
        match &check.verdict {
            SunVerdict::Agrees | SunVerdict::Apart if halves_apart > DOUBTFUL_HALVES_MINUTES => {
                let text = format!(
                    "the noon of summer's clear days and that of winter's lie {halves_apart:.0} min apart against the sun: a clock with daylight saving? Export the file in standard time; its times are used as they are"
                );
                self.note(NoteKind::Doubtful, Column::Time, n, text);
            }
            SunVerdict::Agrees => {}
            SunVerdict::Apart => {
                // What the format itself declares is no doubt about the clock.
                let beyond = (check.shift_minutes - declared).abs();
                if beyond > DOUBTFUL_SHIFT_MINUTES {
                    let text = format!(
                        "the sun is {beyond:.0} min from where the times put it, more than any format does: daylight saving, the time zone of a neighbour, or labels at the other end of the interval? Air and wind may be off by as much; only the sun is moved"
                    );
                    self.note(NoteKind::Doubtful, Column::Time, n, text);
                }
                clock.shift_minutes = (10.0 * check.shift_minutes).round() / 10.0;
                let text = apart(&check, declared);
                self.note(NoteKind::Derived, Column::Time, n, text);
            }
            SunVerdict::WrongClockOrPlace(causes) => {
                clock.on_the_sun = Some(false);
                let causes: Vec<String> = causes.iter().map(ToString::to_string).collect();
                let fits = match causes.as_slice() {
                    [] => {
                        "nothing simple would make it fit: check place, time zone and time labels"
                            .to_owned()
                    }
                    [one] => format!("it would fit if {one}: correct the file or use another"),
                    [first, others @ ..] => format!(
                        "it would fit, the likeliest first, if {first}; or if {}: correct the file or use another",
                        others.join("; or if ")
                    ),
                };
                let found = if check.shift_minutes.abs() > LARGEST_SHIFT_MINUTES {
                    format!(
                        "the radiation's noon lies {:.1} h {} the sun's",
                        check.shift_minutes.abs() / 60.0,
                        if check.shift_minutes < 0.0 {
                            "after"
                        } else {
                            "before"
                        }
                    )
                } else {
                    "the days are longest in the file when they are shortest at this latitude"
                        .to_owned()
                };
                self.note(
                    NoteKind::Doubtful,
                    Column::Place,
                    n,
                    format!("{found}; {fits}"),
                );
            }
        }
        clock
    }
}

fn apart(check: &SunCheck, declared_minutes: f64) -> String {
    let lies = |minutes: f64| {
        if minutes.abs() < 0.5 {
            "in the middle of its interval".to_owned()
        } else {
            format!(
                "{:.0} min {} the middle of its interval",
                minutes.abs(),
                if minutes > 0.0 { "after" } else { "before" }
            )
        }
    };
    format!(
        "the radiation lies {}, by the sun of the {} clearest days; by its format it would lie {}: the sun is believed",
        lies(check.shift_minutes),
        check.days,
        lies(declared_minutes)
    )
}
