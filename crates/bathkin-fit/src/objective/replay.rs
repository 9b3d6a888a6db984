//! The readings of a log in baths that lie close together, driven by what was written down.

use bathkin::constants::REFERENCE_TEMPERATURE_K;
use bathkin::life::{AtRow, LogReplay, replay, replayed};
use bathkin::solution::ph::{SettledSensitivities, settle_ph};
use bathkin::tank::quantity::Needs;
use bathkin::tank::{AlsoRead, PH, Tank};

use crate::data::logs::LoggedBath;
use crate::data::logs::course::finely;
use crate::objective::accuracy::FINE;
use crate::objective::at_point::BathAtPoint;

impl LoggedBath {
    /// Every reading in each bath, carried side by side.
    pub fn values(
        &self,
        baths: &[(&BathAtPoint, &[f64])],
        relative_tolerance: f64,
    ) -> bathkin::error::Result<Vec<Vec<f64>>> {
        let tanks: Vec<Tank> = baths.iter().map(|(bath, _)| replayed(&bath.tank, self.ph)).collect();
        let totals = self.start_totals(&tanks, baths)?;
        let replays: Vec<LogReplay> =
            tanks.iter().zip(&totals).map(|(tank, totals_mol_l)| LogReplay { tank, totals_mol_l }).collect();
        let mut values = vec![Vec::with_capacity(self.readings.len()); baths.len()];
        let mut read = vec![0; baths.len()];
        let any = |needs| self.readings.iter().any(|(_, of)| of.quantity.entry().needs == needs);
        let also = AlsoRead { cooled: any(Needs::CooledSample), liquid: any(Needs::Liquid) };
        replay(&replays, &self.course, also, relative_tolerance, &mut |row, bath, reading| {
            let left = &self.readings[read[bath]..];
            let here = left.iter().take_while(|(of, _)| *of == row);
            values[bath].extend(here.map(|(_, of)| of.of(&tanks[bath], reading)));
            read[bath] = values[bath].len();
        })?;
        Ok(values)
    }

    /// What the bath shows along its course, at times in s, before and after what was added.
    pub fn course_of(
        &self,
        bath: &BathAtPoint,
        starts: &[f64],
        points: usize,
    ) -> bathkin::error::Result<(Vec<f64>, Vec<AtRow>)> {
        let tank = replayed(&bath.tank, self.ph);
        let totals = self.start_totals(std::slice::from_ref(&tank), &[(bath, starts)])?;
        let course = finely(&self.course, points);
        let mut readings = Vec::with_capacity(course.len());
        let replay_of = LogReplay { tank: &tank, totals_mol_l: &totals[0] };
        let also = AlsoRead { cooled: true, liquid: true };
        replay(&[replay_of], &course, also, FINE, &mut |_, _, reading| readings.push(reading.clone()))?;
        Ok((course.iter().map(|stretch| stretch.until_s).collect(), readings))
    }

    /// The make-up, aged where the bath was used, with what the first row found in its place; the pH is settled
    /// with its corrector. Baths close to the first are settled by its slopes.
    fn start_totals(
        &self,
        tanks: &[Tank],
        baths: &[(&BathAtPoint, &[f64])],
    ) -> bathkin::error::Result<Vec<Vec<f64>>> {
        let mut about: Option<SettledSensitivities> = None;
        let mut all = Vec::with_capacity(tanks.len());
        for (tank, (bath, starts)) in tanks.iter().zip(baths) {
            let mut totals = bath.totals_mol_l.clone();
            if let Some(used) = &self.used {
                totals.iter_mut().zip(&used.gained_mol_l).for_each(|(total, gained)| *total += gained);
            }
            let Some(ph) = self.put(&mut totals, tank, starts) else {
                all.push(totals);
                continue;
            };
            let gives = &tank.operation.replenishers[PH].per_litre[..totals.len()];
            if let Some(about) =
                about.as_ref().filter(|_| tank.constants_moved_from(&tanks[0]) == Some(Vec::new()))
            {
                let amount = about.amount(&totals, gives, ph);
                totals.iter_mut().zip(gives).for_each(|(total, give)| *total += amount * give);
                all.push(totals);
                continue;
            }
            let kelvin = self.start_temperature_k(tank);
            let equilibrium = &tank.bath.equilibrium.solved_exactly();
            let mut speciation = equilibrium.speciation();
            let settled = settle_ph(equilibrium, &mut speciation, &mut totals, gives, kelvin, ph)?;
            let Some(amount) = settled else {
                let name = &tank.operation.replenishers[PH].name;
                let reason = format!("{name} cannot bring the start of the log to pH {ph}");
                return Err(bathkin::Error::Simulation { time_h: 0.0, reason });
            };
            if about.is_none() && tanks.len() > 1 {
                about = Some(SettledSensitivities::about(
                    equilibrium,
                    &mut speciation,
                    &totals,
                    gives,
                    amount,
                    ph,
                )?);
            }
            all.push(totals);
        }
        Ok(all)
    }

    /// Temperature the pH of the first row was read at, K: that of the bath then, or of a cooled sample.
    fn start_temperature_k(&self, tank: &Tank) -> f64 {
        let first = self.course.first();
        if let Some(line) = first.and_then(|stretch| stretch.ph) {
            let bath_k = first.map_or(tank.operation.temperature_k, |stretch| stretch.temperature.at_k(0.0));
            return line.read_at_k(tank, bath_k);
        }
        let cooled = tank.operation.set_points.ph_temperature_k == REFERENCE_TEMPERATURE_K;
        first
            .filter(|_| !cooled)
            .map_or(tank.operation.set_points.ph_temperature_k, |stretch| stretch.temperature.at_k(0.0))
    }

    /// Puts what the first row found into totals; gives the pH to settle, none where nothing was found.
    fn put(&self, totals: &mut [f64], tank: &Tank, starts: &[f64]) -> Option<f64> {
        let mut ph = (!self.starts.is_empty() || self.used.is_some()).then_some(tank.operation.set_points.ph);
        if let Some(line) = self.course.first().and_then(|segment| segment.ph) {
            ph = Some(line.at(0.0));
        }
        for (start, value) in self.starts.iter().zip(starts) {
            match start.reading.content(tank) {
                Some((slot, per_mol_l)) => totals[slot] = value / per_mol_l,
                None => ph = Some(*value),
            }
        }
        ph
    }
}
