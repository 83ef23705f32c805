//! Pictures of made-up jets at many shapes: the colours say the field's values, nothing is cut off, bad input is refused.
//!
//! The pictures are left in `target/tmp` for looking at.

#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test may stop at what cannot be; the numbers here are small"
)]

use std::path::Path;

use ventwright::picture::{
    Crop, FLOW_TO_THE_RIGHT, FieldKind, FieldPicture, PICTURE_WIDTH, Panel, PictureError, PlotArea,
    Sheet, field_picture, field_pictures, field_sheet,
};

/// A jet through a hole in a plate 4 mm thick, with some backflow beside it; not a solution of anything.
struct Jet {
    dimensions: [usize; 2],
    cell_mm: f64,
    origin_mm: [f64; 2],
    values: Vec<f32>,
    solid: Vec<u8>,
}

impl Jet {
    fn new(length_mm: f64, radius_mm: f64, cell_mm: f64) -> Self {
        let dimensions = [length_mm, radius_mm].map(|l| (l / cell_mm).round() as usize);
        let origin_mm = [-0.3 * length_mm, 0.0];
        let mut jet = Self {
            dimensions,
            cell_mm,
            origin_mm,
            values: Vec::new(),
            solid: Vec::new(),
        };
        for row in 0..dimensions[1] {
            for column in 0..dimensions[0] {
                let x = origin_mm[0] + (column as f64 + 0.5) * cell_mm;
                let y = (row as f64 + 0.5) * cell_mm;
                let is_solid = (0.0..4.0).contains(&x) && y > 0.7 * radius_mm;
                jet.solid.push(u8::from(is_solid));
                jet.values.push(if is_solid {
                    0.0
                } else {
                    speed(x, y, radius_mm) as f32
                });
            }
        }
        jet
    }

    fn picture<'a>(&'a self, title: &'a str) -> FieldPicture<'a> {
        FieldPicture {
            title,
            subtitle: "hole view, mean over 0.31 s, face velocity 2.10 m/s, hole Reynolds number 1 240",
            quantity: "mean air speed along the flow ÷ face velocity",
            kind: FieldKind::Speed,
            dimensions: self.dimensions,
            values: &self.values,
            solid: &self.solid,
            wall: None,
            origin_mm: self.origin_mm,
            cell_mm: self.cell_mm,
            is_mirrored: true,
            crop: None,
            range: None,
            x_label: "along the flow, mm (0 = front face of the grille)",
            y_label: "from the axis of the hole, mm",
            zero_line: Some("white line: inside it the air flows backwards"),
            notes: &[
                "One hole in a round repeat that stands for its share of the face; the plate is hatched.",
            ],
        }
    }
}

fn speed(x: f64, y: f64, radius: f64) -> f64 {
    let near = 1.0 / (1.0 + (-x / (0.3 * radius)).exp());
    let width = radius * (0.62 + 0.012 * x.max(0.0));
    let jet = 2.1 / (1.0 + ((y - width) / (0.07 * radius)).exp());
    let back = -0.25
        * (-((y - 0.85 * radius) / (0.12 * radius)).powi(2)).exp()
        * (-(x - 2.0 * radius).powi(2) / (2.0 * radius * radius)).exp();
    (1.0 - near) * 1.0 + near * (jet + back)
}

struct Png {
    width: usize,
    height: usize,
    pixels: Vec<u8>,
}

impl Png {
    fn at(&self, x: usize, y: usize) -> [u8; 3] {
        let start = 3 * (y * self.width + x);
        [
            self.pixels[start],
            self.pixels[start + 1],
            self.pixels[start + 2],
        ]
    }
}

fn drawn(name: &str, picture: &FieldPicture) -> (Png, PlotArea) {
    let mut bytes = Vec::new();
    let area = field_picture(picture, &mut bytes).unwrap();
    (kept(name, bytes), area)
}

/// Leaves a picture for looking at, and decodes it.
fn kept(name: &str, bytes: Vec<u8>) -> Png {
    std::fs::write(
        Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.png")),
        &bytes,
    )
    .unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(info.color_type, png::ColorType::Rgb);
    let (width, height) = (info.width as usize, info.height as usize);
    Png {
        width,
        height,
        pixels,
    }
}

