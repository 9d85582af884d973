//! Values that are possible but hard to believe: counted and told, never changed.
//!
//! | file | what it asks |
//! |---|---|
//! | `radiation` | limits by the sun's height, closure, night, clearness of days and months |
//! | `sensors` | stuck, jumping, copied |
//! | `plausible` | units, and whether the weather fits the place |
//!
//! A doubt says how many intervals, the first of them, and what to do. Thresholds stand beside their reason; they are set so that the
//! real files of the tests raise nothing but what is odd in them.

mod plausible;
mod radiation;
mod sensors;

use crate::column::Column;
use crate::sun_check::{CLOCK_FROM_SUN_H, clock_from_sun_h};
use crate::suns::Suns;
use crate::tally::Tally;
use crate::year::{Note, NoteKind, WeatherYear};

pub(crate) use plausible::{impossible_rain, is_warmest_in_winter};
pub(crate) use radiation::too_dark;

/// Adds the doubts about a finished year to its notes. `on_the_sun` says whether the radiation was seen to fit place and clock.
pub(crate) fn doubts(year: &mut WeatherYear, suns: &Suns, on_the_sun: Option<bool>) {
    let mut found = Doubts {
        year,
        suns,
        notes: Vec::new(),
    };
    if on_the_sun.is_none() {
        found.clock();
    }
    // With the sun in the wrong place its height is no measure of anything.
    if on_the_sun != Some(false) {
        found.radiation();
    }
    found.sensors();
    found.plausible();
    let notes = found.notes;
    year.notes.extend(notes);
}

struct Doubts<'a> {
    year: &'a WeatherYear,
    suns: &'a Suns,
    notes: Vec<Note>,
}

impl Doubts<'_> {
    fn n(&self) -> usize {
        self.year.len()
    }

    /// A doubt about some intervals: `what` is odd there, `todo` is the advice. Nothing when there are none.
    fn some(&mut self, column: Column, tally: Tally, what: &str, todo: &str) {
        let Some(first) = tally.first else { return };
        let at = self.year.start_of(first).format("%-d %B, %H:%M");
        let intervals = if tally.count == 1 {
            format!("in 1 interval ({at})")
        } else {
            format!("in {} intervals (first: {at})", tally.count)
        };
        let text = format!("{what} {intervals}: {todo}");
        self.notes
            .push(Note::new(NoteKind::Doubtful, column, tally.count, text).at(first));
    }

    /// A doubt about the whole column.
    fn whole(&mut self, column: Column, text: String) {
        self.notes
            .push(Note::new(NoteKind::Doubtful, column, self.n(), text));
    }

    /// Whether the column was computed and not read.
    fn is_derived(&self, column: Column) -> bool {
        self.year.notes.iter().any(|note| {
            note.kind == NoteKind::Derived && note.column == column && note.intervals == self.n()
        })
    }

    /// Place and time zone against each other, where no sun could tell.
    fn clock(&mut self) {
        let place = &self.year.place;
        if clock_from_sun_h(place).abs() > CLOCK_FROM_SUN_H {
            self.whole(
                Column::Place,
                format!(
                    "longitude {}° and {} h from UTC do not fit: check the sign of the longitude and the time zone",
                    place.longitude_deg, place.utc_offset_h
                ),
            );
        }
    }
}
