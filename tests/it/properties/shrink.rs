//! A no-cut shrinks only by what may shrink it (design section 9, rule 1).

use super::{answer, shrunk};
use crate::support::cards::{card, card_of};
use pillarbook::domain::body::StyleId;
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{BareReport, Depth, Finding, Place, Report, Source, Status};
use pillarbook::domain::kind::{Bag, Kind};
use pillarbook::domain::policy::{Coverage, CushionPolicy};
use pillarbook::domain::vehicle::Vehicle;
use proptest::prelude::*;
use proptest::sample::select;

/// Two cards of one style: the second one's findings are the further ones.
fn two_cards() -> impl Strategy<Value = (Card, Card)> {
    select(StyleId::ALL).prop_flat_map(|id| (card_of(id, 1..7), card_of(id, 1..4)))
}

fn component_findings(card: &Card) -> impl Iterator<Item = &Finding> {
    let is_component = |f: &&Finding| matches!(f.report, Report::Component(_));
    card.findings.iter().filter(is_component)
}

fn component_of(finding: &Finding) -> &str {
    match &finding.report {
        Report::Component(c) => &c.component,
        Report::Bare(_) => unreachable!("asked of components alone"),
    }
}

/// The further findings, renamed, with stations kept on the first card's spans.
fn further(first: &Card, other: &Card, change: impl Fn(&mut Finding)) -> Card {
    let mut card = first.clone();
    for finding in component_findings(other) {
        let mut new = finding.clone();
        new.id = format!("new-{}", new.id);
        change(&mut new);
        card.findings.push(new);
    }
    // Both on the template: fitted lengths would put stations off their span.
    card.measured = Default::default();
    card
}

fn on_template(card: &Card) -> Card {
    Card {
        measured: Default::default(),
        ..card.clone()
    }
}

/// Findings drawn on a longer span may be off the template's.
fn answers(card: &Card) -> bool {
    pillarbook::domain::zone::zones(card, &Default::default()).is_ok()
}

