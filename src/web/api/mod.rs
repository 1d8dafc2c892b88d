//! `/api/v1`: the contract's JSON over HTTP, with its OpenAPI 3.1 description.
//!
//! Bodies are accepted as `application/json` alone, which no form of another
//! site can send, and a photo as a form, which [`super::origin`] takes from our own
//! pages and from programs. Errors are problem documents (RFC 9457). What can be edited
//! carries an `ETag` and asks for it back in `If-Match`.

mod annotations;
mod answer;
mod audit;
mod body;
mod body_styles;
mod cards;
mod department;
mod details;
mod find;
mod findings;
mod photos;
mod plan;
mod precondition;
mod problems;
mod query;
mod sketch;
mod vin;
mod zones;

use super::notes::UPLOAD_LIMIT_BYTES;
use super::state::Service;
use crate::contract::card_file::MOST_BYTES;
use crate::contract::{FieldError, Problem};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use std::sync::LazyLock;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityScheme};
use utoipa::{Modify, OpenApi};
use utoipa_axum::router::{OpenApiRouter, UtoipaMethodRouterExt};
use utoipa_axum::routes;

/// The heading of the description.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "Pillarbook",
        description = "Where restraint-system parts sit behind a vehicle's trim, and where along \
            each pillar, rail and sill a blade may and may not go. Stations are mm from a span's \
            foot. Nothing recorded is not the same as nothing there; expose and look before \
            every cut; local procedures and the officer's judgement come first."
    ),
    components(schemas(Problem, FieldError)),
    modifiers(&Keys),
    // A session of a browser, or a key.
    security((), ("key" = [])),
    tags(
        (name = "zones", description = "From findings to no-cut stretches and blade gaps"),
        (name = "plans", description = "Ways in and out, checked against the zones cut by cut"),
        (name = "cards", description = "One department's record of one vehicle"),
        (name = "department", description = "What a department keeps of itself"),
        (name = "reference", description = "Body styles and vehicle identification numbers"),
    )
)]
struct Description;

/// How a program says who it is.
struct Keys;

impl Modify for Keys {
    fn modify(&self, description: &mut utoipa::openapi::OpenApi) {
        let key = HttpBuilder::new()
            .scheme(HttpAuthScheme::Bearer)
            .description(Some("A key a keeper made for a program, on the page /keys"))
            .build();
        let components = description.components.get_or_insert_default();
        components.add_security_scheme("key", SecurityScheme::Http(key));
    }
}

fn described() -> OpenApiRouter<Service> {
    OpenApiRouter::with_openapi(Description::openapi())
        .routes(routes!(zones::compute_zones))
        .routes(routes!(plan::compute_plan))
        .routes(routes!(plan::plan_card))
        .routes(routes!(
            department::show_openings,
            department::update_openings
        ))
        .routes(routes!(department::show_tools, department::update_tools))
        .routes(routes!(cards::list_cards, cards::create_card))
        .routes(routes!(cards::show_card))
        .routes(routes!(zones::show_zones))
        .routes(routes!(sketch::show_svg))
        .routes(routes!(sketch::show_png))
        .routes(routes!(
            annotations::list_annotations,
            annotations::add_annotations
        ))
        .routes(routes!(photos::show_photo))
        .routes(routes!(photos::show_small_photo))
        .routes(routes!(photos::add_photo).layer(DefaultBodyLimit::max(UPLOAD_LIMIT_BYTES)))
        .routes(routes!(findings::add_findings))
        .routes(routes!(findings::change_status))
        .routes(routes!(details::show_details, details::update_details))
        .routes(routes!(audit::list_audit))
        .routes(routes!(find::find_cards))
        .routes(routes!(vin::read_vin))
        .routes(routes!(body_styles::list_body_styles))
        .routes(routes!(body_styles::show_body_style))
}

/// Every address under `/api/v1`.
pub fn router() -> Router<Service> {
    let (routes, _) = described().split_for_parts();
    routes
        .route("/api/v1/openapi.json", get(show_description))
        .layer(DefaultBodyLimit::max(MOST_BYTES))
}

/// `GET /api/v1/openapi.json`: this API, described by its own code.
async fn show_description() -> Response {
    static TEXT: LazyLock<String> = LazyLock::new(|| {
        let (_, description) = described().split_for_parts();
        description
            .to_json()
            .expect("the description is plain data")
    });
    ([(header::CONTENT_TYPE, answer::JSON)], TEXT.as_str()).into_response()
}
