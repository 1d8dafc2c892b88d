//! Reading one finding.

use super::limits;
use super::vehicle::read_variant;
use crate::contract::reader::Field;
use crate::domain::body::{self, StyleId};
use crate::domain::finding::{
    BareReport, ComponentReport, Depth, Finding, Gas, Place, Report, Resolved, Source, Status,
    Steel,
};
use crate::domain::frame::Point;
use crate::domain::kind::{Bag, Kind};

/// Fields of every finding.
const ANY: &[&str] = &[
    "id",
    "report",
    "place",
    "source",
    "within_mm",
    "observed_on",
    "by",
    "car",
    "observed",
    "status",
    "note",
    "supersedes",
    "reason",
];
/// Fields of a component finding alone.
const COMPONENT: &[&str] = &[
    "component",
    "kind",
    "radius_mm",
    "bag",
    "belt_seat",
    "uts_mpa",
    "thickness_mm",
    "layers",
    "perimeter_mm",
    "pressure_mpa",
    "volume_cm3",
    "gas",
];
/// Fields of a bare finding alone.
const BARE: &[&str] = &["depth", "resolved"];

/// What a finding reports, before it is read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ReportWord {
    Component,
    Bare,
}

impl ReportWord {
    const ALL: &[Self] = &[Self::Component, Self::Bare];

    const fn word(self) -> &'static str {
        match self {
            Self::Component => "component",
            Self::Bare => "bare",
        }
    }

    /// How a finding stands when the file does not say.
    const fn first_status(self) -> Status {
        match self {
            Self::Component => Status::Accepted,
            // A second person has to confirm that nothing is there.
            Self::Bare => Status::Offered,
        }
    }
}

/// Whether ids have to be given, or are numbered by the card they go to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ids {
    Required,
    Optional,
}

impl Ids {
    pub(super) fn read(self, field: Field<'_>) -> Option<String> {
        match self {
            Self::Optional if !field.is_given() => Some(String::new()),
            _ => field.required_text(limits::ID),
        }
    }
}

pub(super) fn read_finding(item: &Field<'_>, style: Option<StyleId>, ids: Ids) -> Option<Finding> {
    let item = item.clone().required("an object, one finding");
    if !item.object(&[ANY, COMPONENT, BARE].concat()) {
        return None;
    }
    let word = item.get("report").required("component, bare");
    let word = word.word(ReportWord::ALL, ReportWord::word);
    let id = ids.read(item.get("id"));
    let source = item.get("source").required("how the place was learnt");
    let source = source.word(Source::ALL, Source::word);
    let day = item.get("observed_on").required("a day written 2026-03-05");
    let observed_on = day.date();
    let place = read_place(&item.get("place"), style);
    let report = word.and_then(|word| match word {
        ReportWord::Component => read_component(&item, place, ids).map(Report::Component),
        ReportWord::Bare => read_bare(&item, place, source).map(Report::Bare),
    });
    let status = item.get("status").word(Status::ALL, Status::word);
    Some(Finding {
        within_mm: item.get("within_mm").number(&limits::WITHIN),
        by: item.get("by").text(limits::NAME),
        car: read_car(&item, source, word),
        observed: read_variant(&item.get("observed")),
        note: item.get("note").text(limits::TEXT),
        supersedes: item.get("supersedes").text(limits::ID),
        reason: item.get("reason").text(limits::TEXT),
        // Last, so that every field has been looked at for errors.
        id: id?,
        report: report?,
        source: source?,
        observed_on: observed_on?,
        status: status.unwrap_or(word?.first_status()),
    })
}

/// The label of the car, needed wherever a car was looked at.
fn read_car(
    item: &Field<'_>,
    source: Option<Source>,
    report: Option<ReportWord>,
) -> Option<String> {
    let looked = source.is_some_and(Source::looked_at_a_car) || report == Some(ReportWord::Bare);
    let car = item.get("car");
    if looked && car.is_blank() {
        car.refuse(
            "the car looked at has to be named: one car counts once, however often it is measured",
            "the department's own label of the car, for example \"yard 14\"",
        );
    }
    car.text(limits::NAME)
}

fn read_place(place: &Field<'_>, style: Option<StyleId>) -> Option<Place> {
    const ACCEPTED: &str = "a span with from_mm and to_mm, or points: two points [x, y, z] in mm";
    let place = place.clone().required(ACCEPTED);
    if !place.object(&["span", "from_mm", "to_mm", "points"]) {
        return None;
    }
    if place.get("points").is_given() {
        if ["span", "from_mm", "to_mm"]
            .iter()
            .any(|name| place.get(name).is_given())
        {
            place.refuse(
                "a place is either on a span or by points, not both",
                ACCEPTED,
            );
            return None;
        }
        return read_points(&place.get("points")).map(Place::Points);
    }
    let span = read_span(&place.get("span"), style);
    let station = |name: &str| {
        let accepted = "a station in mm from the span's foot";
        place.get(name).required(accepted).number(&limits::STATION)
    };
    let (from, to) = (station("from_mm"), station("to_mm"));
    let (span, from_mm, to_mm) = (span?, from?, to?);
    if from_mm > to_mm {
        place.get("from_mm").refuse(
            format!("the stations are swapped: from_mm {from_mm} is beyond to_mm {to_mm}"),
            format!("a station up to to_mm ({to_mm})"),
        );
        return None;
    }
    Some(Place::OnSpan {
        span,
        from_mm,
        to_mm,
    })
}

