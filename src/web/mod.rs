//! Pages and `/api/v1`.
