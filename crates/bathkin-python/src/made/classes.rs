//! The Python type of each result, as the generated stub of the module names it.

use bathkin::model::parameter::DescribedParameter;
use bathkin::model::substance::Substance;
use bathkin::recipe::numbers::RecipeValue;
use bathkin::solution::Role;
use bathkin::study::ParameterKind;
use bathkin::tank::quantity::Described;

classes! {
    "builtins": Role => "str", ParameterKind => "str";
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
    "bathkin.fit.posterior": bathkin_fit::predict::PosteriorDraws => "Posterior";
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
    "bathkin.optimise.optimisation": bathkin::study::optimise::Optimisation => "Optimisation";
    "bathkin.optimise.trade_off": bathkin::study::optimise::TradeOff => "TradeOff";
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
    "bathkin.tracking.track": bathkin_fit::track::Track => "Track";
}
