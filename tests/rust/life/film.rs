//! A life behind a film: what the surface came to, said once; and the numbers of the quiet copper bath.

use bathkin::Recipe;

use support::film_copper::{Case, S1, S2, STRONG, copper, copper_only};
use support::recipes::{live, nickel_acid, say, set};
use support::{assert_relative, assert_within};

/// log10 of the activity coefficient of hydroxide in the targets; see film_copper_targets.csv.
const TARGET_PH_SHIFT: f64 = 0.125;

fn said(recipe: &Recipe) -> Vec<String> {
    let life = live(recipe);
    let flags = recipe.life_flags(&life).expect("flags");
    flags.into_iter().filter(|flag| flag.r#where == "film").map(|flag| flag.what).collect()
}

fn short(case: &Case, ph: f64) -> Recipe {
    set(&copper(case, ph), &[("limits.turnovers", 0.2)])
}

/// Producer: the quick script of the targets: in the quiet bath the pH at the surface is 0.59 lower at the
/// peak (pH 12.45) and 1.21 at pH 12.3. It falls steeply there: to 0.15, which is 0.02 of bath pH.
#[test]
fn the_quiet_bath_drops_its_surface_ph_as_the_targets_say() {
    for (ph, drop) in [(12.45, 0.59), (12.3, 1.21)] {
        let bath = copper(&S2, ph + TARGET_PH_SHIFT).make_up().expect("a bath");
        let rate = bath.rate().expect("a rate");
        assert_within(format!("drop at pH {ph}"), bath.ph() - rate.surface_ph, drop, 0.15);
    }
}

/// Several steady states, a starved and an acid surface are seen in a life, each once, from make-up here.
#[test]
fn a_life_says_once_what_the_film_does() {
    let strong = said(&short(&STRONG, 12.4));
    let of = |said: &[String], what: &str| said.iter().filter(|line| line.contains(what)).count();
    assert_eq!(of(&strong, "steady states, first at 0.0 h"), 1, "{strong:?}");
    let quiet = said(&short(&S2, 12.4));
    assert_eq!((of(&quiet, "steady states"), of(&quiet, "surface pH up to")), (0, 1), "{quiet:?}");
    let brief = [("limits.turnovers", 1.0), ("life.longest_clock_h", 2.0)];
    let starved = said(&set(&copper_only(&S1, 13.4, 1e-30, 1e-2), &brief));
    assert_eq!(of(&starved, "cannot supply what the law asks for, first at 0.0 h"), 1, "{starved:?}");
    let acid = said(&set(&copper_only(&S1, 11.0, 1e-4, 1e-4), &brief));
    assert_eq!(
        of(&acid, "cannot supply the alkalinity used: the surface is acid, first at 0.0 h"),
        1,
        "{acid:?}"
    );
    assert!(said(&set(&nickel_acid(), &[("limits.turnovers", 0.1)])).is_empty());
    assert!(live(&set(&nickel_acid(), &[("limits.turnovers", 0.1)])).film.is_none());
}

/// Producer: the fresh bath's own potential; a column of that life alone.
#[test]
fn the_mixed_potential_is_a_column() {
    let recipe =
        set(&Recipe::built_in("nickel-mixed-potential").expect("built in"), &[("limits.turnovers", 1.0)]);
    let life = live(&recipe);
    let column = life.table.column("potential_v_she").expect("a column");
    let fresh = recipe.make_up().and_then(|bath| bath.rate()).expect("a rate").potential_v_she.expect("one");
    assert_within("fresh", column[0], fresh, 1e-6);
    // SCE + 0.241 V: -0.64 V SCE is what the partial currents were fitted to.
    assert!(column.iter().all(|potential| (-0.45..-0.35).contains(potential)), "{column:?}");
    assert!(
        live(&set(&nickel_acid(), &[("limits.turnovers", 0.1)])).table.column("potential_v_she").is_none()
    );
}

/// Producer: the targets of the concentrated quiet bath (film_copper_targets.csv and its peak), which have conditional constants at
/// one ionic strength where the recipe has those of the library: 10 % of the rate, 0.15 of the pH, which
/// is 0.02 of bath pH where it falls.
#[test]
fn the_quiet_recipe_shows_a_fall_of_one_ph() {
    let quiet = Recipe::built_in("copper-tartrate-quiet").expect("built in");
    // The bath of the targets: less copper and no carbonate, stronger blocking.
    let quiet = set(
        &quiet,
        &[
            ("make_up.copper_sulfate_pentahydrate_g_l", 24.97),
            ("make_up.potassium_sodium_tartrate_tetrahydrate_g_l", 84.7),
            ("make_up.sodium_carbonate_anhydrous_g_l", 0.0),
            ("deposition.rate_mol_m2_s", 1.35e-3),
            ("deposition.inhibition.hydroxide.constant_mol_l", 0.01),
            ("film.thickness_um", 300.0),
            ("operation.ph", 12.4),
        ],
    );
    for (ph, um_h, drop) in
        [(12.2, 3.01, 1.32), (12.3, 3.71, 1.21), (12.4, 4.15, 0.78), (12.6, 4.07, 0.30), (12.8, 3.04, 0.11)]
    {
        let bath = set(&quiet, &[("operation.ph", ph)]).make_up().expect("a bath");
        let rate = bath.rate().expect("a rate");
        assert_relative(format!("um/h at pH {ph}"), rate.deposition_um_h, um_h, 0.1);
        assert_within(format!("fall at pH {ph}"), bath.ph() - rate.surface_ph, drop, 0.15);
        assert_eq!(rate.steady_states, 1);
    }
    let life = live(&set(&quiet, &[("limits.turnovers", 1.0)]));
    let film = life.film.expect("a film");
    assert!((0.5..1.0).contains(&film.largest_ph_drop) && film.starved_from_h.is_none(), "{film:?}");
    // The lean bath with its film: next to nothing at the peak, and the peak stays where practice has it.
    let lean = Recipe::built_in("copper-tartrate").expect("built in");
    let lean = say(&set(&lean, &[("operation.ph", 12.75)]), &[("film.stirring", "moved-work")]);
    let bath = lean.make_up().expect("a bath");
    assert_within("fall of the lean bath", bath.ph() - bath.rate().expect("a rate").surface_ph, 0.04, 0.03);
}

/// Producer: Vaskelis et al., The surface layer pH in the electroless copper plating process (abstract, tartrate and EDTA baths
/// without stirring): most copper at bath pH 12.6-12.7 and surface pH 11.7-12.0, the surface at most 1.3 below the bath.
#[test]
fn the_quiet_bath_peaks_and_falls_as_reported() {
    let quiet = Recipe::built_in("copper-tartrate-quiet").expect("built in");
    let at = |ph: f64| {
        let bath = set(&quiet, &[("operation.ph", ph)]).make_up().expect("a bath");
        let rate = bath.rate().expect("a rate");
        (ph, rate.deposition_um_h, rate.surface_ph, bath.ph() - rate.surface_ph)
    };
    let swept: Vec<_> = (0..=72).map(|step| at(11.5 + 0.025 * f64::from(step))).collect();
    let peak = swept.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).expect("points");
    assert!((12.6..=12.7).contains(&(peak.0 + 1e-9)), "bath pH of the peak {}", peak.0);
    assert!((11.7..=12.0).contains(&peak.2), "surface pH of the peak {}", peak.2);
    let largest = swept.iter().map(|point| point.3).fold(0.0, f64::max);
    assert_within("largest fall", largest, 1.3, 0.05);
}
