//! Pages of a card, compressed once a revision and kept.
//!
//! A card's page changes only with its revision, so its bytes are kept by
//! card, revision and query, bounded in memory; a browser that already has them
//! is answered 304 without a zone being worked out.

use super::asset;
use super::error::AppError;
use crate::store::{CardId, Revision};
use axum::body::{Body, Bytes};
use axum::http::header::{self, HeaderValue};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use std::io::{Read, Write};
use std::sync::Arc;

/// Most bytes the kept pages may take together.
const CACHE_BYTES: u64 = 8 << 20;
/// Brotli's second-best quality, with a window no wider than the page: a tenth
/// smaller than the next lower, which lets the fullest card arrive in the first
/// flight. The best takes twice as long for two percent.
const BROTLI_QUALITY: u32 = 10;
/// Log2 of the smallest and the largest window worth having, bytes.
const BROTLI_WINDOW_BITS: std::ops::RangeInclusive<u32> = 16..=22;

/// How a body is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    Brotli,
    Gzip,
    Identity,
}

/// A body compressed both ways; the plain bytes are unpacked when asked for.
#[derive(Debug, Clone)]
pub struct Encoded {
    brotli: Bytes,
    gzip: Bytes,
}

/// A page or drawing as kept.
#[derive(Debug, Clone)]
pub struct Kept {
    content_type: &'static str,
    encoded: Encoded,
}

/// What names a kept page.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct PageKey {
    pub card: CardId,
    pub revision: Revision,
    /// Which page, with the part of the query that changes it: `card?side=right`.
    pub page: String,
}

/// Kept pages; cloning is cheap.
#[derive(Debug, Clone)]
pub struct PageCache(moka::future::Cache<PageKey, Kept>);

impl Default for PageCache {
    fn default() -> Self {
        Self::of(CACHE_BYTES)
    }
}

impl PageCache {
    /// Holds so many bytes of pages, however many a card's variants ask for.
    fn of(bytes: u64) -> Self {
        let weigh = |key: &PageKey, page: &Kept| {
            let bytes = key.page.len() + page.encoded.brotli.len() + page.encoded.gzip.len() + 128;
            u32::try_from(bytes).unwrap_or(u32::MAX)
        };
        Self(
            moka::future::Cache::builder()
                .max_capacity(bytes)
                .weigher(weigh)
                .build(),
        )
    }
}

impl PageCache {
    /// Answers with the kept page, or awaits `making` and keeps what it made;
    /// 304 when the browser has it. Two who ask at once make it once.
    pub async fn answer(
        &self,
        key: PageKey,
        asked: &HeaderMap,
        making: impl Future<Output = Result<Kept, AppError>>,
    ) -> Result<Response, AppError> {
        let etag = key.etag();
        if has(asked, &etag) {
            return Ok(with_headers(
                StatusCode::NOT_MODIFIED.into_response(),
                &etag,
            ));
        }
        let kept = self.0.try_get_with(key, making).await.map_err(unshared)?;
        let mut response = kept.encoded.response(Encoding::accepted(asked));
        let content_type = HeaderValue::from_static(kept.content_type);
        response
            .headers_mut()
            .insert(header::CONTENT_TYPE, content_type);
        Ok(with_headers(response, &etag))
    }
}

impl Kept {
    /// A rendered page.
    pub fn page(template: &impl askama::Template) -> Result<Self, AppError> {
        let html = template
            .render()
            .map_err(|e| AppError::Internal(Box::new(e)))?;
        Ok(Self {
            content_type: "text/html; charset=utf-8",
            encoded: Encoded::new(html.as_bytes()),
        })
    }

    /// A drawing that stands alone.
    pub fn svg(drawing: &str) -> Self {
        Self {
            content_type: "image/svg+xml",
            encoded: Encoded::new(drawing.as_bytes()),
        }
    }
}

/// The error of the one that made the page; those who waited for it are told
/// the same.
fn unshared(error: Arc<AppError>) -> AppError {
    match Arc::try_unwrap(error) {
        Ok(error) => error,
        Err(shared) => match shared.as_ref() {
            AppError::NotFound(what) => AppError::NotFound(what),
            AppError::CannotCompute(why) => AppError::CannotCompute(why.clone()),
            other => AppError::Internal(other.to_string().into()),
        },
    }
}

fn with_headers(mut response: Response, etag: &str) -> Response {
    let headers = response.headers_mut();
    if let Ok(etag) = HeaderValue::from_str(etag) {
        headers.insert(header::ETAG, etag);
    }
    // Kept by the browser, but asked about every time: a card may change.
    headers.insert(
        header::CACHE_CONTROL,
        HeaderValue::from_static("private, no-cache"),
    );
    headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    response
}

