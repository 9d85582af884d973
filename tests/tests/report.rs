//! The drawings' style against published measures of colour: contrast, lightness in grey, and what colour-blind
//! eyes see.
//!
//! Sources: W3C, *Web Content Accessibility Guidelines* 2.2, success criteria 1.4.3 and 1.4.11 and the definition of relative
//! luminance; IEC 61966-2-1 (sRGB); CIE 15 (L*a*b*); CIEDE2000 by the crate `palette`, held to pairs of Sharma, Wu & Dalal (2005); Machado, Oliveira & Fernandes (2009), IEEE TVCG
//! 15:1291, matrices for severity 1 (from memory; each row sums to 1, as it must for white to stay white).

use palette::Lab;
use palette::color_difference::Ciede2000;
use palette::white_point::D65;
use swimdays_report::style::{Ink, Style};

/// WCAG 2.2, 1.4.3 level AA: text.
const TEXT_CONTRAST: f64 = 4.5;
/// WCAG 2.2, 1.4.11 level AA: graphical objects.
const OBJECT_CONTRAST: f64 = 3.0;
/// Lightness by which two greys side by side are told apart at a glance: our choice, several times the difference of 1
/// that is about the smallest seen.
const GREY_APART: f64 = 8.0;
/// CIEDE2000 difference at which two colours are plainly different ones: ten times the 1 that is about the smallest seen; the
/// factor is our choice.
const COLOUR_APART: f64 = 10.0;

fn linear(style: &Style, ink: Ink) -> [f64; 3] {
    style.rgb(ink).map(|byte| {
        let v = f64::from(byte) / 255.0;
        if v <= 0.04045 {
            v / 12.92
        } else {
            ((v + 0.055) / 1.055).powf(2.4)
        }
    })
}

/// Rows that give X, Y, Z of linear sRGB (IEC 61966-2-1).
const TO_XYZ: [[f64; 3]; 3] = [
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
];

