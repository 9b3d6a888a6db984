//! Transport through the film, against independent numbers, closed forms and its limits.

use bathkin::recipe::Recipe;
use bathkin::study::Rate;
use bathkin::surface::{Conditions, FilmSurface, FirstState};

use support::film_copper::{Case, S1, S2, STRONG, copper, copper_only};
use support::recipes::{live, nickel_acid, say, set};
use support::{Csv, assert_relative, assert_within};

const PKW_25C: f64 = 13.9945;
/// log10 of the activity coefficient of hydroxide in the targets; see the head of their file.
const TARGET_PH_SHIFT: f64 = 0.125;

fn rate_of(recipe: &Recipe) -> Rate {
    recipe.make_up().expect("a bath").rate().expect("a rate")
}

fn rate(case: &Case, ph: f64) -> Rate {
    rate_of(&copper(case, ph))
}

/// What the film says of a recipe's fresh bath.
fn warnings(recipe: &Recipe) -> Vec<String> {
    let flags = recipe.make_up().expect("a bath").flags().expect("flags");
    flags.into_iter().filter(|flag| flag.r#where == "film").map(|flag| flag.what).collect()
}

/// A recipe's fresh bath with its film, for questions to the surface itself.
struct Asked {
    recipe: Recipe,
    totals: Vec<f64>,
    dissolved: Vec<f64>,
    ph: f64,
}

impl Asked {
    fn of(recipe: Recipe) -> Self {
        let bath = recipe.make_up().expect("a bath");
        let numbers = |named: Vec<(String, f64)>| named.into_iter().map(|(_, value)| value).collect();
        Asked {
            totals: numbers(bath.totals().expect("totals")),
            dissolved: numbers(bath.species().expect("species")),
            ph: bath.ph(),
            recipe,
        }
    }

    fn bath(&self) -> Conditions<'_> {
        Conditions {
            temperature_k: self.recipe.model().expect("a model").tank.operation.temperature_k,
            ph: self.ph,
            ionic_strength_mol_l: 1.0,
            totals_mol_l: &self.totals,
            dissolved_mol_l: &self.dissolved,
        }
    }

    fn settle(&self, surface: &mut FilmSurface) -> Vec<f64> {
        let tank = &self.recipe.model().expect("a model").tank;
        let film = tank.bath.film.as_ref().expect("a film");
        let mut rates = vec![0.0; tank.bath.reactions.len()];
        surface.settle(film, &tank.bath.kinetics, &self.bath(), &mut rates);
        rates
    }

    fn surface(&self) -> FilmSurface {
        FilmSurface::new(self.recipe.model().expect("a model").tank.bath.film.as_ref().expect("a film"))
    }

    /// What crosses the film is what the half-reactions use.
    fn assert_fluxes_close(&self) {
        let mut surface = self.surface();
        let rates = self.settle(&mut surface);
        let tank = &self.recipe.model().expect("a model").tank;
        let film = tank.bath.film.as_ref().expect("a film");
        let fluxes =
            film.fluxes_mol_m2_s(tank.operation.temperature_k, &self.dissolved, surface.dissolved_mol_l());
        for (slot, flux) in fluxes.iter().enumerate() {
            let of = |(reaction, rate): (&bathkin::tank::ResolvedReaction, &f64)| -> f64 {
                reaction.liquid.iter().filter(|(at, _)| *at == slot).map(|(_, moles)| -moles * rate).sum()
            };
            let used: f64 = tank.bath.reactions.iter().zip(&rates).map(of).sum();
            let scale = rates.iter().fold(0.0_f64, |most, rate| most.max(rate.abs()));
            assert_within(format!("flux of slot {slot}"), flux / scale, used / scale, 1e-7);
        }
    }
}

