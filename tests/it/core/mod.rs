//! The core's worked examples: design figures and cases with a known answer.

mod worked_example;
