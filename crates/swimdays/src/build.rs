//! `swimdays build`: what fits, what to buy and cut, what it weighs, what holds it, what to fear.

use std::io::Write;
use std::path::PathBuf;

use chrono::{Datelike, Duration};
use swimdays_build::{
    Along, BarPlan, BarStock, Board, Boards, BuildError, BuildList, CautionInput, DeckRequest,
    Exposed, Heights, Holding, Item, Joint, LayoutRequest, Load, Part, PartsList, Pattern, Piece,
    Place, PumpDrive, Stand, Tube, Turn, WindLoad, build_cautions, diameter, drainage, drawing,
    first_slug_s, frame, lay, lay_boards, lay_deck, parts_list, plan_bars, running, siphon, steps,
};
use swimdays_collector::{BoardSpec, DeckSpec, HeaterSpec, Layout, Placement, TubeSpec};
use swimdays_pump::PumpKind;
use swimdays_pump::hydraulics::{FittingKind, Network};
use swimdays_quantity::Units;
use swimdays_report::ReportError;
use swimdays_report::build::{
    BuildReport, Cut, HeaterLayout, HeaterSheet, build_lines, write_cuts_csv, write_page,
    write_parts_csv, write_rings_csv,
};
use swimdays_report::chart::{Chart, CoilView, coil_chart};
use swimdays_report::output::OutputFolder;
use swimdays_report::style::Style;
use swimdays_scenario::{HeaterBuild, Scenario, TurnWord};
use swimdays_season::{Detail, HeaterPlan};

use crate::Done;
use crate::args::{FlowArgs, UnitsArg};
use crate::failure::{Failure, print};
use crate::sources;

/// Widest line on the terminal.
const WIDTH: usize = 100;
/// Smallest distance of rows that two elbows make, over the tube's outside diameter (common practice, no source).
const ELBOWS_DIAMETERS: f64 = 3.0;
/// Slack of sheets: what a tape cannot tell.
const SLACK: f64 = 1.005;
/// Foam's density, kg/m³, and conductivity, W/(m K): 15 to 40 and 0.03 to 0.04 (from memory).
const FOAM: (f64, f64) = (30.0, 0.036);
/// Thickness of a clear lid, m (common practice, no source).
const LID_M: f64 = 0.006;

pub(crate) fn run(args: &FlowArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let mut sets = args.sets.clone();
    if let Some(units) = args.units {
        let units = match units {
            UnitsArg::Us => Units::Us,
            UnitsArg::Metric => Units::Metric,
        };
        sets.push(format!("units={}", units.name()));
    }
    let scenario = swimdays_scenario::load(&args.scenario, &sets).map_err(Failure::input)?;
    if scenario.plan.heaters.is_empty() {
        return Err(Failure::input(format!(
            "{}: has no heater: there is nothing to build. Write a [[heater]] with its tube and board",
            args.scenario.display()
        )));
    }
    let folder = folder(args)?;
    let output = folder
        .as_deref()
        .map(|dir| OutputFolder::prepare(dir, args.force))
        .transpose()
        .map_err(Failure::report)?;
    let report = report(&scenario, args)?;
    if let (Some(mut output), Some(dir)) = (output, &folder) {
        write(&report, &mut output).map_err(Failure::report)?;
        output.commit().map_err(Failure::report)?;
        if args.json {
            writeln!(err, "wrote {}", dir.display())?;
        }
    }
    if args.json {
        let mut object = Vec::new();
        report.write_json(&mut object).map_err(Failure::report)?;
        return print(out, format_args!("{}", String::from_utf8(object)?));
    }
    for line in build_lines(&report, WIDTH) {
        print(out, format_args!("{line}\n"))?;
    }
    if let Some(dir) = &folder {
        print(
            out,
            format_args!(
                "Page to print (build.html), drawings and lists: {}\n",
                dir.display()
            ),
        )?;
    }
    Ok(())
}

fn folder(args: &FlowArgs) -> Result<Option<PathBuf>, Failure> {
    if let Some(dir) = &args.out {
        return Ok(Some(dir.clone()));
    }
    if args.json {
        return Ok(None);
    }
    let stem = args.scenario.file_stem().ok_or_else(|| {
        Failure::input(format!(
            "{}: not the name of a scenario file",
            args.scenario.display()
        ))
    })?;
    Ok(Some(PathBuf::from(format!(
        "{}-build",
        stem.to_string_lossy()
    ))))
}

fn write(report: &BuildReport, output: &mut OutputFolder) -> Result<(), ReportError> {
    let style = Style::light();
    let mut inline = Vec::new();
    for (name, chart) in charts(report, &style) {
        let (svg, png) = (chart.svg(&style)?, chart.png(&style)?);
        for (ending, bytes) in [("svg", svg.as_bytes()), ("png", &png)] {
            let file = format!("{name}.{ending}");
            let path = PathBuf::from(&file);
            output.write(&file, |w| {
                w.write_all(bytes).map_err(|source| ReportError::File {
                    doing: "writing",
                    path,
                    source,
                })
            })?;
        }
        inline.push(svg);
    }
    output.write("parts.csv", |w| write_parts_csv(w, report))?;
    output.write("cuts.csv", |w| write_cuts_csv(w, report))?;
    output.write("rings.csv", |w| write_rings_csv(w, report))?;
    output.write("build.json", |w| report.write_json(w))?;
    output.write("build.html", |w| write_page(w, report, &inline))
}

