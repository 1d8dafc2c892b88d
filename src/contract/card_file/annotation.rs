//! Notes of a card file: read, and written as they are read.

use super::finding::Ids;
use super::limits;
use crate::contract::day::iso_day;
use crate::contract::reader::Field;
use crate::contract::words::word_schema;
use crate::domain::annotation::{
    Annotation, MOST_ALT, MOST_LABEL, MOST_PHOTOS, MOST_REMARKS, MOST_TEXT, Photo, Picture, Remark,
    Settled, Spot, Standing, Target,
};
use crate::domain::body::{StyleId, style};
use crate::domain::finding::Finding;
use serde::Serialize;
use serde_json::Value;
use std::collections::HashMap;
use time::Date;
use utoipa::ToSchema;

/// What a note is about; left out where it is the whole card.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[serde(untagged)]
pub enum AboutFile {
    /// A station from a span's foot.
    Station { span: String, at_mm: f64 },
    /// A place on a picture of the car, mm along its axes: behind the front
    /// axle and above the ground from the left and the right, behind the front
    /// axle and right of the middle from the top, right of the middle and above
    /// the ground from the front.
    Place {
        #[schema(schema_with = word_schema::<Picture>)]
        view: Picture,
        spot_mm: [f64; 2],
    },
    /// An arrow on a picture, from its tail to its head.
    Arrow {
        #[schema(schema_with = word_schema::<Picture>)]
        view: Picture,
        arrow_mm: [[f64; 2]; 2],
        label: String,
    },
    /// A finding of the card.
    Finding { finding: String },
}

/// Who brought a note to where it stands.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SettledFile {
    pub by: String,
    #[serde(with = "iso_day")]
    #[schema(value_type = String, format = Date)]
    pub on: Date,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// A photo kept with a note; `name` is its file's.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PhotoFile {
    pub name: String,
    /// In words, for who cannot see it.
    pub alt: String,
    pub width_px: u32,
    pub height_px: u32,
}

/// What one member wrote.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RemarkFile {
    pub id: String,
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub department: Option<String>,
    #[serde(with = "iso_day")]
    #[schema(value_type = String, format = Date)]
    pub on: Date,
    /// A missing one reads `open`.
    #[schema(required = false, schema_with = word_schema::<Standing>)]
    pub standing: Standing,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settled: Option<SettledFile>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub photos: Vec<PhotoFile>,
}

/// A note beside a card, with its replies.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AnnotationFile {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<AboutFile>,
    #[serde(flatten)]
    pub note: RemarkFile,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub replies: Vec<RemarkFile>,
}

const REMARK: &[&str] = &[
    "id",
    "text",
    "by",
    "department",
    "on",
    "standing",
    "settled",
    "photos",
];
/// Fields of a note beside those of every remark.
const NOTE: &[&str] = &["at", "replies"];

/// Reads the notes of a card with these findings.
pub(super) fn read_annotations(
    list: &Field<'_>,
    style: Option<StyleId>,
    findings: &[Finding],
) -> Vec<Annotation> {
    let items = list.items();
    let replies = |item: &Field<'_>| {
        let given = item.get("replies").value().and_then(Value::as_array);
        given.map_or(0, Vec::len)
    };
    let all: usize = items.iter().map(|item| 1 + replies(item)).sum();
    if all > MOST_REMARKS {
        let accepted = format!("at most {MOST_REMARKS} notes and replies on one card");
        list.refuse(format!("{all} notes and replies are too many"), accepted);
        return Vec::new();
    }
    let mut ids = HashMap::new();
    let note = |item: &Field<'_>| {
        let item = item.clone().required("an object, one note");
        if !item.object(&[REMARK, NOTE].concat()) {
            return None;
        }
        let target = read_about(&item.get("at"), style, findings);
        let note = read_remark(&item, &mut ids, false);
        let replies = item.get("replies").items();
        let replies = replies.iter().map(|reply| {
            let reply = reply.clone().required("an object, one reply");
            let known = reply.object(REMARK);
            known.then(|| read_remark(&reply, &mut ids, true)).flatten()
        });
        let replies: Vec<Option<Remark>> = replies.collect();
        Some(Annotation {
            target: target?,
            note: note?,
            replies: replies.into_iter().collect::<Option<_>>()?,
        })
    };
    items.iter().filter_map(note).collect()
}

