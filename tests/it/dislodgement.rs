//! Preparations as surfaces, limit analysis, grip and the common path, against closed forms, a general conic solver and
//! published trends.

mod agreement;
mod random;
mod reference;
