//! `pictures`: grilles of a solved study side by side, from the results folder alone, and the profiles of the first screen.

use std::fs;
use std::path::Path;

use ventwright::fields::{
    KeptCut, KeptPanel, KeptView, Quantity, common_range, write_side_by_side,
};
use ventwright::picture::{FieldKind, PlotArea};
use ventwright::store::set_name;
use ventwright::vtk::read_image;

use crate::stage::{CURVE, HEXAGONS, SQUARES, ranking_value, stage, study, text, ventwright};

/// Pixels of a PNG file, three bytes each.
struct Png {
    width: usize,
    pixels: Vec<u8>,
}

impl Png {
    fn read(path: &Path) -> Self {
        let bytes = fs::read(path).unwrap();
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
            .read_info()
            .unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        let frame = reader.next_frame(&mut pixels).unwrap();
        Self {
            width: frame.width as usize,
            pixels,
        }
    }

    fn at(&self, (x, y): (usize, usize)) -> [u8; 3] {
        let (pixels, _) = self.pixels.as_chunks::<3>();
        pixels[y * self.width + x]
    }
}

/// The value, between the ends of the scale, whose colour on the map is nearest, and how far that colour is.
fn value_of(colour: [u8; 3], [low, high]: [f64; 2]) -> (f64, u32) {
    let shares = (0..=2550).map(|i| f64::from(i) / 2550.0);
    let far = |share: f64| {
        let map = FieldKind::Speed.colour(share);
        let apart = map
            .iter()
            .zip(colour)
            .map(|(a, b)| u32::from(a.abs_diff(b)));
        apart.sum::<u32>()
    };
    let (share, far) = shares
        .map(|share| (share, far(share)))
        .min_by_key(|(_, far)| *far)
        .unwrap();
    (low + share * (high - low), far)
}

/// The panels of a page, made anew from the files of the runs.
fn panels(folder: &Path) -> Vec<KeptPanel> {
    let ranking = ranking_value(folder);
    let grilles = ranking["grilles"].as_array().unwrap();
    let panel = |grille: &serde_json::Value| {
        let runs = grille["runs"].as_array().unwrap().iter();
        let run = runs.max_by(|a, b| {
            let cells = |run: &serde_json::Value| run["cells_across"].as_f64().unwrap();
            cells(a).total_cmp(&cells(b))
        });
        let run = run.unwrap();
        let key = run["key"].as_str().unwrap();
        let path = folder.join("results/tiny/runs").join(key).join("mean.vti");
        let image = read_image(&fs::read(path).unwrap(), &["velocity_m_per_s", "solid"]).unwrap();
        let speed = run["face_velocity_m_per_s"].as_f64().unwrap();
        KeptPanel {
            grille: grille["name"].as_str().unwrap().to_owned(),
            // One line, as in the picture: the field begins below it.
            detail: "one line".to_owned(),
            cut: KeptCut::of(&image, KeptView::Flat, Quantity::Speed, speed).unwrap(),
        }
    };
    grilles.iter().map(panel).collect()
}

/// Ten places in the air of a panel whose surroundings change little, so that a pixel is worth a cell: column and row of the cell.
fn places(cut: &KeptCut) -> Vec<(usize, usize)> {
    let [nx, ny] = cut.dimensions;
    let crop = cut.crop.unwrap();
    let value = |x: usize, y: usize| cut.values[y * nx + x];
    let mut found = Vec::new();
    for step in 1.. {
        let (x, y) = ((step * 37) % (nx - 2) + 1, (step * 11) % (ny - 2) + 1);
        let x_mm = cut.origin_mm[0] + (x as f64 + 0.5) * cut.cell_mm;
        let is_shown = crop.x_mm[0] < x_mm - cut.cell_mm && x_mm + cut.cell_mm < crop.x_mm[1];
        let around = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
        let is_calm = around.clone().all(|(column, row)| {
            cut.solid[row * nx + column] == 0 && (value(column, row) - value(x, y)).abs() < 0.03
        });
        // A white line is drawn where the field is zero.
        if is_shown && is_calm && value(x, y).abs() > 0.15 {
            found.push((x, y));
        }
        if found.len() == 10 {
            return found;
        }
    }
    unreachable!("the loop ends at ten places")
}

