//! The report of a results folder: what stands in it, and that it is sound HTML.

use std::fmt::Write as _;

use scraper::{ElementRef, Html, Selector};
use ventwright::document::{
    Material, Picture, PicturePart, report_pictures, write_report_html, write_report_markdown,
};
use ventwright::report::ranking_json::{read_ranking, write_ranking_json};
use ventwright::result::StudyResult;
use ventwright::study::{Draft, Study, describe};

use crate::samples::{
    demo, exhaust, failed, given_flow, grille, likely, named, study, tie, with_panel, zone,
};

pub(crate) fn kept(result: &StudyResult) -> StudyResult {
    let mut json = Vec::new();
    write_ranking_json(result, &mut json).unwrap();
    read_ranking(&String::from_utf8(json).unwrap()).unwrap()
}

pub(crate) fn page_of(
    ranking: &StudyResult,
    study: Option<&Study>,
    pictures: &[Picture],
) -> String {
    let material = Material {
        ranking,
        study,
        pictures,
        missing: &[],
    };
    let mut page = Vec::new();
    write_report_html(&material, &mut page).unwrap();
    String::from_utf8(page).unwrap()
}

pub(crate) fn markdown_of(result: &StudyResult) -> String {
    let material = Material {
        ranking: &kept(result),
        study: None,
        pictures: &[],
        missing: &[],
    };
    let pictures = report_pictures(&material).unwrap();
    let mut text = Vec::new();
    write_report_markdown(&material, &pictures, &mut text).unwrap();
    String::from_utf8(text).unwrap()
}

/// The elements that a selector of CSS finds.
pub(crate) fn all<'a>(read: &'a Html, what: &str) -> Vec<ElementRef<'a>> {
    read.select(&Selector::parse(what).unwrap()).collect()
}

/// The page as a browser reads it; the parser of Servo, by the rules of the HTML standard, may find no fault.
pub(crate) fn sound(page: &str) -> Html {
    let read = Html::parse_document(page);
    assert!(read.errors.is_empty(), "{:?}", read.errors);
    let count = |what: &str| all(&read, what).len();
    // No script, nothing from elsewhere, and no element that a name has made.
    for foreign in [
        "script",
        "link",
        "iframe",
        "object",
        "form",
        "[onerror]",
        "[onload]",
        "b",
    ] {
        assert_eq!(count(foreign), 0, "{foreign}");
    }
    for element in all(&read, "[src], [href]") {
        let to = element.attr("src").or(element.attr("href")).unwrap();
        assert!(to.starts_with('#') || to.starts_with("data:image/"), "{to}");
    }
    assert_eq!(count("h1"), 1);
    assert_eq!(count("title"), 1);
    assert_eq!(count("html[lang]"), 1);
    // Whoever cannot see a picture is told what it shows.
    assert_eq!(count("img:not([alt])"), 0);
    assert_eq!(count("svg"), count("[role=img] > svg, svg[role=img]"));
    assert_eq!(count("[role=img]"), count("[role=img][aria-label]"));
    let ids: Vec<_> = all(&read, "[id]")
        .iter()
        .map(|e| e.attr("id").unwrap())
        .collect();
    let mut single = ids.clone();
    single.sort_unstable();
    single.dedup();
    assert_eq!(single.len(), ids.len(), "{ids:?}");
    for link in all(&read, "a[href^='#']") {
        assert!(ids.contains(&&link.attr("href").unwrap()[1..]));
    }
    read
}

/// The words of a page, a line for each piece that stands alone; charts by what is told of them.
pub(crate) fn words(read: &Html) -> String {
    let pieces = "h1, h2, h3, h4, p, li, dt, dd, caption, th, td, figcaption, [aria-label]";
    let mut text = String::new();
    for element in all(read, pieces) {
        let name = element.value().name();
        if name == "nav" || (name == "li" && element.text().collect::<String>().is_empty()) {
            continue;
        }
        let told = match element.attr("aria-label") {
            Some(label) => label.to_owned(),
            None => element.text().collect(),
        };
        let told: Vec<&str> = told.split(' ').filter(|word| !word.is_empty()).collect();
        writeln!(text, "{name}: {}", told.join(" ")).unwrap();
    }
    text
}

pub(crate) fn page(result: &StudyResult) -> Html {
    sound(&page_of(&kept(result), None, &[]))
}

