//! Running the tank: level, water, overflow, temperature, racks, declared events.

use support::recipes::{column, last, live, nickel_acid, power_law, pumped, say, set, without_limits};

/// Everything at once for ten turnovers: the mass balance of every element, the charge and the volume.
/// Producer: conservation.
#[test]
fn the_books_close_with_every_kind_of_event_at_once() {
    let bath = say(
        &without_limits(&nickel_acid()),
        &[
            ("tank.level", "free"),
            ("event.partial.fill_with", "make-up"),
            ("event.treatment.removed_with", "sodium"),
        ],
    );
    let bath = set(
        &bath,
        &[
            ("limits.turnovers", 10.0),
            ("tank.brim_l", 420.0),
            ("tank.evaporation_l_h", 2.0),
            ("tank.drag_out_l_m2", 0.1),
            ("tank.drag_in_l_m2", 0.05),
            ("drag_in.sulfuric_acid_g_l", 2.0),
            ("tank.bleed_per_turnover", 0.02),
            ("operation.idle_temperature_c", 50.0),
            ("event.partial.dump_pct", 20.0),
            ("event.partial.every_turnovers", 3.0),
            ("event.treatment.removed_pct.orthophosphite", 30.0),
            ("event.treatment.at_h", 100.0),
            ("event.acid.solution.sulfuric_acid_g_l", 50.0),
            ("event.acid.dose_ml_l", 1.0),
            ("event.acid.at_h", 60.0),
        ],
    );
    let life = live(&bath);
    assert!(life.balance.max_relative_residual < 1e-10, "{:?}", life.balance);
    let names: Vec<&str> = life.events.iter().map(|event| event.event.as_str()).collect();
    assert_eq!(names, ["acid", "partial", "treatment", "partial", "partial"]);
    assert!(life.events[0].doubtful_after);
    let volume = column(&life, "volume_l");
    assert!(volume.iter().all(|litres| (399.9..=420.1).contains(litres)), "{volume:?}");
}

/// Producer: volume balance. A tank at its brim overflows what the pumps bring in beyond what
/// evaporates; with strong evaporation nothing overflows and water comes in.
#[test]
fn a_full_tank_bails_itself_out_unless_it_evaporates() {
    let full = say(&pumped(&without_limits(&nickel_acid())), &[("tank.level", "free")]);
    let full = set(&full, &[("limits.turnovers", 2.0)]);
    let dry = live(&full);
    let fed = last(&dry, "metal_replenisher_ml_l") + last(&dry, "reductant_replenisher_ml_l");
    let fed_l = fed * 0.4 + last(&dry, "ph_corrector_g_l") / 200.0 * 400.0;
    assert!((last(&dry, "overflow_l") - fed_l).abs() < 1e-8 * fed_l, "{} {fed_l}", last(&dry, "overflow_l"));
    assert_eq!(last(&dry, "water_l"), 0.0);
    let hot = live(&set(&full, &[("tank.evaporation_l_h", 20.0)]));
    assert!(last(&hot, "water_l") > 0.0);
    assert!(last(&hot, "overflow_l") == 0.0);
    assert!((last(&hot, "volume_l") - 400.0).abs() < 1e-6);
    assert!(last(&hot, "orthophosphite_mol_l") > last(&dry, "orthophosphite_mol_l"));
}

/// Producer: the rate times the time in the tank. A rack's thickness is what grows on it, and a
/// poorly started one gets none before its induction is over.
#[test]
fn every_rack_has_its_own_thickness() {
    let bath = set(
        &pumped(&without_limits(&power_law())),
        &[
            ("load.bracket.area_dm2", 40.0),
            ("load.bracket.in_h", 1.0),
            ("load.bracket.minutes", 60.0),
            ("load.bracket.every_h", 2.0),
            ("load.bracket.count", 3.0),
            ("life.longest_clock_h", 8.0),
        ],
    );
    let life = live(&bath);
    assert_eq!(life.loads.len(), 3);
    for (record, into) in life.loads.iter().zip([1.0, 3.0, 5.0]) {
        assert!((record.in_h - into).abs() < 1e-12 && (record.out_h - into - 1.0).abs() < 1e-12);
        assert!((16.0..17.0).contains(&record.thickness_um), "{record:?}");
    }
    assert!(life.loads[2].thickness_um < life.loads[0].thickness_um);
}

/// Producer: dilution. Half the bath dumped and made up anew halves what it has gathered, at a held
/// level as at a free one, and leaves metal and volume as they were.
#[test]
fn half_a_dump_halves_the_by_product() {
    for level in ["held", "free"] {
        let bath = say(&pumped(&without_limits(&nickel_acid())), &[("tank.level", level)]);
        let whole = live(&set(&bath, &[("limits.turnovers", 1.0)]));
        let bath = set(
            &bath,
            &[
                ("limits.turnovers", 1.0),
                ("event.half.dump_pct", 50.0),
                ("event.half.at_turnovers", 1.0 - 1e-6),
            ],
        );
        let half = live(&bath);
        let name = "orthophosphite_mol_l";
        let ratio = last(&half, name) / last(&whole, name);
        assert!((ratio - 0.5).abs() < 1e-5, "{level}: {ratio}");
        assert!((last(&half, "volume_l") - 400.0).abs() < 1e-9);
        assert!((last(&half, "metal_g_l") / last(&whole, "metal_g_l") - 1.0).abs() < 1e-9);
    }
}