fn centre(cut: &KeptCut, area: &PlotArea, (x, y): (usize, usize)) -> (usize, usize) {
    let at = |place: usize, axis: usize| cut.origin_mm[axis] + (place as f64 + 0.5) * cut.cell_mm;
    area.pixel(at(x, 0), at(y, 1)).unwrap()
}

#[test]
fn grilles_stand_side_by_side_in_the_colours_of_their_fields() {
    let folder = stage(&study(CURVE, "intake", "", &[HEXAGONS, SQUARES]));
    let arguments = ["run", "tiny.toml", "--details=profile"];
    let output = ventwright(folder.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    let at = said.find("\nProfile ").unwrap();
    let profile: Vec<&str> = said[at + 1..].lines().take(6).collect();
    assert!(profile[0].contains("air speed along the flow"), "{said}");
    assert!(
        profile
            .iter()
            .any(|line| line.contains("hexagons") && line.contains('█')
                || line.contains("squares") && line.contains('█')),
        "{said}"
    );

    // From the results folder alone.
    fs::remove_file(folder.path().join("tiny.toml")).unwrap();
    let output = ventwright(folder.path(), &["pictures", "results/tiny"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(
        text(&output.stdout),
        "results/tiny/pictures/speed-flat.png\n"
    );
    let picture = Png::read(&folder.path().join("results/tiny/pictures/speed-flat.png"));

    let panels = panels(folder.path());
    let scale = common_range(Quantity::Speed, &panels).unwrap();
    let areas = write_side_by_side(
        "tiny",
        "flat views",
        KeptView::Flat,
        Quantity::Speed,
        &panels,
        Some(scale),
        std::io::sink(),
    )
    .unwrap();
    for (panel, area) in panels.iter().zip(&areas) {
        let cut = &panel.cut;
        for place in places(cut) {
            let (read, far) = value_of(picture.at(centre(cut, area, place)), scale);
            let expected = f64::from(cut.values[place.1 * cut.dimensions[0] + place.0]);
            assert!(
                far <= 4,
                "{place:?} of {} has no colour of the map",
                panel.grille
            );
            // The outermost values have the colour of the end of the scale.
            let expected = expected.clamp(scale[0], scale[1]);
            // Half a step of 256 colours, and what the field changes within a cell.
            assert!(
                (read - expected).abs() < 0.05,
                "{place:?} of {}: {read} instead of {expected}",
                panel.grille
            );
        }
    }
}

#[test]
fn what_cannot_be_drawn_is_said() {
    let folder = stage(&study(CURVE, "intake", "", &[HEXAGONS]));
    let output = ventwright(folder.path(), &["run", "tiny.toml"]);
    assert_eq!(output.status.code(), Some(0));
    let refused = |arguments: &[&str], words: &str| {
        let output = ventwright(
            folder.path(),
            &[&["pictures", "tiny.toml"], arguments].concat(),
        );
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(words), "{said}");
    };
    refused(&["--grille", "rings"], "it has: bare fan, hexagons");
    refused(&["--view", "repeat"], "nothing to draw");
    refused(&["--show", "swirl"], "nothing to draw");
    refused(&["--show", "turning"], "nothing to draw");
    let output = ventwright(
        folder.path(),
        &[
            "pictures",
            "tiny.toml",
            "--grille",
            "hexagons",
            "--show",
            "vortices",
        ],
    );
    assert_eq!(
        text(&output.stdout),
        format!(
            "results/tiny/pictures/vortices-flat-{}.png\n",
            set_name(&["hexagons"])
        )
    );

    // A damaged field is named, and no panic.
    for entry in fs::read_dir(folder.path().join("results/tiny/runs")).unwrap() {
        let path = entry.unwrap().path().join("mean.vti");
        let bytes = fs::read(&path).unwrap();
        fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
    }
    refused(&[], "mean.vti");
}