proptest! {
    #![proptest_config(super::cases(96))]

    #[test]
    fn a_finding_on_a_new_component_never_shortens_a_no_cut((first, other) in two_cards()) {
        let more = further(&first, &other, |f| {
            let Report::Component(c) = &mut f.report else { unreachable!() };
            c.component = format!("new-{}", c.component);
        });
        prop_assume!(answers(&on_template(&first)) && answers(&more));
        prop_assert_eq!(shrunk(&answer(&on_template(&first)), &answer(&more)), None);
    }

    #[test]
    fn an_offer_never_shortens_a_no_cut((first, other) in two_cards()) {
        let more = further(&first, &other, |f| f.status = Status::Offered);
        prop_assume!(answers(&on_template(&first)) && answers(&more));
        prop_assert_eq!(shrunk(&answer(&on_template(&first)), &answer(&more)), None);
    }

    #[test]
    fn a_further_finding_never_ends_a_dispute((first, other) in two_cards()) {
        let more = further(&first, &other, |f| f.status = Status::Accepted);
        prop_assume!(answers(&on_template(&first)) && answers(&more));
        let after = answer(&more);
        for before in answer(&on_template(&first)).components.iter().filter(|c| c.disputed) {
            let now = after.components.iter().find(|c| c.id == before.id).unwrap();
            prop_assert!(now.disputed, "{} was disputed", before.id);
        }
    }

    #[test]
    fn while_disputed_every_accepted_findings_own_keep_out_is_covered(card in card()) {
        let all = answer(&card);
        for component in all.components.iter().filter(|c| c.disputed) {
            for finding in component_findings(&card) {
                if component_of(finding) == component.id && finding.status == Status::Accepted {
                    let alone = Card { findings: vec![finding.clone()], ..card.clone() };
                    prop_assert_eq!(shrunk(&answer(&alone), &all), None, "{}", finding.id);
                }
            }
        }
    }

    #[test]
    fn a_larger_clearance_never_shortens_a_no_cut(card in card(), kind in select(Kind::ALL), more in 0.0..150.0) {
        let mut wider = card.clone();
        if let Some(clearance) = card.policy.clearance_mm(kind) {
            wider.policy.clearance_mm.insert(kind, clearance + more);
        }
        prop_assert_eq!(shrunk(&answer(&card), &answer(&wider)), None);
    }

    #[test]
    fn a_larger_coverage_or_difference_between_cars_never_shortens_a_no_cut(card in card(), more in 0.0..60.0) {
        let mut wider = card.clone();
        wider.policy.coverage = Coverage::P999;
        prop_assert_eq!(shrunk(&answer(&card), &answer(&wider)), None);
        let mut wider = card.clone();
        wider.policy.car_to_car_mm += more;
        prop_assert_eq!(shrunk(&answer(&card), &answer(&wider)), None);
    }

    #[test]
    fn a_larger_bound_on_a_components_only_finding_never_shortens_a_no_cut(card in card(), more in 0.0..400.0) {
        let mut wider = card.clone();
        let only: Vec<usize> = (0..card.findings.len()).filter(|i| {
            let Report::Component(own) = &card.findings[*i].report else { return false };
            component_findings(&card).filter(|f| component_of(f) == own.component).count() == 1
        }).collect();
        for i in only {
            let bound = wider.findings[i].bound_mm();
            wider.findings[i].within_mm = Some(bound + more);
        }
        prop_assert_eq!(shrunk(&answer(&card), &answer(&wider)), None);
    }

    #[test]
    fn a_missing_radius_is_never_read_as_smaller_than_its_default(card in card(), share in 0.0..1.0) {
        let (mut missing, mut given) = (card.clone(), card);
        for (missing, given) in missing.findings.iter_mut().zip(&mut given.findings) {
            if let (Report::Component(m), Report::Component(g)) = (&mut missing.report, &mut given.report) {
                m.radius_mm = None;
                g.radius_mm = Some(share * g.kind.default_radius_mm());
            }
        }
        prop_assert_eq!(shrunk(&answer(&given), &answer(&missing)), None);
    }

    #[test]
    fn bare_never_shortens_a_no_cut(card in card(), from in 0.0..1.0, length in 0.0..1.0f64, span in any::<prop::sample::Index>()) {
        let before = answer(&card);
        let on = span.get(&before.spans);
        let from_mm: f64 = from * on.length_mm;
        let report = Report::Bare(BareReport {
            span: on.id.to_string(),
            from_mm,
            to_mm: (from_mm + length * on.length_mm).min(on.length_mm),
            depth: Depth::Through,
            resolved: None,
        });
        let mut more = card.clone();
        more.findings.push(crate::support::cards::finding("bare-new".into(), Source::Measured, 1, 9, report));
        prop_assert_eq!(shrunk(&before, &answer(&more)), None);
    }
}

/// A part on the left B-pillar.
fn part(id: &str, component: &str, kind: Kind, bag: Option<Bag>) -> Finding {
    let mut finding = crate::store::component(id, component, 300.0, 700.0);
    if let Report::Component(report) = &mut finding.report {
        (report.kind, report.bag, report.belt_seat) = (kind, bag, None);
    }
    finding
}

#[test]
fn no_offer_names_the_bag_that_lets_folded_fabric_count_as_expected() {
    let mut card = Card::unrecorded(Vehicle::of_style(StyleId::Sedan));
    card.policy.cushion = CushionPolicy::Expected;
    card.findings = vec![
        part("f1", "c1", Kind::Inflator, Some(Bag::Curtain)),
        part("f2", "c2", Kind::Cushion, None),
    ];
    let span = "rocker.left";
    for finding in card.findings.iter_mut().filter(|f| f.id == "f2") {
        if let Report::Component(report) = &mut finding.report
            && let Place::OnSpan { span: on, .. } = &mut report.place
        {
            *on = span.into();
        }
    }
    for status in [Status::Accepted, Status::Offered] {
        card.findings[1].status = status;
        let mut offered = card.clone();
        let mut named = card.findings[1].clone();
        (named.id, named.status) = ("f3".into(), Status::Offered);
        if let Report::Component(report) = &mut named.report {
            report.bag = Some(Bag::Curtain);
        }
        offered.findings.push(named.clone());
        assert_eq!(shrunk(&answer(&card), &answer(&offered)), None, "{status}");
        // Named by what counts itself, it is expected: the policy is still of use.
        let mut known = card.clone();
        known.findings[1] = named;
        assert!(shrunk(&answer(&card), &answer(&known)).is_some());
    }
}
