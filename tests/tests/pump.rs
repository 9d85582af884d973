//! The pump's sensor control, solved for whole hours, against a tube switched minute by minute.

use swimdays_pump::{DifferentialControl, DifferentialInput, SensorPlace, differential_on_frac};
use swimdays_tests::validation::table;

/// A tube on a board as a row of cells with plug flow: its own small program, stepped by the second.
struct Tube {
    cells: Vec<f64>,
    /// Of the whole tube, J/K.
    capacity_j_k: f64,
    loss_w_k: f64,
    air_c: f64,
}

/// Flow moves by one cell in this many seconds: so plug flow has no numerical mixing.
const SECONDS_A_CELL: usize = 2;
const WATER_C: f64 = 26.0;
const AIR_C: f64 = 22.0;
const CAPACITY_J_K: f64 = 50_000.0;
const LOSS_W_K: f64 = 16.0;
/// Controls decided every minute change the heat by at most this (the project's own bound). Judged for customary
/// set-points, start up to 6 K and stop up to 1.5 K (common practice, no source); others are in the table and
/// are judged by a start a day only.
const HEAT: f64 = 0.01;

impl Tube {
    fn new(cells: usize) -> Self {
        Self {
            cells: vec![AIR_C; cells],
            capacity_j_k: CAPACITY_J_K,
            loss_w_k: LOSS_W_K,
            air_c: AIR_C,
        }
    }

    /// One second of sun; returns what left at the outlet above the inlet's temperature, J.
    fn second(&mut self, sun_w: f64, moves: bool) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a hundred cells")]
        let cell_j_k = self.capacity_j_k / self.cells.len() as f64;
        for t in &mut self.cells {
            let net = sun_w - self.loss_w_k * (*t - self.air_c);
            *t += net / self.capacity_j_k;
        }
        if !moves {
            return 0.0;
        }
        let out = self.cells.pop().unwrap_or(WATER_C);
        self.cells.insert(0, WATER_C);
        cell_j_k * (out - WATER_C)
    }

    fn outlet_c(&self) -> f64 {
        self.cells[self.cells.len() - 1]
    }
}

#[derive(Default)]
struct Day {
    heat_j: f64,
    on_h: f64,
    starts: f64,
}

impl Day {
    fn add(&mut self, day: &Self) {
        self.heat_j += day.heat_j;
        self.on_h += day.on_h;
        self.starts += day.starts;
    }
}

/// Hourly sun on the tube, W: a day of twelve hours with a cloud at 14 h.
fn sun_w(hour: u32, peak_w: f64) -> f64 {
    let x = (f64::from(hour) + 0.5 - 6.0) / 12.0;
    let clear = peak_w * (std::f64::consts::PI * x).sin().max(0.0);
    if hour == 14 { 0.4 * clear } else { clear }
}

fn switched(control: &DifferentialControl, cells: usize, peak_w: f64) -> Day {
    let mut tube = Tube::new(cells);
    let (mut on, mut on_since) = (false, 0_usize);
    let mut day = Day::default();
    for second in 0..86_400_usize {
        let hour = u32::try_from(second / 3_600).expect("an hour");
        if second % 60 == 0 {
            let rise = tube.outlet_c() - WATER_C;
            #[allow(clippy::cast_precision_loss, reason = "seconds of a day")]
            let ran = (second - on_since) as f64;
            if !on && rise >= control.on_k {
                on = true;
                on_since = second;
                day.starts += 1.0;
            } else if on && ran >= control.least_run_s && rise <= control.off_k {
                on = false;
            }
        }
        day.heat_j += tube.second(sun_w(hour, peak_w), on && second % SECONDS_A_CELL == 0);
        if on {
            day.on_h += 1.0 / 3_600.0;
        }
    }
    day
}

