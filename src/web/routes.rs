//! Every address of the service and what answers it.

use super::state::Service;
use super::{
    api, archive, asset, audit, boundary, card, department, details, drawing, error, figures, find,
    findings, health, history, keys, leaving, lineage, measurements, metrics, notes, origin,
    passkeys, people, plan, review, set_up, sharing, sheet, sign_in, site, spreadsheet, strip,
    waiting, who,
};
use axum::Router;
use axum::extract::{DefaultBodyLimit, MatchedPath, Request};
use axum::http::StatusCode;
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use std::time::Duration;
use tower_http::catch_panic::CatchPanicLayer;

/// Largest body a form may send; addresses that take files set their own.
pub const FORM_LIMIT_BYTES: usize = 1 << 20;
/// How long one request may take before it is given up.
pub const REQUEST_TIMEOUT: Duration = Duration::from_secs(20);
/// How long one may take that carries the photos of a whole book.
pub const ARCHIVE_TIMEOUT: Duration = Duration::from_secs(15 * 60);

/// The whole service as one router; needs no port.
pub fn router(service: Service) -> Router {
    let pages = reads()
        .merge(writes())
        .merge(uploads())
        .layer(from_fn_with_state(service.clone(), figures::prefer));
    let all = pages
        .merge(unchanging())
        .merge(accounts())
        .merge(api::router());
    guarded(all.fallback(error::show_unknown_address), service)
}

/// Pages as a person reads them.
fn reads() -> Router<Service> {
    Router::new()
        .route("/", get(find::show_find))
        .route("/find", get(find::show_find_results))
        .route("/figures", post(figures::choose_figures))
        .route("/cards/{id}", get(card::show_card))
        .route("/cards/{id}/spans/{span}", get(card::show_card_span))
        .route("/cards/{id}/sketch/{view}", get(drawing::show_card_sketch))
        .route("/cards/{id}/plan", get(plan::show_card_plan))
        .route("/cards/{id}/notes", get(notes::list_notes))
        .route("/cards/{id}/history", get(history::show_history))
        .route(
            "/cards/{id}/history/{revision}",
            get(history::show_revision),
        )
        .route("/waiting", get(waiting::show_waiting))
        .route("/body-styles", get(find::show_styles))
        .route("/body-styles/{id}", get(card::show_style))
        .route("/body-styles/{id}/plan", get(plan::show_style_plan))
        .route("/body-styles/{id}/spans/{span}", get(card::show_style_span))
        .route(
            "/body-styles/{id}/sketch/{view}",
            get(drawing::show_style_sketch),
        )
}

/// What is the same for everyone: paper, drawings as files, assets, health.
fn unchanging() -> Router<Service> {
    Router::new()
        .route("/cards/{id}/sketch.svg", get(drawing::show_card_drawing))
        .route("/cards/{id}/plan.svg", get(plan::show_card_picture))
        .route("/body-styles/{id}/plan.svg", get(plan::show_style_picture))
        .route("/cards/{id}/photos/{name}", get(notes::show_photo))
        .route(
            "/cards/{id}/photos/{name}/small",
            get(notes::show_small_photo),
        )
        .route("/cards/{id}/print", get(sheet::show_card_sheet))
        .route(
            "/body-styles/{id}/sketch.svg",
            get(drawing::show_style_drawing),
        )
        .route("/body-styles/{id}/print", get(sheet::show_style_sheet))
        .route("/cards/{id}/export.zip", get(archive::send_card))
        .route("/export", get(archive::send_all))
        .route("/static/{name}", get(asset::show_asset))
        .route("/healthz", get(health::show_health))
        .route("/readyz", get(health::show_readiness))
        .route("/metrics", get(metrics::show_metrics))
}

