//! Measurements from what was typed, and back into a form in the member's unit.

use crate::domain::body::{BodyStyle, FitErrors, Landmark, Measured};
use crate::domain::units::{Unit, entry_text};
use crate::web::typed::{Asked, Typed};

pub const LENGTH: Asked<'static> = Asked::new("length_mm", "Length");
pub const WHEELBASE: Asked<'static> = Asked::new("wheelbase_mm", "Wheelbase");
pub const WIDTH: Asked<'static> = Asked::new("width_mm", "Width");
pub const HEIGHT: Asked<'static> = Asked::new("height_mm", "Height");

/// The axes of the frame, as fields name them.
pub const AXES: [&str; 3] = ["x", "y", "z"];

/// The landmarks asked for: one of each mirror pair, the left, since both are
/// one landmark; the right as well where it was measured by itself.
pub fn asked_landmarks<'a>(
    style: &'a BodyStyle,
    measured: &Measured,
) -> impl Iterator<Item = &'a Landmark> {
    let measured: Vec<String> = measured.landmarks.keys().cloned().collect();
    style
        .landmarks
        .iter()
        .filter(move |l| !l.id.ends_with(".right") || measured.contains(&l.id))
}

/// Across the car a member measures outward from its middle; in the frame left
/// is negative. The same both ways.
fn outward(landmark: &str, axis: usize, mm: f64) -> f64 {
    if axis == 1 && landmark.ends_with(".left") {
        0.0 - mm
    } else {
        mm
    }
}

/// The field of one coordinate of a landmark.
pub fn landmark_field(landmark: &str, axis: usize) -> String {
    format!("landmark-{landmark}-{}", AXES[axis])
}

/// Reads what was measured; what is left empty was not. `None` if a field is
/// at fault.
pub fn read_measured(typed: &mut Typed, style: &BodyStyle, unit: Unit) -> Option<Measured> {
    let mut measured = Measured {
        length_mm: typed.length(LENGTH, unit),
        wheelbase_mm: typed.length(WHEELBASE, unit),
        width_mm: typed.length(WIDTH, unit),
        height_mm: typed.length(HEIGHT, unit),
        ..Measured::default()
    };
    for landmark in &style.landmarks {
        let point = [0, 1, 2].map(|axis| {
            let field = landmark_field(&landmark.id, axis);
            let mm = typed.length(Asked::new(&field, &landmark.name), unit)?;
            Some(outward(&landmark.id, axis, mm))
        });
        if point.iter().any(Option::is_some) {
            measured.landmarks.insert(landmark.id.clone(), point);
        }
    }
    refuse_contradictions(typed, &measured, unit);
    typed.is_valid().then_some(measured)
}

/// Says in plain words what no car can be, before a fit would say it in ratios.
fn refuse_contradictions(typed: &mut Typed, measured: &Measured, unit: Unit) {
    let (Some(length), Some(wheelbase)) = (measured.length_mm, measured.wheelbase_mm) else {
        return;
    };
    if wheelbase >= length {
        let said = format!(
            "the wheelbase ({}) is not shorter than the car ({}): one of the two is wrong",
            entry_text(wheelbase, unit),
            entry_text(length, unit)
        );
        typed.refuse(LENGTH, said.clone());
        typed.refuse(WHEELBASE, said);
    }
}

/// Puts what does not fit beside the fields it names.
pub fn refuse_misfits(typed: &mut Typed, style: &BodyStyle, misfits: &FitErrors) {
    for misfit in &misfits.0 {
        let said = misfit.to_string();
        for name in misfit.fields() {
            let name = name.strip_prefix("measured.").unwrap_or(name);
            for field in fields_of(typed, name) {
                let label = label_of(style, name);
                typed.refuse(Asked::new(&field, &label), said.clone());
            }
        }
    }
}

/// The inputs a measured thing was typed into; the first, if it is not known
/// which of a landmark's three is meant.
fn fields_of(typed: &Typed, name: &str) -> Vec<String> {
    if let Some(id) = name.strip_prefix("landmarks.") {
        let start = format!("landmark-{id}-");
        let typed_in: Vec<String> = typed.beginning(&start).map(|(f, _)| f.to_owned()).collect();
        return if typed_in.is_empty() {
            vec![landmark_field(id, 0)]
        } else {
            typed_in
        };
    }
    // A bend comes of all figures together; it is said where they begin.
    let whole = if name == "measured" {
        LENGTH.name
    } else {
        name
    };
    vec![whole.to_owned()]
}

fn label_of(style: &BodyStyle, name: &str) -> String {
    let id = name.strip_prefix("landmarks.").unwrap_or(name);
    let landmark = style.landmarks.iter().find(|l| l.id == id);
    landmark.map_or_else(
        || match name {
            "length_mm" => LENGTH.label.to_owned(),
            "wheelbase_mm" => WHEELBASE.label.to_owned(),
            "width_mm" => WIDTH.label.to_owned(),
            "height_mm" => HEIGHT.label.to_owned(),
            other => other.to_owned(),
        },
        |l| l.name.clone(),
    )
}

/// A form that holds what was measured.
pub fn filled(measured: &Measured, unit: Unit) -> Typed {
    let mut typed = Typed::default();
    let overall = [
        (LENGTH, measured.length_mm),
        (WHEELBASE, measured.wheelbase_mm),
        (WIDTH, measured.width_mm),
        (HEIGHT, measured.height_mm),
    ];
    for (asked, mm) in overall {
        typed.put(
            asked.name,
            mm.map_or(String::new(), |mm| entry_text(mm, unit)),
        );
    }
    for (id, point) in &measured.landmarks {
        for (axis, mm) in point.iter().enumerate() {
            let text = mm.map(|mm| entry_text(outward(id, axis, mm), unit));
            let text = text.unwrap_or_default();
            typed.put(landmark_field(id, axis), text);
        }
    }
    typed
}
