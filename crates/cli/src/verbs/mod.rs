//! One file a verb.

pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod convert;
pub(crate) mod demo;
pub(crate) mod exercise;
pub(crate) mod explain;
pub(crate) mod interpret;
pub(crate) mod journal;
pub(crate) mod machine;
pub(crate) mod need;
pub(crate) mod paper;
pub(crate) mod prepare;
pub(crate) mod protocols;
pub(crate) mod selftest;
pub(crate) mod serve;
pub(crate) mod transfusion;