/// The share of the palette for speeds, 0 to 1, whose colour is nearest, and how far that colour is (sum over the channels).
fn share_of(colour: [u8; 3]) -> (f64, u32) {
    (0..=2550)
        .map(|i| {
            let share = f64::from(i) / 2550.0;
            let map = FieldKind::Speed.colour(share);
            let far = map
                .iter()
                .zip(colour)
                .map(|(a, b)| u32::from(a.abs_diff(b)))
                .sum();
            (share, far)
        })
        .min_by_key(|(_, far)| *far)
        .unwrap()
}

#[test]
fn ten_points_have_the_colour_of_the_field() {
    let jet = Jet::new(40.0, 8.0, 0.1);
    let picture = FieldPicture {
        range: Some([-0.5, 2.5]),
        zero_line: None,
        ..jet.picture("ten points")
    };
    let (png, area) = drawn("ten-points", &picture);
    let points = [
        (-11.0, 0.5),
        (-5.0, 7.3),
        (-1.0, 2.0),
        (1.9, 3.05),
        (2.05, -1.0),
        (6.0, -5.0),
        (9.0, 5.1),
        (16.0, 6.8),
        (20.0, -6.9),
        (27.5, 7.9),
    ];
    for (x, y) in points {
        let (column, row) = area.pixel(x, y).unwrap();
        let (share, far) = share_of(png.at(column, row));
        let read = -0.5 + 3.0 * share;
        let expected = speed(x, f64::abs(y), 8.0);
        assert!(
            far <= 4,
            "({x}, {y}): {:?} is no colour of the map",
            png.at(column, row)
        );
        // A pixel is 0.036 mm; the shear layer changes by 0.9 per mm at most. Half a colour step is 0.006.
        assert!(
            (read - expected).abs() < 0.04,
            "({x}, {y}): {read} instead of {expected}"
        );
    }
    // The plate is hatched in greys: lines on a ground.
    let (column, row) = area.pixel(2.0, 6.5).unwrap();
    let plate: Vec<[u8; 3]> = (0..22).map(|step| png.at(column + step, row)).collect();
    let is_grey =
        |colour: &[u8; 3]| colour.iter().max().unwrap() - colour.iter().min().unwrap() < 20;
    assert!(plate.iter().all(is_grey), "{plate:?}");
    let brightness = plate.iter().map(|colour| colour[1]);
    assert!(brightness.clone().max().unwrap() - brightness.min().unwrap() > 50);
}

#[test]
fn two_fields_on_a_page_are_the_two_pages_below_each_other() {
    let jets = [Jet::new(40.0, 8.0, 0.1), Jet::new(12.0, 6.0, 0.1)];
    let fields = jets.each_ref().map(|jet| FieldPicture {
        range: Some([-0.5, 2.5]),
        ..jet.picture("two on a page")
    });
    let panels = fields.map(|field| Panel {
        field,
        flow: FLOW_TO_THE_RIGHT,
    });
    let mut bytes = Vec::new();
    let areas = field_pictures(&panels, &mut bytes).unwrap();
    let page = kept("two-on-a-page", bytes);
    let [(first, first_area), (second, second_area)] =
        fields.map(|field| drawn("one-of-two", &field));
    assert_eq!(page.pixels, [first.pixels, second.pixels].concat());
    assert_eq!(areas[0], first_area);
    assert_eq!(areas[1].top, first.height + second_area.top);
    assert!(matches!(
        field_pictures(&[], Vec::new()),
        Err(PictureError::NoValue)
    ));
}

