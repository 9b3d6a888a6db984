//! The members of a bath, each with its own state, its own walks and numbers of the recipe of its own.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::RestOfLife;
use bathkin_statistics::random::Stream;
use nalgebra::DVector;
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::error::DataError;
use crate::track::moved::Told;
use crate::track::numbers::Number;
use crate::track::rest::{Ahead, Member, Today};

impl Today<'_> {
    /// Members in order of their number, each with numbers of the recipe of its own; the same for any number of threads. `report`
    /// hears how many are done, and stops them by `false`.
    ///
    /// # Errors
    /// [`bathkin_statistics::FitError::Stopped`].
    pub fn members(
        &self,
        at_mean: &RestOfLife,
        count: usize,
        seed: u64,
        numbers: &[&Number],
        report: &(dyn Fn(usize) -> bool + Sync),
    ) -> Result<Vec<Member>, DataError> {
        let ahead = Ahead {
            turnovers: at_mean.turnovers_left.max(0.0),
            left_s: at_mean.verdict.clock_h * SECONDS_PER_HOUR - self.clock_s,
        };
        let told = if numbers.is_empty() { None } else { Some(Told::of(self)?) };
        let (done, stopped) = (AtomicUsize::new(0), AtomicBool::new(false));
        let draws = self.belief.draws(count, seed);
        let each = |(number, x): (usize, DVector<f64>)| {
            // Streams of the draws count from zero; these lie beyond.
            let mut stream = Stream::new(seed, (1 << 32) + number as u64);
            let mut go_on = |_: f64| !stopped.load(Ordering::Relaxed);
            let walks = Some((&mut stream, &ahead));
            let ends = match &told {
                Some(told) => {
                    let mut own = Stream::new(seed, (2 << 32) + number as u64);
                    let values: Vec<(&str, f64)> =
                        numbers.iter().map(|one| (one.path.as_str(), one.at(own.normal()))).collect();
                    self.with_numbers(&values, told)
                        .and_then(|bath| bath.today(self).life_of(&(&x + &bath.shift), walks, &mut go_on))
                }
                None => self.life_of(&x, walks, &mut go_on),
            };
            if !report(done.fetch_add(1, Ordering::Relaxed) + 1) {
                stopped.store(true, Ordering::Relaxed);
            }
            Member { x, ends }
        };
        let numbered: Vec<(usize, DVector<f64>)> = draws.into_iter().enumerate().collect();
        let members: Vec<Member> = numbered.into_par_iter().map(each).collect();
        if stopped.load(Ordering::Relaxed) {
            return Err(bathkin_statistics::FitError::Stopped.into());
        }
        Ok(members)
    }
}
