//! The schema of `ranking.json` (JSON Schema, draft 2020-12): it allows what the program writes, with every optional part, and nothing else.

use std::collections::BTreeSet;

use serde_json::{Map, Value, json};
use ventwright::report::ranking_json::{FORMAT_VERSION, write_ranking_json};
use ventwright::result::StudyResult;

use crate::samples::{
    demo, exhaust, given_flow, likely, named, night, run, study, warning, with_panel,
};
use crate::schema::{faults, schema};

/// Ends of keys, and how their unit is written in words.
const UNITS: [(&str, &str); 17] = [
    ("_m3_per_h", "m³/h"),
    ("_kg_per_m3", "kg/m³"),
    ("_m2_per_s", "m²/s"),
    ("_m_per_s", "m/s"),
    ("_n_m", "N m"),
    ("_pa", "Pa"),
    ("_mm", "mm"),
    ("_m2", "m²"),
    ("_cfm", "CFM"),
    ("_deg", "degrees"),
    ("_percent", "per cent"),
    ("_w", ", W"),
    ("_k", ", K"),
    ("_s", ", s"),
    ("_count", "count"),
    ("_coefficient", "without unit"),
    ("_ratio", "without unit"),
];

fn json_of(result: &StudyResult) -> Value {
    let mut out = Vec::new();
    write_ranking_json(result, &mut out).unwrap();
    serde_json::from_slice(&out).unwrap()
}

/// Results that have every optional part between them.
fn every_part() -> Vec<StudyResult> {
    let mut behind = exhaust();
    behind.heat_load_w = Some(60.0);
    behind.bare_temperature_rise_k = Some(1.9);
    behind.grilles[0].other_flows_m3_per_h = vec![31.0];
    if let Some(view) = &mut behind.grilles[0].fan_view {
        view.rings = Some(run("rings-0123456789ab", 2.1, 7.0));
        let doubt = warning("few-cells", "16 cells across", "take more");
        view.run.warnings.push(doubt);
    }
    let mut tied = demo();
    if let Some(separation) = &mut tied.pairs[0].separation {
        separation.cells_factor = Some(1.7);
        separation.time_factor = Some(2.6);
    }
    let mut endless = demo();
    endless.grilles[0].loss_coefficient = Some(likely(f64::NAN, f64::INFINITY));
    let mut turned = with_panel();
    turned.grilles[0].description = String::from("решётка \u{202e} <b>");
    let mut late = night();
    let named = named(&late, "hexagons");
    if let Some(budget) = &mut late.this_run.budget {
        budget.steps[2].unfinished = vec![named];
    }
    vec![
        behind,
        tied,
        endless,
        turned,
        given_flow(),
        late,
        study(Vec::new()),
    ]
}

/// A part of the schema with what it refers to.
fn resolved<'a>(whole: &'a Value, part: &'a Value) -> &'a Value {
    match part.get("$ref").and_then(Value::as_str) {
        Some(to) => whole.pointer(&to[1..]).unwrap(),
        None => part,
    }
}

/// Every object of the schema, with the way to it.
fn objects<'a>(part: &'a Value, way: &str, found: &mut Vec<(String, &'a Map<String, Value>)>) {
    match part {
        Value::Object(map) => {
            if map.get("type").is_some_and(|kind| kind == "object") {
                found.push((way.to_owned(), map));
            }
            for (key, inner) in map {
                objects(inner, &format!("{way}/{key}"), found);
            }
        }
        Value::Array(all) => all.iter().for_each(|inner| objects(inner, way, found)),
        _ => {}
    }
}

/// Notes the properties that hold a value, by the description that they have in the schema.
fn seen(whole: &Value, part: &Value, value: &Value, found: &mut BTreeSet<String>) {
    let part = resolved(whole, part);
    if let Some(choices) = part.get("anyOf").and_then(Value::as_array) {
        for choice in choices {
            seen(whole, choice, value, found);
        }
    }
    if let (Some(items), Some(values)) = (part.get("items"), value.as_array()) {
        for value in values {
            seen(whole, items, value, found);
        }
    }
    let properties = part.get("properties").and_then(Value::as_object);
    let Some((properties, values)) = properties.zip(value.as_object()) else {
        return;
    };
    for (key, property) in properties {
        let value = &values[key];
        if !value.is_null() && value.as_array().is_none_or(|all| !all.is_empty()) {
            found.insert(format!("{key}: {}", property["description"]));
            seen(whole, property, value, found);
        }
    }
}

