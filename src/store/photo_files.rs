//! Where the bytes of photos lie: in a folder of this machine, or with a store
//! that speaks S3. Names are drawn by the program; whoever asks for one has been
//! found in the database first ([`super::Store::has_photo`]).

use bytes::Bytes;
use object_store::local::LocalFileSystem;
use object_store::memory::InMemory;
use object_store::path::Path;
use object_store::{ObjectStore, ObjectStoreExt, PutMode, PutOptions};
use std::sync::Arc;

/// Which of a photo's two files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoSize {
    Full,
    /// As a list shows it.
    Small,
}

/// Why photos cannot be kept or read.
#[derive(Debug, thiserror::Error)]
pub enum PhotoFilesError {
    #[error("{place} is no place for photos")]
    Place {
        place: String,
        #[source]
        source: Box<dyn std::error::Error + Send + Sync>,
    },
    /// The program draws its names itself; this is none of them.
    #[error("no name of a photo")]
    Name,
    #[error("the place of photos does not answer")]
    Unavailable(#[from] object_store::Error),
}

/// The place of photos. Cheap to clone.
#[derive(Debug, Clone)]
pub struct PhotoFiles {
    files: Arc<dyn ObjectStore>,
}

impl PhotoFiles {
    /// In memory: gone with the program.
    pub fn in_memory() -> Self {
        Self {
            files: Arc::new(InMemory::new()),
        }
    }

    /// In a folder, made if missing; or, in a build with the feature `s3`, at
    /// `s3://BUCKET/PREFIX`, with what it needs beside that in the environment
    /// (`AWS_ACCESS_KEY_ID`, `AWS_SECRET_ACCESS_KEY`, `AWS_REGION`,
    /// `AWS_ENDPOINT` …).
    ///
    /// # Errors
    /// Where there is no such place.
    pub fn at(place: &str) -> Result<Self, PhotoFilesError> {
        let no_place = |source: Box<dyn std::error::Error + Send + Sync>| PhotoFilesError::Place {
            place: place.to_owned(),
            source,
        };
        if place.contains("://") {
            return remote(place).map_err(no_place);
        }
        std::fs::create_dir_all(place).map_err(|e| no_place(e.into()))?;
        let folder = LocalFileSystem::new_with_prefix(place).map_err(|e| no_place(e.into()))?;
        // Written through to the disk before it is said to be kept.
        let folder = folder.with_fsync(true);
        Ok(Self {
            files: Arc::new(folder),
        })
    }

    /// Keeps both files of a photo under a name that nothing has yet.
    ///
    /// # Errors
    /// Where the name is taken or the place does not answer; nothing is left.
    pub async fn keep(&self, name: &str, full: Bytes, small: Bytes) -> Result<(), PhotoFilesError> {
        let create = || PutOptions::from(PutMode::Create);
        let large = path(name, PhotoSize::Full)?;
        self.files.put_opts(&large, full.into(), create()).await?;
        let list = path(name, PhotoSize::Small)?;
        let done = self.files.put_opts(&list, small.into(), create()).await;
        if let Err(error) = done {
            // The first alone would be nobody's.
            self.files.delete(&large).await.ok();
            return Err(error.into());
        }
        Ok(())
    }

    /// The bytes of a photo; `None` where there are none.
    ///
    /// # Errors
    /// Where the place does not answer.
    pub async fn read(
        &self,
        name: &str,
        size: PhotoSize,
    ) -> Result<Option<Bytes>, PhotoFilesError> {
        let Ok(path) = path(name, size) else {
            return Ok(None);
        };
        match self.files.get(&path).await {
            Ok(found) => Ok(Some(found.bytes().await?)),
            Err(object_store::Error::NotFound { .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }

    /// Removes a photo's bytes for good; none there is as well.
    ///
    /// # Errors
    /// Where the place does not answer.
    pub async fn remove(&self, name: &str) -> Result<(), PhotoFilesError> {
        for size in [PhotoSize::Full, PhotoSize::Small] {
            match self.files.delete(&path(name, size)?).await {
                Ok(()) | Err(object_store::Error::NotFound { .. }) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Ok(())
    }
}

/// Where a name's file lies. Nothing but small letters and digits is a name, so
/// none leads out of the place.
fn path(name: &str, size: PhotoSize) -> Result<Path, PhotoFilesError> {
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit();
    if !(2..=64).contains(&name.len()) || !name.bytes().all(plain) {
        return Err(PhotoFilesError::Name);
    }
    let suffix = match size {
        PhotoSize::Full => "",
        PhotoSize::Small => "-small",
    };
    Ok(Path::from(format!("{}/{name}{suffix}.jpg", &name[..2])))
}

#[cfg(feature = "s3")]
fn remote(place: &str) -> Result<PhotoFiles, Box<dyn std::error::Error + Send + Sync>> {
    use object_store::ClientConfigKey;
    use object_store::aws::AmazonS3ConfigKey::Client;
    let below = place
        .strip_prefix("s3://")
        .ok_or("accepted: s3://BUCKET/PREFIX")?;
    let (bucket, prefix) = below.split_once('/').unwrap_or((below, ""));
    let bucket = object_store::aws::AmazonS3Builder::from_env()
        .with_bucket_name(bucket)
        // What does not answer is told so within the time one request has.
        .with_config(Client(ClientConfigKey::ConnectTimeout), "3 seconds")
        .with_config(Client(ClientConfigKey::Timeout), "8 seconds")
        .with_retry(object_store::RetryConfig {
            max_retries: 2,
            retry_timeout: std::time::Duration::from_secs(8),
            ..Default::default()
        })
        .build()?;
    Ok(PhotoFiles {
        files: Arc::new(object_store::prefix::PrefixStore::new(bucket, prefix)),
    })
}

#[cfg(not(feature = "s3"))]
fn remote(_: &str) -> Result<PhotoFiles, Box<dyn std::error::Error + Send + Sync>> {
    Err("this program was built without the feature s3: give a folder".into())
}
