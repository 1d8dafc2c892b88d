//! Random asks: any seat, care, position and answers, with looks on the car.

use pillarbook::domain::body::{BodyStyle, fit, style};
use pillarbook::domain::card::{Card, PowerSource};
use pillarbook::domain::kind::Bag;
use pillarbook::domain::opening::template::ToolKind;
use pillarbook::domain::opening::{
    Answer, Ask, AskedTool, Care, Contact, Fired, Isolated, Isolation, Look, LookFound, Resting,
    Trapped,
};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

prop_compose! {
    fn tool()(
        kind in select(&[ToolKind::Cutter, ToolKind::Spreader, ToolKind::Ram, ToolKind::Saw][..]),
        force_kn in option::of(50.0..1200.0),
        blade_half_width_mm in option::of(10.0..70.0),
        name in "[a-d]",
    ) -> AskedTool {
        AskedTool { name, kind, force_kn, blade_half_width_mm }
    }
}

/// A look somewhere on a card's body, at bare metal.
pub fn look(card: &Card) -> impl Strategy<Value = Look> + use<> {
    let body = fit(style(card.vehicle.body_style), &card.measured).expect("a card that fits");
    let spans: Vec<(String, f64)> = body
        .spans
        .iter()
        .map(|s| (s.id.to_string(), s.line.length()))
        .collect();
    (select(spans), 0.0..0.9, 0.05..0.8).prop_map(|((span, length), from, more): (_, f64, f64)| {
        let to_mm = ((from + more) * length).min(length);
        Look {
            span,
            from_mm: from * length,
            to_mm,
            found: LookFound::Bare,
        }
    })
}

fn seats(style: &'static BodyStyle) -> Vec<String> {
    style.seats.iter().map(|s| s.id.to_string()).collect()
}

prop_compose! {
    /// An ask about a card, without looks and without an own order.
    pub fn ask(card: &Card)(
        seat in select(seats(style(card.vehicle.body_style))),
        care in select(Care::ALL),
        trapped in select(Trapped::ALL),
        contact in proptest::sample::subsequence(Contact::ALL.to_vec(), 0..3),
        hand_passes in select(Answer::ALL),
        resting in select(Resting::ALL),
        fired in btree_map(select(Bag::ALL), select(Fired::ALL), 0..4),
        isolated in btree_map(select(PowerSource::ALL), select(Isolated::ALL), 0..4),
        tools in vec(tool(), 0..4),
    ) -> Ask {
        let isolation = isolated.into_iter().map(|(what, state)| (what, Isolation { state, at: None }));
        // A pinned patient has no own way out.
        let trapped = if care == Care::OwnWayOut { Trapped::Not } else { trapped };
        Ask {
            trapped, contact, hand_passes, resting, fired, tools,
            reach: resting.reach().to_vec(),
            isolation: isolation.collect(),
            ..Ask::of(seat, care)
        }
    }
}