/// Pages that change something: each shows a form and takes it back.
fn writes() -> Router<Service> {
    Router::new()
        .route(
            "/department",
            get(department::show_department).post(department::change_department),
        )
        .route(
            "/cards/new",
            get(details::new_card).post(details::create_card),
        )
        .route(
            "/cards/{id}/edit",
            get(details::edit_details).post(details::update_details),
        )
        .route(
            "/cards/{id}/measurements",
            get(measurements::edit_measurements).post(measurements::update_measurements),
        )
        .route(
            "/cards/{id}/strip",
            get(strip::show_strip).post(strip::work_strip),
        )
        .route(
            "/import",
            get(archive::show_archive)
                .post(archive::take_archive)
                .layer(DefaultBodyLimit::max(archive::BODY_LIMIT_BYTES)),
        )
        .route(
            "/cards/{id}/import",
            get(spreadsheet::show_import)
                .post(spreadsheet::take_import)
                .layer(DefaultBodyLimit::max(spreadsheet::BODY_LIMIT_BYTES)),
        )
        .route(
            "/cards/{id}/import/template.csv",
            get(spreadsheet::show_template),
        )
        .route("/cards/{id}/adopt", post(lineage::adopt))
        .route(
            "/cards/{id}/source",
            get(lineage::show_source).post(lineage::take_over),
        )
        .route(
            "/cards/{id}/review",
            get(review::show_review).post(review::change_review),
        )
        .route("/cards/{id}/findings", get(findings::list_findings))
        .route(
            "/cards/{id}/findings/new",
            get(findings::new_finding).post(findings::create_finding),
        )
        .route(
            "/cards/{id}/findings/{finding}",
            get(findings::show_finding).post(findings::change_standing),
        )
        .route(
            "/cards/{id}/findings/{finding}/same",
            post(findings::note_same),
        )
        .route(
            "/cards/{id}/findings/{finding}/correct",
            get(findings::correct_finding).post(findings::update_finding),
        )
}

/// Forms that may bring a photo.
fn uploads() -> Router<Service> {
    Router::new()
        .route(
            "/cards/{id}/notes/new",
            get(notes::new_note).post(notes::create_note),
        )
        .route(
            "/cards/{id}/notes/{note}",
            get(notes::show_note).post(notes::change_note),
        )
        .layer(DefaultBodyLimit::max(notes::UPLOAD_LIMIT_BYTES))
}

/// Signing in and out, the first set-up, people and how they are let in.
fn accounts() -> Router<Service> {
    Router::new()
        .route(
            "/sign-in",
            get(sign_in::show_sign_in).post(sign_in::sign_in),
        )
        .route("/sign-in/passkey", post(passkeys::sign_in_by_passkey))
        .route("/sign-in/passkey/ask", post(passkeys::ask_passkey))
        .route("/sign-out", post(sign_in::sign_out))
        .route(
            "/account",
            get(sign_in::show_account).post(sign_in::change_account),
        )
        .route(
            "/account/passkeys",
            get(passkeys::back_to_account).post(passkeys::change_passkeys),
        )
        .route(
            "/people",
            get(people::list_people).post(people::change_people),
        )
        .route("/audit", get(audit::list_audit))
        .route("/audit.csv", get(audit::download_audit))
        .route(
            "/department/deletion",
            get(leaving::show_leaving).post(leaving::change_leaving),
        )
        .route("/keys", get(keys::list_keys).post(keys::change_keys))
        .route("/shared/{secret}", get(sharing::show_linked))
        .route(
            "/shared/{secret}/photos/{name}",
            get(sharing::show_linked_photo),
        )
        .route(
            "/partners",
            get(sharing::list_partners).post(sharing::change_partners),
        )
        .route(
            "/cards/{id}/sharing",
            get(sharing::show_sharing).post(sharing::change_sharing),
        )
        .route(
            "/invitations/{secret}",
            get(people::show_invitation).post(people::accept_invitation),
        )
        .route(
            "/resets/{secret}",
            get(people::show_reset).post(people::reset_password),
        )
        .route(
            "/set-up/{secret}",
            get(set_up::show_set_up).post(set_up::set_up),
        )
}

/// What every request passes, outermost last.
fn guarded(routes: Router<Service>, service: Service) -> Router {
    routes
        .method_not_allowed_fallback(error::show_wrong_method)
        .layer(DefaultBodyLimit::max(FORM_LIMIT_BYTES))
        .layer(from_fn_with_state(service.clone(), who::admit))
        .layer(from_fn_with_state(service.clone(), origin::check_origin))
        .layer(from_fn(give_up_in_time))
        .layer(CatchPanicLayer::custom(boundary::answer_panic))
        .layer(from_fn(metrics::measure))
        .layer(from_fn_with_state(service.clone(), site::keep_to_tls))
        .layer(from_fn(boundary::pass))
        .with_state(service)
}

/// Gives up what takes too long.
async fn give_up_in_time(request: Request, next: Next) -> Response {
    let pattern = request.extensions().get::<MatchedPath>();
    let most = match pattern.map(MatchedPath::as_str) {
        Some("/import" | "/export" | "/cards/{id}/export.zip") => ARCHIVE_TIMEOUT,
        _ => REQUEST_TIMEOUT,
    };
    let answer = tokio::time::timeout(most, next.run(request)).await;
    answer.unwrap_or_else(|_| StatusCode::SERVICE_UNAVAILABLE.into_response())
}
