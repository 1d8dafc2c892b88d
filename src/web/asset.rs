//! Style, scripts and icons, embedded, under names that carry a hash of their
//! content: a browser may keep them for ever, and a new build is never mixed
//! with an old style.

use super::error::AppError;
use super::page_cache::{Encoded, Encoding};
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::LazyLock;

#[derive(RustEmbed)]
#[folder = "$CARGO_MANIFEST_DIR/static/"]
#[exclude = "*.ttf"]
#[exclude = "pictures/*"]
struct Files;

/// The pieces of the one style sheet, in the order they apply, after the
/// drawings' own.
const STYLE: [&str; 13] = [
    "css/roles.css",
    "css/base.css",
    "css/form.css",
    "css/entry.css",
    "css/card.css",
    "css/sharing.css",
    "css/sheet.css",
    "css/audit.css",
    "css/notes.css",
    "css/plan.css",
    "css/plan-print.css",
    "css/sketch.css",
    "css/print.css",
];

/// One file as served.
struct Asset {
    hashed_name: String,
    content_type: &'static str,
    encoded: Encoded,
}

/// By logical name, for example `app.css` or `find.js`.
static ASSETS: LazyLock<BTreeMap<String, Asset>> = LazyLock::new(load);

fn load() -> BTreeMap<String, Asset> {
    let mut all = BTreeMap::new();
    let mut style: Vec<u8> = crate::sketch::page_style_sheet().into_bytes();
    style.extend(STYLE.iter().flat_map(|name| read(name)));
    all.insert("app.css".to_owned(), Asset::new("app.css", &style));
    for path in Files::iter() {
        if let Some(name) = path.strip_prefix("js/").or(path.strip_prefix("icon/")) {
            all.insert(name.to_owned(), Asset::new(name, &read(&path)));
        }
    }
    all
}

fn read(path: &str) -> Vec<u8> {
    Files::get(path)
        .map(|f| f.data.into_owned())
        .unwrap_or_default()
}

impl Asset {
    fn new(name: &str, content: &[u8]) -> Self {
        let (stem, kind) = name.rsplit_once('.').unwrap_or((name, "bin"));
        let digest = Sha256::digest(content);
        let hash: String = digest[..6].iter().map(|b| format!("{b:02x}")).collect();
        Self {
            hashed_name: format!("{stem}.{hash}.{kind}"),
            content_type: match kind {
                "css" => "text/css; charset=utf-8",
                "js" => "text/javascript; charset=utf-8",
                "svg" => "image/svg+xml",
                _ => "application/octet-stream",
            },
            encoded: Encoded::new(content),
        }
    }
}

/// The address of an asset by its logical name. A name that is not there gives
/// an address that answers 404, which a test looks for on every page.
pub fn href(name: &str) -> String {
    let served = ASSETS.get(name).map_or(name, |a| a.hashed_name.as_str());
    format!("/static/{served}")
}

/// Changes whenever any asset does; part of every page's `ETag`.
pub fn build_mark() -> &'static str {
    static MARK: LazyLock<String> = LazyLock::new(|| {
        let mut all = Sha256::new();
        ASSETS.values().for_each(|a| all.update(&a.hashed_name));
        all.update(env!("CARGO_PKG_VERSION"));
        all.finalize()[..4]
            .iter()
            .map(|b| format!("{b:02x}"))
            .collect()
    });
    &MARK
}

/// `GET /static/{name}`
pub async fn show_asset(
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    let asset = ASSETS
        .values()
        .find(|a| a.hashed_name == name)
        .ok_or(AppError::NotFound("file"))?;
    let mut response = asset
        .encoded
        .response(Encoding::accepted(&headers))
        .into_response();
    response.headers_mut().insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static(asset.content_type),
    );
    response.headers_mut().insert(
        header::CACHE_CONTROL,
        HeaderValue::from_static("public, max-age=31536000, immutable"),
    );
    Ok(response)
}
