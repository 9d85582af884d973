//! What readings and model miss, and how it is taken out of the residuals.
//!
//! Two readings an hour apart do not tell twice as much as one: whatever the model misses of the water (a gust, a cloud, a wrong
//! cover hour) stays in the water for days. So what is missed is a first-order process `b` that forgets in [`FORGETS_H`], and a reading
//! is `model + b + its own error`. The Kalman filter of that process turns residuals into innovations that are independent of one another,
//! each divided by its own standard deviation; least squares of those is the likelihood.
//!
//! Source: Kalman (1960) for one state; the likelihood by innovations: Schweppe (1965), both from memory.

/// How long the water remembers what the model missed, h: about the pool's own time (1.4 m of water, 25 W/(m²·K): 65 h).
pub const FORGETS_H: f64 = 60.0;

/// Innovations beyond this many standard deviations are taken for wild readings: their weight falls until they are this far.
pub const WILD_SD: f64 = 3.0;

/// What each of `innovations` counts of an independent one: `1/(1 + 2 Σ ρₖ)`, from their own autocorrelations ρ.
///
/// A mean of n values that hang together is as sure as one of `n/(1 + 2 Σ ρₖ)` independent ones; where only neighbours pull at one another,
/// `ρₖ = ρᵏ`, that is `n (1−ρ)/(1+ρ)`. The sum ends before the first ρₖ that chance could have made, `2/√n`, and at 1 where there is none.
/// Values that repel one another (ρ < 0) are not taken for more than they are.
///
/// ```
/// use swimdays_check::noise::counts_frac;
/// // 1, 1, 1, 1, −1, −1, −1, −1, …: by hand, of n = 800 products at a distance of 1 three in four are 1 and one is −1: ρ₁ = ½, ρ₂ = 0.
/// let steps: Vec<f64> = (0..800).map(|i| if i / 4 % 2 == 0 { 1.0 } else { -1.0 }).collect();
/// assert!((counts_frac(&steps) - 0.5).abs() < 0.01);
/// ```
///
/// Source: the variance of a mean of a stationary series, and of the AR(1) process, in any textbook of time series, such as Box & Jenkins
/// (1970), *Time Series Analysis*; where to end the sum: Geyer (1992), Statistical Science 7:473 (both from memory).
#[must_use]
pub fn counts_frac(innovations: &[f64]) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
    let n = innovations.len() as f64;
    let squares: f64 = innovations.iter().map(|u| u * u).sum();
    if n < 2.0 || squares <= 0.0 {
        return 1.0;
    }
    let chance = 2.0 / n.sqrt();
    let mut sum = 0.0;
    for apart in 1..innovations.len() {
        let products: f64 = innovations
            .iter()
            .zip(&innovations[apart..])
            .map(|(a, b)| a * b)
            .sum();
        let correlation = products / squares;
        if correlation < chance {
            break;
        }
        sum += correlation;
    }
    1.0 / (1.0 + 2.0 * sum)
}

/// One reading of a temperature, as the filter sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Hours from the beginning.
    pub hours: f64,
    /// Variance of this reading's own error, K².
    pub variance_k2: f64,
    /// What the reading counts of an independent one, 0…1 ([`counts_frac`]).
    pub counts_frac: f64,
}

/// The filter's gains for samples in the order of time: a linear map from residuals to independent innovations.
#[derive(Clone, Debug, PartialEq)]
pub struct Whitener {
    decay: Vec<f64>,
    gain: Vec<f64>,
    scale: Vec<f64>,
    /// What the robust filter left each reading, 0…1.
    pub weight: Vec<f64>,
    /// Sum of the logarithms of the innovations' variances, each by what its reading counts.
    pub log_variance: f64,
    /// Variance of the model's error as known after the last sample, K².
    pub last_variance_k2: f64,
}

impl Whitener {
    /// For `samples` whose model error has the standard deviation `model_sd_k` in the long run and none at the beginning.
    ///
    /// Where `residuals_k` (measured less model) are given, readings with wild innovations lose weight.
    #[must_use]
    pub fn new(samples: &[Sample], model_sd_k: f64, residuals_k: Option<&[f64]>) -> Self {
        let n = samples.len();
        let mut out = Self {
            decay: Vec::with_capacity(n),
            gain: Vec::with_capacity(n),
            scale: Vec::with_capacity(n),
            weight: Vec::with_capacity(n),
            log_variance: 0.0,
            last_variance_k2: 0.0,
        };
        let stationary = model_sd_k * model_sd_k;
        let (mut mean, mut variance, mut last_h) =
            (0.0, 0.0, samples.first().map_or(0.0, |s| s.hours));
        for (i, sample) in samples.iter().enumerate() {
            let decay = (-(sample.hours - last_h).max(0.0) / FORGETS_H).exp();
            last_h = sample.hours;
            mean *= decay;
            variance = decay * decay * variance + stationary * (1.0 - decay * decay);
            let mut total = variance + sample.variance_k2;
            let mut weight = 1.0;
            if let Some(residuals) = residuals_k {
                let innovation = residuals[i] - mean;
                let allowed = WILD_SD * WILD_SD * total;
                if innovation * innovation > allowed {
                    let widened = innovation * innovation / (WILD_SD * WILD_SD);
                    weight = sample.variance_k2 / (widened - variance).max(sample.variance_k2);
                    total = widened;
                }
            }
            let gain = variance / total;
            if let Some(residuals) = residuals_k {
                mean += gain * (residuals[i] - mean);
            }
            variance *= 1.0 - gain;
            out.decay.push(decay);
            out.gain.push(gain);
            out.scale.push((sample.counts_frac / total).sqrt());
            out.weight.push(weight);
            out.log_variance += sample.counts_frac * total.ln();
        }
        out.last_variance_k2 = variance;
        out
    }

    /// Innovations of `residuals_k`, each divided by its standard deviation.
    #[must_use]
    pub fn innovations(&self, residuals_k: &[f64]) -> Vec<f64> {
        let mut mean = 0.0;
        residuals_k
            .iter()
            .enumerate()
            .map(|(i, residual)| {
                mean *= self.decay[i];
                let innovation = residual - mean;
                mean += self.gain[i] * innovation;
                innovation * self.scale[i]
            })
            .collect()
    }

    /// What the filter has learnt of the model's error after each sample, K.
    #[must_use]
    pub fn model_error_k(&self, residuals_k: &[f64]) -> Vec<f64> {
        let mut mean = 0.0;
        residuals_k
            .iter()
            .enumerate()
            .map(|(i, residual)| {
                mean *= self.decay[i];
                mean += self.gain[i] * (residual - mean);
                mean
            })
            .collect()
    }
}
