//! Everything a random card can carry beside its bare findings: what was decided
//! about them, materials and gas, details of the car, notes of every kind in every
//! standing with replies, and photos whose bytes are drawn as well.

use crate::support::cards::card;
use pillarbook::domain::annotation::{
    Annotation, Photo, Picture, Remark, Settled, Standing, Target,
};
use pillarbook::domain::body::{fit, style};
use pillarbook::domain::card::{Card, Glass, PowerOff, PowerSource};
use pillarbook::domain::finding::{Finding, Gas, Report, Resolved, Status, Steel};
use pillarbook::domain::kind::Kind;
use pillarbook::photo::{Taken, take};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::BTreeMap;
use std::io::Cursor;
use time::Date;

/// A card, and its photos by the names its notes have for them.
#[derive(Debug, Clone)]
pub struct NotedCard {
    pub card: Card,
    pub photos: BTreeMap<String, Shades>,
}

/// Words as people write them, and as nobody should: trimmed, since whatever reads
/// a text trims it.
fn words(most: usize) -> impl Strategy<Value = String> {
    let odd = [
        "Harness crosses here",
        "</textarea><script>alert(1)</script>",
        "'; DROP TABLE annotations; --",
        "=HYPERLINK(\"x\")",
        "“Rot”, sagt sie: 3⁄8 Zoll — ½ Hand 🚒",
        "سيارة السيارة",
        "first line\nsecond line\r\n\tindented",
        "\\u0000 \\n %00 ../../etc &amp; &lt;",
        "{\"a\":[1,2]}",
        "e\u{301}\u{200b}\u{202e}txt",
    ];
    prop_oneof![
        select(odd.to_vec()).prop_map(str::to_owned),
        "\\PC{1,40}",
        Just("x".repeat(most)),
    ]
    .prop_map(move |text| text.trim().chars().take(most).collect::<String>())
    .prop_map(|text| match text.trim() {
        "" => "n".to_owned(),
        kept => kept.to_owned(),
    })
}

fn day() -> impl Strategy<Value = Date> {
    (2019i32..2027, 1u16..366).prop_map(|(y, d)| Date::from_ordinal_date(y, d).unwrap())
}

prop_compose! {
    fn settled()(by in words(80), on in day(), reason in option::of(words(400))) -> Settled {
        Settled { by, on, reason }
    }
}

/// What a photo shows.
#[derive(Debug, Clone, Copy)]
pub struct Shades {
    width: u32,
    height: u32,
    shade: u8,
}

/// A remark without an id, and the photos that are to hang on it with their words.
#[derive(Debug, Clone)]
struct RemarkDraw {
    remark: Remark,
    photos: Vec<(String, Shades)>,
}

prop_compose! {
    fn shades()(width in 6u32..40, height in 6u32..40, shade in any::<u8>()) -> Shades {
        Shades { width, height, shade }
    }
}

prop_compose! {
    fn remark()(
        text in words(2_000),
        by in option::of(words(80)),
        department in option::of(words(80)),
        on in day(),
        standing in select(Standing::ALL),
        settled in option::of(settled()),
        photos in prop_oneof![
            3 => Just(Vec::new()),
            1 => vec((words(200), shades()), 1..7),
        ],
    ) -> RemarkDraw {
        let remark = Remark { id: String::new(), text, by, department, on, standing, settled, photos: Vec::new() };
        RemarkDraw { remark, photos }
    }
}

/// Where a note goes: which kind of place, and shares of it.
#[derive(Debug, Clone)]
struct NoteDraw {
    place: u8,
    index: prop::sample::Index,
    at: [f64; 4],
    label: String,
    note: RemarkDraw,
    replies: Vec<RemarkDraw>,
}

prop_compose! {
    fn note()(
        place in 0u8..5,
        index in any::<prop::sample::Index>(),
        at in [0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0],
        label in words(24),
        note in remark(),
        replies in vec(remark(), 0..4),
    ) -> NoteDraw {
        NoteDraw { place, index, at, label, note, replies }
    }
}

/// What is decided about a finding and known of its material.
#[derive(Debug, Clone)]
struct Dressing {
    note: Option<String>,
    reason: Option<String>,
    steel: Steel,
    gas: Gas,
    resolved: Option<(String, Date)>,
}

prop_compose! {
    fn dressing()(
        note in option::weighted(0.3, words(400)),
        reason in option::weighted(0.5, words(400)),
        uts_mpa in option::of(1.0..5_000.0),
        thickness_mm in option::of(0.1..100.0),
        layers in option::of(1u32..50),
        pressure_mpa in option::of(0.0..250.0),
        volume_cm3 in option::of(0.0..1e6),
        gas in option::of(words(60)),
        resolved in option::weighted(0.4, (words(80), day())),
    ) -> Dressing {
        let steel = Steel { uts_mpa, thickness_mm, layers, perimeter_mm: None };
        let gas = Gas { pressure_mpa, volume_cm3, gas };
        Dressing { note, reason, steel, gas, resolved }
    }
}

