//! Heaters and weathers shared by the tests; all invented.

use swimdays_collector::{
    BOND_DEFAULT_W_M_K, BoardSpec, DeckSpec, EXPOSED_SHAPE_DEFAULT_FRAC, HeaterSpec, HeaterWeather,
    Layout, LidSpec, PanelSpec, Placement, TubeSpec,
};
use swimdays_properties::constants::STANDARD_PRESSURE_PA;
use swimdays_properties::materials::{BoardMaterial, GroundMaterial, TubeMaterial};

/// 200 ft of 0.70 × 0.60 in black polyethylene.
pub(crate) fn tube() -> TubeSpec {
    TubeSpec {
        material: TubeMaterial::Polyethylene,
        outer_diameter_m: 0.017_78,
        bore_m: 0.015_24,
        length_m: 60.96,
        parallel_circuits: 1,
        absorptance_frac: 0.94,
        emissivity_frac: 0.93,
    }
}

/// A spiral of touching rows on plywood.
pub(crate) fn board() -> BoardSpec {
    BoardSpec {
        tube: tube(),
        board_area_m2: 2.97,
        layout: Layout::RoundSpiral {
            inner_diameter_m: 0.25,
            outer_diameter_m: 1.2,
        },
        pitch_m: 0.017_78,
        board: BoardMaterial::Plywood,
        board_thickness_m: 0.0127,
        bond_conductance_w_m_k: BOND_DEFAULT_W_M_K,
        board_absorptance_frac: 0.94,
        back_insulation_m2_k_w: 0.0,
        back_exposed: true,
        lid: None,
        exposed_shape_frac: EXPOSED_SHAPE_DEFAULT_FRAC,
        tilt_deg: 35.0,
    }
}

pub(crate) fn lid() -> LidSpec {
    LidSpec {
        transmittance_frac: 0.86,
        gap_m: 0.025,
        b0: 0.1,
        emissivity_frac: 0.88,
    }
}

pub(crate) fn deck(placement: Placement) -> DeckSpec {
    DeckSpec {
        tube: TubeSpec {
            material: TubeMaterial::Pex,
            outer_diameter_m: 0.015_9,
            bore_m: 0.012_3,
            length_m: 45.0,
            ..tube()
        },
        placement,
        spacing_m: 0.15,
        slab: GroundMaterial::Concrete,
        slab_thickness_m: 0.1,
        soil: GroundMaterial::MoistSoil,
        absorptance_frac: 0.65,
        emissivity_frac: 0.9,
        exposed_shape_frac: EXPOSED_SHAPE_DEFAULT_FRAC,
    }
}

pub(crate) fn panel() -> PanelSpec {
    PanelSpec {
        area_m2: 3.7,
        eta0_frac: 0.9,
        bu_s_m: 0.03,
        b1_w_m2_k: 10.0,
        b2_w_s_m3_k: 4.0,
        emissivity_over_absorptance: 0.95,
        heat_capacity_j_m2_k: 12_000.0,
        b0: 0.05,
    }
}

/// One of every kind, with a name.
pub(crate) fn every_kind() -> Vec<(&'static str, HeaterSpec)> {
    let gapped = BoardSpec {
        pitch_m: 0.03,
        ..board()
    };
    let metal = BoardSpec {
        board: BoardMaterial::Metal,
        board_thickness_m: 0.001,
        bond_conductance_w_m_k: 3.0,
        pitch_m: 0.045,
        back_insulation_m2_k_w: 0.8,
        ..board()
    };
    let none = BoardSpec {
        board: BoardMaterial::None,
        pitch_m: 0.04,
        ..board()
    };
    vec![
        ("touching", HeaterSpec::Board(board())),
        (
            "overlapping",
            HeaterSpec::Board(BoardSpec {
                pitch_m: 0.012,
                ..board()
            }),
        ),
        ("gapped", HeaterSpec::Board(gapped)),
        ("metal sheet", HeaterSpec::Board(metal)),
        ("no board", HeaterSpec::Board(none)),
        (
            "lid",
            HeaterSpec::Board(BoardSpec {
                lid: Some(lid()),
                ..board()
            }),
        ),
        (
            "lid, gapped",
            HeaterSpec::Board(BoardSpec {
                lid: Some(lid()),
                ..gapped
            }),
        ),
        (
            "on a deck",
            HeaterSpec::Deck(deck(Placement::OnSurface {
                contact_conductance_w_m_k: 0.5,
            })),
        ),
        (
            "in a slab",
            HeaterSpec::Deck(deck(Placement::InSlab { depth_m: 0.05 })),
        ),
        (
            "in soil",
            HeaterSpec::Deck(deck(Placement::InSoil { depth_m: 0.2 })),
        ),
        ("panel", HeaterSpec::Panel(panel())),
    ]
    .into_iter()
    .map(|(n, s)| (n, widened(s)))
    .collect()
}

/// A board large enough for the pitch.
fn widened(spec: HeaterSpec) -> HeaterSpec {
    match spec {
        HeaterSpec::Board(b) => HeaterSpec::Board(BoardSpec {
            board_area_m2: 10.0,
            ..b
        }),
        other => other,
    }
}

pub(crate) fn noon() -> HeaterWeather {
    HeaterWeather {
        beam_w_m2: 750.0,
        incidence_cos: 0.9,
        diffuse_w_m2: 150.0,
        longwave_w_m2: 350.0,
        air_c: 25.0,
        pressure_pa: STANDARD_PRESSURE_PA,
        wind_m_s: 1.0,
        ground_c: 18.0,
    }
}

pub(crate) fn night() -> HeaterWeather {
    HeaterWeather {
        beam_w_m2: 0.0,
        incidence_cos: -0.2,
        diffuse_w_m2: 0.0,
        longwave_w_m2: 300.0,
        air_c: 12.0,
        wind_m_s: 0.4,
        ..noon()
    }
}

/// Weathers from storm to calm, noon to night.
pub(crate) fn weathers() -> Vec<HeaterWeather> {
    let mut all = vec![noon(), night()];
    for wind_m_s in [0.0, 0.3, 2.0, 8.0] {
        for beam_w_m2 in [0.0, 200.0, 950.0] {
            for air_c in [-5.0, 15.0, 38.0] {
                all.push(HeaterWeather {
                    wind_m_s,
                    beam_w_m2,
                    air_c,
                    longwave_w_m2: 250.0 + 3.5 * air_c,
                    ..noon()
                });
            }
        }
    }
    all
}