fn read_span(field: &Field<'_>, style: Option<StyleId>) -> Option<String> {
    let span = field.clone().required_text(limits::ID)?;
    let Some(style) = style else {
        return Some(span);
    };
    let spans: Vec<&str> = body::style(style)
        .spans
        .iter()
        .map(|span| span.id.as_str())
        .collect();
    field.names_one_of("span", &span, &spans).then_some(span)
}

fn read_points(points: &Field<'_>) -> Option<[Point; 2]> {
    let items = points.items();
    let [a, b] = items.as_slice() else {
        if points.value().is_some_and(serde_json::Value::is_array) {
            points.refuse("two points are needed", "[[x, y, z], [x, y, z]] in mm");
        }
        return None;
    };
    let (a, b) = (read_point(a), read_point(b));
    Some([a?, b?])
}

fn read_point(point: &Field<'_>) -> Option<Point> {
    const ACCEPTED: &str = "a point [x, y, z] in mm";
    let point = point.clone().required(ACCEPTED);
    let items = point.items();
    let [x, y, z] = items.as_slice() else {
        if point.value().is_some_and(serde_json::Value::is_array) {
            point.refuse("three coordinates are needed", ACCEPTED);
        }
        return None;
    };
    let [x, y, z] = [x, y, z].map(|c| c.clone().required(ACCEPTED).number(&limits::COORDINATE));
    Some(Point::new(x?, y?, z?))
}

fn read_component(item: &Field<'_>, place: Option<Place>, ids: Ids) -> Option<ComponentReport> {
    refuse_fields_of_the_other(item, BARE, "bare");
    let component = ids.read(item.get("component"));
    let kind = item
        .get("kind")
        .required("what the component is")
        .word(Kind::ALL, Kind::word);
    let layers = item.get("layers").whole(Steel::LAYERS);
    let radius_mm = item.get("radius_mm").number(&limits::RADIUS);
    let bag = item.get("bag").word(Bag::ALL, Bag::word);
    let belt_seat = item.get("belt_seat").text(limits::NAME);
    let steel = Steel {
        uts_mpa: item.get("uts_mpa").number(&limits::UTS),
        thickness_mm: item.get("thickness_mm").number(&limits::THICKNESS),
        layers: layers.and_then(|count| u32::try_from(count).ok()),
        perimeter_mm: item.get("perimeter_mm").number(&limits::PERIMETER),
    };
    let gas = Gas {
        pressure_mpa: item.get("pressure_mpa").number(&limits::PRESSURE),
        volume_cm3: item.get("volume_cm3").number(&limits::VOLUME),
        gas: item.get("gas").text(limits::NAME),
    };
    let (component, kind, place) = (component?, kind?, place?);
    Some(ComponentReport {
        component,
        kind,
        place,
        radius_mm,
        bag,
        belt_seat,
        steel,
        gas,
    })
}

fn read_bare(item: &Field<'_>, place: Option<Place>, source: Option<Source>) -> Option<BareReport> {
    refuse_fields_of_the_other(item, COMPONENT, "component");
    if source.is_some_and(|s| !matches!(s, Source::Measured | Source::Seen)) {
        item.get("source").refuse(
            "a bare place has to be looked at with the trim off",
            "measured, seen",
        );
    }
    let depth = item
        .get("depth")
        .required("skin, through")
        .word(Depth::ALL, Depth::word);
    let resolved = read_resolved(&item.get("resolved"));
    match place? {
        Place::OnSpan {
            span,
            from_mm,
            to_mm,
        } => Some(BareReport {
            span,
            from_mm,
            to_mm,
            depth: depth?,
            resolved,
        }),
        Place::Points(_) => {
            let accepted = "a span with from_mm and to_mm";
            item.get("place")
                .refuse("a bare place lies on a span", accepted);
            None
        }
    }
}

fn read_resolved(resolved: &Field<'_>) -> Option<Resolved> {
    if !resolved.object(&["by", "on"]) {
        return None;
    }
    let by = resolved.get("by").required_text(limits::NAME);
    let on = resolved
        .get("on")
        .required("a day written 2026-03-05")
        .date();
    Some(Resolved { by: by?, on: on? })
}

fn refuse_fields_of_the_other(item: &Field<'_>, fields: &[&str], other: &str) {
    for name in fields.iter().filter(|name| item.get(name).is_given()) {
        let message = format!("`{name}` belongs to a {other} finding");
        item.get(name).refuse(message, "leave it out");
    }
}
