//! Notes in words, each phrased once for pages, drawings and paper.

use crate::domain::annotation::{Annotation, Picture, Remark, Standing, Target};
use crate::domain::body::style;
use crate::domain::card::Card;
use crate::domain::units::Rounding;
use crate::web::{figures, say};

/// Characters of a note that a drawing's key has room for.
const MOST_ON_A_DRAWING: usize = 160;

/// From where a picture shows the car.
pub const fn seen(picture: Picture) -> &'static str {
    match picture {
        Picture::Left => "from the left",
        Picture::Right => "from the right",
        Picture::Top => "from above",
        Picture::Front => "from the front",
    }
}

/// What a note is about.
pub fn about(target: &Target, card: &Card) -> String {
    match target {
        Target::Card => "The whole card".to_owned(),
        Target::Station { span, at_mm } => {
            let spans = &style(card.vehicle.body_style).spans;
            let named = spans.iter().find(|s| s.id == span.as_str());
            format!(
                "{}, {} from the foot",
                named.map_or(span.as_str(), |s| s.name.as_str()),
                figures::both(*at_mm, Rounding::Nearest)
            )
        }
        Target::Place { picture, .. } => format!("A place on the car {}", seen(*picture)),
        Target::Arrow { picture, label, .. } => {
            format!("“{label}”, an arrow on the car {}", seen(*picture))
        }
        Target::Finding(id) => format!("Finding {id}"),
    }
}

/// Who wrote it, for whom, when.
pub fn signed(remark: &Remark) -> String {
    let who = [&remark.by, &remark.department].into_iter().flatten();
    let who: Vec<&str> = who.map(String::as_str).collect();
    let who = match who.is_empty() {
        true => "unknown who".to_owned(),
        false => who.join(", "),
    };
    format!("{who} · {}", say::day(remark.on))
}

/// Said before what a partner offered.
fn offered(remark: &Remark) -> &'static str {
    match remark.standing {
        Standing::Offered => "OFFERED, not accepted: ",
        _ => "",
    }
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A note below a drawing: its beginning and whose it is.
pub fn on_a_drawing(note: &Remark) -> String {
    let text = one_line(&note.text);
    let mut chars = text.chars();
    let mut begun: String = chars.by_ref().take(MOST_ON_A_DRAWING).collect();
    if chars.next().is_some() {
        begun.push('…');
    }
    let whose = note.department.as_deref().or(note.by.as_deref());
    let whose = whose.map_or(String::new(), |who| format!(" ({who})"));
    format!("{}{begun}{whose}", offered(note))
}

/// A note on paper: what about, whole, whose, and that it was answered.
pub fn in_a_line(annotation: &Annotation, card: &Card) -> String {
    let note = &annotation.note;
    let replies = annotation.replies.iter().filter(|r| r.standing.shows());
    let answers: Vec<String> = replies
        .map(|r| format!(" — {}{} ({})", offered(r), one_line(&r.text), signed(r)))
        .collect();
    format!(
        "{}  {}: {}{} ({}){}",
        note.id,
        about(&annotation.target, card),
        offered(note),
        one_line(&note.text),
        signed(note),
        answers.concat()
    )
}
