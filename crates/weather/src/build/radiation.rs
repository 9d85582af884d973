//! Global, direct and diffuse irradiance made whole: nights, closure, gaps, splitting.

use swimdays_solar::{DiffuseSplit, SplitInput, split_series};

use super::Builder;
use crate::column::Column;
use crate::error::WeatherError;
use crate::gaps::{Count, of_neighbouring_days};
use crate::suns::{Axis, Suns};
use crate::tally::Tally;
use crate::text::counted;
use crate::year::NoteKind;

/// Sun lower than this gives no clearness and no beam by closure: cosine of 87°. Division by less is noise (common practice, no source).
const LEAST_COS_ZENITH: f64 = 0.052_335_956;

/// Hours to either side in which a gap looks for the clearness that it continues.
const LOOK_AROUND_MINUTES: u32 = 24 * 60;

/// The three irradiances, whole, and the suns they belong to.
pub(super) struct Radiation {
    pub(super) ghi_w_m2: Vec<f64>,
    pub(super) dni_w_m2: Vec<f64>,
    pub(super) dhi_w_m2: Vec<f64>,
    pub(super) shift_minutes: f64,
    pub(super) suns: Suns,
    pub(super) on_the_sun: Option<bool>,
}

/// A column that the file gives, with NaN where it is missing; `None` when it is not in the file at all.
type Given = Option<Vec<f64>>;

