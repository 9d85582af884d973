//! Sunlight in the water.

use swimdays_pool::{Finish, SunOnWater, transmission_frac};
use swimdays_properties::optics::{WATER_REFRACTIVE_INDEX, surface_reflectance};
use swimdays_tests::Errors;
use swimdays_tests::validation::table;

use crate::near;

#[test]
fn reflection_at_the_surface() {
    // Fresnel with n = 1.333: ((n − 1)/(n + 1))² straight on; the others by hand from the two polarised parts, e.g. 60°:
    // sin θ′ = 0.6497, cos θ′ = 0.7602; R_s = ((0.5 − 1.0134)/(0.5 + 1.0134))² = 0.1151, R_p = ((0.6665 − 0.7602)/1.4267)² = 0.0043.
    const PRINTED: f64 = 6e-5;
    for (degrees, expected) in [
        (0.0_f64, 0.020_4),
        (30.0, 0.021_4),
        (45.0, 0.027_9),
        (60.0, 0.059_7),
        (70.0, 0.133_5),
        (75.0, 0.212_4),
        (80.0, 0.347_9),
        (85.0, 0.583_5),
    ] {
        let found = surface_reflectance(WATER_REFRACTIVE_INDEX, degrees.to_radians().cos());
        near(found, expected, PRINTED, "Fresnel");
    }
    // A uniform sky: 0.0664 (integral of the same).
    let black = SunOnWater {
        finish_reflectance_frac: 0.0,
        mean_depth_m: 1.4,
    };
    near(
        1.0 - black.absorbed_frac_diffuse(),
        0.066_4,
        1e-3,
        "diffuse",
    );
}

#[test]
fn clear_water_against_a_second_formula() {
    // Rabl & Nielsen (1975), hand arithmetic of its four terms, and Bryant & Colbeck (1977): 0.36 − 0.08 ln x.
    const PRINTED: f64 = 6e-4;
    const APART: f64 = 0.016;
    for (depth, expected) in [
        (0.01_f64, 0.717),
        (0.1, 0.550),
        (0.3, 0.471),
        (0.5, 0.425),
        (1.0, 0.361),
        (1.5, 0.326),
        (2.0, 0.301),
        (3.0, 0.265),
    ] {
        let found = transmission_frac(depth);
        near(found, expected, PRINTED, "Rabl & Nielsen");
        near(found, 0.36 - 0.08 * depth.ln(), APART, "Bryant & Colbeck");
    }
}

/// Uniform numbers in 0…1 from a fixed seed (SplitMix64, public domain).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        f64::from(u32::try_from((z ^ (z >> 31)) >> 32).expect("32 bits")) / 4_294_967_296.0
    }
}

/// Follows rays that have entered water of depth `d` going down with cosine `inside_cos`: reflected by a matt floor,
/// by Fresnel and totally at the surface, absorbed on the way. Share that never leaves.
fn kept_by_rays(rho: f64, d: f64, inside_cos: f64, rays: u32, dice: &mut Dice) -> f64 {
    const BANDS: [(f64, f64); 4] = [(0.237, 0.032), (0.193, 0.45), (0.167, 3.0), (0.179, 35.0)];
    let mut escaped = 0.0;
    for _ in 0..rays {
        for (share, per_m) in BANDS {
            let (mut weight, mut cos) = (share, inside_cos);
            while weight > 1e-6 {
                weight *= (-per_m * d / cos).exp() * rho;
                cos = dice.roll().max(1e-9).sqrt();
                weight *= (-per_m * d / cos).exp();
                let outside = 1.0 - (1.0 - cos * cos) * WATER_REFRACTIVE_INDEX.powi(2);
                if outside > 0.0 {
                    // Reciprocity: the same ray from outside.
                    let r = surface_reflectance(WATER_REFRACTIVE_INDEX, outside.sqrt());
                    escaped += weight * (1.0 - r);
                    weight *= r;
                }
            }
        }
    }
    1.0 - escaped / f64::from(rays)
}

#[test]
fn absorbed_sun_against_rays() {
    // The series of reflections uses mean slants; rays do not. 20 000 rays leave about 0.001.
    const RAYS_SHARE: f64 = 0.006;
    let mut dice = Dice(7);
    let mut differences = Vec::new();
    for rho in [0.12, 0.3, 0.5, 0.7] {
        for depth in [0.5, 1.4, 2.5] {
            for cos in [0.2_f64, 0.5, 0.8, 1.0] {
                let pool = SunOnWater {
                    finish_reflectance_frac: rho,
                    mean_depth_m: depth,
                };
                let entered = 1.0 - surface_reflectance(WATER_REFRACTIVE_INDEX, cos);
                let inside = (1.0 - (1.0 - cos * cos) / WATER_REFRACTIVE_INDEX.powi(2)).sqrt();
                let rays = entered * kept_by_rays(rho, depth, inside, 20_000, &mut dice);
                differences.push(pool.absorbed_frac_beam(cos) - rays);
            }
        }
    }
    let errors = Errors::of(&differences);
    println!("absorbed sun against rays: {errors}");
    assert!(errors.max < RAYS_SHARE, "{errors}");
}

#[test]
fn absorbed_sun_of_a_pool() {
    // A second, simpler estimate of what stays of the light that has entered: two passes through the depth, half of what
    // comes up held back by the surface.
    const TWO_PASS: f64 = 0.02;
    // ISO/TR 12596 via Kalogirou: 0.85 light, 0.90 dark (and 0.05 less in heavy use, which we leave out); NREL consumer
    // text: 75–85 % outdoors, use included. Its own steps are 0.05. "Light" is calibration (Finish::reflectance_frac), dark is not.
    const ISO: f64 = 0.05;
    let mut lines = vec![
        "| finish | beam, sun 45° high | uniform sky | ISO/TR 12596 |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    for depth in [1.2, 2.0] {
        // Beyond a half, light that bounces more than once counts, which two passes leave out.
        for rho in [0.1, 0.3, 0.5] {
            let pool = SunOnWater {
                finish_reflectance_frac: rho,
                mean_depth_m: depth,
            };
            let estimate = 1.0 - 0.5 * rho * transmission_frac(2.0 * depth);
            let entered = 1.0 - surface_reflectance(WATER_REFRACTIVE_INDEX, 0.8);
            let found = pool.absorbed_frac_beam(0.8) / entered;
            println!("depth {depth} ρ {rho}: {found:.3}, two passes {estimate:.3}");
            near(found, estimate, TWO_PASS, "two passes");
        }
    }
    for (finish, iso) in [
        (Finish::White, Some(0.85)),
        (Finish::Light, Some(0.85)),
        (Finish::Medium, None),
        (Finish::Dark, Some(0.90)),
    ] {
        let pool = SunOnWater {
            finish_reflectance_frac: finish.reflectance_frac().value,
            mean_depth_m: 1.4,
        };
        let (beam, sky) = (
            pool.absorbed_frac_beam(0.5_f64.sqrt()),
            pool.absorbed_frac_diffuse(),
        );
        let said = iso.map_or("-".to_owned(), |v: f64| format!("{v:.2}"));
        lines.push(format!(
            "| {} | {beam:.2} | {sky:.2} | {said} |",
            finish.name()
        ));
        println!(
            "{}: beam {beam:.3}, sky {sky:.3}, below a cover {:.3}",
            finish.name(),
            pool.absorbed_below_cover_frac()
        );
        if let Some(iso) = iso {
            // A summer day on the whole: seven tenths beam.
            near(0.7 * beam + 0.3 * sky, iso, ISO, finish.name());
        }
    }
    table("pool-absorptance", &lines);
}
