//! Draws K of leaned holes over the angle at which the air comes in.
//!
//! `cargo bench --bench figure_turned_holes` reads `src/run/corrections/repeat_factors.csv` and writes `cases/turned-holes/k-over-angle.svg`; a second.
//! `cases/turned-holes/README.md` shows it.

use std::error::Error;
use std::path::Path;

use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use ventwright::run::corrections::repeat_grid::one_grid_half_width;

type Panel<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Axes>;

/// Angle of the incoming air in degrees, K over that of the straight hole met straight on.
type Axes = Cartesian2d<RangedCoordf64, RangedCoordf64>;

type DrawingError = DrawingAreaErrorKind<std::io::Error>;

const SIZE: (u32, u32) = (1000, 560);

const INK: RGBColor = RGBColor(34, 34, 34);

const FAINT: RGBColor = RGBColor(226, 226, 226);

/// Angles of the incoming air that the figure spans, degrees.
const ANGLES: (f64, f64) = (-36.0, 51.0);

/// Leans in degrees with their colours, which stay apart for colour-blind eyes and in grey.
const LEANS: [(f64, RGBColor); 3] = [
    (0.0, RGBColor(0, 0, 0)),
    (15.0, RGBColor(0, 114, 178)),
    (30.0, RGBColor(213, 94, 0)),
];

/// Cells per hydraulic diameter of the table's rows.
const CELLS: f64 = 24.0;

/// A row of the table, as far as the figure needs it.
struct Row {
    shape: String,
    free_area_ratio: f64,
    thickness: f64,
    twist: f64,
    lean: f64,
    inflow: f64,
    loss_coefficient: f64,
}

fn rows(path: &Path) -> Result<Vec<Row>, Box<dyn Error>> {
    let mut reader = csv::Reader::from_path(path)?;
    let header = reader.headers()?.clone();
    let column = |name: &str| {
        let found = header.iter().position(|title| title == name);
        found.ok_or_else(|| format!("{}: no column {name}", path.display()))
    };
    let shape = column("shape")?;
    let numbers = [
        column("free_area_ratio")?,
        column("thickness_over_diameter")?,
        column("twist_deg")?,
        column("lean_deg")?,
        column("inflow_deg")?,
        column("K_static")?,
    ];
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record?;
        let mut values = [0.0; 6];
        for (value, place) in values.iter_mut().zip(numbers) {
            *value = record[place].parse()?;
        }
        let [
            free_area_ratio,
            thickness,
            twist,
            lean,
            inflow,
            loss_coefficient,
        ] = values;
        rows.push(Row {
            shape: record[shape].to_owned(),
            free_area_ratio,
            thickness,
            twist,
            lean,
            inflow,
            loss_coefficient,
        });
    }
    Ok(rows)
}

fn is_same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// Angle of the incoming air in degrees, and K over that of the straight hole met straight on, in order of the angle.
///
/// A straight hole costs the same from either side, so its curve is mirrored.
fn curve(rows: &[Row], free_area_ratio: f64, lean: f64) -> Vec<(f64, f64)> {
    let of_lean = |wanted: f64| {
        rows.iter().filter(move |row| {
            row.shape == "hexagon"
                && is_same(row.free_area_ratio, free_area_ratio)
                && is_same(row.thickness, 0.8)
                && is_same(row.twist, 0.0)
                && is_same(row.lean, wanted)
        })
    };
    let Some(straight) = of_lean(0.0).find(|row| is_same(row.inflow, 0.0)) else {
        return Vec::new();
    };
    let mut points: Vec<(f64, f64)> = of_lean(lean)
        .map(|row| (row.inflow, row.loss_coefficient / straight.loss_coefficient))
        .collect();
    if is_same(lean, 0.0) {
        let mirrored: Vec<_> = points
            .iter()
            .filter(|(angle, _)| *angle > 0.0 && *angle <= 30.0)
            .map(|(angle, factor)| (-angle, *factor))
            .collect();
        points.extend(mirrored);
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}

/// The angle of the incoming air that turns into the lean within the holes, degrees: tan(lean) = free-area ratio * tan(angle).
fn angle_in_line(free_area_ratio: f64, lean: f64) -> f64 {
    (lean.to_radians().tan() / free_area_ratio)
        .atan()
        .to_degrees()
}

fn words(size: u32, colour: RGBColor, across: HPos, down: VPos) -> TextStyle<'static> {
    let mut style = TextStyle::from(("sans-serif", size).into_font());
    style.color = colour.to_backend_color();
    style.pos(Pos::new(across, down))
}

