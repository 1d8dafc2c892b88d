//! The words and the mathematics: pure functions of their arguments.
//!
//! Frame (ISO 4130 / SAE J182 directions): x to the rear, y to the right as
//! seated facing forward, z up; origin on the ground under the middle of the
//! front axle. Millimetres throughout unless a name says otherwise.

pub mod annotation;
pub mod body;
pub mod card;
pub mod decision;
pub mod find;
pub mod finding;
pub mod frame;
pub mod fusion;
pub mod geometry;
pub mod kind;
pub mod name;
pub mod numbers;
pub mod opening;
pub mod policy;
pub mod review;
pub mod role;
pub mod stored_gas;
pub mod units;
pub mod vehicle;
pub mod vin;
pub mod visibility;
pub mod zone;