/// Ten points all over three panels of different shape: the colour that is seen there stands on the common scale for the field's value there.
#[test]
fn side_by_side_ten_points_have_the_colour_of_their_field() {
    let shapes = [(40.0, 8.0), (30.0, 5.0), (26.0, 7.0)];
    let jets = shapes.map(|(length, radius)| Jet::new(length, radius, 0.1));
    let names = [
        "hexagons",
        "a name that is far too long for a column of a page with three of them in a row",
        "решётка <b>",
    ];
    let panels: Vec<FieldPicture> = jets
        .iter()
        .zip(names)
        .map(|(jet, name)| jet.picture(name))
        .collect();
    let sheet = Sheet {
        title: "three jets",
        subtitle: "made up, each of another shape",
        panels: &panels,
        quantity: "mean air speed along the flow ÷ face velocity",
        kind: FieldKind::Speed,
        range: Some([-0.5, 2.5]),
        zero_line: None,
        flow: FLOW_TO_THE_RIGHT,
        notes: &["One scale of colours and one of lengths for all."],
    };
    let mut bytes = Vec::new();
    let areas = field_sheet(&sheet, &mut bytes).unwrap();
    let png = kept("side-by-side", bytes);
    assert_eq!(areas.len(), 3);
    for area in &areas {
        assert!((area.pixels_per_mm - areas[0].pixels_per_mm).abs() < 1e-12);
        assert!(
            area.left + area.width + 10 < png.width && area.top + area.height + 100 < png.height
        );
    }
    assert!(
        areas
            .windows(2)
            .all(|pair| pair[0].left + pair[0].width < pair[1].left)
    );
    let points = [
        (0, -11.0, 0.5),
        (0, -1.0, 2.0),
        (0, 9.0, 5.1),
        (0, 27.5, 7.0),
        (1, -8.0, -4.0),
        (1, 2.0, -1.0),
        (1, 12.0, 4.4),
        (2, -5.0, 3.0),
        (2, 2.0, 3.0),
        (2, 15.0, -6.3),
    ];
    for (panel, x, y) in points {
        let (column, row) = areas[panel].pixel(x, y).unwrap();
        let (share, far) = share_of(png.at(column, row));
        let (read, expected) = (-0.5 + 3.0 * share, speed(x, f64::abs(y), shapes[panel].1));
        assert!(far <= 4, "panel {panel} ({x}, {y}) is no colour of the map");
        // A pixel is 0.08 mm here; the shear layer changes by 1.4 per mm at most.
        assert!(
            (read - expected).abs() < 0.06,
            "panel {panel} ({x}, {y}): {read} instead of {expected}"
        );
    }
    let none = Sheet {
        panels: &[],
        ..sheet
    };
    assert!(matches!(
        field_sheet(&none, Vec::new()),
        Err(PictureError::NoValue)
    ));
}

#[test]
fn any_number_of_panels_finds_its_place() {
    let jet = Jet::new(20.0, 5.0, 0.2);
    for count in [1, 2, 4, 7, 40] {
        let panels = vec![jet.picture("the same jet"); count];
        let sheet = Sheet {
            title: "many",
            subtitle: "",
            panels: &panels,
            quantity: "speed",
            kind: FieldKind::Speed,
            range: None,
            zero_line: Some("white line: inside it the air flows backwards"),
            flow: FLOW_TO_THE_RIGHT,
            notes: &[],
        };
        let mut bytes = Vec::new();
        let areas = field_sheet(&sheet, &mut bytes).unwrap();
        let png = kept(&format!("sheet-of-{count}"), bytes);
        for (i, area) in areas.iter().enumerate() {
            assert!(area.left + area.width < png.width && area.top + area.height < png.height);
            for other in &areas[..i] {
                let is_beside =
                    area.left > other.left + other.width || other.left > area.left + area.width;
                let is_below = area.top > other.top + other.height;
                assert!(is_beside || is_below, "panels {i} overlap");
            }
        }
        for y in 0..png.height {
            for x in (0..18).chain(png.width - 18..png.width) {
                assert_eq!(
                    png.at(x, y),
                    [255; 3],
                    "ink in the rim at ({x}, {y}) of {count}"
                );
            }
        }
    }
}

#[test]
fn nothing_is_cut_off_at_any_shape() {
    let shapes = [
        ("shape-1-to-1", 12.0, 6.0, 0.05),
        ("shape-2-to-1", 24.0, 6.0, 0.05),
        ("shape-4-to-1", 60.0, 7.5, 0.1),
        ("shape-20-to-1", 200.0, 5.0, 0.1),
        ("shape-1-to-3", 6.0, 9.0, 0.05),
        ("shape-coarse", 30.0, 5.0, 1.0),
        ("shape-tiny", 0.030, 0.005, 0.0001),
    ];
    for (name, length, radius, cell) in shapes {
        let jet = Jet::new(length, radius, cell);
        let (png, area) = drawn(
            name,
            &jet.picture("Wide hexagons, 5.0 mm across flats, rib 1.2 mm"),
        );
        assert_eq!(png.width, PICTURE_WIDTH);
        assert!(
            area.left + area.width < png.width - 20 && area.top + area.height < png.height - 100
        );
        for y in 0..png.height {
            for x in 0..png.width {
                let is_rim = x < 18 || y < 18 || x >= png.width - 18 || y >= png.height - 18;
                assert!(
                    !is_rim || png.at(x, y) == [255; 3],
                    "{name}: ink in the rim at ({x}, {y})"
                );
            }
        }
    }
}

