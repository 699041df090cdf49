//! One mixture at one phase: its first looks and rechecks, its lysis, what can be trusted of them,
//! and the [`State`](crate::words::State) that comes of it.

mod class;
mod conditions;
mod lysis;
mod mixture;
mod outcome;
mod reason;
mod recheck;
mod trust;

pub(crate) use class::Class;
pub(crate) use conditions::Conditions;
pub(crate) use mixture::{Mixture, Mixtures};
pub(crate) use outcome::{Outcome, outcome};
pub(crate) use reason::{Reason, Reasons};
