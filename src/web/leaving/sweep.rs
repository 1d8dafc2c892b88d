//! Deletes, at start and once an hour, the departments whose day has come, and
//! the files beside the database of photos that are gone from it.

use crate::store::{PhotoFiles, Store, StoreError};
use std::error::Error;
use std::future::Future;
use std::time::Duration;
use time::OffsetDateTime;

/// How long after its day a department may still be there.
const EVERY: Duration = Duration::from_secs(60 * 60);

/// Sweeps once an hour for as long as `work` goes on; files are tried at once, so
/// that a place of photos that does not answer holds up no start.
pub async fn sweep_beside<T>(
    store: &Store,
    photos: &PhotoFiles,
    work: impl Future<Output = T>,
) -> T {
    let sweeping = async {
        sweep_files(store, photos).await;
        loop {
            tokio::time::sleep(EVERY).await;
            sweep(store, photos).await;
        }
    };
    tokio::select! {
        done = work => done,
        () = sweeping => unreachable!("sweeping never ends"),
    }
}

/// Sweeps once. What fails is logged, and tried again with the next sweep.
pub async fn sweep(store: &Store, photos: &PhotoFiles) {
    sweep_departments(store).await;
    sweep_files(store, photos).await;
}

/// Deletes the departments whose day has come.
pub async fn sweep_departments(store: &Store) {
    match store.remove_due(OffsetDateTime::now_utc()).await {
        Ok(gone) => {
            for one in gone {
                let (cards, members) = (one.cards, one.members);
                tracing::info!(id = %one.id, cards, members, "department deleted");
            }
        }
        Err(error) => tracing::error!(error = &error as &dyn Error, "department not deleted"),
    }
}

async fn sweep_files(store: &Store, photos: &PhotoFiles) {
    if let Err(error) = remove_files(store, photos).await {
        tracing::error!(error = &error as &dyn Error, "photos not removed");
    }
}

/// Removes the files of photos that are to go; one that cannot be removed holds up
/// no other, and stays in the book to be tried again.
async fn remove_files(store: &Store, photos: &PhotoFiles) -> Result<(), StoreError> {
    let left = store.photo_files_left(OffsetDateTime::now_utc()).await?;
    let mut failed = None;
    let mut still_there = 0_usize;
    for name in left {
        match photos.remove(&name).await {
            Ok(()) => store.forget_photo_file(&name).await?,
            Err(error) => {
                still_there += 1;
                failed = Some(error);
            }
        }
    }
    if let Some(error) = failed {
        let error = &error as &dyn Error;
        tracing::error!(error, still_there, "photos not removed");
    }
    Ok(())
}
