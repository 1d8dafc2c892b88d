//! Deletes, at start and once an hour, the departments whose day has come, and
//! what lies beside the database of departments that are gone.

use crate::store::{PhotoFiles, Store};
use std::error::Error;
use std::future::Future;
use std::time::Duration;
use time::OffsetDateTime;

/// How long after its day a department may still be there.
const EVERY: Duration = Duration::from_secs(60 * 60);

/// Sweeps once an hour for as long as `work` goes on.
pub async fn sweep_beside<T>(
    store: &Store,
    photos: &PhotoFiles,
    work: impl Future<Output = T>,
) -> T {
    let sweeping = async {
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
    match store.remove_due(OffsetDateTime::now_utc()).await {
        Ok(gone) => {
            for one in gone {
                let (cards, members) = (one.cards, one.members);
                tracing::info!(id = %one.id, cards, members, "department deleted");
            }
        }
        Err(error) => tracing::error!(error = &error as &dyn Error, "department not deleted"),
    }
    if let Err(error) = remove_files(store, photos).await {
        let error: &dyn Error = error.as_ref();
        tracing::error!(error, "photos of a deleted department not removed");
    }
}

async fn remove_files(
    store: &Store,
    photos: &PhotoFiles,
) -> Result<(), Box<dyn Error + Send + Sync>> {
    for name in store.photo_files_left().await? {
        photos.remove(&name).await?;
        store.forget_photo_file(&name).await?;
    }
    Ok(())
}