/// Whether the browser holds the page with this tag.
fn has(asked: &HeaderMap, etag: &str) -> bool {
    let lists = asked.get_all(header::IF_NONE_MATCH).iter();
    lists
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(','))
        .any(|tag| tag.trim() == etag || tag.trim() == "*")
}

impl PageKey {
    /// Weak: the same page in another encoding is the same page.
    pub fn etag(&self) -> String {
        use sha2::{Digest, Sha256};
        let digest = Sha256::digest(format!("{}/{}", self.card, self.page));
        let which: String = digest[..8].iter().map(|b| format!("{b:02x}")).collect();
        format!("W/\"{}-{which}-{}\"", self.revision, asset::build_mark())
    }
}

impl Encoding {
    /// The best encoding a request accepts (RFC 9110 12.5.3; `q=0` refuses).
    pub fn accepted(headers: &HeaderMap) -> Self {
        let offered = |name: &str| {
            let lists = headers.get_all(header::ACCEPT_ENCODING).iter();
            lists
                .filter_map(|v| v.to_str().ok())
                .flat_map(|v| v.split(','))
                .any(|item| {
                    let mut parts = item.split(';').map(str::trim);
                    let named = parts.next().is_some_and(|n| n.eq_ignore_ascii_case(name));
                    named
                        && !parts
                            .any(|p| p.strip_prefix("q=").is_some_and(|q| q.parse() == Ok(0.0)))
                })
        };
        if offered("br") {
            Self::Brotli
        } else if offered("gzip") {
            Self::Gzip
        } else {
            Self::Identity
        }
    }
}

impl Encoded {
    /// Compresses a body both ways.
    pub fn new(plain: &[u8]) -> Self {
        let mut brotli =
            brotli::CompressorWriter::new(Vec::new(), 4096, BROTLI_QUALITY, window_bits(plain));
        brotli.write_all(plain).expect("a Vec takes every byte");
        let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::new(7));
        gzip.write_all(plain).expect("a Vec takes every byte");
        Self {
            brotli: brotli.into_inner().into(),
            gzip: gzip.finish().expect("a Vec takes every byte").into(),
        }
    }

    /// Its length in brotli, bytes.
    pub fn brotli_len(&self) -> usize {
        self.brotli.len()
    }

    /// The body in one encoding, without a content type.
    pub fn response(&self, encoding: Encoding) -> Response {
        let (bytes, name) = match encoding {
            Encoding::Brotli => (self.brotli.clone(), Some("br")),
            Encoding::Gzip => (self.gzip.clone(), Some("gzip")),
            Encoding::Identity => (self.plain(), None),
        };
        let mut response = Response::new(Body::from(bytes));
        if let Some(name) = name {
            response
                .headers_mut()
                .insert(header::CONTENT_ENCODING, HeaderValue::from_static(name));
        }
        response
            .headers_mut()
            .insert(header::VARY, HeaderValue::from_static("accept-encoding"));
        response
    }

    fn plain(&self) -> Bytes {
        let mut plain = Vec::new();
        flate2::read::GzDecoder::new(self.gzip.as_ref())
            .read_to_end(&mut plain)
            .expect("it was compressed here");
        plain.into()
    }
}
/// A window that just holds the page loses nothing, where the usual 4 MiB costs
/// as much memory for every page compressed.
fn window_bits(plain: &[u8]) -> u32 {
    let holds = usize::BITS - plain.len().leading_zeros();
    holds.clamp(*BROTLI_WINDOW_BITS.start(), *BROTLI_WINDOW_BITS.end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn however_many_variants_are_asked_for_the_kept_pages_stay_bounded() {
        const BYTES: u64 = 100_000;
        let pages = PageCache::of(BYTES);
        let card = CardId::new("c1");
        // Hardly compressible, so that each weighs some thousand bytes.
        let noise: String = (0..4_000u64)
            .map(|i| char::from(b'!' + (i * i * 2_654_435_761 % 1_000_003 % 90) as u8))
            .collect();
        for year in 0..500 {
            let key = PageKey {
                card: card.clone(),
                revision: 1,
                page: format!("card Left?year={year}"),
            };
            let making = async { Ok(Kept::svg(&noise)) };
            let answer = pages.answer(key, &HeaderMap::new(), making).await;
            assert_eq!(answer.unwrap().status(), StatusCode::OK);
        }
        pages.0.run_pending_tasks().await;
        assert!(pages.0.weighted_size() <= BYTES);
        assert!(pages.0.entry_count() > 1, "nothing is kept at all");
    }
}