fn charts(report: &BuildReport, style: &Style) -> Vec<(String, Chart)> {
    let mut out = Vec::new();
    for h in &report.heaters {
        let (layout, boards) = match &h.layout {
            HeaterLayout::Boards(b) => match b.layouts.first() {
                Some(layout) => (layout, b.layouts.len()),
                None => continue,
            },
            HeaterLayout::Deck(d) => (&d.layout, 0),
            HeaterLayout::Panel(_) => continue,
        };
        let units = report.units;
        let drawing = drawing(layout, 0.0, units);
        let what = match boards {
            0 => "deck run".to_owned(),
            1 => "one board".to_owned(),
            n => format!("{n} like boards"),
        };
        let title = format!(
            "{}: {what}, {} of tube{}",
            h.title(),
            running(layout.laid_m, units),
            if boards > 1 { " each" } else { "" }
        );
        let board = layout.request.board;
        let size = format!(
            "{} × {}, to scale; distances to the middle of the tube",
            swimdays_build::tape(board.length_m, units),
            swimdays_build::tape(board.width_m, units)
        );
        let alt = format!("{title}. {size}. The table of rings and rows says the same in numbers.");
        let view = CoilView {
            drawing: &drawing,
            title: &title,
            subtitle: &size,
            alt: &alt,
        };
        out.push((
            format!(
                "drawing-{}",
                h.names.first().map_or("heater", String::as_str)
            ),
            coil_chart(&view, style),
        ));
    }
    out
}

/// Lengths, hours and counts as numbers.
fn real(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

fn tube(spec: &TubeSpec, own: &HeaterBuild) -> Tube {
    Tube {
        material: spec.material,
        outer_diameter_m: spec.outer_diameter_m,
        bore_m: spec.bore_m,
        makers_bend_radius_m: own.bend_radius_m,
    }
}

/// Boards of a heater: how many, and length and width of each, m.
fn boards_of(spec: &BoardSpec, own: &HeaterBuild, scenario: &Scenario) -> (usize, f64, f64) {
    let sheets = &scenario.build.shop.sheets;
    let circuits = spec.tube.parallel_circuits as usize;
    let fits = |l: f64, w: f64| {
        sheets.iter().any(|s| {
            let (a, b) = (s.length_m * SLACK, s.width_m * SLACK);
            (l <= a && w <= b) || (l <= b && w <= a)
        })
    };
    let given = scenario.build.boards.map(|n| n as usize);
    if let Some((length, width)) = own.sides_m {
        let (long, short) = (length.max(width), length.min(width));
        let least = given.unwrap_or(1).max(circuits);
        let most = if given.is_some() { least } else { 200 };
        for n in least..=most {
            if n == 1 && fits(length, width) {
                return (1, long, short);
            }
            if fits(long / real(n), short) || given.is_some() {
                return (n, (long / real(n)).max(short), (long / real(n)).min(short));
            }
        }
        return (least, long / real(least), short);
    }
    let sheet = sheets.first().map_or((2.4384, 1.2192), |s| {
        (s.length_m.max(s.width_m), s.length_m.min(s.width_m))
    });
    let area = sheet.0 * sheet.1;
    let by_area = (1..=200)
        .find(|n| spec.board_area_m2 <= real(*n) * area * SLACK)
        .unwrap_or(200);
    let n = given.unwrap_or(by_area).max(circuits);
    let each = spec.board_area_m2 / real(n);
    if (each - area).abs() <= 0.01 * area {
        (n, sheet.0, sheet.1)
    } else if each > area {
        (n, each / sheet.1, sheet.1)
    } else if each / sheet.0 >= 0.5 * sheet.1 {
        (n, sheet.0, each / sheet.0)
    } else {
        (
            n,
            (each / sheet.1).max(sheet.1),
            (each / sheet.1).min(sheet.1),
        )
    }
}

fn lay_all(request: &LayoutRequest, boards: usize, turns: TurnWord) -> Result<Boards, BuildError> {
    let with = |pattern| {
        lay_boards(
            &LayoutRequest {
                pattern,
                ..*request
            },
            boards,
            Joint::Cut,
        )
    };
    let Pattern::Serpentine { along, .. } = request.pattern else {
        return lay_boards(request, boards, Joint::Cut);
    };
    let least_pitch_m = ELBOWS_DIAMETERS * request.tube.outer_diameter_m;
    match turns {
        TurnWord::Round => with(Pattern::Serpentine {
            turn: Turn::Round,
            along,
        }),
        TurnWord::Bulb => with(Pattern::Serpentine {
            turn: Turn::Bulb,
            along,
        }),
        TurnWord::Elbows => with(Pattern::Serpentine {
            turn: Turn::Elbows { least_pitch_m },
            along,
        }),
        TurnWord::AsFits => match with(Pattern::Serpentine {
            turn: Turn::Round,
            along,
        }) {
            Err(BuildError::Kinks { .. }) => with(Pattern::Serpentine {
                turn: Turn::Bulb,
                along,
            }),
            other => other,
        },
    }
}

struct Sheets<'s> {
    scenario: &'s Scenario,
}

