//! The one integration-test binary.

mod published;
