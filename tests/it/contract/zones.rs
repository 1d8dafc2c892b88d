//! The zones document of the format's own example, against the figures printed
//! with it that do not depend on the length of a span.

use super::EXAMPLE;
use pillarbook::contract::card_file::CardFileError;
use pillarbook::contract::{ZonesFile, zones_of_file};
use pillarbook::domain::vehicle::Variant;
use rstest::rstest;
use serde_json::{Value, json};

fn zones_text(card: &str) -> String {
    let answer = zones_of_file(card.as_bytes(), &Variant::default())
        .unwrap_or_else(|error| panic!("{:#?}", error.fields()));
    ZonesFile::from(&answer.zones).to_json()
}

fn zones(card: &str) -> Value {
    serde_json::from_str(&zones_text(card)).unwrap()
}

fn by_id<'a>(list: &'a Value, id: &str) -> &'a Value {
    list.as_array()
        .unwrap()
        .iter()
        .find(|one| one["id"] == id)
        .unwrap()
}

#[test]
fn the_example_gives_the_figures_of_the_format() {
    let zones = zones(EXAMPLE);
    let c1 = by_id(&zones["components"], "c1");
    assert_eq!(c1["keep_out_mm"], 120.23);
    assert_eq!(
        (&c1["sigma_mm"], &c1["k"]),
        (&json!(17.559), &json!(2.5758))
    );
    assert_eq!(
        (&c1["from_mm"], &c1["to_mm"]),
        (&json!(80.0), &json!(210.0))
    );
    assert_eq!(
        (&c1["groups"], &c1["single_source"]),
        (&json!(1), &json!(true))
    );
    assert_eq!(c1["clearance_mm"], 50.0);
    let pillar = by_id(&zones["spans"], "b-pillar.left");
    let first = &pillar["stretches"][0];
    assert_eq!(first["from_mm"], 0.0);
    // 210 + 120.23 rounded outward on a straight pillar; where the template's
    // pillar bends, the disc reaches a little further round the bend.
    let end = first["to_mm"].as_f64().unwrap();
    assert!((330.24..331.0).contains(&end), "{end}");
    assert_eq!(
        (&first["class"], &first["because"]),
        (&json!("no-cut"), &json!(["c1"]))
    );
    let bare = &zones["bare"][0];
    assert_eq!(
        (&bare["from_mm"], &bare["to_mm"]),
        (&json!(365.24), &json!(654.76))
    );
    assert_eq!(
        (&bare["finding"], &bare["on"]),
        (&json!("f3"), &json!("2026-03-04"))
    );
    let c2 = by_id(&zones["components"], "c2");
    assert_eq!((&c2["span"], &c2["k"]), (&Value::Null, &json!(3.3682)));
    assert_eq!(zones["policy"]["clearance_mm"]["hv-battery"], 150.0);
    assert_eq!(
        (&zones["as_of"], &zones["revision"]),
        (&Value::Null, &Value::Null)
    );
}

/// The names of an object's fields as they stand in the text.
fn names_in_order(object: &serde_json::value::RawValue) -> Vec<String> {
    struct Names(Vec<String>);
    impl<'de> serde::Deserialize<'de> for Names {
        fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
            struct Visit;
            impl<'de> serde::de::Visitor<'de> for Visit {
                type Value = Names;
                fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                    f.write_str("an object")
                }
                fn visit_map<A: serde::de::MapAccess<'de>>(
                    self,
                    mut map: A,
                ) -> Result<Names, A::Error> {
                    let mut names = Vec::new();
                    while let Some((name, serde::de::IgnoredAny)) = map.next_entry()? {
                        names.push(name);
                    }
                    Ok(Names(names))
                }
            }
            d.deserialize_map(Visit)
        }
    }
    serde_json::from_str::<Names>(object.get()).unwrap().0
}

#[test]
fn fields_stand_in_the_order_of_the_format() {
    #[derive(serde::Deserialize)]
    struct Parts {
        components: Vec<Box<serde_json::value::RawValue>>,
        spans: Vec<Box<serde_json::value::RawValue>>,
    }
    let text = zones_text(EXAMPLE);
    let document: Box<serde_json::value::RawValue> = serde_json::from_str(&text).unwrap();
    let parts: Parts = serde_json::from_str(&text).unwrap();
    assert_eq!(
        names_in_order(&document),
        [
            "format",
            "vehicle",
            "policy",
            "as_of",
            "revision",
            "components",
            "spans",
            "expectations",
            "bare",
            "warnings"
        ],
    );
    assert_eq!(
        names_in_order(&parts.components[0]),
        [
            "id",
            "kind",
            "class",
            "clearance_mm",
            "span",
            "from_mm",
            "to_mm",
            "ends_mm",
            "radius_mm",
            "radius_assumed",
            "sigma_mm",
            "k",
            "keep_out_mm",
            "findings",
            "groups",
            "single_source",
            "chi2",
            "dof",
            "birge",
            "disputed",
            "disagree",
            "offered",
            "keep_outs",
        ],
    );
    assert_eq!(
        names_in_order(&parts.spans[0]),
        [
            "id",
            "name",
            "foot",
            "head",
            "length_mm",
            "centreline_mm",
            "half_depth_mm",
            "stretches",
            "gaps",
            "middle_mm",
        ],
    );
}

#[test]
fn the_stretches_of_every_span_tile_it_in_the_document_too() {
    for span in zones(EXAMPLE)["spans"].as_array().unwrap() {
        let mut end = json!(0.0);
        for stretch in span["stretches"].as_array().unwrap() {
            assert_eq!(stretch["from_mm"], end, "{}", span["id"]);
            end = stretch["to_mm"].clone();
        }
        assert_eq!(end, span["length_mm"], "{}", span["id"]);
    }
}

#[rstest]
#[case("\"to_mm\":210", "\"to_mm\":5000", "findings[0].place.to_mm", 6)]
#[case("\"wheelbase_mm\":2700", "\"wheelbase_mm\":900", "measured", 3)]
fn what_does_not_fit_the_body_is_named_with_its_line(
    #[case] from: &str,
    #[case] to: &str,
    #[case] field: &str,
    #[case] line: usize,
) {
    assert!(EXAMPLE.contains(from), "the example has no {from}");
    let text = EXAMPLE.replacen(from, to, 1);
    let error = zones_of_file(text.as_bytes(), &Variant::default()).expect_err("does not fit");
    assert!(matches!(error, CardFileError::Invalid(_)));
    let errors = error.fields();
    assert!(
        errors
            .iter()
            .any(|e| e.field.to_string().starts_with(field)),
        "{errors:#?}"
    );
    assert!(errors.iter().all(|e| e.line == Some(line)), "{errors:#?}");
}