#[test]
fn results_with_every_optional_part_are_allowed() {
    let whole = schema();
    let mut found = BTreeSet::new();
    for result in every_part() {
        let json = json_of(&result);
        assert_eq!(faults(&json), [""; 0]);
        seen(&whole, &whole, &json, &mut found);
    }
    // No key went unseen, so that none is described wrongly without a test that tells.
    let mut parts = Vec::new();
    objects(&whole, "", &mut parts);
    let mut unseen = Vec::new();
    for (way, part) in parts {
        for (key, property) in part["properties"].as_object().unwrap() {
            let told = format!("{key}: {}", property["description"]);
            if !found.contains(&told) {
                unseen.push(format!("{way}/{key}"));
            }
        }
    }
    assert_eq!(unseen, [""; 0], "no sample has these");
}

#[test]
fn the_schema_is_one_of_its_draft_and_describes_every_key_with_its_unit() {
    let whole = schema();
    assert_eq!(
        whole["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    assert!(jsonschema::draft202012::meta::is_valid(&whole));
    assert_eq!(
        whole["properties"]["format_version"]["const"],
        FORMAT_VERSION
    );
    let mut parts = Vec::new();
    objects(&whole, "", &mut parts);
    assert!(parts.len() > 20, "{}", parts.len());
    for (way, part) in parts {
        assert_eq!(part["additionalProperties"], json!(false), "{way}");
        let properties = part["properties"].as_object().unwrap();
        let keys: BTreeSet<&str> = properties.keys().map(String::as_str).collect();
        let required = part["required"].as_array().unwrap();
        let required: BTreeSet<&str> = required.iter().map(|key| key.as_str().unwrap()).collect();
        assert_eq!(keys, required, "{way}: every key is always written");
        for (key, property) in properties {
            let told = property["description"].as_str().unwrap();
            assert!(told.len() > 5, "{way}/{key}: {told}");
            let stem = key
                .replace("_coefficients", "_coefficient")
                .replace("angles_", "angle_");
            if let Some((_, unit)) = UNITS.iter().find(|(end, _)| stem.ends_with(end)) {
                let same = told.contains("The same") || told.contains("the same");
                assert!(told.contains(unit) || same, "{way}/{key}: {unit} in {told}");
            }
        }
    }
}

/// What must not pass: a key more, a key less, a word for a number, another unit of the ranking, and the same deep inside.
#[test]
fn what_the_program_does_not_write_is_refused() {
    let good = json_of(&exhaust());
    let change = |at: &str, key: &str, value: Value| {
        let mut bad = good.clone();
        let inner = bad.pointer_mut(at).unwrap().as_object_mut().unwrap();
        inner.insert(key.to_owned(), value);
        let told = faults(&bad);
        assert!(!told.is_empty(), "{at}/{key} was allowed");
        assert!(
            told.iter()
                .any(|fault| fault.contains(key) || fault.starts_with(at)),
            "{told:?}"
        );
    };
    for at in [
        "",
        "/air",
        "/grilles/0",
        "/grilles/1/runs/0",
        "/grilles/0/fan_view/run/fan_view/jet/0",
        "/this_run",
    ] {
        change(at, "new_key_mm", json!(1.0));
    }
    change("/grilles/0", "hole_area_percent", json!("71"));
    change("/grilles/0/flow_percent", "low", json!("low"));
    change("", "ranked_by", json!("loudness_db"));
    change("", "format_version", json!(FORMAT_VERSION + 1));
    change("/grilles/0", "rank", json!(0));
    for key in ["grilles", "cautions", "this_run"] {
        let mut bad = good.clone();
        bad.as_object_mut().unwrap().remove(key).unwrap();
        assert_eq!(faults(&bad).len(), 1, "{key} may be missing");
    }
}