impl Sheets<'_> {
    fn wind(
        &self,
        plan: &HeaterPlan,
        own: &HeaterBuild,
        area_m2: f64,
        slope_m: f64,
        dry_kg: f64,
        lies: bool,
    ) -> Result<Holding, BuildError> {
        let b = &self.scenario.build;
        let exposed = match place_of(self.scenario, plan, own) {
            Place::Roof => exposed(true, lies || plan.plane.tilt_deg < 1.0),
            _ if lies && plan.plane.tilt_deg > 45.0 => Exposed::OnRoofOrWall,
            _ if lies || plan.plane.tilt_deg < 1.0 => Exposed::FlatOnGround,
            _ => exposed(false, false),
        };
        // The heater's height is that of its middle.
        let above_ground_m = plan.height_above_water_m - b.ground_m;
        let derived_m = if exposed == Exposed::Free {
            (above_ground_m - 0.5 * slope_m * plan.plane.tilt_deg.to_radians().sin()).max(0.0)
        } else {
            0.0
        };
        WindLoad {
            gust_m_s: b.gust_m_s,
            exposed,
            area_m2,
            slope_length_m: slope_m,
            tilt_deg: plan.plane.tilt_deg,
            lower_edge_m: b.lower_edge_m.unwrap_or(derived_m),
            stand_depth_m: b.stand_depth_m.unwrap_or(0.0),
            dry_kg,
        }
        .holding()
    }

    fn board(
        &self,
        plan: &HeaterPlan,
        own: &HeaterBuild,
        spec: &BoardSpec,
    ) -> Result<HeaterSheet, BuildError> {
        let b = &self.scenario.build;
        let (n, length_m, width_m) = boards_of(spec, own, self.scenario);
        let board = Board {
            length_m,
            width_m,
            margin_m: b.margin_m,
        };
        let pattern = match spec.layout {
            Layout::RoundSpiral { .. } => Pattern::RoundSpiral,
            Layout::RectangularSpiral => Pattern::RectangularSpiral,
            Layout::Serpentine => Pattern::Serpentine {
                turn: Turn::Round,
                along: Along::Length,
            },
        };
        let tube = tube(&spec.tube, own);
        let request = LayoutRequest {
            tube,
            board,
            pitch_m: spec.pitch_m,
            pattern,
            way_out: b.way_out,
            exit: b.exit,
            wanted_m: Some(spec.tube.length_m),
            tie_spacing_m: b.tie_spacing_m,
        };
        let boards = lay_all(&request, n, b.turns)?;
        let each_m = boards.layouts.first().map_or(0.0, |l| l.laid_m);
        let studs: f64 = frame(length_m, width_m, b.shop.stud_section_m)
            .iter()
            .map(|p| p.length_m)
            .sum();
        let area = board.area_m2();
        let weight = Load {
            tube,
            tube_m: each_m,
            board_m2: area,
            board: spec.board,
            board_thickness_m: spec.board_thickness_m,
            wood_m3: studs * b.shop.stud_section_m.0 * b.shop.stud_section_m.1,
            insulation: insulated(spec).then_some((spec.back_insulation_m2_k_w * FOAM.1, FOAM.0)),
            lid_thickness_m: spec.lid.map(|_| LID_M),
            painted_m2: if b.paint_both_sides { 2.0 * area } else { area },
        }
        .weigh();
        let lies = !spec.back_exposed;
        let holding = self.wind(plan, own, area, width_m, weight.dry_kg, lies)?;
        let stand = Stand {
            tilt_deg: plan.plane.tilt_deg,
            length_is_level: true,
            row_fall: 0.0,
        };
        Ok(HeaterSheet {
            names: vec![plan.name.clone()],
            wanted_m: spec.tube.length_m,
            weight: Some(weight),
            holding: Some(holding),
            drainage: boards.layouts.first().map(|l| drainage(l, &stand)),
            water_m3: tube.water_m3_m() * boards.laid_m,
            layout: HeaterLayout::Boards(Box::new(boards)),
        })
    }

    fn deck(
        &self,
        plan: &HeaterPlan,
        own: &HeaterBuild,
        spec: &DeckSpec,
    ) -> Result<HeaterSheet, BuildError> {
        let b = &self.scenario.build;
        let tube = tube(&spec.tube, own);
        let radius = tube.bend_radius_m();
        // Room for the turns at both ends; as wide as long beyond that.
        let side = (spec.spacing_m * spec.tube.length_m).sqrt() + 4.0 * radius;
        let request = |length_m: f64, width_m: f64| DeckRequest {
            tube,
            length_m,
            width_m,
            margin_m: 0.0,
            spacing_m: spec.spacing_m,
            depth_m: match spec.placement {
                Placement::OnSurface { .. } => 0.0,
                Placement::InSlab { depth_m } | Placement::InSoil { depth_m } => depth_m,
            },
            wanted_m: Some(spec.tube.length_m),
        };
        let (length_m, width_m) = match b.deck_m {
            (Some(l), Some(w)) => (l, w),
            (Some(l), None) | (None, Some(l)) => (l, (side * side / l).max(4.0 * radius)),
            (None, None) => (side, side),
        };
        let deck = lay_deck(&request(length_m, width_m))?;
        Ok(HeaterSheet {
            names: vec![plan.name.clone()],
            wanted_m: spec.tube.length_m,
            weight: None,
            holding: None,
            drainage: None,
            water_m3: tube.water_m3_m() * deck.layout.laid_m,
            layout: HeaterLayout::Deck(Box::new(deck)),
        })
    }
}