fn read_remark(
    item: &Field<'_>,
    ids: &mut HashMap<String, String>,
    is_reply: bool,
) -> Option<Remark> {
    let id = Ids::Required.read(item.get("id"));
    if let Some(id) = &id {
        let place = item.path().to_string();
        if let Some(first) = ids.insert(id.clone(), place) {
            item.get("id").refuse(
                format!("this id is already that of {first}"),
                "an id that no other note or reply of the card has",
            );
        }
    }
    let standing = item.get("standing").word(Standing::ALL, Standing::word);
    if is_reply && standing == Some(Standing::Resolved) {
        item.get("standing").refuse(
            "a reply is not resolved, the note it answers is",
            "open, offered, hidden, declined, withdrawn",
        );
    }
    let photos = item.get("photos").items();
    if photos.len() > MOST_PHOTOS {
        let accepted = format!("at most {MOST_PHOTOS} photos");
        item.get("photos")
            .refuse(format!("{} photos are too many", photos.len()), accepted);
    }
    let text = item.get("text").required_text(MOST_TEXT);
    let on = item.get("on").required("a day written 2026-03-05").date();
    Some(Remark {
        by: item.get("by").text(limits::NAME),
        department: item.get("department").text(limits::NAME),
        standing: standing.unwrap_or(Standing::Open),
        settled: read_settled(&item.get("settled")),
        photos: photos.iter().filter_map(read_photo).collect(),
        // Last, so that every field has been looked at for errors.
        id: id?,
        text: text?,
        on: on?,
    })
}

fn read_settled(settled: &Field<'_>) -> Option<Settled> {
    if !settled.object(&["by", "on", "reason"]) {
        return None;
    }
    let by = settled.get("by").required_text(limits::NAME);
    let on = settled.get("on").required("a day written 2026-03-05");
    let on = on.date();
    let reason = settled.get("reason").text(limits::TEXT);
    Some(Settled {
        by: by?,
        on: on?,
        reason,
    })
}

/// A photo's name stands for a file: nothing in it may lead anywhere else.
fn read_photo(photo: &Field<'_>) -> Option<Photo> {
    let photo = photo.clone().required("an object with name and alt");
    if !photo.object(&["name", "alt", "width_px", "height_px"]) {
        return None;
    }
    let name = photo.get("name");
    let text = name.clone().required_text(limits::ID);
    let plain = |text: &String| {
        text.bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
    };
    if text.as_ref().is_some_and(|text| !plain(text)) {
        name.refuse("this is no photo's name", "small letters a to z and digits");
    }
    let alt = photo.get("alt").required_text(MOST_ALT);
    let pixels = |name: &str| {
        let count = photo.get(name).required("pixels").whole(1..=20_000)?;
        u32::try_from(count).ok()
    };
    let (width_px, height_px) = (pixels("width_px"), pixels("height_px"));
    Some(Photo {
        name: text.filter(plain)?,
        alt: alt?,
        width_px: width_px?,
        height_px: height_px?,
        sha256: None,
    })
}

/// What a note is about; the whole card where nothing is said.
pub(in crate::contract) fn read_about(
    at: &Field<'_>,
    style_id: Option<StyleId>,
    findings: &[Finding],
) -> Option<Target> {
    const ACCEPTED: &str = "nothing for the whole card; a span with at_mm; a view with spot_mm; a view with arrow_mm and label; or a finding";
    if !at.is_given() {
        return Some(Target::Card);
    }
    if !at.object(&[
        "span", "at_mm", "view", "spot_mm", "arrow_mm", "label", "finding",
    ]) {
        return None;
    }
    let given = |name: &str| at.get(name).is_given();
    let ways = ["span", "view", "finding"];
    if ways.iter().filter(|name| given(name)).count() != 1
        || (given("spot_mm") && given("arrow_mm"))
    {
        at.refuse("a note is about one thing", ACCEPTED);
        return None;
    }
    if given("span") {
        let span = at.get("span").required_text(limits::ID);
        let at_mm = at
            .get("at_mm")
            .required("a station in mm from the span's foot");
        let at_mm = at_mm.number(&limits::STATION);
        let span = span.filter(|span| {
            let spans = style_id.map(|id| style(id).spans.iter().map(|s| s.id.as_str()));
            spans.is_none_or(|s| {
                at.get("span")
                    .names_one_of("span", span, &s.collect::<Vec<_>>())
            })
        });
        return Some(Target::Station {
            span: span?,
            at_mm: at_mm?,
        });
    }
    if given("finding") {
        let id = at.get("finding").required_text(limits::ID)?;
        if !findings.iter().any(|f| f.id == id) {
            let message = format!("there is no finding {id} on this card");
            at.get("finding").refuse(message, "the id of a finding");
            return None;
        }
        return Some(Target::Finding(id));
    }
    read_on_picture(at)
}

