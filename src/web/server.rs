//! Listening, and stopping without cutting anyone off.

use super::routes::router;
use super::site::Site;
use super::state::Service;
use std::future::Future;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::watch;

/// How long requests under way may take to finish once the service stops.
pub const GRACE: Duration = Duration::from_secs(10);

/// Why the service does not listen.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Passwords would travel open to all.
    #[error(
        "refusing to listen on {0}: without --public-url the service answers on this machine only; use 127.0.0.1 or [::1], or say under which https address others reach it"
    )]
    NotLoopback(SocketAddr),
    #[error("cannot listen on {address}")]
    Bind {
        address: SocketAddr,
        #[source]
        source: std::io::Error,
    },
    #[error("serving stopped")]
    Serve(#[source] std::io::Error),
}

/// Takes the address, refusing all but loopback where nothing says how others
/// reach it. Port 0 takes any free port.
pub async fn bind(address: SocketAddr, site: &Site) -> Result<TcpListener, ServeError> {
    if !address.ip().is_loopback() && !site.is_public() {
        return Err(ServeError::NotLoopback(address));
    }
    TcpListener::bind(address)
        .await
        .map_err(|source| ServeError::Bind { address, source })
}

/// Serves until `stop` resolves, then lets requests under way finish for at
/// most [`GRACE`].
pub async fn serve(
    listener: TcpListener,
    service: Service,
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServeError> {
    let (stopping, mut stopped) = watch::channel(false);
    let routes = router(service).into_make_service_with_connect_info::<SocketAddr>();
    let graceful = axum::serve(listener, routes).with_graceful_shutdown(async move {
        stop.await;
        tracing::info!("stopping");
        let _ = stopping.send(true);
    });
    let out_of_time = async move {
        let _ = stopped.wait_for(|stopping| *stopping).await;
        tokio::time::sleep(GRACE).await;
    };
    tokio::select! {
        served = graceful => served.map_err(ServeError::Serve),
        () = out_of_time => Ok(()),
    }
}

/// Resolves on Ctrl-C or a termination signal.
pub async fn stop_signal() {
    let interrupt = async {
        // Without a handler the signal ends the process, which is also a stop.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        use tokio::signal::unix::{SignalKind, signal};
        match signal(SignalKind::terminate()) {
            Ok(mut terminate) => {
                terminate.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! {
        () = interrupt => {}
        () = terminate => {}
    }
}