const fn exposed(roof: bool, lies: bool) -> Exposed {
    match (roof, lies) {
        (true, false) => Exposed::RackOnRoof,
        (_, true) => Exposed::OnRoofOrWall,
        (false, false) => Exposed::Free,
    }
}

fn insulated(spec: &BoardSpec) -> bool {
    spec.back_exposed && spec.back_insulation_m2_k_w > 0.0
}

/// The same but for name and cost: they are told and drawn once.
fn alike(a: (&HeaterPlan, &HeaterBuild), b: (&HeaterPlan, &HeaterBuild)) -> bool {
    a.0.spec == b.0.spec
        && a.0.plane == b.0.plane
        && a.1.sides_m == b.1.sides_m
        && a.1.bend_radius_m == b.1.bend_radius_m
        && a.1.roof == b.1.roof
}

fn report(scenario: &Scenario, args: &FlowArgs) -> Result<BuildReport, Failure> {
    let b = &scenario.build;
    let units = scenario.units;
    let plans: Vec<(&HeaterPlan, &HeaterBuild)> =
        scenario.plan.heaters.iter().zip(&b.heaters).collect();
    let sheets = Sheets { scenario };
    let mut found: Vec<(HeaterSheet, (&HeaterPlan, &HeaterBuild))> = Vec::new();
    for &(plan, own) in &plans {
        if let Some((sheet, _)) = found
            .iter_mut()
            .find(|(_, other)| alike((plan, own), *other))
        {
            add_alike(sheet, plan);
            continue;
        }
        let told = |e: BuildError| {
            Failure::input(format!(
                "{}: heater.{}: {}",
                args.scenario.display(),
                plan.name,
                e.told(units)
            ))
        };
        let sheet = match &plan.spec {
            HeaterSpec::Board(spec) => sheets.board(plan, own, spec).map_err(told)?,
            HeaterSpec::Deck(spec) => sheets.deck(plan, own, spec).map_err(told)?,
            HeaterSpec::Panel(spec) => HeaterSheet {
                names: vec![plan.name.clone()],
                layout: HeaterLayout::Panel(spec.area_m2),
                wanted_m: 0.0,
                weight: None,
                holding: Some(
                    sheets
                        .wind(plan, own, spec.area_m2, spec.area_m2.sqrt(), 0.0, false)
                        .map_err(told)?,
                ),
                drainage: None,
                water_m3: 0.0,
            },
        };
        found.push((sheet, (plan, own)));
    }
    let flow_m3_s = scenario
        .hydraulics
        .as_ref()
        .map(|h| h.flow_m3_s)
        .or_else(|| scenario.plan.pump.as_ref().map(|p| p.pump.flow_m3_s()))
        .filter(|q| *q > 0.0);
    let water_m3: f64 = found.iter().map(|(s, _)| s.water_m3).sum();
    let top_m = plans
        .iter()
        .map(|(p, own)| top_m(p, own))
        .fold(0.0, f64::max);
    let heights = Heights {
        return_end_m: b.return_end_m,
        suction_m: b.suction_m,
        top_m,
        lowest_joint_m: b.lowest_joint_m,
    };
    let siphon =
        siphon(&heights, scenario.plan.pool.area_m2).map_err(|e| Failure::input(e.told(units)))?;
    let mut input = caution_input(scenario, &plans, &found, top_m);
    input.flow_m3_s = flow_m3_s;
    input.siphon = Some(siphon);
    input.first_slug_s = flow_m3_s
        .and_then(|q| first_slug_s(water_m3, q))
        .filter(|_| water_m3 > 0.0);
    let no_season = season_numbers(scenario, args, &mut input);
    let mut report = BuildReport {
        version: env!("CARGO_PKG_VERSION"),
        name: scenario.plan.name.clone(),
        units,
        currency: scenario.plan.prices.currency.clone(),
        heaters: Vec::new(),
        parts: Vec::new(),
        cuts: Vec::new(),
        steps: swimdays_build::Steps::default(),
        cautions: build_cautions(&input, units),
        assumptions: b.assumptions.clone(),
        gust_m_s: b.gust_m_s,
        flow_m3_s,
        first_slug_s: input.first_slug_s,
        siphon: Some(siphon),
        no_season,
    };
    buy(&mut report, scenario, &found, &input, siphon.top_sucks)
        .map_err(|e| Failure::input(format!("{}: {}", args.scenario.display(), e.told(units))))?;
    report.heaters = found.into_iter().map(|(s, _)| s).collect();
    Ok(report)
}