/// A study whose drawings belong to made-up numbers: one twisted, one with bars in step with the blades, one vent-like slot.
pub(crate) fn drawn() -> (StudyResult, Study) {
    let text = r#"
        format = 1
        study.name = "drawn"
        fan = { name = "Marrow 140", bore_mm = 135, hub_mm = 42, blades = 9, free_flow_m3_per_h = 119, shut_off_pressure_pa = 21.6 }
        place = { side = "intake", pc_case_k = 2 }
        [[grille]]
        name = "twisted"
        thickness_mm = 4
        holes = { shape = "hexagon", across_flats_mm = 9, rib_mm = 2, twist_deg = 20 }
        [[grille]]
        name = "rings"
        thickness_mm = 3
        rings = { slot_width_mm = 4.5, rib_mm = 1.5, bar_count = 6, bar_width_mm = 2.5 }
    "#;
    let draft = Draft::parse(text.as_bytes(), "drawn.toml").unwrap();
    let drawn = draft.resolve(&mut |_: &str| Err(String::new())).unwrap();
    let mut result = study(vec![
        grille("twisted", 1, 94.2, 1.1, 0.71),
        grille("rings", 2, 91.0, 1.2, 1.4),
    ]);
    for (told, grille) in result.grilles.iter_mut().zip(&drawn.grilles) {
        told.description = describe(grille);
    }
    (result, drawn)
}

#[test]
fn the_words_of_the_demo() {
    let mut result = with_panel();
    let mut lost = failed("hair-fine slots");
    lost.id = 2;
    result.grilles.push(lost);
    insta::assert_snapshot!(words(&page(&result)));
}

#[test]
fn the_words_behind_a_fan() {
    insta::assert_snapshot!(words(&page(&exhaust())));
}

#[test]
fn the_words_beside_drawings() {
    let (result, drawn) = drawn();
    let text = page_of(&kept(&result), Some(&drawn), &[]);
    insta::assert_snapshot!(words(&sound(&text)));
}

#[test]
fn the_short_form() {
    insta::assert_snapshot!(markdown_of(&demo()));
}

/// Every hole of the drawing is a closed line of the picture, front and back, and nothing lies outside the bore.
#[test]
fn drawings_hold_every_hole_to_scale() {
    let (result, drawn) = drawn();
    let read = sound(&page_of(&kept(&result), Some(&drawn), &[]));
    let of = |what: &str| -> Vec<String> {
        let found = all(&read, what);
        found
            .iter()
            .map(|e| e.attr("d").or(e.attr("r")).unwrap().to_owned())
            .collect()
    };
    let paths = of("path.openings");
    assert_eq!(
        paths.len(),
        3,
        "front and back of the twisted one, front of the rings"
    );
    let geometry = drawn.grilles[0].resolve(drawn.fan.hub_diameter).unwrap();
    for path in &paths[..2] {
        assert_eq!(path.matches('z').count(), geometry.hole_count);
        // Hexagons stay hexagons.
        assert_eq!(path.matches('l').count(), 5 * geometry.hole_count);
        let starts = path.split('z').filter(|part| !part.is_empty());
        for start in starts {
            let point = start[1..].split('l').next().unwrap();
            let place: Vec<f64> = point.split(' ').map(|n| n.parse().unwrap()).collect();
            assert!(place[0].hypot(place[1]) <= 6750.0, "{point}");
        }
    }
    assert_ne!(
        paths[0], paths[1],
        "a twisted hole differs from face to face"
    );
    assert!(
        of("circle.plate").iter().all(|r| r == "6750"),
        "135 mm in hundredths"
    );
    assert!(of("circle.hub").iter().all(|r| r == "2100"));
}

#[test]
fn a_drawing_of_another_grille_is_not_shown() {
    let (mut result, drawn) = drawn();
    result.grilles[0].description = "something else".to_owned();
    let read = sound(&page_of(&kept(&result), Some(&drawn), &[]));
    assert!(all(&read, "#grille-1 svg.face").is_empty());
}

#[test]
fn one_grille_forty_grilles_none_valid_and_a_given_flow_make_a_sound_page() {
    page(&study(vec![grille("alone", 1, 91.0, 1.0, 1.2)]));
    page(&study(vec![failed("alone")]));
    page(&given_flow());
    page(&demo());
    page(&study(Vec::new()));
    let forty = (1..=40).map(|n| grille(&format!("grille {n}"), n, 98.0 - f64::from(n), 0.9, 0.5));
    let mut forty = study(forty.collect());
    tie(&mut forty, &["grille 3", "grille 4"]);
    let read = page(&forty);
    let articles = all(&read, "article");
    assert_eq!(articles.len(), 40);
    let rows = all(&read, "#ranking tbody tr");
    assert_eq!(rows.len(), 40);
}

#[test]
fn numbers_that_are_not_finite_make_a_sound_page() {
    let nothing = likely(f64::NAN, f64::INFINITY);
    let mut result = demo();
    let told = &mut result.grilles[0];
    told.flow_percent = Some(nothing);
    told.loss_coefficient = Some(nothing);
    told.runs[0].loss_coefficient = nothing;
    told.runs[0].density_rise = f64::NAN;
    told.zones[0].loss_curve[1].loss_coefficient = nothing;
    page(&result);
    markdown_of(&result);
}

