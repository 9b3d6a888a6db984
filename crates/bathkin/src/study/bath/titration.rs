//! A bath and a reagent: titration, and the amount that sets a pH.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::ZERO_CELSIUS_K;
use crate::error::{Error, Result};
use crate::flag::Flag;
use crate::model::make_up::PhAdjustment;
use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::ph::{Adjustment, LARGEST_ADJUSTMENT_MOL_L};
use crate::solution::titration::Sample;
use crate::solution::{BathSolid, Chemistry, Equilibrium, Reagent, Titration};
use crate::study::Bath;
use crate::study::bath::over_ph::{check_each, check_each_ph, place, refuse};

/// A bath titrated with a reagent.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct BathTitration {
    /// The reagent.
    pub reagent: String,
    /// Reagent added at each point, g/L.
    pub amount_g_l: Vec<f64>,
    /// Free metal, mol/L.
    pub free_metal_mol_l: Vec<f64>,
    /// Amounts in mol/L, pH, ionic strength, buffer capacity, species; targets not reached.
    pub curve: Titration,
    /// The bath's own pH at the temperature, before anything is added.
    pub bath_ph: f64,
    /// Temperature, degC.
    pub temperature_c: f64,
    /// Warnings.
    pub flags: Vec<Flag>,
}

impl Bath {
    /// The bath titrated with stated amounts of a reagent, g/L.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a reagent nobody knows; [`Error::Recipe`] for a negative amount, none
    /// at all, or a temperature outside 0-100 degC; [`Error::Convergence`].
    pub fn titrate(
        &self,
        reagent: &str,
        amounts_g_l: &[f64],
        temperature_c: Option<f64>,
    ) -> Result<BathTitration> {
        const CALL: &str = "titration";
        check_each(CALL, "amounts_g_l", amounts_g_l, f64::MAX, "an amount of zero or more, g/L")?;
        let beaker = self.beaker(CALL, reagent, temperature_c)?;
        let moles: Vec<f64> =
            amounts_g_l.iter().map(|grams| grams / beaker.reagent.molar_mass_g_mol).collect();
        let curve = beaker.sample().at_amounts(&mut beaker.equilibrium.speciation(), &moles)?;
        self.titrated(&beaker, curve)
    }

    /// The bath titrated with a reagent to stated pHs; those it cannot be brought to are left out and
    /// flagged.
    ///
    /// # Errors
    /// As [`Bath::titrate`], and [`Error::Recipe`] for a pH outside 0 to 14 or when none can be reached.
    pub fn titrate_to(&self, reagent: &str, ph: &[f64], temperature_c: Option<f64>) -> Result<BathTitration> {
        const CALL: &str = "titration";
        check_each_ph(CALL, ph)?;
        let beaker = self.beaker(CALL, reagent, temperature_c)?;
        let curve = beaker.sample().to_ph(&mut beaker.equilibrium.speciation(), ph)?;
        if curve.amount_mol_l.is_empty() {
            // One by one this says why.
            self.amount_for(CALL, &beaker, ph[0])?;
        }
        self.titrated(&beaker, curve)
    }