/// Another heater like one before: its boards join theirs.
fn add_alike(sheet: &mut HeaterSheet, plan: &HeaterPlan) {
    let before = real(sheet.names.len());
    let more = |all: f64| all * (before + 1.0) / before;
    sheet.names.push(plan.name.clone());
    sheet.wanted_m = more(sheet.wanted_m);
    sheet.water_m3 = more(sheet.water_m3);
    if let HeaterLayout::Boards(b) = &mut sheet.layout {
        let each = b.layouts.len() / (sheet.names.len() - 1);
        let layouts: Vec<_> = b.layouts.iter().take(each).cloned().collect();
        b.layouts.extend(layouts);
        b.starts_m.resize(b.layouts.len(), 0.0);
        b.laid_m = more(b.laid_m);
        b.fits_m = more(b.fits_m);
        b.left_over_m = more(b.left_over_m);
    }
}

/// Where a heater is: a deck by its placement, all else by `build.place`, or a roof by its wind.
fn place_of(scenario: &Scenario, plan: &HeaterPlan, own: &HeaterBuild) -> Place {
    match &plan.spec {
        HeaterSpec::Deck(d) if matches!(d.placement, Placement::OnSurface { .. }) => Place::Deck,
        HeaterSpec::Deck(_) => Place::Buried,
        HeaterSpec::Board(_) | HeaterSpec::Panel(_) if own.roof => Place::Roof,
        HeaterSpec::Board(_) | HeaterSpec::Panel(_) => {
            scenario.build.place.unwrap_or(Place::Ground)
        }
    }
}

/// A vent, an open vacuum breaker or an end above the water: the top is not under suction.
fn top_open(scenario: &Scenario) -> bool {
    scenario.hydraulics.as_ref().is_some_and(|h| {
        h.supply
            .pieces()
            .chain(h.back.pieces())
            .chain(h.heaters.iter().flat_map(|b| b.network.pieces()))
            .any(|p| p.open_to_air)
    })
}

/// Highest point of a heater, m above the water.
fn top_m(plan: &HeaterPlan, own: &HeaterBuild) -> f64 {
    let slope = match &plan.spec {
        HeaterSpec::Board(s) => own
            .sides_m
            .map_or_else(|| s.board_area_m2.sqrt().min(1.25), |(l, w)| l.min(w)),
        HeaterSpec::Panel(p) => p.area_m2.sqrt(),
        HeaterSpec::Deck(_) => 0.0,
    };
    plan.height_above_water_m + 0.5 * slope * plan.plane.tilt_deg.to_radians().sin()
}

fn caution_input(
    scenario: &Scenario,
    plans: &[(&HeaterPlan, &HeaterBuild)],
    found: &[(HeaterSheet, (&HeaterPlan, &HeaterBuild))],
    top_m: f64,
) -> CautionInput {
    let b = &scenario.build;
    let h = scenario.hydraulics.as_ref();
    let pump = match scenario.plan.pump.as_ref().map(|p| &p.pump.kind) {
        None => PumpDrive::None,
        Some(PumpKind::Own { .. }) => match h.map(|h| (h.in_water, h.low_voltage)) {
            Some((true, Some(true))) => PumpDrive::SubmersibleLowVoltage,
            Some((true, _)) | None => PumpDrive::SubmersibleMains,
            Some((false, _)) => PumpDrive::Beside,
        },
        Some(_) => PumpDrive::Filter,
    };
    // A valve or a check valve shuts its side; water is shut in where both sides can be.
    let shuts = |p: &swimdays_pump::hydraulics::Piece| {
        p.fittings.iter().any(|f| {
            f.count > 0 && matches!(f.kind, FittingKind::Valve { .. } | FittingKind::CheckValve)
        })
    };
    let valve_in = |p: &swimdays_pump::hydraulics::Piece| {
        p.fittings
            .iter()
            .any(|f| f.count > 0 && matches!(f.kind, FittingKind::Valve { .. }))
    };
    let at_heaters: Vec<_> = h
        .iter()
        .flat_map(|h| &h.heaters)
        .flat_map(|b| b.network.pieces())
        .collect();
    let two_at_one = at_heaters.iter().any(|p| {
        let n: u32 = p
            .fittings
            .iter()
            .filter(|f| matches!(f.kind, FittingKind::Valve { .. } | FittingKind::CheckValve))
            .map(|f| f.count)
            .sum();
        n > 1
    });
    let before = h.is_some_and(|h| h.supply.pieces().any(shuts));
    let behind = h.is_some_and(|h| h.back.pieces().any(shuts));
    let at_one = at_heaters.iter().any(|p| shuts(p));
    let shut_in = two_at_one || (before && behind) || (at_one && (before || behind));
    let valve = h.is_some_and(|h| h.supply.pieces().chain(h.back.pieces()).any(valve_in))
        || at_heaters.iter().any(|p| valve_in(p));
    let heaviest = found
        .iter()
        .filter(|(s, _)| s.weight.is_some())
        .max_by(|a, b| {
            let kg = |s: &HeaterSheet| s.weight.map_or(0.0, |w| w.filled_kg);
            kg(&a.0).total_cmp(&kg(&b.0))
        });
    let windiest = found
        .iter()
        .filter_map(|(s, _)| s.holding)
        .max_by(|a, b| a.force_n.high.total_cmp(&b.force_n.high));
    let mut materials = Vec::new();
    let mut places = Vec::new();
    let mut lid = false;
    for &(plan, own) in plans {
        let place = place_of(scenario, plan, own);
        if !places.contains(&place) {
            places.push(place);
        }
        let material = match &plan.spec {
            HeaterSpec::Board(s) => {
                lid |= s.lid.is_some();
                s.tube.material
            }
            HeaterSpec::Deck(s) => s.tube.material,
            HeaterSpec::Panel(_) => continue,
        };
        if !materials.contains(&material) {
            materials.push(material);
        }
    }
    // What drains worst is told.
    let drainage = found
        .iter()
        .filter_map(|(s, _)| s.drainage)
        .max_by(|a, b| a.stays_frac.total_cmp(&b.stays_frac));
    CautionInput {
        places,
        materials,
        pool_above_ground: b.pool_above_ground,
        top_open: top_open(scenario),
        lid,
        cover: scenario.plan.cover.is_some(),
        pump,
        can_dead_head: valve,
        can_be_shut_in: shut_in,
        weight: heaviest.and_then(|(s, _)| s.weight),
        wind: windiest.map(|w| (b.gust_m_s, w)),
        drainage,
        upper_edge_m: top_m,
        fence_m: b.fence_m,
        tap_fill: b.tap_fill,
        ..CautionInput::default()
    }
}

