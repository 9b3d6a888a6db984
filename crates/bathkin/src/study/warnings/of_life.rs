//! Warnings that go with a life.

use crate::error::Result;
use crate::flag::Flag;
use crate::life::Life;
use crate::recipe::Recipe;
use crate::study::bath::film_over;
use crate::study::saturation;
use crate::study::warnings::{decomposition, enthalpies, held_level, racks, ran_dry, surface, working_level};
use crate::tank::event::UNLISTED;
use crate::tank::{MetalPolicy, ReductantPolicy, Work};
use bathkin_numerics::short;

impl Recipe {
    /// Warnings that go with a life: those of the recipe, and what the run showed.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn life_flags(&self, life: &Life) -> Result<Vec<Flag>> {
        let model = self.model()?;
        let mut flags = model.flags.clone();
        let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
        let last = life.rows.last();
        if let Some(what) =
            last.and_then(|row| model.tank.bath.equilibrium.activity().warning(row.ionic_strength_mol_l))
        {
            flag("solution.activity", what);
        }
        let alloyed = last.filter(|_| model.tank.bath.alloy.is_some());
        if let Some(what) = alloyed.and_then(|row| model.tank.bath.density.warning(row.alloy_wt_pct)) {
            flag("deposit.density_scale", what);
        }
        let feed = &life.reductant_feed;
        let drift = feed.end_mol_l / feed.set_point_mol_l - 1.0;
        const WORTH_SAYING: f64 = 0.05;
        // Between two doses the reductant is low without having drifted.
        let between_doses =
            match (model.tank.operation.policies.metal, model.tank.operation.policies.reductant) {
                (MetalPolicy::Threshold { fraction }, ReductantPolicy::Restore) => 1.0 - fraction,
                _ => 0.0,
            };
        let uneven = feed.fed_per_metal_mol / feed.used_per_metal_mol - 1.0;
        const UNEVEN: f64 = 1e-3;
        if drift.abs() > WORTH_SAYING + between_doses && uneven.abs() > UNEVEN && life.verdict.turnovers > 0.5
        {
            flag(
                "replenishment.reductant_per_metal_mol",
                format!(
                    "{:.3} mol reductant were fed per mol metal and {:.3} were used: it drifted from {:.3} to {:.3} mol/L",
                    feed.fed_per_metal_mol, feed.used_per_metal_mol, feed.set_point_mol_l, feed.end_mol_l
                ),
            );
        }
        flags.extend(model.warnings_over(life));
        flags.extend(model.racks_past_their_caps(life));
        flags.extend(model.depleted_by_drag_out(life));
        flags.extend(film_over(life));
        flags.extend(enthalpies::of_life(model, life)?);
        flags.extend(surface::of_life(self.document(), &model.tank, life));
        flags.extend(ran_dry::warning_of_life(model, life));
        flags.extend(working_level::judged_low(model, life));
        flags.extend(self.price_flags()?);
        let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
        for solid in &life.solids {
            if let Some(from_h) = solid.oversaturated_from_h {
                flag(
                    "solids",
                    saturation::oversaturated(&solid.title, solid.largest_saturation_index, from_h),
                );
            }
        }
        let (substrate, start) = model.surface.start(&model.substrates)?;
        if !start.coverage.is_complete() && matches!(model.tank.operation.work, Work::Steady(_)) {
            flag(
                "work.substrate",
                format!(
                    "loads count as covered from the start; {} starts some {:.0} s late",
                    substrate.name, start.induction_s
                ),
            );
        }
        for event in life.events.iter().filter(|event| event.doubtful_after) {
            let what = format!(
                "{UNLISTED}: {:.1} h, {:.2} turnovers ({})",
                event.clock_h,
                event.turnovers,
                event.what.trim_end_matches(UNLISTED).trim_end_matches("; ")
            );
            flag(&format!("event.{}", event.event), what);
        }
        flags.extend(held_level::warning(self.document(), &model.tank, life));
        flags.extend(racks::of_life(self.document(), &model.tank, life));
        let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
        // A calendar that is not repeated leaves the tank idle.
        const BUSY: f64 = 0.5;
        if let (Work::Loads(_), Some(load)) = (&model.tank.operation.work, life.loads.last())
            && life.verdict.limit == "none"
            && load.out_h < BUSY * life.verdict.clock_h
        {
            let what = format!(
                "the last rack came out at {:.1} h of {:.0} h, and nothing was plated after it: \
                 work.calendar_repeat_h repeats a calendar",
                load.out_h, life.verdict.clock_h
            );
            flag("work.calendar", what);
        }
        if life.verdict.limit == "none" {
            flag(
                "life.longest_clock_h",
                format!("no limit was reached in {} h", short(life.verdict.clock_h)),
            );
        }
        flags.extend(
            model.tank.bath.decomposition.as_ref().and_then(|law| decomposition::warning_of_life(law, life)),
        );
        Ok(flags)
    }
}
