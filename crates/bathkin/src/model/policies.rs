//! Policies as a recipe writes them.

use crate::constants::SECONDS_PER_HOUR;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::model::make_up::IN_THE_LIFE;
use crate::tank::{Analysis, Hours, MetalPolicy, PhPolicy, Policies, ReductantPolicy};

/// The policies of `[replenishment]` and `[ph_control]`.
pub(crate) fn read_policies(reader: &Reader, has_corrector: bool) -> Result<Policies> {
    let trigger = reader.number_or(
        "replenishment.metal_trigger_pct",
        Bounds::between(1.0, 99.9, "a percentage of the set-point between 1 and 99.9"),
        95.0,
    )?;
    let analysis = read_analysis(reader)?;
    let metal = reader.choice(
        "replenishment.policy",
        &[
            ("threshold", MetalPolicy::Threshold { fraction: trigger / 100.0 }),
            ("continuous", MetalPolicy::Continuous),
            ("analysis", MetalPolicy::AtAnalysis(analysis)),
        ],
    )?;
    let per_metal_mol = reader.optional("replenishment.reductant_per_metal_mol", Bounds::POSITIVE)?;
    let by_ratio = reader.choice("replenishment.reductant", &[("restore", false), ("ratio", true)])?;
    let reductant = match (by_ratio, per_metal_mol) {
        (false, _) => ReductantPolicy::Restore,
        (true, Some(per_metal_mol)) => ReductantPolicy::Ratio { per_metal_mol },
        (true, None) => {
            return Err(reader.refuse(
                "replenishment.reductant_per_metal_mol",
                "moles of reductant per mole of metal added",
                None,
            ));
        }
    };
    let width = reader.number_or(
        "ph_control.dead_band_ph",
        Bounds::between(1e-4, 5.0, "a dead band between 0.0001 and 5 pH"),
        0.1,
    )?;
    let with_additions = reader.boolean_or("ph_control.with_additions", true)?;
    let interval_s = reader.number_or("ph_control.interval_h", Bounds::INTERVAL_H, 4.0)? * SECONDS_PER_HOUR;
    let ph = reader.choice(
        "ph_control.policy",
        &[
            ("dead-band", PhPolicy::DeadBand { width, with_additions }),
            ("continuous", PhPolicy::Continuous),
            ("interval", PhPolicy::Interval { interval_s, with_additions }),
            ("off", PhPolicy::Off),
        ],
    )?;
    if ph != PhPolicy::Off && !has_corrector {
        return Err(reader.refuse(IN_THE_LIFE, "the acid or base that holds the pH", None));
    }
    let hours = reader.choice("replenishment.hours", &[("any", Hours::Any), ("worked", Hours::Worked)])?;
    Ok(Policies { metal, reductant, ph, hours })
}

/// `analysis_interval_h`, `analysis_delay_h`, `analysis_error_pct` and `seed` of `[replenishment]`.
fn read_analysis(reader: &Reader) -> Result<Analysis> {
    let path = |key: &str| format!("replenishment.{key}");
    let hours = |key: &str, bounds, default: f64| -> Result<f64> {
        Ok(reader.number_or(&path(key), bounds, default)? * SECONDS_PER_HOUR)
    };
    const ERROR: Bounds = Bounds::between(0.0, 30.0, "a relative standard deviation from 0 to 30 %");
    const SEED: Bounds = Bounds::between(0.0, 1e15, "a whole number from 0 to 1e15");
    let seed = reader.number_or(&path("seed"), SEED, 0.0)?;
    if seed.fract() != 0.0 {
        return Err(reader.refuse(&path("seed"), "a whole number from 0 to 1e15", None));
    }
    Ok(Analysis {
        interval_s: hours("analysis_interval_h", Bounds::INTERVAL_H, 4.0)?,
        delay_s: hours("analysis_delay_h", Bounds::NOT_NEGATIVE, 0.0)?,
        relative_error: reader.number_or(&path("analysis_error_pct"), ERROR, 0.0)? / 100.0,
        seed: seed as u64,
    })
}
