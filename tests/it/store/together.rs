//! Several writing at once: each change succeeds or is told of the conflict, and
//! none is lost.

use super::*;
use pillarbook::store::StoreError;
use tokio::task::JoinSet;

const TASKS: usize = 8;
const EACH: usize = 10;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn eight_members_adding_at_once_all_succeed() {
    let Empty {
        store,
        directory: _keep,
        ..
    } = empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    let mut tasks = JoinSet::new();
    for _ in 0..TASKS {
        let (store, actor, id) = (store.clone(), actor.clone(), card.id.clone());
        tasks.spawn(async move {
            for _ in 0..EACH {
                let finding = [component("", "", 80.0, 210.0)];
                let done = store.add_findings(&actor, &id, None, &finding, NOW).await;
                assert!(done.unwrap().is_some());
                let read = store.card(&actor.department, &id).await.unwrap().unwrap();
                assert_eq!(
                    read.card.findings.len() as i64,
                    read.revision - 1,
                    "one moment"
                );
            }
        });
    }
    while let Some(done) = tasks.join_next().await {
        done.unwrap();
    }
    let read = store
        .card(&actor.department, &card.id)
        .await
        .unwrap()
        .unwrap();
    let mut ids: Vec<_> = read.card.findings.iter().map(|f| f.id.clone()).collect();
    ids.sort();
    ids.dedup();
    assert_eq!(
        (ids.len(), read.revision),
        (TASKS * EACH, 1 + (TASKS * EACH) as i64)
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_eight_edits_of_one_revision_one_wins_and_the_others_are_told() {
    let Empty {
        store,
        directory: _keep,
        ..
    } = empty().await;
    let actor = store.ensure_local(NOW).await.unwrap();
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    let mut tasks = JoinSet::new();
    for n in 0..TASKS {
        let (store, actor, id) = (store.clone(), actor.clone(), card.id.clone());
        tasks.spawn(async move {
            let mut mine = details();
            mine.identify = Some(format!("member {n}"));
            let done = store.update_details(&actor, &id, 1, &mine, NOW).await;
            match done {
                Ok(stored) => stored.map(|stored| stored.card.identify),
                Err(StoreError::Conflict {
                    expected: 1,
                    current: 2,
                }) => None,
                Err(other) => panic!("{other:?}"),
            }
        });
    }
    let mut won = Vec::new();
    while let Some(done) = tasks.join_next().await {
        won.extend(done.unwrap());
    }
    assert_eq!(won.len(), 1);
    let read = store
        .card(&actor.department, &card.id)
        .await
        .unwrap()
        .unwrap();
    assert_eq!((read.revision, read.card.identify), (2, won.remove(0)));
}
