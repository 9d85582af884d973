//! Several numbers in the registers of the processor.

use std::fmt;
use std::ops::{
    Add, AddAssign, BitAnd, BitOr, Div, DivAssign, Mul, MulAssign, Neg, Not, Sub, SubAssign,
};

use pulp::bytemuck::{bytes_of, cast_slice, cast_slice_mut};
use pulp::{Simd, WithSimd};

use super::{Mask, Real, guess_bits, power_of_two_bits};

/// As many numbers as `K` registers of the processor hold; `S` says which processor.
///
/// Aligned to a line of the cache: a register that straddles two is read and written twice.
#[derive(Clone, Copy)]
#[repr(align(64))]
pub struct Lanes<S: Simd, const K: usize> {
    simd: S,
    of: [S::f64s; K],
}

/// Yes or no for each of [`Lanes`].
#[derive(Clone, Copy)]
pub struct LanesMask<S: Simd, const K: usize> {
    simd: S,
    of: [S::m64s; K],
}

impl<S: Simd, const K: usize> Lanes<S, K> {
    /// `value` in every lane, for the processor `simd`.
    #[inline(always)]
    pub fn new(simd: S, value: f64) -> Self {
        Self {
            simd,
            of: [simd.splat_f64s(value); K],
        }
    }

    #[inline(always)]
    fn both(self, other: Self, f: impl Fn(S, S::f64s, S::f64s) -> S::f64s) -> Self {
        let mut of = self.of;
        let mut k = 0;
        while k < K {
            of[k] = f(self.simd, self.of[k], other.of[k]);
            k += 1;
        }
        Self { of, ..self }
    }

    #[inline(always)]
    fn with(self, value: f64, f: impl Fn(S, S::f64s, S::f64s) -> S::f64s) -> Self {
        let value = self.simd.splat_f64s(value);
        let mut of = self.of;
        let mut k = 0;
        while k < K {
            of[k] = f(self.simd, self.of[k], value);
            k += 1;
        }
        Self { of, ..self }
    }

    #[inline(always)]
    fn compared(self, other: Self, f: impl Fn(S, S::f64s, S::f64s) -> S::m64s) -> LanesMask<S, K> {
        let mut of = [f(self.simd, self.of[0], other.of[0]); K];
        let mut k = 1;
        while k < K {
            of[k] = f(self.simd, self.of[k], other.of[k]);
            k += 1;
        }
        LanesMask {
            simd: self.simd,
            of,
        }
    }

    /// The bits of each number through `f`, which the compiler turns into instructions for the whole register.
    #[inline(always)]
    fn bits(self, f: impl Fn(u64) -> u64) -> Self {
        let mut of = self.of;
        for bits in cast_slice_mut::<S::f64s, u64>(&mut of) {
            *bits = f(*bits);
        }
        Self { of, ..self }
    }
}

impl<S: Simd, const K: usize> fmt::Debug for Lanes<S, K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.of).finish()
    }
}

impl<S: Simd, const K: usize> fmt::Debug for LanesMask<S, K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.of).finish()
    }
}

macro_rules! operation {
    ($trait:ident, $method:ident, $assign:ident, $assigned:ident, $simd:ident) => {
        impl<S: Simd, const K: usize> $trait for Lanes<S, K> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                self.both(
                    other,
                    #[inline(always)]
                    |s, a, b| s.$simd(a, b),
                )
            }
        }
        impl<S: Simd, const K: usize> $trait<f64> for Lanes<S, K> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: f64) -> Self {
                self.with(
                    other,
                    #[inline(always)]
                    |s, a, b| s.$simd(a, b),
                )
            }
        }
        impl<S: Simd, const K: usize> $assign for Lanes<S, K> {
            #[inline(always)]
            fn $assigned(&mut self, other: Self) {
                *self = self.$method(other);
            }
        }
    };
}

operation!(Add, add, AddAssign, add_assign, add_f64s);
operation!(Sub, sub, SubAssign, sub_assign, sub_f64s);
operation!(Mul, mul, MulAssign, mul_assign, mul_f64s);
operation!(Div, div, DivAssign, div_assign, div_f64s);

impl<S: Simd, const K: usize> Neg for Lanes<S, K> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.both(
            self,
            #[inline(always)]
            |s, a, _| s.neg_f64s(a),
        )
    }
}

impl<S: Simd, const K: usize> LanesMask<S, K> {
    #[inline(always)]
    fn both(self, other: Self, f: impl Fn(S, S::m64s, S::m64s) -> S::m64s) -> Self {
        let mut of = self.of;
        let mut k = 0;
        while k < K {
            of[k] = f(self.simd, self.of[k], other.of[k]);
            k += 1;
        }
        Self { of, ..self }
    }
}

