//! Coupon runs: what their columns set, and what was measured.
//!
//! A run is predicted as by [`Bath::plate`](bathkin::Bath::plate) where its area is known: the bath, of the
//! volume in `tank.volume_l`, is left alone with the coupon. Without an area it is rate x time.

mod columns;
mod contents;
mod coupons;
mod reach_ph;
mod setting;
mod settings;

pub(crate) use columns::{AREA, TIME};
pub(crate) use coupons::collect;
pub(crate) use reach_ph::reach_ph;
pub(crate) use setting::Setting;
pub(crate) use settings::settings;