#[test]
fn long_and_foreign_names_stay_on_the_page() {
    let jet = Jet::new(40.0, 8.0, 0.2);
    let title = "Решётка с шестиугольниками <script>alert(1)</script> ".repeat(6);
    let notes = ["A long note. ".repeat(30)];
    let notes: Vec<&str> = notes.iter().map(String::as_str).collect();
    let picture = FieldPicture {
        title: &title,
        notes: &notes,
        ..jet.picture("")
    };
    let (png, _) = drawn("long-names", &picture);
    for y in 0..png.height {
        assert_eq!(png.at(png.width - 10, y), [255; 3]);
    }
}

#[test]
fn a_crop_shows_the_part_that_was_asked_for() {
    let jet = Jet::new(200.0, 5.0, 0.1);
    let crop = Crop {
        x_mm: [-8.0, 30.0],
        y_mm: [-5.0, 5.0],
    };
    let (_, area) = drawn(
        "crop",
        &FieldPicture {
            crop: Some(crop),
            ..jet.picture("crop")
        },
    );
    assert_eq!(area.pixel(-7.99, 4.99), Some((area.left, area.top)));
    assert_eq!(area.pixel(-8.1, 0.0), None);
    assert!((area.width as f64 / area.height as f64 - 3.8).abs() < 0.02);
    let nowhere = Crop {
        x_mm: [300.0, 400.0],
        ..crop
    };
    let picture = FieldPicture {
        crop: Some(nowhere),
        ..jet.picture("crop")
    };
    assert!(matches!(
        field_picture(&picture, Vec::new()),
        Err(PictureError::Crop { .. })
    ));
}

#[test]
fn fields_that_cannot_be_drawn_are_refused() {
    let jet = Jet::new(20.0, 5.0, 0.5);
    let refused = |picture: FieldPicture| field_picture(&picture, Vec::new()).unwrap_err();
    let picture = jet.picture("bad");
    assert!(matches!(
        refused(FieldPicture {
            values: &jet.values[1..],
            ..picture
        }),
        PictureError::Size { .. }
    ));
    assert!(matches!(
        refused(FieldPicture {
            dimensions: [usize::MAX, 2],
            ..picture
        }),
        PictureError::Size { .. }
    ));
    assert!(matches!(
        refused(FieldPicture {
            cell_mm: 0.0,
            ..picture
        }),
        PictureError::Size { .. }
    ));
    assert!(matches!(
        refused(FieldPicture {
            range: Some([1.0, f64::NAN]),
            ..picture
        }),
        PictureError::Range { .. }
    ));
    let nothing = vec![f32::NAN; jet.values.len()];
    assert!(matches!(
        refused(FieldPicture {
            values: &nothing,
            ..picture
        }),
        PictureError::NoValue
    ));
    let solid = vec![1; jet.values.len()];
    assert!(matches!(
        refused(FieldPicture {
            solid: &solid,
            ..picture
        }),
        PictureError::NoValue
    ));
}

#[test]
fn places_without_a_number_are_shown_as_such() {
    let mut jet = Jet::new(40.0, 8.0, 0.2);
    let at = jet.dimensions[0] * 5 + 150;
    for cell in [
        at,
        at + 1,
        at + jet.dimensions[0],
        at + jet.dimensions[0] + 1,
    ] {
        jet.values[cell] = f32::NAN;
    }
    let (png, area) = drawn("no-number", &jet.picture("no number"));
    let x = jet.origin_mm[0] + 151.0 * 0.2;
    let (column, row) = area.pixel(x, 6.0 * 0.2).unwrap();
    assert_eq!(png.at(column, row), [235, 100, 180]);
}

#[test]
fn the_same_value_everywhere_is_no_problem() {
    let mut jet = Jet::new(20.0, 5.0, 0.2);
    for value in [0.0, 1.0, -3.5] {
        jet.values.fill(value);
        drawn("constant", &jet.picture("constant"));
    }
}
