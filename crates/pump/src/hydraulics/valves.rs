//! Valves, from open to shut.

/// A valve that a person turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Valve {
    /// Ball, full bore.
    Ball,
    /// Gate.
    Gate,
    /// Globe.
    Globe,
    /// Three-way, the way straight through; `open_frac` of its port is free.
    ThreeWayStraight,
    /// Three-way, the way round the corner; `open_frac` of its port is free.
    ThreeWaySide,
}

impl Valve {
    /// Every valve.
    pub const ALL: [Self; 5] = [
        Self::Ball,
        Self::Gate,
        Self::Globe,
        Self::ThreeWayStraight,
        Self::ThreeWaySide,
    ];

    /// The name written in scenarios.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ball => "ball valve",
            Self::Gate => "gate valve",
            Self::Globe => "globe valve",
            Self::ThreeWayStraight => "three-way valve, straight",
            Self::ThreeWaySide => "three-way valve, side",
        }
    }

    /// The valve of that name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.name() == name)
    }

    /// Open fraction (of the travel) and K there, from open on; below the last the curve is continued.
    ///
    /// Ball and gate: Munson, Young & Okiishi, *Fundamentals of Fluid Mechanics*, table 8.2. Globe: the same, open; partly closed the
    /// middles of the ranges of White, *Fluid Mechanics*, table 6.6. (All from memory.) Three-way: open as Crane
    /// TP-410's plug valve (30 and 90 f_T at f_T 0.0225, a 1 in pipe); partly closed `K/open²`, our own choice.
    const fn points(self) -> &'static [(f64, f64)] {
        match self {
            Self::Ball => &[(1.0, 0.05), (2.0 / 3.0, 5.5), (1.0 / 3.0, 210.0)],
            Self::Gate => &[(1.0, 0.15), (0.75, 0.26), (0.5, 2.1), (0.25, 17.0)],
            Self::Globe => &[(1.0, 10.0), (0.75, 17.5), (0.5, 25.0), (0.25, 70.0)],
            Self::ThreeWayStraight => &[(1.0, 0.68), (0.5, 2.72)],
            Self::ThreeWaySide => &[(1.0, 2.0), (0.5, 8.0)],
        }
    }

    /// Loss coefficient on the valve's bore, −; `None` when shut.
    ///
    /// `ln K` straight in the open fraction's logarithm between the source's points, and on below the last of them.
    ///
    /// | argument | meaning | unit | range |
    /// |---|---|---|---|
    /// | `open_frac` | of the handle's travel; of the port in a three-way valve | − | 0 (shut) … 1 (open) |
    ///
    /// Above 1 the line is continued; [`super::FittingKind::check`] refuses it. Below a quarter open nothing was
    /// measured: set such a valve by the flow it gives. Differs: makes differ by a factor of 2 and more.
    ///
    /// ```
    /// // Munson, Young & Okiishi, table 8.2: ball valve one third closed 5.5.
    /// let k = swimdays_pump::hydraulics::Valve::Ball.k(2.0 / 3.0).expect("not shut");
    /// assert!((k - 5.5).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn k(self, open_frac: f64) -> Option<f64> {
        if open_frac <= 0.0 {
            return None;
        }
        let points = self.points();
        let i = (1..points.len() - 1)
            .find(|&i| open_frac >= points[i].0)
            .unwrap_or(points.len() - 1);
        let (x0, k0) = points[i - 1];
        let (x1, k1) = points[i];
        let slope = (k1 / k0).ln() / (x1 / x0).ln();
        Some(k0 * (open_frac / x0).powf(slope))
    }

    /// Smallest open fraction for which the source has a value.
    #[must_use]
    pub const fn least_open_frac(self) -> f64 {
        let points = self.points();
        points[points.len() - 1].0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closing_always_costs_more() {
        for valve in Valve::ALL {
            let mut last = 0.0;
            for i in (1..=1_000).rev() {
                let k = valve.k(f64::from(i) * 1e-3).expect("open");
                assert!(k > last, "{} {i}", valve.name());
                last = k;
            }
            assert_eq!(valve.k(0.0), None);
            assert_eq!(Valve::by_name(valve.name()), Some(valve));
        }
    }

    #[test]
    fn the_tables_are_met() {
        for (valve, open, k) in [
            (Valve::Ball, 1.0, 0.05),
            (Valve::Ball, 1.0 / 3.0, 210.0),
            (Valve::Gate, 0.75, 0.26),
            (Valve::Gate, 0.5, 2.1),
            (Valve::Gate, 0.25, 17.0),
            (Valve::Globe, 1.0, 10.0),
        ] {
            let found = valve.k(open).expect("open");
            assert!(
                (found / k - 1.0).abs() < 1e-12,
                "{} {open}: {found}",
                valve.name()
            );
        }
    }
}