fn times(m: &[[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn lab(linear: [f64; 3]) -> [f64; 3] {
    let white = times(&TO_XYZ, [1.0; 3]);
    let xyz = times(&TO_XYZ, linear.map(|v| v.clamp(0.0, 1.0)));
    let f = |i: usize| {
        let t = xyz[i] / white[i];
        if t > (6.0_f64 / 29.0).powi(3) {
            t.cbrt()
        } else {
            t / (3.0 * (6.0_f64 / 29.0).powi(2)) + 4.0 / 29.0
        }
    };
    [
        116.0 * f(1) - 16.0,
        500.0 * (f(0) - f(1)),
        200.0 * (f(1) - f(2)),
    ]
}

/// Difference CIEDE2000.
fn apart([l, a, b]: [f64; 3], [m, c, d]: [f64; 3]) -> f64 {
    let colour = |l, a, b| Lab::<D65, f64>::new(l, a, b);
    colour(l, a, b).difference(colour(m, c, d))
}

fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (times(&TO_XYZ, a)[1] + 0.05, times(&TO_XYZ, b)[1] + 0.05);
    a.max(b) / a.min(b)
}

const PROTAN: [[f64; 3]; 3] = [
    [0.152_286, 1.052_583, -0.204_868],
    [0.114_503, 0.786_281, 0.099_216],
    [-0.003_882, -0.048_116, 1.051_998],
];
const DEUTAN: [[f64; 3]; 3] = [
    [0.367_322, 0.860_646, -0.227_968],
    [0.280_085, 0.672_501, 0.047_413],
    [-0.011_820, 0.042_940, 0.968_881],
];
const TRITAN: [[f64; 3]; 3] = [
    [1.255_528, -0.076_749, -0.178_779],
    [-0.078_411, 0.930_809, 0.147_602],
    [0.004_733, 0.691_367, 0.303_900],
];

/// Parts of the ledger that may stand on each other.
const STACKED: [(Ink, Ink); 14] = [
    (Ink::Sun, Ink::Heaters),
    (Ink::Heaters, Ink::OtherHeater),
    (Ink::Sun, Ink::OtherHeater),
    (Ink::Sun, Ink::Convection),
    (Ink::Sun, Ink::Ground),
    (Ink::Sun, Ink::Other),
    (Ink::Evaporation, Ink::Longwave),
    (Ink::Longwave, Ink::Convection),
    (Ink::Longwave, Ink::Ground),
    (Ink::Convection, Ink::Ground),
    (Ink::Convection, Ink::Other),
    (Ink::Ground, Ink::MakeUp),
    (Ink::Ground, Ink::Other),
    (Ink::MakeUp, Ink::Other),
];

/// Lines and marks that meet in one panel.
const TOGETHER: [(Ink, Ink); 6] = [
    (Ink::Water, Ink::Air),
    (Ink::Water, Ink::Outlet),
    (Ink::Air, Ink::Outlet),
    (Ink::Water, Ink::TooHot),
    (Ink::Water, Ink::Cold),
    // The pump's curve and the loop's.
    (Ink::Pump, Ink::Outlet),
];

#[test]
fn measures_give_their_published_ends() {
    // Black on white is 21 : 1 (WCAG); white is L* 100, black 0 (CIE 15); sRGB mid grey 119 has L* 50 (by hand: Y = 0.184).
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
    assert!((lab([1.0; 3])[0] - 100.0).abs() < 1e-9 && lab([0.0; 3])[0].abs() < 1e-9);
    let grey: f64 = ((119.0 / 255.0 + 0.055) / 1.055_f64).powf(2.4);
    assert!((lab([grey; 3])[0] - 50.0).abs() < 0.1);
    for row in PROTAN.iter().chain(&DEUTAN).chain(&TRITAN) {
        assert!((row.iter().sum::<f64>() - 1.0).abs() < 3e-6);
    }
}

/// Source: Sharma, Wu & Dalal (2005), Color Research & Application 30:21, table 1, pairs 1 and 25 (from memory).
#[test]
fn the_difference_is_that_of_the_published_pairs() {
    for (x, y, wanted) in [
        ([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485], 2.0425),
        (
            [60.2574, -34.0099, 36.2677],
            [60.4626, -34.1751, 39.4387],
            1.2644,
        ),
    ] {
        assert!((apart(x, y) - wanted).abs() < 1e-4, "{}", apart(x, y));
    }
}

#[test]
fn text_and_marks_stand_out_from_what_they_lie_on() {
    for style in [Style::light(), Style::dark()] {
        let of = |ink| linear(&style, ink);
        for text in [
            Ink::Text,
            Ink::Muted,
            Ink::Water,
            Ink::Air,
            Ink::Outlet,
            Ink::Pump,
        ] {
            let c = contrast(of(text), of(Ink::Paper));
            assert!(
                c >= TEXT_CONTRAST,
                "{:?}: {text:?} on paper {c:.2}",
                style.ground
            );
        }
        for (text, below) in [
            (Ink::Muted, Ink::Band),
            (Ink::Water, Ink::Band),
            (Ink::Muted, Ink::Shade),
            (Ink::Water, Ink::Shade),
        ] {
            let c = contrast(of(text), of(below));
            assert!(
                c >= TEXT_CONTRAST,
                "{:?}: {text:?} on {below:?} {c:.2}",
                style.ground
            );
        }
        for (mark, below) in [
            (Ink::TooHot, Ink::Paper),
            (Ink::TooHot, Ink::Shade),
            (Ink::Heaters, Ink::Paper),
            (Ink::Longwave, Ink::Paper),
            (Ink::Evaporation, Ink::Paper),
            (Ink::Outlet, Ink::Band),
            (Ink::Air, Ink::Band),
        ] {
            let c = contrast(of(mark), of(below));
            assert!(
                c >= OBJECT_CONTRAST,
                "{:?}: {mark:?} on {below:?} {c:.2}",
                style.ground
            );
        }
    }
}

#[test]
fn stacked_parts_differ_when_printed_grey() {
    for style in [Style::light(), Style::dark()] {
        for (a, b) in STACKED {
            let (la, lb) = (lab(linear(&style, a))[0], lab(linear(&style, b))[0]);
            assert!(
                (la - lb).abs() >= GREY_APART,
                "{:?}: {a:?} {la:.1} and {b:?} {lb:.1}",
                style.ground
            );
        }
    }
}

#[test]
fn colour_blind_eyes_tell_neighbours_apart() {
    let same = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for style in [Style::light(), Style::dark()] {
        for (eyes, matrix) in [
            ("all", same),
            ("protan", PROTAN),
            ("deutan", DEUTAN),
            ("tritan", TRITAN),
        ] {
            for (a, b) in STACKED.into_iter().chain(TOGETHER) {
                let seen = |ink| lab(times(&matrix, linear(&style, ink)));
                let (x, y) = (seen(a), seen(b));
                let apart = apart(x, y);
                assert!(
                    apart >= COLOUR_APART,
                    "{:?}, {eyes}: {a:?} and {b:?} are {apart:.1} apart",
                    style.ground
                );
            }
        }
    }
}