#[test]
fn each_zone_has_its_own_curve() {
    let mut result = study(vec![grille("two rings", 1, 91.0, 1.0, 1.2)]);
    let told = &mut result.grilles[0];
    told.handbook_loss_coefficient = None;
    let key = told.runs[0].key.clone();
    told.zones = vec![
        zone([0.0, 64.0], &key, 1.2),
        zone([66.0, 135.0], "a-run-that-failed", 2.0),
        zone([66.0, 135.0], &key, 2.0),
    ];
    let read = page(&result);
    let figures = all(&read, "#grille-1 .charts figure");
    // A zone without a solved point has nothing to show.
    assert_eq!(figures.len(), 2);
    let text = words(&read);
    assert!(text.contains("Zone 1, 0.0 to 64.0 mm across"), "{text}");
    assert!(text.contains("Zone 3, 66.0 to 135.0 mm across"), "{text}");
    assert!(text.contains("given with each zone"), "{text}");
}

#[test]
fn a_turned_hole_is_drawn_large_front_over_back() {
    let (result, drawn) = drawn();
    let read = sound(&page_of(&kept(&result), Some(&drawn), &[]));
    let of = |what: &str| -> Vec<String> {
        let found = all(&read, what);
        found
            .iter()
            .map(|e| e.attr("d").unwrap().to_owned())
            .collect()
    };
    let (front, back) = (of("path.hole"), of("path.hole-back"));
    assert_eq!((front.len(), back.len()), (1, 1), "the rings do not turn");
    assert_ne!(front, back);
    assert_eq!(front[0].matches('l').count(), 5, "a hexagon: {}", front[0]);
}

#[test]
fn a_picture_of_several_grilles_stands_before_them() {
    let jpeg = || vec![0xff, 0xd8, 0xff, 0xd9];
    let picture = |grille: &str, caption: &str| {
        let of = (!grille.is_empty()).then(|| named(&demo(), grille));
        Picture::whole(of, caption, "image/jpeg", jpeg())
    };
    let part = |words: &str| PicturePart {
        words: words.to_owned(),
        bytes: jpeg(),
    };
    let pictures = [
        picture("hexagons", "where the air goes"),
        picture("", "flat views: rings; hexagons"),
        Picture {
            parts: vec![part("rings, 2 m/s"), part("hexagons <b>")],
            legend: Some(part("the colours")),
            ..picture("", "repeats: rings; hexagons")
        },
    ];
    let read = sound(&page_of(&kept(&demo()), None, &pictures));
    let alternative = |what: &str| -> Vec<String> {
        let found = all(&read, what);
        found
            .iter()
            .map(|e| e.attr("alt").unwrap().to_owned())
            .collect()
    };
    let beside = alternative("#air img");
    assert_eq!(
        beside,
        [
            "flat views: rings; hexagons",
            "rings, 2 m/s",
            "hexagons <b>",
            "the colours"
        ]
    );
    // Those that stand side by side where there is room.
    assert_eq!(alternative("#air .panels > img"), beside[1..3]);
    assert_eq!(
        alternative("#grille-2 img"),
        ["hexagons: where the air goes"]
    );
    let links = all(&read, "nav a[href='#air']");
    assert_eq!(links.len(), 1);
    assert!(all(&sound(&page_of(&kept(&demo()), None, &[])), "#air").is_empty());
}

#[test]
fn a_picture_that_grilles_share_stands_once_and_the_others_lead_to_it() {
    let result = demo();
    let [first, second] = [0, 1].map(|at: usize| result.grilles[at].named());
    let picture = Picture {
        shared_by: vec![second.id],
        ..Picture::whole(
            Some(first.clone()),
            "where the air goes",
            "image/jpeg",
            vec![0xff, 0xd8, 0xff, 0xd9],
        )
    };
    let read = sound(&page_of(&kept(&result), None, &[picture]));
    assert_eq!(all(&read, "img").len(), 1);
    assert_eq!(all(&read, "#grille-1 img").len(), 1);
    let link = &all(&read, "#grille-2 p.note a")[0];
    assert_eq!(link.attr("href"), Some("#grille-1"));
    assert_eq!(link.text().collect::<String>(), first.name);
    assert!(all(&read, "#grille-3 p.note a").is_empty());
}

#[test]
fn of_many_ties_twelve_are_named() {
    let names: Vec<String> = (1..=30).map(|number| format!("disc {number}")).collect();
    let grilles = names.iter().map(|name| grille(name, 1, 80.0, 2.0, 1.0));
    let mut result = study(grilles.collect());
    let tied: Vec<&str> = names.iter().map(String::as_str).collect();
    tie(&mut result, &tied);
    let read = sound(&page_of(&kept(&result), None, &[]));
    let told: Vec<String> = all(&read, "#grille-1 p")
        .iter()
        .map(|p| p.text().collect())
        .collect();
    let line = told.iter().find(|line| line.starts_with("Neither behind"));
    let line = line.unwrap();
    assert!(line.contains("disc 13 and 17 more."), "{line}");
    assert!(!line.contains("disc 14"), "{line}");
}
