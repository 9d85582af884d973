//! How sure a reading is: its own error, the sun of the moment, what the model misses where the weather is guessed, and what readings
//! that hang together count.

use crate::dates::Basis;
use crate::model::{Model, Shown, median};
use crate::noise::{Sample, Whitener, counts_frac};
use crate::result::Quantity;

/// How many times more is missed where the days' weather is guessed: from words about the sky, and from a typical year, whose days are
/// not those of the log (own judgement; the typical year misses the water of the invented notes in `scenarios/` by 1.7 K on average).
const MISSES_MORE_BY_WORDS: f64 = 3.0;
const MISSES_MORE_BY_TYPICAL: f64 = 6.0;

/// As how many independent readings those of one quantity count at most where the weather is guessed: a fortnight with six a day. A summer that was
/// duller than usual is so in every reading, and more of them do not tell it from shade (own judgement).
const MOST_IN_GUESSED: f64 = 84.0;

/// Scatter of the outlet's rise that an hour's mean weather cannot foretell (clouds within the hour), share of the rise: at the
/// beginning, and the ends that the log may move it to.
const RISE_SCATTER_FRAC: f64 = 0.1;
const RISE_SCATTER_ENDS: (f64, f64) = (0.02, 0.5);

/// The same where the day's sun itself is guessed, share of the usual rise (own judgement: a clear hour against an overcast one).
const GUESSED_RISE_SCATTER_FRAC: f64 = 0.5;
const GUESSED_RISE_SCATTER_ENDS: (f64, f64) = (0.1, 1.5);

/// A normal distribution's standard deviation over the median of its absolute values. Source: table, Φ(0.6745) = 0.75.
const SD_PER_MEDIAN: f64 = 1.482_6;

/// What readings of water, inlet and outlet count of independent ones, 0…1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Counts {
    water: f64,
    inlet: f64,
    outlet: f64,
}

impl Counts {
    /// Each for one.
    pub(crate) const EACH: Self = Self {
        water: 1.0,
        inlet: 1.0,
        outlet: 1.0,
    };

    fn of(self, quantity: Quantity) -> f64 {
        match quantity {
            Quantity::Water => self.water,
            Quantity::Inlet => self.inlet,
            Quantity::Outlet => self.outlet,
        }
    }

    /// Whether they differ by less than a builder could see in an interval.
    pub(crate) fn near(self, other: Self) -> bool {
        [Quantity::Water, Quantity::Inlet, Quantity::Outlet]
            .into_iter()
            .all(|q| (self.of(q) / other.of(q)).ln().abs() < 0.2)
    }

    /// As the innovations hang together, quantity by quantity.
    pub(crate) fn seen(model: &Model<'_>, whitener: &Whitener, missed: &[f64]) -> Self {
        let innovations = whitener.innovations(missed);
        let of = |quantity| {
            let own: Vec<f64> = innovations
                .iter()
                .zip(&model.sights)
                .filter(|(_, s)| s.quantity == quantity)
                .map(|(u, _)| *u)
                .collect();
            #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
            let n = own.len().max(1) as f64;
            match model.stage.basis {
                Basis::Real => counts_frac(&own),
                Basis::Remarks | Basis::Typical => counts_frac(&own).min(MOST_IN_GUESSED / n),
            }
        };
        Self {
            water: of(Quantity::Water),
            inlet: of(Quantity::Inlet),
            outlet: of(Quantity::Outlet),
        }
    }
}

/// Measured less shown, K.
pub(crate) fn misses(model: &Model<'_>, shown: &Shown, used: usize) -> Vec<f64> {
    model.sights[..used]
        .iter()
        .zip(&shown.sights_c)
        .map(|(s, c)| s.measured_c - c)
        .collect()
}

/// What the filter sees of the sights.
pub(crate) fn samples(
    model: &Model<'_>,
    shown: &Shown,
    scatter_frac: f64,
    used: usize,
    counts: Counts,
) -> Vec<Sample> {
    model.sights[..used]
        .iter()
        .zip(&scattering_rises_k(model, shown))
        .map(|(sight, rise)| Sample {
            hours: sight.hours,
            variance_k2: sight.own_sd_k(model.log.sd.reading_sd_k).powi(2)
                + (scatter_frac * rise).powi(2),
            counts_frac: counts.of(sight.quantity),
        })
        .collect()
}

/// What of each sight scatters with the sun of the moment, K: the rise; where the sun is guessed, the usual rise, since a bright hour may
/// have been a dull one.
fn scattering_rises_k(model: &Model<'_>, shown: &Shown) -> Vec<f64> {
    let outlets = || {
        model
            .sights
            .iter()
            .zip(&shown.rise_k)
            .filter(|(s, _)| s.quantity == Quantity::Outlet)
    };
    let usual = (model.stage.basis != Basis::Real).then(|| {
        let squares: f64 = outlets().map(|(_, rise)| rise * rise).sum();
        #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
        let n = outlets().count().max(1) as f64;
        (squares / n).sqrt()
    });
    model
        .sights
        .iter()
        .zip(&shown.rise_k)
        .map(|(s, rise)| match s.quantity {
            Quantity::Outlet => usual.unwrap_or(*rise),
            _ => 0.0,
        })
        .collect()
}

/// How many times more the model misses than with weather that was measured on the days of the log.
pub(crate) fn misses_more(basis: Basis) -> f64 {
    match basis {
        Basis::Real => 1.0,
        Basis::Remarks => MISSES_MORE_BY_WORDS,
        Basis::Typical => MISSES_MORE_BY_TYPICAL,
    }
}

/// Scatter of the rise: at the beginning, and its ends.
pub(crate) fn scatter_of(basis: Basis) -> (f64, (f64, f64)) {
    match basis {
        Basis::Real => (RISE_SCATTER_FRAC, RISE_SCATTER_ENDS),
        Basis::Remarks | Basis::Typical => (GUESSED_RISE_SCATTER_FRAC, GUESSED_RISE_SCATTER_ENDS),
    }
}

/// Scatter of the rise that the outlet's innovations show.
pub(crate) fn rise_scatter(
    model: &Model<'_>,
    shown: &Shown,
    whitener: &Whitener,
    missed: &[f64],
    scatter: f64,
    counts: Counts,
) -> f64 {
    let reading = model.log.sd.reading_sd_k;
    let mut ratios: Vec<f64> = whitener
        .innovations(missed)
        .iter()
        .zip(&scattering_rises_k(model, shown))
        // Where the reading's own error rules, the scatter cannot be seen.
        .filter(|(_, rise)| scatter * rise.abs() > 0.5 * reading)
        .map(|(u, _)| u.abs() / counts.outlet.sqrt())
        .collect();
    if ratios.len() < 8 {
        return scatter;
    }
    let (_, (least, most)) = scatter_of(model.stage.basis);
    let ratio = SD_PER_MEDIAN * median(&mut ratios).unwrap_or(1.0);
    (scatter * ratio.clamp(0.5, 2.0)).clamp(least, most)
}
