//! Copper(I) oxide: where its potential lies above that of the metal.

use bathkin::Recipe;

use support::recipes::{live, set};

/// Producer: by hand from the couples, E(Cu+2/Cu2O) - E(Cu+2/Cu), 0.05 V as the bound. Tartrate
/// holds copper(II) so loosely that the oxide comes first at any pH; EDTA stays below the bound in strong alkali too
/// (0.047 V at pH 13.9, 40 degC, with the enthalpy of its hydroxo complex estimated).
#[test]
fn copper_oxide_before_the_metal_is_warned_of() {
    let said = |name: &str, ph: f64| {
        let bath = set(&Recipe::built_in(name).expect("built in"), &[("operation.ph", ph)])
            .make_up()
            .expect("a bath");
        let couples = bath.couples().expect("couples");
        let of =
            |wanted: &str| couples.iter().find(|couple| couple.name == wanted).expect("it").potential_v_she;
        let margin = of("copper_ion_to_oxide") - of("copper_ion_to_metal");
        let flags = bath.flags().expect("flags");
        let flag = flags.iter().find(|flag| flag.r#where == "copper_oxide").map(|flag| flag.what.clone());
        assert_eq!(flag.is_some(), margin > 0.05, "{name} at pH {ph}: {margin} V");
        flag
    };
    assert!(said("copper-tartrate", 12.5).is_some_and(|flag| flag.contains("0.088 is above 0.05 V")));
    assert!(said("copper-edta", 12.5).is_none() && said("copper-edta", 13.9).is_none());
    let life =
        live(&set(&Recipe::built_in("copper-tartrate").expect("built in"), &[("limits.turnovers", 1.0)]));
    let flags = Recipe::built_in("copper-tartrate").expect("built in").life_flags(&life).expect("flags");
    assert_eq!(flags.iter().filter(|flag| flag.r#where == "copper_oxide").count(), 1);
}
