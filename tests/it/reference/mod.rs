//! Values from outside: made by the scripts in `tests/reference/`, kept beside
//! them, and made again by `tests/run`.

mod archive;
mod body_styles;
mod combining;
mod designations;
mod geometry;
mod order;
mod qr;
mod steel;
mod stored_gas;
mod vins;
mod zones;

/// The kept values of a script.
fn kept(name: &str) -> serde_json::Value {
    let path = format!("{}/tests/reference/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    serde_json::from_str(&text).unwrap()
}

/// A list of the kept values, which is never empty.
fn list(value: &serde_json::Value) -> &Vec<serde_json::Value> {
    let items = value.as_array().unwrap();
    assert!(!items.is_empty(), "a reference list is empty");
    items
}

fn numbers(value: &serde_json::Value) -> Vec<f64> {
    list(value).iter().map(|v| v.as_f64().unwrap()).collect()
}
