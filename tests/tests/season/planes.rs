//! A plane added to a year that was prepared without it.

use swimdays_season::{Prepared, SeasonError};
use swimdays_solar::{Obstruction, Plane};

use crate::{sample, scenario};

/// A wall in the south-east, as any garden may have it.
const WALL: Obstruction = Obstruction {
    from_azimuth_deg: 100.0,
    to_azimuth_deg: 160.0,
    elevation_deg: 25.0,
    opacity_frac: 0.8,
};

#[test]
fn an_added_plane_is_the_plane_prepared_at_once() {
    let mut plan = scenario("cover-and-board", &[]).plan;
    let weather = sample("temperate.epw");
    let mut year = Prepared::new(&plan, &weather).expect("year");
    let planes = year.planes.len();
    let plane = Plane {
        tilt_deg: 61.0,
        azimuth_deg: 233.0,
    };
    year.add_plane(&plan, &weather, plane, &[WALL])
        .expect("plane");
    year.add_plane(&plan, &weather, plane, &[WALL])
        .expect("plane");
    assert_eq!(
        year.planes.len(),
        planes + 1,
        "the second time nothing happens"
    );

    plan.heaters[0].plane = plane;
    plan.heaters[0].obstructions = vec![WALL];
    year.check(&plan).expect("the added plane serves");
    let at_once = Prepared::new(&plan, &weather).expect("year");
    assert_eq!(year.planes[planes], at_once.planes[0]);

    plan.site.ground_albedo_frac = Some(0.7);
    let refused = year.add_plane(&plan, &weather, Plane::HORIZONTAL, &[]);
    assert!(matches!(
        refused,
        Err(SeasonError::PreparedForAnother { .. })
    ));
}