impl Builder<'_> {
    /// The three irradiances, from what the file gives of them.
    pub(super) fn radiation(&mut self) -> Result<Radiation, WeatherError> {
        let n = self.timeline.rows.len();
        let place = self.raw.place.clone();
        let axis = Axis::of(
            self.timeline.first_start,
            place.utc_offset_h,
            self.raw.interval_minutes,
        );
        let mut ghi = self.given(Column::Ghi);
        let mut dni = self.given(Column::Dni);
        let mut dhi = self.given(Column::Dhi);
        if ghi.is_none() && (dni.is_none() || dhi.is_none()) {
            return Err(self.missing(
                Column::Ghi,
                "files with the global irradiance, or with both the direct normal and the diffuse horizontal one",
                "use a file that has them, or make a year from monthly normals",
            ));
        }

        let declared = self.raw.declared_shift_minutes;
        let mut early = None;
        let clock = if let Some(ghi) = &ghi {
            self.clock(axis, ghi)
        } else {
            let suns = Suns::new(axis, n, declared, &place);
            let sum: Vec<f64> = (0..n)
                .map(|i| closed(&dni, &dhi, &suns, i).unwrap_or(f64::NAN))
                .collect();
            let clock = self.clock(axis, &sum);
            early = Some(suns);
            clock
        };
        let suns = early
            .filter(|_| (clock.shift_minutes - declared).abs() < f64::EPSILON)
            .unwrap_or_else(|| Suns::new(axis, n, clock.shift_minutes, &place));

        for (column, values) in [
            (Column::Ghi, &mut ghi),
            (Column::Dni, &mut dni),
            (Column::Dhi, &mut dhi),
        ] {
            self.nights(column, values, &suns);
        }
        let ghi = self.global(ghi, &dni, &dhi, &suns)?;
        let (dni, dhi) = self.parts(&ghi, dni, dhi, &suns);
        Ok(Radiation {
            ghi_w_m2: ghi,
            dni_w_m2: dni,
            dhi_w_m2: dhi,
            shift_minutes: clock.shift_minutes,
            suns,
            on_the_sun: clock.on_the_sun,
        })
    }

    /// A column of the file: a little below zero is a sensor's zero at night, read as 0 and noted.
    fn given(&mut self, column: Column) -> Given {
        let mut values = self.laid(column)?;
        let (mut below, mut first) = (0, None);
        for (i, value) in values.iter_mut().enumerate() {
            if *value < 0.0 {
                *value = 0.0;
                below += 1;
                first = first.or(Some(i));
            }
        }
        let text = format!(
            "{} of {column} a little below 0 (a sensor's zero at night) read as 0",
            counted(below, "value")
        );
        // Known, not guessed: nobody has to doubt the season for it.
        self.note_at(NoteKind::Derived, column, below, first, text);
        Some(values)
    }

    /// At night there is no radiation, given or not.
    fn nights(&mut self, column: Column, values: &mut Given, suns: &Suns) {
        let Some(values) = values else { return };
        let (mut dark, mut first) = (0, None);
        for (i, value) in values.iter_mut().enumerate() {
            if value.is_nan() && suns.is_night(i) {
                *value = 0.0;
                dark += 1;
                first = first.or(Some(i));
            }
        }
        let text = format!(
            "{} of {column} at night taken as 0",
            counted(dark, "missing value")
        );
        self.note_at(NoteKind::Derived, column, dark, first, text);
    }

    /// Global irradiance: of the file, else the sum of its parts, else by the clearness around it.
    fn global(
        &mut self,
        given: Given,
        dni: &Given,
        dhi: &Given,
        suns: &Suns,
    ) -> Result<Vec<f64>, WeatherError> {
        let n = suns.cos_zenith.len();
        let mut ghi = given.unwrap_or_else(|| vec![f64::NAN; n]);
        let (mut summed, mut first) = (0, None);
        for (i, value) in ghi.iter_mut().enumerate() {
            if let Some(sum) = value.is_nan().then(|| closed(dni, dhi, suns, i)).flatten() {
                *value = sum;
                summed += 1;
                first = first.or(Some(i));
            }
        }
        let text = format!(
            "{} of global irradiance computed from direct and diffuse: DNI cos z + DHI",
            counted(summed, "value")
        );
        self.note_at(NoteKind::Derived, Column::Ghi, summed, first, text);
        let count = self.by_clearness(&mut ghi, suns)?;
        let how = if count.by_days == 0 {
            "filled by the clearness before and after".to_owned()
        } else {
            let minutes = count.by_days * self.raw.interval_minutes as usize;
            format!(
                "filled by the clearness around, {} h by that of the days before and after at the same hours",
                minutes.div_ceil(60)
            )
        };
        let text = format!(
            "{} of {} {how}",
            counted(count.values, "value"),
            Column::Ghi
        );
        self.note_at(
            NoteKind::Filled,
            Column::Ghi,
            count.values,
            count.first,
            text,
        );
        Ok(ghi)
    }

    /// Fills gaps of global irradiance with a clearness times the sun's height.
    ///
    /// A gap is as long as its daylight and the nights within it. A short one takes the clearness between its two sides; a longer one,
    /// when asked for, that of the neighbouring days at the same hours. Nothing is drawn across a sunrise.
    fn by_clearness(&self, ghi: &mut [f64], suns: &Suns) -> Result<Count, WeatherError> {
        let mut count = Count::default();
        if !ghi.iter().any(|value| value.is_nan()) {
            return Ok(count);
        }
        let clearness: Vec<f64> = (0..ghi.len())
            .map(|i| {
                if suns.sunlit_frac[i] > 0.0 && suns.cos_zenith[i] > LEAST_COS_ZENITH {
                    ghi[i] / suns.outside_horizontal_w_m2(i)
                } else {
                    f64::NAN
                }
            })
            .collect();
        let limit = self.limit(Column::Ghi);
        let (line, longest) = limit.intervals();
        let per_day = (24 * 60 / self.raw.interval_minutes.max(1)) as usize;
        let reach = (LOOK_AROUND_MINUTES / self.raw.interval_minutes.max(1)) as usize;
        let mut i = 0;
        while i < ghi.len() {
            if !ghi[i].is_nan() {
                i += 1;
                continue;
            }
            let first = i;
            // The gap goes on through nights that have no values either.
            let mut last = i;
            while i < ghi.len() && (ghi[i].is_nan() || self.is_missing(Column::Ghi, i)) {
                if ghi[i].is_nan() {
                    last = i;
                }
                i += 1;
            }
            let length = last + 1 - first;
            if length > longest {
                return Err(self.gap(Column::Ghi, first, length));
            }
            let known = |range: &mut dyn Iterator<Item = usize>| {
                range
                    .take(reach)
                    .map(|at| (at, clearness[at]))
                    .find(|(_, k)| !k.is_nan())
            };
            let before = known(&mut (0..first).rev());
            let after = known(&mut (last + 1..ghi.len()));
            for (at, value) in ghi.iter_mut().enumerate().take(last + 1).skip(first) {
                if !value.is_nan() {
                    continue;
                }
                let days = (length > line)
                    .then(|| of_neighbouring_days(&clearness, at, per_day))
                    .flatten();
                let k = match (days, before, after) {
                    (Some(k), ..) => {
                        count.by_days += 1;
                        k
                    }
                    (None, Some((from, a)), Some((to, b))) => {
                        #[allow(clippy::cast_precision_loss, reason = "hours of a gap")]
                        let share = (at - from) as f64 / (to - from) as f64;
                        a + (b - a) * share
                    }
                    (None, Some((_, k)), None) | (None, None, Some((_, k))) => k,
                    (None, None, None) => return Err(self.gap(Column::Ghi, first, length)),
                };
                *value = k * suns.outside_horizontal_w_m2(at);
                count.first = count.first.or(Some(at));
                count.values += 1;
            }
        }
        Ok(count)
    }

    /// Whether the file has no value here.
    fn is_missing(&self, column: Column, i: usize) -> bool {
        let values = &self.raw.values[column.index()];
        self.timeline.rows[i]
            .and_then(|row| values.get(row))
            .is_none_or(|value| value.is_nan())
    }

    /// Direct and diffuse: of the file, else by closure from the other one, else split from the global.
    fn parts(&mut self, ghi: &[f64], dni: Given, dhi: Given, suns: &Suns) -> (Vec<f64>, Vec<f64>) {
        let n = ghi.len();
        let mut dni = dni.unwrap_or_else(|| vec![f64::NAN; n]);
        let mut dhi = dhi.unwrap_or_else(|| vec![f64::NAN; n]);
        let mut by_split = Tally::default();
        let mut by_closure = [Tally::default(), Tally::default()];
        let mut not_closed = Tally::default();
        let split = (0..n)
            .any(|i| dni[i].is_nan() && dhi[i].is_nan())
            .then(|| split(ghi, suns));
        for i in 0..n {
            let cos_zenith = suns.cos_zenith[i].max(0.0);
            match (dni[i].is_nan(), dhi[i].is_nan()) {
                (false, false) => {}
                (true, true) => {
                    if let Some((direct, diffuse)) = &split {
                        (dni[i], dhi[i]) = (direct[i], diffuse[i]);
                    }
                    by_split.add(i, 1);
                }
                (true, false) => {
                    let beam = ghi[i] - dhi[i];
                    let most = suns.outside_w_m2[i] * suns.sunlit_frac[i];
                    dni[i] = if cos_zenith > LEAST_COS_ZENITH {
                        (beam / cos_zenith).clamp(0.0, most)
                    } else {
                        0.0
                    };
                    if (dni[i] * cos_zenith - beam).abs() > NOT_CLOSED_W_M2 {
                        not_closed.add(i, 1);
                    }
                    by_closure[0].add(i, 1);
                }
                (false, true) => {
                    let diffuse = ghi[i] - dni[i] * cos_zenith;
                    dhi[i] = diffuse.max(0.0);
                    if diffuse < -NOT_CLOSED_W_M2 {
                        not_closed.add(i, 1);
                    }
                    by_closure[1].add(i, 1);
                }
            }
        }
        let text = format!(
            "direct and diffuse irradiance of {} split from the global ({})",
            counted(by_split.count, "interval"),
            "Ridley, Boland, Lauret 2010"
        );
        self.note_at(
            NoteKind::Derived,
            Column::Dni,
            by_split.count,
            by_split.first,
            text,
        );
        for (column, tally, formula) in [
            (Column::Dni, &by_closure[0], "(GHI - DHI)/cos z"),
            (Column::Dhi, &by_closure[1], "GHI - DNI cos z"),
        ] {
            let text = format!(
                "{} of {column} computed from the other two: {formula}",
                counted(tally.count, "value")
            );
            self.note_at(NoteKind::Derived, column, tally.count, tally.first, text);
        }
        let text = format!(
            "in {} global and the given part leave less than nothing, or more than the sun has, for the third: cut to what is possible",
            counted(not_closed.count, "interval")
        );
        self.note_at(
            NoteKind::Doubtful,
            Column::Ghi,
            not_closed.count,
            not_closed.first,
            text,
        );
        (dni, dhi)
    }
}

/// What closure leaves over and is not told, W/m²: rounding and the horizon.
const NOT_CLOSED_W_M2: f64 = 20.0;

/// `DNI cos z + DHI`, W/m², where both are there.
fn closed(dni: &Given, dhi: &Given, suns: &Suns, i: usize) -> Option<f64> {
    let (dni, dhi) = (dni.as_ref()?[i], dhi.as_ref()?[i]);
    let sum = dni * suns.cos_zenith[i].max(0.0) + dhi;
    (!sum.is_nan()).then_some(sum)
}

fn split(ghi: &[f64], suns: &Suns) -> (Vec<f64>, Vec<f64>) {
    split_series(
        DiffuseSplit::default(),
        &SplitInput {
            ghi_w_m2: ghi,
            cos_zenith: &suns.cos_zenith,
            sunlit_frac: &suns.sunlit_frac,
            extraterrestrial_normal_w_m2: &suns.outside_w_m2,
            solar_hour: &suns.solar_hour,
        },
    )
}