    /// How much of a reagent brings the bath to a pH, at the bath temperature or another.
    ///
    /// ```
    /// use bathkin::Recipe;
    ///
    /// let bath = Recipe::built_in("nickel-acid")?.make_up()?;
    /// assert!(bath.amount_for_ph("ammonia", 5.2, None)?.g_l > 0.0);
    /// assert!(bath.amount_for_ph("ammonia", 4.2, None).is_err());
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Recipe`] when the bath is past the pH already, or when no amount reaches it, with what
    /// was found; [`Error::UnknownName`] for a reagent nobody knows; [`Error::Convergence`].
    pub fn amount_for_ph(&self, reagent: &str, ph: f64, temperature_c: Option<f64>) -> Result<PhAdjustment> {
        const CALL: &str = "amount_for_ph";
        check_each_ph(CALL, &[ph])?;
        let beaker = self.beaker(CALL, reagent, temperature_c)?;
        self.amount_for(CALL, &beaker, ph)
    }

    fn beaker(&self, call: &str, reagent: &str, temperature_c: Option<f64>) -> Result<Beaker> {
        let model = self.recipe.model()?;
        let temperature_k = self.temperature_or(call, temperature_c)?;
        let reagent = find_reagent(&model.chemistry, call, reagent)?;
        let components = &model.chemistry.components;
        let brought = || {
            let named = reagent.gives.iter().map(|(index, moles)| (components[*index].name.as_str(), *moles));
            named.filter(|(name, _)| ![PROTON, WATER].contains(name))
        };
        let known = &model.tank.bath.equilibrium;
        let mut names = known.component_names().to_vec();
        // What the reagent brings may be new to the bath: ammonia in a bath held with caustic.
        for (name, _) in brought() {
            if !names.iter().any(|known| known == name) {
                names.push(name.to_owned());
            }
        }
        let equilibrium = if names.len() == known.component_names().len() {
            Equilibrium::clone(known)
        } else {
            Equilibrium::new(&model.chemistry, &names, known.activity())
                .per_litre(&model.chemistry)
                .heeding(&self.recipe.stop)
        };
        let mut totals = self.observed.totals_mol_l.clone();
        totals.resize(names.len(), 0.0);
        let moles_of =
            |name: &String| brought().filter(|(given, _)| given == name).map(|(_, moles)| moles).sum();
        Ok(Beaker {
            reagent: reagent.clone(),
            solids: BathSolid::of_bath(&model.chemistry, &equilibrium),
            equilibrium,
            totals,
            gives: names.iter().map(moles_of).collect(),
            temperature_k,
        })
    }

    fn titrated(&self, beaker: &Beaker, curve: Titration) -> Result<BathTitration> {
        let mut own = beaker.equilibrium.speciation();
        own.solve(&beaker.equilibrium, &beaker.totals, beaker.temperature_k)?;
        let mut flags = self.curve_flags(&curve.profile)?;
        let asked = curve.amount_mol_l.len() + curve.already_past.len() + curve.out_of_reach.len();
        let mut left_out = |missed: &[f64], why: String| {
            if !missed.is_empty() {
                let what = format!("{} of {asked} pHs are left out: {why}", missed.len());
                flags.push(Flag { r#where: "titration".to_owned(), what });
            }
        };
        let title = &beaker.reagent.title;
        left_out(
            &curve.already_past,
            format!("the bath is at pH {:.2}, and {title} moves it away from them", own.ph()),
        );
        left_out(&curve.out_of_reach, format!("no amount of {title} reaches them"));
        Ok(BathTitration {
            reagent: beaker.reagent.name.clone(),
            amount_g_l: curve.amount_mol_l.iter().map(|mol| mol * beaker.reagent.molar_mass_g_mol).collect(),
            free_metal_mol_l: self.free_metal(&curve.profile)?,
            curve,
            bath_ph: own.ph(),
            temperature_c: beaker.temperature_k - ZERO_CELSIUS_K,
            flags,
        })
    }

    fn amount_for(&self, call: &str, beaker: &Beaker, ph: f64) -> Result<PhAdjustment> {
        let mut speciation = beaker.equilibrium.speciation();
        let title = &beaker.reagent.title;
        let unreachable = |hint: String| {
            let expected = format!("a pH to which {title} brings this bath");
            refuse(call, "ph", &ph.to_string(), &expected, Some(hint))
        };
        match beaker.sample().amount_for(&mut speciation, ph)? {
            Adjustment::Amount(mol_l) => Ok(PhAdjustment {
                reagent: beaker.reagent.name.clone(),
                mol_l,
                g_l: mol_l * beaker.reagent.molar_mass_g_mol,
            }),
            Adjustment::AlreadyPast(own) => {
                Err(unreachable(format!("it is at pH {own:.2}, and {title} moves it away from {ph}")))
            }
            Adjustment::OutOfReach(last) => {
                Err(unreachable(format!("{LARGEST_ADJUSTMENT_MOL_L:.0} mol/L leave it at pH {last:.2}")))
            }
        }
    }
}

/// The liquid of a bath with room for what a reagent brings.
struct Beaker {
    reagent: Reagent,
    equilibrium: Equilibrium,
    totals: Vec<f64>,
    gives: Vec<f64>,
    temperature_k: f64,
    /// What can form with what the reagent brings: a carbonate from soda.
    solids: Vec<BathSolid>,
}

impl Beaker {
    fn sample(&self) -> Sample<'_> {
        Sample {
            equilibrium: &self.equilibrium,
            totals: &self.totals,
            gives: &self.gives,
            temperature_k: self.temperature_k,
            solids: &self.solids,
        }
    }
}

fn find_reagent<'a>(chemistry: &'a Chemistry, call: &str, name: &str) -> Result<&'a Reagent> {
    if let Some(reagent) = chemistry.reagent(name) {
        return Ok(reagent);
    }
    let hydrates = chemistry.hydrates_of(name);
    if hydrates.is_empty() {
        let valid = chemistry.reagents.iter().map(|known| known.name.as_str());
        return Err(Error::unknown_name(place(call), "reagent", name, valid));
    }
    let hint = format!("say which {name}: {}", hydrates.join(", "));
    Err(refuse(call, "reagent", name, "a salt named with its water of crystallisation", Some(hint)))
}
