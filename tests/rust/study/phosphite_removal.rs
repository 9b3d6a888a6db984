//! What a removal of phosphite alone would buy: the strategy of that name against a closed form, the dump, and its salt.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::study::{Horizon, Strategy};

use support::recipes::{bath_of_p20, column, last, live, molar_mass, power_law, pumped, set};
use support::{assert_relative, assert_within};

/// Producer: closed form. A part f removed every T turnovers lets the by-product rise to
/// (p T / f) (1 - (1 - f)^k) before the k-th removal, with p made per turnover; both events take a part f together.
#[test]
fn phosphite_settles_as_after_partial_dumps() {
    // At whole turnovers, where rows are.
    let (part, every, removals) = (0.3, 1.0, 6);
    let made = 21.0117 / molar_mass("H2PO3-");
    let bath = set(&bath_of_p20(), &[("limits.orthophosphite_g_l_as_hpo3", 1e4)]);
    let one = live(&set(&bath, &[("limits.turnovers", 1.0)])).verdict;
    let until = f64::from(removals) * every + 0.5;
    let horizon = Horizon::Area(until * one.area_m2 / one.turnovers_plated);
    let strategy = Strategy::phosphite_removal(100.0 * part, every, "sulfate", true);
    let found = bath.compare(&[strategy], Some(horizon)).expect("a comparison").remove(0);
    let turnovers = column(&found.life, "turnovers");
    let levels = column(&found.life, "orthophosphite_mol_l");
    for removal in 1..=removals {
        let at = f64::from(removal) * every;
        let row = turnovers.iter().rposition(|turnovers| (turnovers - at).abs() < 1e-6).expect("a row");
        let peak = made * every / part * (1.0 - (1.0 - part).powi(removal));
        assert_relative(format!("after removal {removal}"), levels[row], (1.0 - part) * peak, 1e-4);
    }
    // No metal and no volume left with it.
    assert_relative("waste", found.waste.volume_l, 400.0, 1e-9);
}

/// Producer: by hand. For 0.7 of what was removed there is sulfate, beside that of the nickel salt; the pH is held.
#[test]
fn its_salt_stays() {
    let bath = set(&pumped(&power_law()), &[("limits.turnovers", 4.0)]);
    let settings = Strategy::phosphite_removal(20.0, 0.25, "sulfate", true).settings;
    let treated = settings.iter().filter(|(path, _)| path != "limits.turnovers");
    let treated =
        treated.fold(bath.clone(), |recipe, (path, value)| recipe.with(path, value.clone(), "test"));
    let (plain, treated) = (live(&bath), live(&treated));
    let removed = last(&plain, "orthophosphite_mol_l") - last(&treated, "orthophosphite_mol_l");
    assert!(removed > 0.6, "{removed} mol/L");
    let sulfate = last(&treated, "sulfate_mol_l") - last(&plain, "sulfate_mol_l");
    assert_within("sulfate per phosphite", sulfate / removed, 0.7, 0.03);
    for ph in column(&treated, "ph") {
        assert_within("pH", *ph, 4.8, 0.02);
    }
    let strength = last(&treated, "ionic_strength_mol_l") / last(&plain, "ionic_strength_mol_l");
    assert!((1.0..1.3).contains(&strength), "the salt grows all the same: {strength}");
    assert!(treated.balance.max_relative_residual < 1e-9, "{:?}", treated.balance);
    assert!(last(&treated, "deposition_um_h") > last(&plain, "deposition_um_h"));
}

/// Producer: the promise: as much phosphite as the usual bleed, at every half turnover; no metal leaves with it, and
/// the salt that grows on is said.
#[test]
fn what_a_removal_would_buy_is_compared() {
    let recipe = power_law();
    let usual = recipe.usual_strategies(&Strategy::KNOWN, Some(0.2)).expect("strategies");
    assert_eq!(usual[3], Strategy::phosphite_removal(10.0, 0.5, "sulfate", true));
    let found = recipe.compare(&usual, None).expect("a comparison");
    let (dump, bleed, removal) = (&found[0], &found[1], &found[3]);
    // After some thirty turnovers there is more salt than water: five baths of the recipe are less than one and a half.
    assert_relative("baths of the recipe", dump.baths, 5.0, 1e-9);
    assert!((1.0..1.5).contains(&removal.baths), "{}", removal.baths);
    assert_relative("phosphite", removal.by_product_end_mol_l, bleed.by_product_end_mol_l, 0.06);
    assert!(removal.waste.metal_g < 0.3 * dump.waste.metal_g, "{:?}", removal.waste);
    let said = removal.flags.iter().any(|flag| flag.what.contains("ionic strength"));
    assert!(said, "{:?}", removal.flags);
    assert!(removal.flags.iter().any(|flag| flag.what.contains("is not counted")), "{:?}", removal.flags);
}

#[test]
fn without_a_proton_it_leaves_for_the_salt_alone() {
    let alkaline = Recipe::built_in("nickel-alkaline").expect("built in");
    let usual = alkaline.usual_strategies(&["phosphite-removal"], Some(0.2)).expect("one");
    assert_eq!(usual, [Strategy::phosphite_removal(10.0, 0.5, "sulfate", false)]);
    let event = "event.phosphite_for_salt.removed_with".to_owned();
    assert!(usual[0].settings.contains(&(event, Value::Text("sulfate".to_owned()))));
    let chloride = Recipe::built_in("nickel-textbook").expect("built in");
    let usual = chloride.usual_strategies(&["phosphite-removal"], Some(0.2)).expect("one");
    assert_eq!(usual, [Strategy::phosphite_removal(10.0, 0.5, "chloride", true)]);
    let copper = Recipe::built_in("copper-edta").expect("built in");
    let error = copper.usual_strategies(&["phosphite-removal"], Some(0.2)).expect_err("refused");
    assert!(error.to_string().contains("whose by-product is orthophosphite"), "{error}");
}
