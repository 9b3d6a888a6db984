"""Electroless plating baths: composition, pH, rate, deposit, and how long the bath lasts.

Results are estimates for planning, never safety limits.

Example:
    >>> import bathkin as bk
    >>> recipe = bk.load_recipe("nickel-acid")
    >>> round(recipe.make_up().ph, 2)
    4.8
    >>> bk.simulate_life(recipe).dump.limit
    'orthophosphite_mol_l'
"""

from bathkin import _core
from bathkin.bath.bath import Bath
from bathkin.bath.distribution import Distribution
from bathkin.bath.over_ph import HeldSolution, PhAdjustment
from bathkin.bath.plate import Plate
from bathkin.bath.polarisation import Polarisation
from bathkin.bath.rate import Rate
from bathkin.bath.sensitivities import BathSensitivities
from bathkin.bath.titration import Titration
from bathkin.core.flags import Flag
from bathkin.ensemble.call import ensemble
from bathkin.ensemble.ensemble import Ensemble
from bathkin.ensemble.sensitivity import GlobalSensitivity, global_sensitivity
from bathkin.errors import (
    BathkinError,
    BathkinWarning,
    ConvergenceError,
    DataError,
    EntryWarning,
    RecipeError,
    UnknownNameError,
)
from bathkin.fit.arrhenius import ArrheniusFit, activation_energy_kj_mol, fit_arrhenius
from bathkin.fit.call import fit, forecast
from bathkin.fit.fit import Fit
from bathkin.fit.fleet import Fleet
from bathkin.fit.forecast import Forecast
from bathkin.fit.log_check import LogCheck, check_log
from bathkin.fit.many import fit_many
from bathkin.fit.model_comparison import ModelComparison, compare_models
from bathkin.fit.new_log import new_log
from bathkin.fit.next_runs import NextRuns
from bathkin.life.area import area_per_turnover_m2
from bathkin.life.cost import LifeCost
from bathkin.life.drag_out import drag_out_from_use_l
from bathkin.life.life import Life, simulate_life
from bathkin.life.plan import Plan
from bathkin.life.results import Dump, Limit
from bathkin.life.sensitivity import LifeSensitivity
from bathkin.life.strategies import Comparison, compare
from bathkin.optimise.call import optimise, trade_off
from bathkin.optimise.optimisation import Optimisation
from bathkin.optimise.trade_off import TradeOff
from bathkin.recipe.new_recipe import new_recipe
from bathkin.recipe.reagents import reagents
from bathkin.recipe.recipe import Recipe, load_recipe, recipes
from bathkin.recipe.results import Reagent, Start, Substrate
from bathkin.recipe.substrates import substrates
from bathkin.sweeps.call import sweep
from bathkin.tables.joined import join_logs
from bathkin.tables.logs import Log, read_log
from bathkin.tables.runs import Runs, read_runs
from bathkin.tracking.backtest import Backtest, backtest
from bathkin.tracking.track import Track, track

__version__ = _core.VERSION

__all__ = [
    "ArrheniusFit",
    "Backtest",
    "Bath",
    "BathSensitivities",
    "BathkinError",
    "BathkinWarning",
    "Comparison",
    "ConvergenceError",
    "DataError",
    "Distribution",
    "Dump",
    "Ensemble",
    "EntryWarning",
    "Fit",
    "Flag",
    "Fleet",
    "Forecast",
    "GlobalSensitivity",
    "HeldSolution",
    "Life",
    "LifeCost",
    "LifeSensitivity",
    "Limit",
    "Log",
    "LogCheck",
    "ModelComparison",
    "NextRuns",
    "Optimisation",
    "PhAdjustment",
    "Plan",
    "Plate",
    "Polarisation",
    "Rate",
    "Reagent",
    "Recipe",
    "RecipeError",
    "Runs",
    "Start",
    "Substrate",
    "Titration",
    "Track",
    "TradeOff",
    "UnknownNameError",
    "__version__",
    "activation_energy_kj_mol",
    "area_per_turnover_m2",
    "backtest",
    "check_log",
    "compare",
    "compare_models",
    "drag_out_from_use_l",
    "ensemble",
    "fit",
    "fit_arrhenius",
    "fit_many",
    "forecast",
    "global_sensitivity",
    "join_logs",
    "load_recipe",
    "new_log",
    "new_recipe",
    "optimise",
    "read_log",
    "read_runs",
    "reagents",
    "recipes",
    "simulate_life",
    "substrates",
    "sweep",
    "track",
    "trade_off",
]


def __dir__() -> list[str]:
    """The public names alone; rooms of the package are reached by importing them."""
    return sorted(__all__)
