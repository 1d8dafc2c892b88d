//! Values from outside, made by the scripts in `tests/reference/`.

mod zones;
