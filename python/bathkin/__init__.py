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
from bathkin.area import area_per_turnover_m2
from bathkin.arrhenius import ArrheniusFit, activation_energy_kj_mol, fit_arrhenius
from bathkin.bath import Bath, Rate
from bathkin.cost import LifeCost
from bathkin.distribution import Distribution
from bathkin.drag_out import drag_out_from_use_l
from bathkin.errors import (
    BathkinError,
    BathkinWarning,
    ConvergenceError,
    DataError,
    EntryWarning,
    RecipeError,
    UnknownNameError,
)
from bathkin.fit_call import fit
from bathkin.flags import Flag
from bathkin.forecast import Forecast, forecast
from bathkin.life import Life, simulate_life
from bathkin.logs import Log, read_log
from bathkin.model_comparison import ModelComparison, compare_models
from bathkin.next_runs import NextRuns
from bathkin.over_ph import HeldSolution, PhAdjustment
from bathkin.plan import Plan
from bathkin.plate import Plate
from bathkin.polarisation import Polarisation
from bathkin.reagents import Reagent, reagents
from bathkin.recipe import Recipe, load_recipe, recipes
from bathkin.recipe_fit import Fit
from bathkin.runs import Runs, read_runs
from bathkin.sensitivity import LifeSensitivity
from bathkin.slopes import Slopes
from bathkin.strategies import Comparison, compare
from bathkin.substrates import Start, Substrate, substrates
from bathkin.sweeps import sweep
from bathkin.titration import Titration
from bathkin.verdict import Dump, Limit

__version__ = _core.VERSION

__all__ = [
    "ArrheniusFit",
    "Bath",
    "BathkinError",
    "BathkinWarning",
    "Comparison",
    "ConvergenceError",
    "DataError",
    "Distribution",
    "Dump",
    "EntryWarning",
    "Fit",
    "Flag",
    "Forecast",
    "HeldSolution",
    "Life",
    "LifeCost",
    "LifeSensitivity",
    "Limit",
    "Log",
    "ModelComparison",
    "NextRuns",
    "PhAdjustment",
    "Plan",
    "Plate",
    "Polarisation",
    "Rate",
    "Reagent",
    "Recipe",
    "RecipeError",
    "Runs",
    "Slopes",
    "Start",
    "Substrate",
    "Titration",
    "UnknownNameError",
    "__version__",
    "activation_energy_kj_mol",
    "area_per_turnover_m2",
    "compare",
    "compare_models",
    "drag_out_from_use_l",
    "fit",
    "fit_arrhenius",
    "forecast",
    "load_recipe",
    "read_log",
    "read_runs",
    "reagents",
    "recipes",
    "simulate_life",
    "substrates",
    "sweep",
]