fn read_on_picture(at: &Field<'_>) -> Option<Target> {
    let picture = at.get("view").word(Picture::ALL, Picture::word);
    if !at.get("arrow_mm").is_given() {
        let at_mm = read_spot(&at.get("spot_mm"));
        return Some(Target::Place {
            picture: picture?,
            at_mm: at_mm?,
        });
    }
    let arrow = at.get("arrow_mm");
    let label = at.get("label").required_text(MOST_LABEL);
    let ends = arrow.items();
    let [tail, head] = ends.as_slice() else {
        arrow.refuse(
            "an arrow has two ends",
            "[[across, up], [across, up]] in mm",
        );
        return None;
    };
    let (from_mm, to_mm) = (read_spot(tail)?, read_spot(head)?);
    if from_mm == to_mm {
        arrow.refuse("the arrow has no length", "a head elsewhere than the tail");
        return None;
    }
    Some(Target::Arrow {
        picture: picture?,
        from_mm,
        to_mm,
        label: label?,
    })
}

fn read_spot(spot: &Field<'_>) -> Option<Spot> {
    const ACCEPTED: &str = "a place on the picture, two coordinates in mm";
    let spot = spot.clone().required(ACCEPTED);
    let items = spot.items();
    let [a, b] = items.as_slice() else {
        if spot.value().is_some_and(Value::is_array) {
            spot.refuse("two coordinates are needed", ACCEPTED);
        }
        return None;
    };
    let [a, b] = [a, b].map(|c| c.clone().required(ACCEPTED).number(&limits::COORDINATE));
    Some([a?, b?])
}

impl From<&Target> for Option<AboutFile> {
    fn from(target: &Target) -> Self {
        Some(match target.clone() {
            Target::Card => return None,
            Target::Station { span, at_mm } => AboutFile::Station { span, at_mm },
            Target::Place { picture, at_mm } => AboutFile::Place {
                view: picture,
                spot_mm: at_mm,
            },
            Target::Arrow {
                picture,
                from_mm,
                to_mm,
                label,
            } => AboutFile::Arrow {
                view: picture,
                arrow_mm: [from_mm, to_mm],
                label,
            },
            Target::Finding(finding) => AboutFile::Finding { finding },
        })
    }
}

impl From<&Remark> for RemarkFile {
    fn from(remark: &Remark) -> Self {
        let settled = |s: &Settled| SettledFile {
            by: s.by.clone(),
            on: s.on,
            reason: s.reason.clone(),
        };
        let photo = |p: &Photo| PhotoFile {
            name: p.name.clone(),
            alt: p.alt.clone(),
            width_px: p.width_px,
            height_px: p.height_px,
        };
        Self {
            id: remark.id.clone(),
            text: remark.text.clone(),
            by: remark.by.clone(),
            department: remark.department.clone(),
            on: remark.on,
            standing: remark.standing,
            settled: remark.settled.as_ref().map(settled),
            photos: remark.photos.iter().map(photo).collect(),
        }
    }
}

impl From<&Annotation> for AnnotationFile {
    fn from(annotation: &Annotation) -> Self {
        Self {
            at: (&annotation.target).into(),
            note: RemarkFile::from(&annotation.note),
            replies: annotation.replies.iter().map(RemarkFile::from).collect(),
        }
    }
}