/// One curve with its marks, its doubt and its label, and the angle at which the air runs in line with its holes.
fn draw_lean(
    panel: &mut Panel,
    points: &[(f64, f64)],
    (lean, colour): (f64, RGBColor),
    free_area_ratio: f64,
) -> Result<(), DrawingError> {
    let doubt = one_grid_half_width(CELLS, free_area_ratio, lean > 0.0);
    panel.draw_series(points.iter().map(|&(angle, factor)| {
        let ends = [1.0 - doubt, 1.0 + doubt].map(|part| (angle, factor * part));
        PathElement::new(ends.to_vec(), colour.mix(0.45).stroke_width(5))
    }))?;
    panel.draw_series(LineSeries::new(
        points.iter().copied(),
        colour.stroke_width(2),
    ))?;
    let (points_at, filled) = (points.iter().copied(), colour.filled());
    // A mark of its own for each lean, so that colour is not all that tells them apart.
    if lean < 10.0 {
        panel.draw_series(points_at.map(|at| Circle::new(at, 5, filled)))?;
    } else if lean < 20.0 {
        panel.draw_series(
            points_at.map(|at| EmptyElement::at(at) + Rectangle::new([(-5, -5), (5, 5)], filled)),
        )?;
    } else {
        panel.draw_series(points_at.map(|at| TriangleMarker::new(at, 7, filled)))?;
    }
    if let Some(&(angle, factor)) = points.first() {
        let label = if lean > 0.0 {
            format!("lean {lean}°")
        } else {
            "straight".to_owned()
        };
        let style = words(17, colour, HPos::Left, VPos::Bottom);
        let place = EmptyElement::at((angle, factor)) + Text::new(label, (8, -12), style);
        panel.draw_series([place])?;
    }
    let in_line = angle_in_line(free_area_ratio, lean);
    if lean > 0.0 && in_line < ANGLES.1 {
        let mark = EmptyElement::at((in_line, 0.5))
            + PathElement::new([(0, 0), (0, -14)], colour.stroke_width(3))
            + Text::new(
                format!("in line with {lean}°"),
                (5, -18),
                words(14, colour, HPos::Right, VPos::Bottom),
            );
        panel.draw_series([mark])?;
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let rows = rows(&root.join("src/run/corrections/repeat_factors.csv"))?;
    let mut picture = String::new();
    draw(&rows, &mut picture)?;
    std::fs::write(root.join("cases/turned-holes/k-over-angle.svg"), picture)?;
    Ok(())
}

/// The whole figure as SVG text.
fn draw(rows: &[Row], picture: &mut String) -> Result<(), DrawingError> {
    let area = SVGBackend::with_string(picture, SIZE).into_drawing_area();
    area.fill(&WHITE)?;
    let highest = [0.42, 0.6]
        .iter()
        .flat_map(|&free_area_ratio| LEANS.map(|(lean, _)| curve(rows, free_area_ratio, lean)))
        .flatten()
        .fold(2.0, |highest: f64, (_, factor)| highest.max(factor));
    let top = (2.0 * (highest * (1.0 + one_grid_half_width(CELLS, 0.6, true)) + 0.2)).ceil() / 2.0;
    let (head, body) = area.split_vertically(66);
    let title = words(22, INK, HPos::Left, VPos::Top);
    head.draw_text(
        "What lean does to the loss of hexagonal holes when the air comes in at an angle",
        &title,
        (24, 12),
    )?;
    let remark = words(14, INK, HPos::Left, VPos::Top);
    head.draw_text(
        "Pale bars: what the grid may hide. Lines only join the points. Marks at the foot: air in line with the holes, tan(lean) = free-area ratio × tan(angle).",
        &remark,
        (24, 42),
    )?;
    for (panel_area, free_area_ratio) in body.split_evenly((1, 2)).iter().zip([0.42, 0.6]) {
        let mut panel: Panel = ChartBuilder::on(panel_area)
            .caption(
                format!("{:.0} % of the face is open", 100.0 * free_area_ratio),
                words(17, INK, HPos::Left, VPos::Top),
            )
            .margin(14)
            .x_label_area_size(52)
            .y_label_area_size(56)
            .build_cartesian_2d(ANGLES.0..ANGLES.1, 0.5..top)?;
        panel
            .configure_mesh()
            .disable_x_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(FAINT)
            .axis_style(INK)
            .x_labels(10)
            .y_labels(16)
            .x_label_formatter(&|angle| format!("{angle:.0}°").replace('-', "−"))
            .y_label_formatter(&|factor| format!("{factor:.1}"))
            .x_desc("angle of the incoming air; plus: the way the holes lean")
            .y_desc("static K over that of the straight hole met straight on")
            .label_style(words(14, INK, HPos::Center, VPos::Center))
            .axis_desc_style(words(15, INK, HPos::Center, VPos::Center))
            .draw()?;
        for (lean, colour) in LEANS {
            let points = curve(rows, free_area_ratio, lean);
            draw_lean(&mut panel, &points, (lean, colour), free_area_ratio)?;
        }
    }
    area.present()?;
    Ok(())
}
