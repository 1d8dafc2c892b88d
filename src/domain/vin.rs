//! Vehicle identification numbers (49 CFR 565.15).