/// Producer: `film_copper.py` (SciPy), written over hydroxide instead of protons. The recipe holds some minor
/// species more, which is why a thousandth is allowed.
#[test]
fn rate_and_surface_agree_with_an_independent_solution() {
    for row in Csv::reference("film_copper.csv").rows() {
        let case = Case {
            copper_mol_l: row.number("copper_mol_l"),
            tartrate_mol_l: row.number("tartrate_mol_l"),
            formaldehyde_mol_l: row.number("formaldehyde_mol_l"),
            blocking: row.number("n"),
            adsorption_l_mol: row.number("adsorption_l_mol"),
            rate: row.number("k"),
            thickness_um: Some(row.number("thickness_um")),
        };
        let what = format!("{} at pH {}, state {}", row.text("case"), row.text("ph"), row.text("state"));
        let first = if row.number("state") == 1.0 { "slowest" } else { "fastest" };
        let found = rate_of(&say(&copper(&case, row.number("ph")), &[("film.first_state", first)]));
        assert_eq!(found.steady_states as f64, row.number("of"), "{what}");
        if row.number("state") == 2.0 {
            // Not stable: no surface stays there.
            continue;
        }
        assert_relative(&what, found.deposition_um_h, row.number("deposition_um_h"), 1e-3);
        assert_within(&what, found.surface_ph, row.number("surface_ph"), 1e-3);
        assert_relative(&what, found.surface_metal_mol_l, row.number("surface_copper_mol_l"), 5e-4);
    }
}

/// Producer: `film_copper_targets.csv`; rates to 3 % or half their last digit, surface pH to 0.1.
#[test]
fn both_copper_baths_meet_their_targets() {
    for row in Csv::reference("film_copper_targets.csv").rows() {
        for (case, name) in [(S1, "s1"), (S2, "s2")] {
            let found = rate(&case, row.number("ph") + TARGET_PH_SHIFT);
            let what = format!("{name} at pH {}", row.text("ph"));
            let column = format!("{name}_um_h");
            let expected = row.number(&column);
            let half_a_digit = 0.6 * row.last_digit(&column);
            assert_within(&what, found.deposition_um_h, expected, (0.03 * expected).max(half_a_digit));
            let expected = row.number(&format!("{name}_surface_ph"));
            assert_within(&what, found.surface_ph - TARGET_PH_SHIFT, expected, 0.1);
        }
    }
}

/// The pH of the greatest rate on a grid of 0.01, and that rate.
fn peak(case: &Case, from: f64, to: f64) -> (f64, f64) {
    let points = ((to - from) / 0.01).round() as usize;
    let at = |step: usize| from + 0.01 * step as f64;
    (0..=points)
        .map(|step| (at(step), rate(case, at(step)).deposition_um_h))
        .fold((0.0, 0.0), |best, point| if point.1 > best.1 { point } else { best })
}

/// Producer: the closed form of the kinetic peak, 2 K K_M x² + K x = 1 with x = [OH-] and K_M the
/// constant of methylene glycolate, 10^(13.9945 - 13.3).
#[test]
fn blocking_alone_peaks_where_the_closed_form_says() {
    let k_m = 10_f64.powf(PKW_25C - 13.3);
    for (case, from) in [(S1, 12.7), (S2, 11.7)] {
        let k = case.adsorption_l_mol;
        let x = (-k + (k * k + 8.0 * k * k_m).sqrt()) / (4.0 * k * k_m);
        let (ph, _) = peak(&Case { thickness_um: None, ..case }, from, from + 0.3);
        assert_within("peak pH", ph, PKW_25C + x.log10(), 0.01);
    }
}

/// Producer: the targets: S1 peaks at 12.75 with 3.09 um/h, S2 at 12.45 with 4.16 um/h.
#[test]
fn a_film_moves_the_peak() {
    for (case, ph, um_h) in [(S1, 12.75, 3.09), (S2, 12.45, 4.16)] {
        let around = ph + TARGET_PH_SHIFT;
        let (found, fastest) = peak(&case, around - 0.2, around + 0.2);
        assert_within("peak pH", found, around, 0.1);
        assert_relative("um/h", fastest, um_h, 0.03);
    }
}

#[test]
fn a_vanishing_film_is_none() {
    for ph in [10.0, 12.0, 12.8, 13.4] {
        let (thin, none) = (
            rate(&Case { thickness_um: Some(1e-5), ..S1 }, ph),
            rate(&Case { thickness_um: None, ..S1 }, ph),
        );
        assert_relative(format!("um/h at pH {ph}"), thin.deposition_um_h, none.deposition_um_h, 1e-6);
        assert_within("surface pH", thin.surface_ph, none.ph, 1e-6);
        assert_eq!(none.surface_ph, none.ph);
        assert_within("surface copper", none.surface_metal_mol_l, S1.copper_mol_l, 1e-12);
    }
}

