//! A card and its zones as plain JSON for programs outside this crate: what the
//! reference implementation reads. Unrounded, so that it can be compared closely.

use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{Finding, Place, Report};
use pillarbook::domain::zone::{KeepOut, SpanZones, Zones};
use serde_json::{Value, json};

/// The card as design section 8 writes it, as far as zones depend on it.
pub fn card(card: &Card) -> Value {
    let (v, p) = (&card.vehicle, &card.policy);
    let clearances = p
        .clearance_mm
        .iter()
        .map(|(kind, mm)| (kind.word().to_owned(), json!(mm)));
    json!({
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
            "report": "bare", "depth": b.depth, "resolved": b.resolved.is_some(),
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

/// The zones with the words of design section 8.
pub fn zones(z: &Zones) -> Value {
    let components = z.components.iter().map(|c| {
        let mut value = located(&c.place);
        value.as_object_mut().unwrap().extend(
            json!({
                "id": c.id, "kind": c.kind, "class": c.class, "clearance_mm": c.clearance_mm,
                "ends_mm": c.ends_mm, "radius_mm": c.radius_mm, "radius_assumed": c.radius_assumed,
                "sigma_mm": c.sigma_mm, "k": c.k, "keep_out_mm": c.keep_out_mm,
                "grown_mm": c.grown_mm, "findings": c.findings, "groups": c.groups,
                "single_source": c.single_source, "chi2": c.chi2, "dof": c.dof, "birge": c.birge,
                "disputed": c.disputed, "offered": c.offered,
                "disagree": c.disagree.iter()
                    .map(|d| json!({"a": d.a, "b": d.b, "mm": d.mm})).collect::<Vec<_>>(),
                "keep_outs": c.keep_outs.iter().map(keep_out).collect::<Vec<_>>(),
            })
            .as_object()
            .unwrap()
            .clone(),
        );
        value
    });
    json!({
        "components": components.collect::<Vec<_>>(),
        "spans": z.spans.iter().map(span).collect::<Vec<_>>(),
        "expectations": z.expectations.iter().map(|e| &e.id).collect::<Vec<_>>(),
        "bare": z.bare.iter()
            .map(|b| json!({"finding": b.finding, "span": b.span, "from_mm": b.from_mm, "to_mm": b.to_mm}))
            .collect::<Vec<_>>(),
        "warnings": z.warnings.iter()
            .map(|w| json!({"code": w.code, "ids": w.ids, "span": w.span})).collect::<Vec<_>>(),
    })
}

fn located(p: &Place) -> Value {
    match p {
        Place::OnSpan { .. } => place(p),
        Place::Points(_) => json!({"span": null, "from_mm": null, "to_mm": null}),
    }
}

fn keep_out(k: &KeepOut) -> Value {
    let mut value = located(&k.place);
    value.as_object_mut().unwrap().extend(
        json!({
            "finding": k.finding, "offered": k.offered, "ends_mm": k.ends_mm,
            "radius_mm": k.radius_mm, "sigma_mm": k.sigma_mm, "keep_out_mm": k.keep_out_mm,
            "grown_mm": k.grown_mm,
        })
        .as_object()
        .unwrap()
        .clone(),
    );
    value
}

fn span(s: &SpanZones) -> Value {
    json!({
        "id": s.id, "length_mm": s.length_mm, "centreline_mm": s.centreline_mm,
        "half_depth_mm": s.half_depth_mm, "middle_mm": s.middle_mm,
        "stretches": s.stretches.iter().map(|t| json!({
            "from_mm": t.from_mm, "to_mm": t.to_mm, "class": t.class, "material": t.material,
            "because": t.because,
        })).collect::<Vec<_>>(),
        "gaps": s.gaps.iter().map(|g| json!({
            "from_mm": g.from_mm, "to_mm": g.to_mm, "class": g.class,
        })).collect::<Vec<_>>(),
    })
}