prop_compose! {
    /// Any card with notes and photos.
    pub fn noted_card()(
        card in card(),
        dressings in vec(dressing(), 32),
        identify in option::of(words(1_000)),
        power in vec((select(PowerSource::ALL), words(200), words(200)), 0..3),
        glass in option::of(select(Glass::ALL)),
        hold_time_s in option::of(0u32..3_600),
        notes in vec(note(), 0..6),
    ) -> NotedCard {
        let mut card = card;
        for (index, finding) in card.findings.iter_mut().enumerate() {
            dress(finding, &dressings[index % dressings.len()]);
        }
        name_what_corrects(&mut card.findings);
        card.identify = identify;
        let power = power.into_iter().map(|(what, where_, how)| PowerOff { what, where_, how });
        card.power_off = power.collect();
        let body = style(card.vehicle.body_style);
        let panes = body.panes.iter().map(|pane| pane.id.to_string());
        card.glass = glass.map_or_else(BTreeMap::new, |glass| panes.map(|p| (p, glass)).collect());
        card.vehicle.hold_time_s = hold_time_s;
        let mut made = NotedCard { card, photos: BTreeMap::new() };
        notes.iter().for_each(|note| made.add(note));
        made
    }
}

fn dress(finding: &mut Finding, with: &Dressing) {
    finding.note = with.note.clone();
    if matches!(finding.status, Status::Declined | Status::Withdrawn) {
        finding.reason = with.reason.clone();
    }
    match &mut finding.report {
        Report::Component(report) => {
            if report.kind == Kind::Reinforcement {
                report.steel = with.steel.clone();
            }
            if matches!(report.kind, Kind::GasCylinder | Kind::FuelGasTank) {
                report.gas = with.gas.clone();
            }
        }
        Report::Bare(bare) => {
            let resolved = with.resolved.clone();
            bare.resolved = resolved.map(|(by, on)| Resolved { by, on });
        }
    }
}

/// Every other superseded finding is named by one that acts.
fn name_what_corrects(findings: &mut [Finding]) {
    let superseded = findings.iter().filter(|f| f.status == Status::Superseded);
    let old: Vec<String> = superseded.map(|f| f.id.clone()).collect();
    let acting = findings.iter_mut().filter(|f| f.acts());
    for (finding, old) in acting.zip(old) {
        finding.supersedes = Some(old);
    }
}

impl NotedCard {
    /// The same card among others: with names of photos that none of them has.
    pub fn named_apart(mut self, nth: usize) -> Self {
        let apart = |name: &str| format!("{nth:02x}{}", &name[2..]);
        for note in &mut self.card.annotations {
            for remark in std::iter::once(&mut note.note).chain(&mut note.replies) {
                remark
                    .photos
                    .iter_mut()
                    .for_each(|p| p.name = apart(&p.name));
            }
        }
        let photos = std::mem::take(&mut self.photos).into_iter();
        self.photos = photos.map(|(name, taken)| (apart(&name), taken)).collect();
        self
    }

    fn add(&mut self, drawn: &NoteDraw) {
        let nth = self.card.annotations.len();
        let target = self.target(drawn);
        let note = self.hang(&drawn.note, format!("n{nth}"));
        let replies = drawn.replies.iter().enumerate().map(|(r, reply)| {
            let mut reply = self.hang(reply, format!("n{nth}-{r}"));
            // A note is resolved, a reply is not.
            if reply.standing == Standing::Resolved {
                reply.standing = Standing::Hidden;
            }
            reply
        });
        let replies = replies.collect();
        self.card.annotations.push(Annotation {
            target,
            note,
            replies,
        });
    }

    fn target(&self, drawn: &NoteDraw) -> Target {
        let [a, b, c, d] = drawn.at.map(|share| 4_000.0 * share - 500.0);
        let picture = *drawn.index.get(Picture::ALL);
        match drawn.place {
            0 => Target::Card,
            1 => {
                let body = fit(style(self.card.vehicle.body_style), &self.card.measured).unwrap();
                let span = drawn.index.get(&body.spans);
                let at_mm = drawn.at[0] * span.line.length();
                Target::Station {
                    span: span.id.to_string(),
                    at_mm,
                }
            }
            2 => Target::Place {
                picture,
                at_mm: [a, b],
            },
            3 => Target::Arrow {
                picture,
                from_mm: [a, b],
                to_mm: [c + 5_000.0, d],
                label: drawn.label.clone(),
            },
            _ if self.card.findings.is_empty() => Target::Card,
            _ => Target::Finding(drawn.index.get(&self.card.findings).id.clone()),
        }
    }

    /// The remark with its photos, each under a name as the program draws them.
    fn hang(&mut self, drawn: &RemarkDraw, id: String) -> Remark {
        let mut remark = Remark {
            id,
            ..drawn.remark.clone()
        };
        for (alt, shades) in &drawn.photos {
            let name = format!("{:032x}", self.photos.len());
            remark.photos.push(Photo {
                name: name.clone(),
                alt: alt.clone(),
                width_px: shades.width,
                height_px: shades.height,
                sha256: None,
            });
            self.photos.insert(name, *shades);
        }
        remark
    }
}

impl Shades {
    /// A photo as the program keeps one.
    pub fn taken(self) -> Taken {
        let shaded = |x: u32, y: u32| {
            let v = u8::try_from((x * 31 + y * 17 + u32::from(self.shade)) % 256).unwrap();
            image::Rgb([v, self.shade, 255 - v])
        };
        let drawn = image::RgbImage::from_fn(self.width, self.height, shaded);
        let mut png = Cursor::new(Vec::new());
        let format = image::ImageFormat::Png;
        drawn.write_to(&mut png, format).unwrap();
        take(&png.into_inner()).unwrap()
    }
}