/// The same day hour by hour with the function under test and the settled tube.
fn by_the_hour(control: &DifferentialControl, cells: usize, peak_w: f64) -> Day {
    #[allow(clippy::cast_precision_loss, reason = "a hundred cells")]
    let transit_s = (cells * SECONDS_A_CELL) as f64;
    let capacity_w_k = CAPACITY_J_K / transit_s;
    let ntu = LOSS_W_K / capacity_w_k;
    let mut body_c = AIR_C;
    let mut was_on = false;
    let mut run_left_s = 0.0;
    let mut day = Day::default();
    for hour in 0..24 {
        let stagnation_c = AIR_C + sun_w(hour, peak_w) / LOSS_W_K;
        let outlet_c = stagnation_c + (WATER_C - stagnation_c) * (-ntu).exp();
        let heat_w = capacity_w_k * (outlet_c - WATER_C);
        let running_body_c = stagnation_c + (WATER_C - stagnation_c) * (1.0 - (-ntu).exp()) / ntu;
        let r = differential_on_frac(&DifferentialInput {
            control,
            stagnation_c,
            body_c,
            time_constant_s: CAPACITY_J_K / LOSS_W_K,
            running_body_c,
            outlet_c,
            water_c: WATER_C,
            transit_s,
            was_on,
            run_left_s,
            interval_s: 3_600.0,
        });
        let from_body_j = if was_on && r.starts == 0.0 && r.on_frac > 0.0 {
            // It ran on: the tube moves from one settled state to the next.
            (body_c - running_body_c) * CAPACITY_J_K
        } else {
            r.starts * (r.start_body_c - running_body_c) * CAPACITY_J_K
        };
        day.heat_j += heat_w * r.on_frac * 3_600.0 + from_body_j;
        day.on_h += r.on_frac;
        day.starts += r.starts;
        let (from_c, stood_s) = if r.on_frac > 0.0 {
            (running_body_c, r.standing_at_end_s)
        } else {
            (body_c, 3_600.0)
        };
        body_c =
            stagnation_c + (from_c - stagnation_c) * (-stood_s * LOSS_W_K / CAPACITY_J_K).exp();
        was_on = r.running_at_end;
        run_left_s = r.run_left_s;
    }
    day
}

/// Days from dull to bright: largest sun on the tube, W.
const PEAKS_W: [f64; 13] = [
    380.0, 430.0, 480.0, 530.0, 580.0, 630.0, 680.0, 730.0, 780.0, 830.0, 880.0, 930.0, 980.0,
];

#[test]
fn hours_of_a_sensor_against_minutes() {
    let mut lines = vec![
        "| starts at, stops at K | least run min | transit s | minutes kWh | hours kWh | difference % | largest of a day % | on h | on h | starts | starts |"
            .to_owned(),
        "|---|---|---|---|---|---|---|---|---|---|---|".to_owned(),
    ];
    let mut worst = 0.0_f64;
    for (on_k, off_k) in [(3.0, 0.3), (4.0, 1.0), (6.0, 1.5), (6.0, 3.0), (10.0, 5.0)] {
        for (cells, least_run_s) in [(60, 300.0), (30, 120.0), (120, 600.0)] {
            let control = DifferentialControl {
                on_k,
                off_k,
                sensor: SensorPlace::Board,
                least_run_s,
                within: None,
            };
            control.check().expect("set-points in range");
            let (mut minutes, mut hours) = (Day::default(), Day::default());
            let mut of_a_day = 0.0_f64;
            for peak_w in PEAKS_W {
                let a = switched(&control, cells, peak_w);
                let b = by_the_hour(&control, cells, peak_w);
                // A day may end one start sooner or later: the warmth of the tube is handed over or not.
                let start_j = CAPACITY_J_K * on_k;
                assert!(
                    (a.heat_j - b.heat_j).abs() < start_j + HEAT * a.heat_j,
                    "{on_k} {off_k} {peak_w}: {} and {} J",
                    a.heat_j,
                    b.heat_j
                );
                of_a_day = of_a_day.max((b.heat_j / a.heat_j - 1.0).abs());
                minutes.add(&a);
                hours.add(&b);
            }
            let difference = hours.heat_j / minutes.heat_j - 1.0;
            if on_k <= 6.0 && off_k <= 1.5 {
                worst = worst.max(difference.abs());
            }
            lines.push(format!(
                "| {on_k}, {off_k} | {:.0} | {} | {:.2} | {:.2} | {:+.2} | {:.1} | {:.1} | {:.1} | {:.0} | {:.0} |",
                least_run_s / 60.0,
                cells * SECONDS_A_CELL,
                minutes.heat_j / 3.6e6,
                hours.heat_j / 3.6e6,
                100.0 * difference,
                100.0 * of_a_day,
                minutes.on_h,
                hours.on_h,
                minutes.starts,
                hours.starts,
            ));
        }
    }
    println!("{}", lines.join("\n"));
    table("pump-sensor", &lines);
    assert!(worst <= HEAT, "largest difference {worst}");
}
