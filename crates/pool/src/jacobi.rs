//! Eigenvalues of a small symmetric matrix.

/// Eigenvalues and eigenvectors (columns) of a symmetric matrix, by Jacobi's rotations.
///
/// Source: Jacobi (1846); cyclic form as in Golub & Van Loan, *Matrix Computations*, section 8.5 (from memory).
pub(crate) fn eigen<const N: usize>(mut a: [[f64; N]; N]) -> ([f64; N], [[f64; N]; N]) {
    let mut v = [[0.0; N]; N];
    for (i, row) in v.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    // Each sweep squares the rest off the diagonal once it is small: 8 to 10 do for a dozen rows.
    for _ in 0..30 {
        if is_diagonal(&a) {
            break;
        }
        for p in 0..N {
            for q in (p + 1)..N {
                rotate(&mut a, &mut v, p, q);
            }
        }
    }
    let mut values = [0.0; N];
    for (i, value) in values.iter_mut().enumerate() {
        *value = a[i][i];
    }
    (values, v)
}

/// Whether what stands beside the diagonal is too small to move an eigenvalue by its last digit.
fn is_diagonal<const N: usize>(a: &[[f64; N]; N]) -> bool {
    const NOTHING: f64 = 1e-20;
    (0..N).all(|p| {
        (p + 1..N).all(|q| a[p][q] * a[p][q] <= NOTHING * NOTHING * (a[p][p] * a[q][q]).abs())
    })
}

fn rotate<const N: usize>(a: &mut [[f64; N]; N], v: &mut [[f64; N]; N], p: usize, q: usize) {
    if a[p][q].abs() <= f64::MIN_POSITIVE {
        return;
    }
    let theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
    let t = theta.signum() / (theta.abs() + theta.hypot(1.0));
    let c = 1.0 / t.hypot(1.0);
    let s = t * c;
    for row in a.iter_mut() {
        (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
    }
    let (at_p, at_q) = (a[p], a[q]);
    for k in 0..N {
        a[p][k] = c * at_p[k] - s * at_q[k];
        a[q][k] = s * at_p[k] + c * at_q[k];
    }
    for row in v.iter_mut() {
        (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
    }
}

#[cfg(test)]
mod tests {
    use super::eigen;

    #[test]
    fn second_differences_have_their_known_eigenvalues() {
        // Tridiagonal −1, 2, −1 of order n: 2 − 2 cos(kπ/(n + 1)) (textbook).
        const N: usize = 8;
        let mut a = [[0.0; N]; N];
        for i in 0..N {
            a[i][i] = 2.0;
            if i + 1 < N {
                a[i][i + 1] = -1.0;
                a[i + 1][i] = -1.0;
            }
        }
        let (mut values, vectors) = eigen(a);
        for m in 0..N {
            for i in 0..N {
                let product: f64 = (0..N).map(|j| a[i][j] * vectors[j][m]).sum();
                assert!((product - values[m] * vectors[i][m]).abs() < 1e-13);
            }
        }
        values.sort_by(f64::total_cmp);
        for (k, value) in values.iter().enumerate() {
            #[allow(clippy::cast_precision_loss, reason = "k is below 10")]
            let angle = (k + 1) as f64 * std::f64::consts::PI / (N + 1) as f64;
            assert!((value - (2.0 - 2.0 * angle.cos())).abs() < 1e-13);
        }
    }
}