#[test]
fn what_crosses_the_film_is_what_the_surface_uses() {
    for ph in [10.0, 12.0, 13.0] {
        for case in [S1, S2, STRONG] {
            Asked::of(copper(&case, ph)).assert_fluxes_close();
        }
    }
    // Phosphorus and hydrogen follow the surface pH, so what is used moves with it.
    for thickness_um in [1.0, 10.0, 50.0] {
        let recipe = set(&nickel_acid(), &[("film.thickness_um", thickness_um)]);
        Asked::of(recipe.clone()).assert_fluxes_close();
        let found = rate_of(&recipe);
        assert!(found.surface_ph < found.ph, "nickel makes the surface more acid");
        assert!(found.deposition_um_h < rate_of(&nickel_acid()).deposition_um_h);
    }
}

fn metal_rate(recipe: &Recipe) -> f64 {
    rate_of(recipe).half_reactions_mol_m2_s.iter().find(|(name, _)| name == "metal").expect("a metal").1
}

/// Producer: resistances in series, 1/r = 1/(k c) + 1/(k_film c), for a rate of first order in the one
/// substance that is short; k_film = 0.5e-9/100e-6 m/s.
#[test]
fn one_short_reactant_is_resistances_in_series() {
    let supply = 5e-6 * 1e3 * S1.copper_mol_l;
    for kinetic in [1e-5, 1e-4, 1e-3] {
        let recipe = copper_only(&S1, 13.4, 1e6, kinetic * 1e6 / S1.copper_mol_l);
        let expected = 1.0 / (1.0 / kinetic + 1.0 / supply);
        assert_relative(format!("rate with {kinetic}"), metal_rate(&recipe), expected, 1e-6);
    }
}

/// Producer: the diffusion ceiling k_film c, 5e-6 m/s x 40 mol/m³.
#[test]
fn a_law_that_does_not_feel_the_last_metal_is_fed_at_the_ceiling() {
    let recipe = copper_only(&S1, 13.4, 1e-30, 1e-2);
    assert_relative("rate", metal_rate(&recipe), 2e-4, 1e-6);
    let said = warnings(&recipe);
    assert!(said.iter().any(|what| what.contains("no solution above 5.1")), "{said:?}");
}

#[test]
fn a_surface_out_of_alkalinity_says_so() {
    let recipe = copper_only(&S1, 11.0, 1e-4, 1e-4);
    let found = rate_of(&recipe);
    assert!(found.deposition_um_h.is_finite() && found.surface_ph.is_finite());
    let said = warnings(&recipe);
    assert!(said.iter().any(|what| what.contains("no solution with an alkaline surface above")), "{said:?}");
}

/// Producer: 0.4, 3.1 and 4.3 um/h at pH 12.3 (targets' pH), of the quick script behind the targets.
#[test]
fn strong_blocking_has_three_steady_states() {
    let recipe = copper(&STRONG, 12.3 + TARGET_PH_SHIFT);
    let said = warnings(&recipe);
    assert!(
        said.iter().any(|what| what.starts_with("three steady states: 0.40, 3.13 (unstable), 4.30 um/h")),
        "{said:?}"
    );
    assert_eq!(rate_of(&recipe).steady_states, 3);
    for case in [S1, S2] {
        for ph in [11.0, 12.0, 12.5, 13.0] {
            assert_eq!(rate(&case, ph).steady_states, 1, "weaker blocking has one");
        }
    }
}

/// Up the pH the fast steady state holds as far as it goes, down again the slow one does.
#[test]
fn a_surface_stays_on_its_branch() {
    let at = |ph: f64| Asked::of(copper(&STRONG, ph));
    let mut surface = at(12.2).surface();
    let fast = at(12.3).settle(&mut surface)[0];
    let held = at(12.425).settle(&mut surface)[0];
    assert!(held > fast && held * 25_530.0 > 4.2, "{fast} {held}");
    let fallen = at(12.7).settle(&mut surface)[0];
    assert!(fallen < 0.05 * held, "{fallen}: the fast steady state has ended");
    let slow = at(12.425).settle(&mut surface)[0];
    assert_within("slow steady state, um/h", slow * 25_530.0, 0.403, 0.005);
    assert_eq!(at(12.425).settle(&mut surface)[0], slow, "asked again");
    assert!(surface.supplied);
    let film = at(12.3).recipe.model().expect("a model").tank.bath.film.clone().expect("a film");
    assert_eq!(film.first, FirstState::Slowest);
}

