//! The results that cross to Python: their dataclasses are written from the structs that serialise into them.
//!
//! `make results` writes the files anew.

#[path = "python.rs"]
mod python;

use bathkin::model::parameter::recipe_schema;
use bathkin::model::substance::Substance;
use bathkin::model::{Heading, PhAdjustment, Substrate};
use bathkin::recipe::SpeciesConstant;
use bathkin::recipe::numbers::RecipeValue;
use bathkin::solution::{FormationCurve, Onset};

use bathkin::study::{
    ApparentEnergy, BathDistribution, BathPolarisation, BathTitration, BleedForLimit, CouplePotential,
    Equations, HeldSolution, LifeCost, LifeSensitivity, Plan, Plate, StrategyResult, SweepPoint,
};
use bathkin::{Flag, Life, Rate, Recipe, Remark};
use bathkin_fit::ArrheniusFit;
use bathkin_fit::predict::{Forecast, ModelComparison, NextRuns, Prediction};
use bathkin_fit::result::FitResult;
use bathkin_statistics::bootstrap::Bootstrap;
use python::Written;

/// The rooms of the package with what each gets; what an earlier one has is imported from there.
fn rooms() -> Vec<(&'static str, String)> {
    let mut written = Written::default();
    vec![
        (
            "core",
            written.room("core", |add| {
                add.class::<Flag>();
                add.class::<Remark>();
            }),
        ),
        (
            "recipe",
            written.room("recipe", |add| {
                add.class::<Heading>();
                add.class::<RecipeValue>();
                add.class::<SpeciesConstant>();
                add.class::<Substrate>();
                add.class::<Substance>();
                add.class::<Equations>();
                add.class::<ApparentEnergy>();
                add.class::<bathkin::model::parameter::DescribedParameter>();
                add.class::<bathkin::life::Settings>();
                add.class::<bathkin::tank::quantity::Described>();
            }),
        ),
        (
            "bath",
            written.room("bath", |add| {
                add.class::<PhAdjustment>();
                add.class::<Rate>();
                add.class::<Plate>();
                add.class::<CouplePotential>();
                add.class::<HeldSolution>();
                add.class::<Onset>();
                add.class::<BathDistribution>();
                add.class::<BathTitration>();
                add.class::<FormationCurve>();
                add.class::<BathPolarisation>();
                add.class::<SweepPoint>();
            }),
        ),
        (
            "life",
            written.room("life", |add| {
                add.class::<Life>();
                add.class::<LifeCost>();
                add.class::<bathkin::life::Outlook>();
                add.class::<Plan>();
                add.class::<LifeSensitivity>();
                add.class::<BleedForLimit>();
                add.class::<StrategyResult>();
            }),
        ),
        (
            "ensemble",
            written.room("ensemble", |add| {
                add.class::<bathkin::study::OutputStatistics>();
                add.class::<bathkin::study::FailedMember>();
                add.class::<bathkin::study::Driver>();
                add.class::<bathkin::study::VarianceShare>();
                add.class::<bathkin::study::ElementaryEffects>();
                add.class::<bathkin::study::Silent>();
            }),
        ),
        (
            "optimise",
            written.room("optimise", |add| {
                add.class::<bathkin::study::optimise::Optimisation>();
                add.class::<bathkin::study::optimise::TradeOff>();
            }),
        ),
        (
            "fit",
            written.room("fit", |add| {
                add.class::<ArrheniusFit>();
                add.class::<FitResult<'static>>();
                add.class::<Prediction>();
                add.class::<Bootstrap>();
                add.class::<bathkin_fit::predict::PosteriorDraws>();
                add.class::<NextRuns>();
                add.class::<Forecast>();
                add.class::<ModelComparison>();
            }),
        ),
        (
            "tracking",
            written.room("tracking", |add| {
                add.class::<bathkin_fit::track::Track>();
                add.class::<bathkin_fit::track::Backtest>();
            }),
        ),
    ]
}

#[test]
fn the_dataclasses_are_those_of_the_structs() {
    let package = concat!(env!("CARGO_MANIFEST_DIR"), "/../python/bathkin");
    for (room, text) in rooms() {
        let path = format!("{package}/{room}/results.py");
        if std::env::var_os("WRITE_RESULTS").is_some() {
            std::fs::write(&path, &text).expect("the file can be written");
        }
        let found = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(found == text, "{path} is not what its structs say: make results writes it anew");
    }
}

/// What editors read, from the dictionary of parameters of the built-in recipes.
#[test]
fn the_schema_of_recipes_is_that_of_the_built_in_ones() {
    let recipes: Vec<Recipe> =
        Recipe::built_in_names().map(|name| Recipe::built_in(name).expect("built in")).collect();
    let schema = recipe_schema(recipes.iter().map(|recipe| recipe.model().expect("resolves")));
    let text = serde_json::to_string_pretty(&schema).expect("serialises") + "\n";
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../crates/bathkin/data/recipe.schema.json");
    if std::env::var_os("WRITE_RESULTS").is_some() {
        std::fs::write(path, &text).expect("the file can be written");
    }
    let found = std::fs::read_to_string(path).unwrap_or_default();
    assert!(found == text, "{path} is not what the recipes say: make results writes it anew");
}