/// Numbers that need the weather; why there are none.
fn season_numbers(
    scenario: &Scenario,
    args: &FlowArgs,
    input: &mut CautionInput,
) -> Option<String> {
    let none = |why: &str| {
        Some(format!(
            "Cautions stand without the season's temperatures: {why}."
        ))
    };
    if scenario
        .hydraulics
        .as_ref()
        .is_some_and(|h| h.fault.is_some())
    {
        return none("no water comes through the heaters (swimdays flow says why)");
    }
    let Ok(years) = sources::years(&[], scenario, &args.scenario) else {
        return none("the weather cannot be read (swimdays season says why)");
    };
    let weather: Vec<_> = years.iter().map(|y| &y.weather).collect();
    let Ok(prepared) = swimdays_studies::prepared(&scenario.plan, &weather) else {
        return none("the season cannot be run (swimdays season says why)");
    };
    for (year, prepared) in weather.iter().zip(&prepared) {
        let Ok(season) = swimdays_season::run(&scenario.plan, prepared, Detail::Full) else {
            return none("the season cannot be run (swimdays season says why)");
        };
        let most = |a: Option<f64>, b: Option<f64>| {
            a.into_iter()
                .chain(b)
                .filter(|v| v.is_finite())
                .reduce(f64::max)
        };
        input.first_slug_c = most(
            input.first_slug_c,
            season.first_slug.as_ref().map(|s| s.water_c),
        );
        input.stagnation_c = most(input.stagnation_c, season.peak_stagnation_c);
        input.outlet_c = most(input.outlet_c, season.peak_outlet_c);
        input.pool_c = most(input.pool_c, Some(season.water_max_c));
        for (i, air) in year.columns.air_c.iter().enumerate() {
            input.coldest_c = Some(input.coldest_c.map_or(*air, |c| c.min(*air)));
            if *air < 0.0 {
                let minutes = i64::try_from(i).unwrap_or(0) * i64::from(year.interval_minutes);
                let month = (year.first_start + Duration::minutes(minutes)).month0() as usize;
                if !input.frost_months.contains(&month) {
                    input.frost_months.push(month);
                }
            }
        }
    }
    input.frost_months.sort_unstable();
    None
}

