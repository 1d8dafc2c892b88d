//! What a department has set for its plans: versioned, its own alone.

use super::*;
use pillarbook::domain::opening::catalogue::catalogue;
use pillarbook::domain::opening::template::{Opening, ToolKind};
use pillarbook::domain::opening::tool::Tool;
use pillarbook::store::{PlanSettings, StoreError};

/// One of each: every opening of the catalogue under a name of its own, so that
/// every form of a step is written and read.
pub fn some() -> PlanSettings {
    let own = |opening: &Opening| Opening {
        id: format!("own-{}", opening.id),
        ..opening.clone()
    };
    PlanSettings {
        openings: catalogue().iter().map(own).collect(),
        tools: vec![
            Tool {
                force_kn: Some(500.0),
                blade_half_width_mm: Some(32.5),
                opening_mm: Some(180.0),
                mass_kg: Some(19.25),
                ..marked("A8/B8/C8/D8/E9/F4")
            },
            marked("BC 165 H-15.2"),
            marked("1I-2K-3H-4K-5K"),
            Tool::named("old saw", ToolKind::Saw),
        ],
        rules_off: ["foot-before-head".to_owned()].into(),
    }
}

/// A cutter with a plate, one for each form of designation.
fn marked(plate: &str) -> Tool {
    Tool {
        designation: Some(plate.parse().unwrap()),
        ..Tool::named(format!("cutter {plate}"), ToolKind::Cutter)
    }
}

#[tokio::test]
async fn what_is_set_is_read_back_whole_and_the_same_again_changes_nothing() {
    let held = empty().await;
    let actor = held.store.ensure_local(NOW).await.unwrap();
    let none = held.store.plan_settings(&actor.department).await.unwrap();
    assert_eq!(none, (0, PlanSettings::default()));

    let set = |expected, settings: PlanSettings| {
        let (store, actor) = (held.store.clone(), actor.clone());
        async move {
            store
                .set_plan_settings(&actor, expected, &settings, NOW)
                .await
        }
    };
    assert_eq!(set(Some(0), some()).await.unwrap(), 1);
    assert_eq!(set(Some(1), some()).await.unwrap(), 1);
    let read = held.store.plan_settings(&actor.department).await.unwrap();
    assert_eq!(read, (1, some()));
    assert_eq!(set(None, PlanSettings::default()).await.unwrap(), 2);
    let audit = held.store.audit(&actor.department, None, 10).await.unwrap();
    let lines = audit.iter().filter(|l| l.action == "plan-settings-set");
    assert_eq!(lines.count(), 2, "one line a change");
}

#[tokio::test]
async fn settings_that_moved_on_are_not_written_over() {
    let held = empty().await;
    let actor = held.store.ensure_local(NOW).await.unwrap();
    let store = &held.store;
    store
        .set_plan_settings(&actor, Some(0), &some(), NOW)
        .await
        .unwrap();
    let late = PlanSettings::default();
    assert!(matches!(
        store.set_plan_settings(&actor, Some(0), &late, NOW).await,
        Err(StoreError::Conflict {
            expected: 0,
            current: 1
        })
    ));
    let read = store.plan_settings(&actor.department).await.unwrap();
    assert_eq!(read, (1, some()));
}

#[tokio::test]
async fn a_departments_settings_are_its_own_also_where_it_may_read_cards() {
    let held = empty().await;
    let (ours, theirs) = (
        member_of(&held.store, "Westmoor").await,
        member_of(&held.store, "Eastmoor").await,
    );
    let store = &held.store;
    store
        .set_plan_settings(&theirs, None, &some(), NOW)
        .await
        .unwrap();
    super::sharing::partners(store, &theirs, &ours).await;
    let read = store.plan_settings(&ours.department).await.unwrap();
    assert_eq!(read, (0, PlanSettings::default()));
}