/// Producer: the whole range searched anew, 1e-10. A bath that moves a little, a lot and back, on the way straight to the next
/// steady state or not.
#[test]
fn a_surface_that_follows_stands_where_a_fresh_one_does() {
    let at = |ph: f64| Asked::of(copper(&S2, ph));
    let mut surface = at(12.5).surface();
    for ph in [12.5, 12.5001, 12.501, 12.52, 12.519, 12.8, 12.3, 12.31] {
        let bath = at(ph);
        let (mut fresh, followed) = (bath.surface(), bath.settle(&mut surface));
        for (followed, anew) in followed.iter().zip(bath.settle(&mut fresh)) {
            assert_relative(format!("rate at pH {ph}"), *followed, anew, 1e-10);
        }
        assert_within(format!("surface pH at pH {ph}"), surface.ph, fresh.ph, 1e-8);
        assert_eq!(surface.supplied, fresh.supplied);
    }
}

/// Producer: the list of them; and the acid surface of an alkaline bath by its pH.
#[test]
fn steady_states_are_counted_as_they_are_listed() {
    for (case, ph) in [(STRONG, 12.425), (STRONG, 12.9), (S1, 12.5), (S2, 12.3), (S2, 11.0)] {
        let bath = Asked::of(copper(&case, ph));
        let tank = &bath.recipe.model().expect("a model").tank;
        let (film, kinetics) = (tank.bath.film.as_ref().expect("a film"), &tank.bath.kinetics);
        let listed = bath.surface().steady_states(film, kinetics, &bath.bath());
        assert_eq!(bath.surface().count_steady_states(film, kinetics, &bath.bath()), listed.len(), "pH {ph}");
        let mut surface = bath.surface();
        bath.settle(&mut surface);
        let first = &listed[0];
        assert_eq!(
            surface.is_acid_in_alkaline(film),
            first.alkaline_up_to_mol_m2_s.is_some(),
            "pH {ph}, {} at the surface",
            first.ph
        );
    }
}

#[test]
fn a_film_is_said_in_one_way() {
    let both = say(&copper(&S1, 12.5), &[("film.stirring", "quiet")]).make_up().expect_err("both");
    assert!(both.to_string().contains("film.stirring = \"quiet\""), "{both}");
    let quiet = Case { thickness_um: None, ..S1 };
    let named = say(&copper(&quiet, 12.5), &[("film.stirring", "quiet")]);
    let given = set(&copper(&quiet, 12.5), &[("film.thickness_um", 300.0)]);
    assert_eq!(rate_of(&named), rate_of(&given));
    let unknown = set(&given, &[("film.diffusion_m2_s.coper", 1e-9)]).make_up().expect_err("misspelt");
    assert!(unknown.to_string().contains("copper"), "{unknown}");
}

/// Nothing to plate with is a rate of zero with the bath's liquid at the surface.
#[test]
fn no_reductant_no_rate() {
    let recipe = set(&copper(&S1, 12.5), &[("deposition.rate_mol_m2_s", 0.0)]);
    let found = rate_of(&recipe);
    assert_eq!((found.deposition_um_h, found.steady_states), (0.0, 1));
    assert_eq!(found.surface_ph, found.ph);
}

#[test]
fn a_bath_behind_a_film_lives() {
    let recipe = set(&copper(&S1, 12.6), &[("limits.turnovers", 0.2)]);
    let life = live(&recipe);
    assert_eq!(life.verdict.limit, "turnovers");
    let fresh = rate_of(&recipe).deposition_um_h;
    let first = life.table.column("deposition_um_h").expect("a column")[0];
    assert_relative("um/h of the fresh bath", first, fresh, 1e-9);
    let surface_ph = life.table.column("surface_ph").expect("a column")[0];
    assert_within("surface pH", surface_ph, rate_of(&recipe).surface_ph, 1e-6);
    assert!(live(&set(&nickel_acid(), &[("limits.turnovers", 0.1)])).table.column("surface_ph").is_none());
}
