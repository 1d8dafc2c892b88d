//! A panel line beside what is expected: a part recorded there says nothing
//! against what else may be there.

use crate::support::cards::finding;
use pillarbook::domain::body::{StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{ComponentReport, Gas, Place, Report, Source, Steel};
use pillarbook::domain::frame::{Point, Vector};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::opening::plan::{Settings, plan};
use pillarbook::domain::opening::{Ask, Care, CutStatus, PanelLine, Plan, Target};
use pillarbook::domain::vehicle::Vehicle;

fn planned(card: &Card, seat: &str) -> Plan {
    let ask = Ask::of(seat.to_owned(), Care::Gentle);
    plan(card, &ask, &Settings::default()).expect("a valid card and ask have a plan")
}

/// The panel lines of a plan, each with its opening, side and name.
fn lines(plan: &Plan) -> Vec<(String, &PanelLine)> {
    let openings = plan.openings.iter();
    openings
        .flat_map(|o| {
            let name = move || format!("{} {:?}", o.id, o.side);
            o.steps.iter().filter_map(move |s| match &s.target {
                Target::Panel(line) => Some((format!("{} {}", name(), line.name), line)),
                _ => None,
            })
        })
        .collect()
}

/// A thin inflator measured from point to point.
fn with_inflator(card: &Card, ends: [Point; 2]) -> Card {
    let report = Report::Component(ComponentReport {
        component: "new".into(),
        kind: Kind::Inflator,
        place: Place::Points(ends),
        radius_mm: Some(5.0),
        bag: None,
        belt_seat: None,
        steel: Steel::default(),
        gas: Gas::default(),
    });
    let mut card = card.clone();
    card.policy.clearance_mm.insert(Kind::Inflator, 0.0);
    card.findings
        .push(finding("f1".into(), Source::Measured, 1, 1, report));
    card
}

/// How far the inflator lies off the span's middle line, mm.
fn asides() -> impl Iterator<Item = Vector> {
    let far = [-150.0, -75.0, 0.0, 75.0, 150.0];
    far.into_iter()
        .flat_map(move |y| far.map(|z| Vector::new(0.0, y, z)))
}

#[test]
fn a_part_recorded_where_something_is_expected_makes_no_panel_line_better() {
    let mut compared = 0;
    for id in StyleId::ALL {
        let card = Card::unrecorded(Vehicle::of_style(*id));
        let body = fit(style(*id), &card.measured).expect("an unmeasured car fits");
        let Some(seat) = body.style.seats.iter().find(|s| s.row == 2) else {
            continue;
        };
        let before = planned(&card, &seat.id);
        for (name, was) in lines(&before) {
            let in_the_way = body.style.expectations.iter();
            for expected in in_the_way.filter(|e| was.by.iter().any(|id| e.id == *id)) {
                let line = &body.span(&expected.span).expect("a span of the style").line;
                let end = |share: f64| line.point_at(share * line.length());
                let ends = [end(expected.from_share), end(expected.to_share)];
                for aside in asides() {
                    let beside = ends.map(|end| end + aside);
                    let after = planned(&with_inflator(&card, beside), &seat.id);
                    let after = lines(&after);
                    let Some((_, is)) = after.iter().find(|(n, _)| *n == name) else {
                        continue;
                    };
                    compared += 1;
                    let blocked = is.status == CutStatus::Blocked;
                    assert!(
                        blocked || is.status == was.status && is.by == was.by,
                        "{id:?} {name}: {:?} by {:?} became {:?} by {:?} with a part at {beside:?}",
                        was.status,
                        was.by,
                        is.status,
                        is.by
                    );
                }
            }
        }
    }
    assert!(compared > 20, "{compared}");
}