/// Shopping list, cutting plan and steps.
fn buy(
    report: &mut BuildReport,
    scenario: &Scenario,
    found: &[(HeaterSheet, (&HeaterPlan, &HeaterBuild))],
    input: &CautionInput,
    top_sucks: bool,
) -> Result<(), BuildError> {
    let b = &scenario.build;
    let units = scenario.units;
    let mut connecting: Vec<(String, Vec<Piece>)> = Vec::new();
    let mut items: Vec<Item> = Vec::new();
    let mut add = |name: &str, size: &str, count: usize| {
        let same = items.iter_mut().find(|i| i.name == name && i.size == size);
        match same {
            Some(same) => same.count += count,
            None if count > 0 => items.push(Item {
                name: name.to_owned(),
                size: size.to_owned(),
                count,
            }),
            None => {}
        }
    };
    let of_tube = found.iter().find_map(|(_, (plan, _))| match &plan.spec {
        HeaterSpec::Board(s) => Some(s.tube.outer_diameter_m),
        HeaterSpec::Deck(s) => Some(s.tube.outer_diameter_m),
        HeaterSpec::Panel(_) => None,
    });
    let of_tube = of_tube.map_or_else(String::new, |d| format!("for {} tube", diameter(d, units)));
    let boards: usize = found.iter().map(|(s, _)| s.boards()).sum();
    if let Some(h) = &scenario.hydraulics {
        let longest = b.shop.hose.iter().map(|s| s.length_m).fold(0.0, f64::max);
        pipes(&h.supply, longest, units, &mut connecting, &mut add);
        pipes(&h.back, longest, units, &mut connecting, &mut add);
        if h.own_pump {
            add("pump", "", 1);
        }
        tees(h, units, &mut add);
        for piece in h.heaters.iter().flat_map(|b| b.network.pieces()) {
            // Barbs to the tube are counted below, for every board.
            fittings(piece, units, false, &mut add);
        }
    }
    if input.siphon.is_some_and(|s| s.check_valve) && input.pump != PumpDrive::None {
        let has = scenario.hydraulics.as_ref().is_some_and(|h| {
            h.supply
                .pieces()
                .flat_map(|p| &p.fittings)
                .any(|f| f.kind == FittingKind::CheckValve)
        });
        add("check valve", "", usize::from(!has));
    }
    let tubes = boards
        + found
            .iter()
            .filter(|(s, _)| matches!(s.layout, HeaterLayout::Deck(_)))
            .count();
    add("barb to the tube", &of_tube, 2 * tubes);
    add("hose clamp", &of_tube, 4 * tubes);
    add("drain valve", "", 1);
    // Which of the two the flow is reckoned with.
    add("vent or vacuum breaker", "", usize::from(input.top_open));
    add(
        "air valve by hand",
        "",
        usize::from(top_sucks && !input.top_open),
    );
    let elbows: usize = found
        .iter()
        .map(|(s, _)| match &s.layout {
            HeaterLayout::Boards(b) => b
                .layouts
                .iter()
                .flat_map(|l| &l.runs)
                .map(|r| r.elbows)
                .sum(),
            _ => 0,
        })
        .sum();
    add("elbow", &of_tube, elbows);
    let mut first: Option<(Boards, PartsList)> = None;
    let mut rest = Some(items);
    for (sheet, (plan, _)) in found {
        let (HeaterLayout::Boards(boards), HeaterSpec::Board(spec)) = (&sheet.layout, &plan.spec)
        else {
            continue;
        };
        let Some(board) = boards.layouts.first().map(|l| l.request.board) else {
            continue;
        };
        let items = rest.take().unwrap_or_default();
        let list = BuildList {
            boards: (**boards).clone(),
            frame: frame(board.length_m, board.width_m, b.shop.stud_section_m),
            connecting: Vec::new(),
            items,
            paint_both_sides: b.paint_both_sides,
            insulated: insulated(spec),
            lid: spec.lid.is_some(),
            board_thickness_m: spec.board_thickness_m,
        };
        let parts = parts_list(&list, &b.shop, units)?;
        report.add_parts(&parts);
        list_cuts(&mut report.cuts, &parts, &b.shop);
        if first.is_none() {
            first = Some(((**boards).clone(), parts));
        }
    }
    for (sheet, _) in found {
        if let HeaterLayout::Deck(deck) = &sheet.layout {
            for name in &sheet.names {
                let piece = Piece {
                    name: format!("tube of {name}"),
                    length_m: deck.layout.laid_m,
                };
                bars(
                    report,
                    "deck tube",
                    &format!("coil of {}", deck.layout.request.tube.sold_as(units)),
                    std::slice::from_ref(&piece),
                    &b.shop.coils,
                )?;
            }
        }
    }
    for (bore, pieces) in &connecting {
        let what = format!("hose or pipe, {bore} inside");
        bars(report, "hose", &what, pieces, &b.shop.hose)?;
    }
    for item in rest.unwrap_or_default() {
        report.add_part(item.part(&b.shop));
    }
    if let Some((boards, parts)) = first {
        report.steps = steps(&boards, &parts, input, units);
        return Ok(());
    }
    // A deck alone: the steps of its place, of a layout without boards.
    if let Some((
        HeaterSheet {
            layout: HeaterLayout::Deck(deck),
            ..
        },
        _,
    )) = found.first()
    {
        let laid = lay(&deck.layout.request)?;
        let boards = Boards {
            laid_m: laid.laid_m,
            fits_m: laid.fits_m,
            left_over_m: laid.left_over_m,
            layouts: Vec::new(),
            joint: Joint::Cut,
            starts_m: Vec::new(),
            empty_boards: 0,
            between_m: 0.0,
        };
        let list = BuildList {
            boards: boards.clone(),
            frame: Vec::new(),
            connecting: Vec::new(),
            items: Vec::new(),
            paint_both_sides: false,
            insulated: false,
            lid: false,
            board_thickness_m: 0.0,
        };
        report.steps = steps(&boards, &parts_list(&list, &b.shop, units)?, input, units);
    }
    Ok(())
}

/// Runs of pipe by their bore, none longer than what is sold, and what sits in them.
fn pipes(
    network: &Network,
    longest_m: f64,
    units: Units,
    to: &mut Vec<(String, Vec<Piece>)>,
    add: &mut dyn FnMut(&str, &str, usize),
) {
    for piece in network.pieces() {
        let bore = diameter(piece.tube.bore_m, units);
        let mut left = piece.tube.length_m;
        let mut cut = |length_m: f64| {
            let made = Piece {
                name: piece.name.clone(),
                length_m,
            };
            match to.iter_mut().find(|(b, _)| *b == bore) {
                Some((_, same)) => same.push(made),
                None => to.push((bore.clone(), vec![made])),
            }
        };
        while longest_m > 0.0 && left > longest_m + 1e-9 {
            cut(longest_m);
            add("hose connector", &bore, 1);
            left -= longest_m;
        }
        if left > 1e-6 {
            cut(left);
        }
        fittings(piece, units, true, add);
    }
}

