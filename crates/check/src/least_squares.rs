//! Least squares by Levenberg and Marquardt, over the crate `levenberg-marquardt`.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};

/// A vector of residuals and its derivative.
pub trait Residuals {
    /// Residuals at `x`; `None` when they cannot be had there.
    fn residuals(&self, x: &[f64]) -> Option<Vec<f64>>;

    /// Derivative of every residual (rows) with every parameter (columns).
    ///
    /// By central differences of [`Self::step`]; override where it can be had for less.
    fn jacobian(&self, x: &[f64]) -> Option<DMatrix<f64>> {
        let h = self.step();
        let mut columns = Vec::with_capacity(x.len());
        for j in 0..x.len() {
            let mut moved = x.to_vec();
            moved[j] = x[j] + h;
            let above = DVector::from_vec(self.residuals(&moved)?);
            moved[j] = x[j] - h;
            let below = DVector::from_vec(self.residuals(&moved)?);
            columns.push((above - below) / (2.0 * h));
        }
        Some(DMatrix::from_columns(&columns))
    }

    /// Step of the differences.
    fn step(&self) -> f64 {
        1e-5
    }
}

/// Where the sum of squares is least.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// The parameters.
    pub x: Vec<f64>,
    /// Sum of the squared residuals.
    pub sum_of_squares: f64,
    /// Inverse of `JᵀJ`: the covariance when residuals are scaled to a standard deviation of 1.
    pub covariance: DMatrix<f64>,
}

struct Problem<'a, R: Residuals + ?Sized> {
    of: &'a R,
    x: DVector<f64>,
}

impl<R: Residuals + ?Sized> LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_, R> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.x.copy_from(x);
    }

    fn params(&self) -> DVector<f64> {
        self.x.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.of.residuals(self.x.as_slice()).map(DVector::from_vec)
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        self.of.jacobian(self.x.as_slice())
    }
}

/// Finds the least sum of squares from `start`.
///
/// The search ends when the sum of squares, or the parameters, change by no more than `ends_at` of themselves; `patience` bounds the
/// evaluations to `patience · (parameters + 1)`.
///
/// `None` when the residuals cannot be had or `JᵀJ` cannot be inverted.
///
/// Source: Levenberg (1944), Marquardt (1963), in the form of Moré (1978), by the crate `levenberg-marquardt`.
#[must_use]
pub fn least_squares<R: Residuals + ?Sized>(
    of: &R,
    start: &[f64],
    ends_at: f64,
    patience: usize,
) -> Option<Solution> {
    let problem = Problem {
        of,
        x: DVector::from_column_slice(start),
    };
    let (problem, report) = LevenbergMarquardt::new()
        .with_ftol(ends_at)
        .with_xtol(ends_at)
        .with_patience(patience.max(1))
        .minimize(problem);
    let x = problem.x.as_slice().to_vec();
    let jacobian = of.jacobian(&x)?;
    let covariance = (jacobian.transpose() * jacobian).try_inverse()?;
    Some(Solution {
        x,
        sum_of_squares: 2.0 * report.objective_function,
        covariance,
    })
}