impl<S: Simd, const K: usize> BitAnd for LanesMask<S, K> {
    type Output = Self;
    #[inline(always)]
    fn bitand(self, other: Self) -> Self {
        self.both(
            other,
            #[inline(always)]
            |s, a, b| s.and_m64s(a, b),
        )
    }
}

impl<S: Simd, const K: usize> BitOr for LanesMask<S, K> {
    type Output = Self;
    #[inline(always)]
    fn bitor(self, other: Self) -> Self {
        self.both(
            other,
            #[inline(always)]
            |s, a, b| s.or_m64s(a, b),
        )
    }
}

impl<S: Simd, const K: usize> Not for LanesMask<S, K> {
    type Output = Self;
    #[inline(always)]
    fn not(self) -> Self {
        self.both(
            self,
            #[inline(always)]
            |s, a, _| s.not_m64s(a),
        )
    }
}

impl<S: Simd, const K: usize> Mask for LanesMask<S, K> {
    #[inline(always)]
    fn any(self) -> bool {
        let mut all = self.of[0];
        let mut k = 1;
        while k < K {
            all = self.simd.or_m64s(all, self.of[k]);
            k += 1;
        }
        let mut found = 0;
        let (eights, ones) = bytes_of(&all).as_chunks::<8>();
        for eight in eights {
            found |= u64::from_ne_bytes(*eight);
        }
        for one in ones {
            found |= u64::from(*one);
        }
        found != 0
    }
}

/// What is done apart, with the instructions that the processor has.
struct Work<F>(F);

impl<T, F: FnOnce() -> T> WithSimd for Work<F> {
    type Output = T;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> T {
        (self.0)()
    }
}

impl<S: Simd, const K: usize> Real for Lanes<S, K> {
    type Mask = LanesMask<S, K>;

    const LANES: usize = K * S::F64_LANES;

    #[inline(always)]
    fn like(self, value: f64) -> Self {
        Self::new(self.simd, value)
    }

    #[inline(always)]
    fn each(self, mut value: impl FnMut(usize) -> f64) -> Self {
        let mut of = self.of;
        for (lane, number) in cast_slice_mut::<S::f64s, f64>(&mut of)
            .iter_mut()
            .enumerate()
        {
            *number = value(lane);
        }
        Self { of, ..self }
    }

    #[inline(always)]
    fn lane(self, lane: usize) -> f64 {
        cast_slice::<S::f64s, f64>(&self.of)[lane]
    }

    #[inline(always)]
    fn set_lane(&mut self, lane: usize, value: f64) {
        cast_slice_mut::<S::f64s, f64>(&mut self.of)[lane] = value;
    }

    #[inline(always)]
    fn is_below(self, other: Self) -> Self::Mask {
        self.compared(
            other,
            #[inline(always)]
            |s, a, b| s.less_than_f64s(a, b),
        )
    }

    #[inline(always)]
    fn is_at_most(self, other: Self) -> Self::Mask {
        self.compared(
            other,
            #[inline(always)]
            |s, a, b| s.less_than_or_equal_f64s(a, b),
        )
    }

    #[inline(always)]
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self {
        let mut of = no.of;
        let mut k = 0;
        while k < K {
            of[k] = yes.simd.select_f64s(mask.of[k], yes.of[k], no.of[k]);
            k += 1;
        }
        Self { of, ..yes }
    }

    #[inline(always)]
    fn mask_like(self, value: bool) -> Self::Mask {
        let one = self.like(f64::from(u8::from(value)));
        one.is_above(self.like(0.5))
    }

    #[inline(always)]
    fn mask_lane(mask: Self::Mask, lane: usize) -> bool {
        let (yes, no) = (Self::new(mask.simd, 1.0), Self::new(mask.simd, 0.0));
        Self::select(mask, yes, no).lane(lane) > 0.5
    }

    #[inline(always)]
    fn root(self) -> Self {
        self.both(
            self,
            #[inline(always)]
            |s, a, _| s.sqrt_f64s(a),
        )
    }

    #[inline(always)]
    fn apart<T>(self, work: impl FnOnce() -> T) -> T {
        self.simd.vectorize(Work(work))
    }

    #[inline(always)]
    fn power_of_two(self) -> Self {
        self.bits(power_of_two_bits)
    }

    #[inline(always)]
    fn guess_inverse_cube_root(self) -> Self {
        self.bits(guess_bits)
    }
}
