//! The Python type of each result, as the generated stub of the module names it.

use std::collections::BTreeMap;

use bathkin::model::parameter::{DescribedParameter, Json};
use bathkin::model::substance::Substance;
use bathkin::recipe::numbers::RecipeValue;
use bathkin::solution::Role;
use bathkin::study::ParameterKind;
use bathkin::tank::quantity::Described;
#[cfg(feature = "stub")]
use pyo3::inspect::{PyStaticConstant, PyStaticExpr};
#[cfg(feature = "stub")]
use pyo3::{type_hint_identifier, type_hint_subscript, type_hint_union};

/// What has a type in Python.
pub trait Classed {
    /// Its type.
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr;
}

macro_rules! classes {
    ($($module:tt: $($rust:ty => $class:literal),+;)+) => {
        $($(impl Classed for $rust {
            #[cfg(feature = "stub")]
            const CLASS: PyStaticExpr = type_hint_identifier!($module, $class);
        })+)+
    };
}

classes! {
    "builtins": Role => "str", ParameterKind => "str", String => "str";
    "typing": bathkin::remark::RemarkValue => "Any";
    "bathkin.core.flags": bathkin::Flag => "Flag";
    "bathkin.bath.over_ph": bathkin::study::HeldSolution => "HeldSolution", bathkin::model::PhAdjustment => "PhAdjustment";
    "bathkin.bath.plate": bathkin::study::Plate => "Plate";
    "bathkin.bath.polarisation": bathkin::study::BathPolarisation => "Polarisation";
    "bathkin.bath.rate": bathkin::Rate => "Rate";
    "bathkin.bath.results":
        bathkin::study::BathDistribution => "BathDistribution",
        bathkin::study::BathTitration => "BathTitration",
        bathkin::study::CouplePotential => "Couple",
        bathkin::solution::FormationCurve => "FormationCurve",
        bathkin::solution::Onset => "Onset",
        bathkin::study::SweepPoint => "SweepPoint";
    "bathkin.ensemble.results":
        bathkin::study::Driver => "Driver",
        bathkin::study::ElementaryEffects => "ElementaryEffects",
        bathkin::study::FailedMember => "FailedMember",
        bathkin::study::OutputStatistics => "OutputStatistics",
        bathkin::study::Silent => "Silent",
        bathkin::study::VarianceShare => "VarianceShare";
    "bathkin.fit.arrhenius": bathkin_fit::ArrheniusFit => "ArrheniusFit";
    "bathkin.fit.bootstrap": bathkin_statistics::bootstrap::Bootstrap => "Bootstrap";
    "bathkin.fit.fit": bathkin_fit::result::FitResult<'_> => "Fit";
    "bathkin.fit.forecast": bathkin_fit::predict::Forecast => "Forecast";
    "bathkin.fit.model_comparison": bathkin_fit::predict::ModelComparison => "ModelComparison";
    "bathkin.fit.next_runs": bathkin_fit::predict::NextRuns => "NextRuns";
    "bathkin.fit.options": crate::fit_options::FitOptions => "FitOptions";
    "bathkin.fit.prediction": bathkin_fit::predict::Prediction => "Prediction";
    "bathkin.life.bleed":
        bathkin::study::BleedForLimit => "BleedForLimit",
        bathkin::study::SteadyBleed => "SteadyBleed";
    "bathkin.life.cost": bathkin::study::LifeCost => "LifeCost";
    "bathkin.life.plan": bathkin::study::Plan => "Plan";
    "bathkin.life.results":
        bathkin::Life => "Life",
        bathkin::life::Outlook => "Outlook",
        bathkin::study::StrategyResult => "StrategyResult";
    "bathkin.life.sensitivity": bathkin::study::LifeSensitivity => "LifeSensitivity";
    "bathkin.recipe.constants": bathkin::recipe::SpeciesConstant => "SpeciesConstant";
    "bathkin.recipe.equations": bathkin::study::Equations => "Equations";
    "bathkin.recipe.results":
        bathkin::study::ApparentEnergy => "ApparentEnergy",
        RecipeValue<'_> => "Entry",
        bathkin::model::Heading => "Heading",
        DescribedParameter => "Parameter",
        Described => "Quantity",
        Substance => "Reagent",
        bathkin::life::Settings => "SolverSettings",
        bathkin::model::Substrate => "Substrate";
    "bathkin.tracking.backtest": bathkin_fit::track::Backtest => "Backtest";
    "bathkin.tracking.record": crate::tracking::TrackingOptions => "TrackOptions";
    "bathkin.tracking.track": bathkin_fit::track::Track => "Track";
}

impl<T: Classed> Classed for &T {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr = T::CLASS;
}

impl<T: Classed> Classed for Vec<T> {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr = type_hint_subscript!(type_hint_identifier!("builtins", "list"), T::CLASS);
}

impl<T: Classed> Classed for Option<T> {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr =
        type_hint_union!(T::CLASS, PyStaticExpr::Constant { value: PyStaticConstant::None });
}

impl<T: Classed> Classed for BTreeMap<String, T> {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr =
        type_hint_subscript!(type_hint_identifier!("builtins", "dict"), String::CLASS, T::CLASS);
}

impl Classed for Json {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr = type_hint_subscript!(
        type_hint_identifier!("builtins", "dict"),
        String::CLASS,
        type_hint_identifier!("typing", "Any")
    );
}
