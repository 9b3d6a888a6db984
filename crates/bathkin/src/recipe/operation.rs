//! Work and policies as a recipe writes them.

use super::reader::{Bounds, Reader};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::tank::{Load, MetalPolicy, PhPolicy, Policies, ReductantPolicy, Work};

const DM2_PER_M2: f64 = 100.0;
const SECONDS_PER_MINUTE: f64 = 60.0;

/// The work: `[load.<name>]` racks, or a steady load from `[work]`.
pub(super) fn read_work(reader: &Reader, volume_l: f64) -> Result<Work> {
    let names = reader.document().children("load");
    if names.is_empty() {
        let loading = reader.number("work.loading_dm2_l", Bounds::POSITIVE)?;
        return Ok(Work::Steady {
            area_m2: loading * volume_l / DM2_PER_M2,
            thickness_um: reader.number("work.thickness_um", Bounds::POSITIVE)?,
            hours_per_day: reader.number_or(
                "work.hours_per_day",
                Bounds::between(0.1, 24.0, "hours per day up to 24"),
                24.0,
            )?,
            days_per_week: reader.number_or(
                "work.days_per_week",
                Bounds::between(1.0, 7.0, "days per week from 1 to 7"),
                7.0,
            )?,
        });
    }
    // A recipe may keep its steady load beside the racks; the racks are what counts then.
    for key in ["loading_dm2_l", "thickness_um", "hours_per_day", "days_per_week"] {
        reader.optional(&format!("work.{key}"), Bounds::POSITIVE)?;
    }
    names
        .into_iter()
        .map(|name| {
            let path = |key: &str| format!("load.{name}.{key}");
            Ok(Load {
                area_m2: reader.number(&path("area_dm2"), Bounds::POSITIVE)? / DM2_PER_M2,
                in_s: reader.number(&path("in_h"), Bounds::NOT_NEGATIVE)? * SECONDS_PER_HOUR,
                stay_s: reader.number(&path("minutes"), Bounds::POSITIVE)? * SECONDS_PER_MINUTE,
                every_s: reader.number_or(&path("every_h"), Bounds::NOT_NEGATIVE, 0.0)? * SECONDS_PER_HOUR,
                count: reader.number_or(
                    &path("count"),
                    Bounds::between(1.0, 1e6, "a count from 1 to 1000000"),
                    1.0,
                )? as u32,
                name,
            })
        })
        .collect::<Result<Vec<Load>>>()
        .map(Work::Loads)
}

/// The policies of `[replenishment]` and `[ph_control]`.
pub(super) fn read_policies(reader: &Reader, has_corrector: bool) -> Result<Policies> {
    let trigger = reader.number_or(
        "replenishment.metal_trigger_pct",
        Bounds::between(1.0, 99.9, "a percentage of the set-point between 1 and 99.9"),
        95.0,
    )?;
    let interval = reader.number_or("replenishment.analysis_interval_h", Bounds::POSITIVE, 4.0)?;
    let metal = reader.choice(
        "replenishment.policy",
        &[
            ("threshold", MetalPolicy::Threshold { fraction: trigger / 100.0 }),
            ("continuous", MetalPolicy::Continuous),
            ("analysis", MetalPolicy::AtAnalysis { interval_s: interval * SECONDS_PER_HOUR }),
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
    let with_additions = reader.truth_or("ph_control.with_additions", true)?;
    let ph = reader.choice(
        "ph_control.policy",
        &[
            ("dead-band", PhPolicy::DeadBand { width, with_additions }),
            ("continuous", PhPolicy::Continuous),
            ("off", PhPolicy::Off),
        ],
    )?;
    if ph != PhPolicy::Off && !has_corrector {
        return Err(reader.refuse("ph_control.reagent", "the acid or base that holds the pH", None));
    }
    Ok(Policies { metal, reductant, ph })
}
