//! A card as the card file of design section 8, as far as zones depend on it: for
//! the command line and for programs outside this crate. Unrounded.

use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{Finding, Place, Report};
use serde_json::{Value, json};

/// The card as design section 8 writes it, as far as zones depend on it.
pub fn card(card: &Card) -> Value {
    let (v, p) = (&card.vehicle, &card.policy);
    let clearances = p
        .clearance_mm
        .iter()
        .map(|(kind, mm)| (kind.word().to_owned(), json!(mm)));
    let m = &card.measured;
    json!({
        "format": "pillarbook-card/1",
        "measured": {
            "length_mm": m.length_mm, "wheelbase_mm": m.wheelbase_mm, "width_mm": m.width_mm,
            "height_mm": m.height_mm, "landmarks": m.landmarks,
        },
        "vehicle": {
            "years": v.years, "body_style": v.body_style, "drive": v.drive, "wheel": v.wheel,
            "roof": v.roof, "region": v.region,
        },
        "policy": {
            "coverage": p.coverage.share(), "blade_half_width_mm": p.blade_half_width_mm,
            "tip_reach_mm": p.tip_reach_mm, "lean_deg": p.lean_deg,
            "car_to_car_mm": p.car_to_car_mm, "cushion": p.cushion,
            "clearance_mm": clearances.collect::<serde_json::Map<_, _>>(),
        },
        "findings": card.findings.iter().map(finding).collect::<Vec<_>>(),
    })
}

fn finding(f: &Finding) -> Value {
    let mut value = json!({
        "id": f.id, "source": f.source, "within_mm": f.within_mm, "car": f.car,
        "observed_on": f.observed_on.to_string(), "status": f.status,
        "observed": {
            "year": f.observed.year, "drive": f.observed.drive, "wheel": f.observed.wheel,
            "roof": f.observed.roof, "region": f.observed.region,
        },
    });
    let stated = match &f.report {
        Report::Component(c) => json!({
            "report": "component", "component": c.component, "kind": c.kind,
            "place": place(&c.place), "radius_mm": c.radius_mm, "bag": c.bag,
        }),
        Report::Bare(b) => json!({
            "report": "bare", "depth": b.depth,
            "place": {"span": b.span, "from_mm": b.from_mm, "to_mm": b.to_mm},
        }),
    };
    let (into, from) = (value.as_object_mut().unwrap(), stated.as_object().unwrap());
    into.extend(from.clone());
    value
}

fn place(p: &Place) -> Value {
    match p {
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => {
            json!({"span": span, "from_mm": from_mm, "to_mm": to_mm})
        }
        Place::Points(ends) => json!({ "points": ends }),
    }
}