/// What sits in one piece, by the bore of its tube.
fn fittings(
    piece: &swimdays_pump::hydraulics::Piece,
    units: Units,
    barbs: bool,
    add: &mut dyn FnMut(&str, &str, usize),
) {
    let bore = diameter(piece.tube.bore_m, units);
    for f in &piece.fittings {
        let between = |other_m: f64| format!("{bore} to {}", diameter(other_m, units));
        let (name, size) = match f.kind {
            FittingKind::Elbow => ("elbow", bore.clone()),
            FittingKind::SweepElbow => ("sweep elbow", bore.clone()),
            FittingKind::Elbow45 => ("45-degree elbow", bore.clone()),
            FittingKind::TeeThrough | FittingKind::TeeBranch => ("tee", bore.clone()),
            FittingKind::Valve { .. } => ("valve", bore.clone()),
            FittingKind::CheckValve => ("check valve", bore.clone()),
            FittingKind::Contraction { to_bore_m }
            | FittingKind::Expansion { to_bore_m }
            | FittingKind::Reducer { to_bore_m, .. } => ("reducer", between(to_bore_m)),
            FittingKind::Barb { .. } if barbs => ("barb", format!("for {bore} hose")),
            _ => continue,
        };
        add(name, &size, f.count as usize);
    }
}

/// Tees of what stands side by side: one fewer than branches at either end.
fn tees(h: &swimdays_scenario::Hydraulics, units: Units, add: &mut dyn FnMut(&str, &str, usize)) {
    fn within(network: &Network) -> usize {
        match network {
            Network::Piece(_) => 0,
            Network::Series(all) => all.iter().map(within).sum(),
            Network::SideBySide(all) => {
                2 * all.len().saturating_sub(1) + all.iter().map(within).sum::<usize>()
            }
        }
    }
    let mut groups: Vec<usize> = h.heaters.iter().map(|b| b.group).collect();
    groups.sort_unstable();
    groups.dedup();
    let between = 2 * (h.heaters.len() - groups.len());
    let inside: usize = h.heaters.iter().map(|b| within(&b.network)).sum();
    // They sit in the pipe that leads to the heaters.
    let size = h
        .supply
        .pieces()
        .filter(|p| p.tube.length_m > 0.0)
        .last()
        .map_or_else(String::new, |p| diameter(p.tube.bore_m, units));
    add("tee", &size, between + inside);
}

/// Lines of the list and cuts of one kind.
fn bars(
    report: &mut BuildReport,
    kind: &'static str,
    what: &str,
    pieces: &[Piece],
    stock: &[BarStock],
) -> Result<(), BuildError> {
    if pieces.is_empty() {
        return Ok(());
    }
    let plan = plan_bars(pieces, stock, 0.0)?;
    let units = report.units;
    for (i, s) in stock.iter().enumerate() {
        let here: Vec<_> = plan.bars.iter().filter(|b| b.stock == i).collect();
        if here.is_empty() {
            continue;
        }
        let left: f64 = here.iter().map(|b| b.left_m).sum();
        report.add_part(Part {
            kind: kind.into(),
            what: format!("{what}, {}", running(s.length_m, units)),
            count: here.len(),
            needed: running(real(here.len()) * s.length_m - left, units),
            left_over: if left > 0.005 {
                running(left, units)
            } else {
                String::new()
            },
            price: s.price,
            cost: s.price.map(|p| p * real(here.len())),
        });
    }
    bar_cuts(&mut report.cuts, kind, &plan, stock, pieces);
    Ok(())
}

fn bar_cuts(
    to: &mut Vec<Cut>,
    kind: &'static str,
    plan: &BarPlan,
    stock: &[BarStock],
    pieces: &[Piece],
) {
    for bar in &plan.bars {
        let Some(s) = stock.get(bar.stock) else {
            continue;
        };
        to.push(Cut {
            kind,
            stock_m: (s.length_m, None),
            pieces: bar
                .pieces
                .iter()
                .filter_map(|i| pieces.get(*i))
                .map(|p| (p.name.clone(), p.length_m, None))
                .collect(),
            left_m: bar.left_m,
        });
    }
}

fn list_cuts(to: &mut Vec<Cut>, parts: &PartsList, shop: &swimdays_build::Shop) {
    for sheet in &parts.sheet_plan.sheets {
        let Some(s) = shop.sheets.get(sheet.stock) else {
            continue;
        };
        to.push(Cut {
            kind: "sheet",
            stock_m: (s.length_m, Some(s.width_m)),
            pieces: sheet
                .placed
                .iter()
                .filter_map(|p| {
                    Some((
                        parts.panels.get(p.panel)?.name.clone(),
                        p.length_m,
                        Some(p.width_m),
                    ))
                })
                .collect(),
            left_m: 0.0,
        });
    }
    bar_cuts(
        to,
        "stud",
        &parts.stud_plan,
        &shop.studs,
        &parts.stud_pieces,
    );
    bar_cuts(
        to,
        "tube",
        &parts.tube_plan,
        &shop.coils,
        &parts.tube_pieces,
    );
}
