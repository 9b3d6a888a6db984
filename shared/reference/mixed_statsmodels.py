"""Writes `mixed_sheets.csv`, drawn sheets of grouped rows, and `mixed_statsmodels.csv`, their fits.

Fits are those of MixedLM (statsmodels 0.15.0, which nothing else here needs). Two labels: a random
intercept of each day and a variance component of its beakers.

python shared/reference/mixed_statsmodels.py
"""

import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import statsmodels.formula.api as smf

warnings.filterwarnings("ignore")
HERE = Path(__file__).parent

# Sheet: days, beakers a day (0: one label), rows in each, standard deviations of both and within,
# rows left out.
SHEETS = {
    "balanced": (6, 0, 4, (0.10, 0.0), 0.05, ()),
    "unbalanced": (6, 0, 6, (0.10, 0.0), 0.05, (0, 1, 2, 9, 17, 35)),
    "few": (4, 0, 3, (0.20, 0.0), 0.05, (11,)),
    "many": (30, 0, 5, (0.03, 0.0), 0.05, (3, 77)),
    "weak": (10, 0, 3, (0.04, 0.0), 0.05, ()),
    "strong": (8, 0, 3, (1.00, 0.0), 0.02, (5,)),
    "nested": (6, 3, 4, (0.15, 0.08), 0.05, ()),
    "nested-unbalanced": (8, 2, 4, (0.15, 0.08), 0.05, (0, 1, 2, 30, 31, 50)),
}


def drawn(name: str, seed: int) -> pd.DataFrame:
    """Rows of a sheet: y of the line 2 + 0.8 x - 0.5 w, x of each row, w of each day."""
    days, beakers, rows, (of_day, of_beaker), within, left_out = SHEETS[name]
    random = np.random.default_rng(seed)
    day = np.repeat(np.arange(days), max(beakers, 1) * rows)
    beaker = np.repeat(np.arange(days * max(beakers, 1)), rows)
    x = random.uniform(-1, 1, len(day))
    w = random.permutation(np.linspace(-1, 1, days))[day]
    y = 2 + 0.8 * x - 0.5 * w + random.normal(0, of_day, days)[day]
    y += random.normal(0, of_beaker, beaker.max() + 1)[beaker] + random.normal(0, within, len(day))
    sheet = pd.DataFrame({"sheet": name, "day": day, "beaker": beaker, "x": x, "w": w, "y": y})
    return sheet.drop(index=list(left_out)).reset_index(drop=True)


def fitted(sheet: pd.DataFrame, reml: bool):
    """The fit with the greatest likelihood, from optimizers in turn."""
    nested = sheet.beaker.nunique() > sheet.day.nunique()
    parts = {"vc_formula": {"beaker": "0 + C(beaker)"}, "re_formula": "1"} if nested else {}
    model = smf.mixedlm("y ~ x + w", sheet, groups="day", **parts)
    best = None
    for method in ("bfgs", "powell", "nm", "bfgs", "nm"):
        start = {} if best is None else {"start_params": best.params_object}
        tight = {"gtol": 1e-10, "xtol": 1e-12, "ftol": 1e-14, "maxiter": 5000, **start}
        try:
            found = model.fit(reml=reml, method=method, **tight)
        except np.linalg.LinAlgError:
            continue
        if best is None or found.llf >= best.llf:
            best = found
    return best


sheets = [drawn(name, 100 + place) for place, name in enumerate(SHEETS)]
note = "# {}, by shared/reference/mixed_statsmodels.py (statsmodels 0.15.0, NumPy {})\n"
with (HERE / "mixed_sheets.csv").open("w") as file:
    file.write(note.format("Drawn sheets of grouped rows: invented", np.__version__))
    pd.concat(sheets).to_csv(file, index=False)
rows = []
for sheet in sheets:
    nested = sheet.beaker.nunique() > sheet.day.nunique()
    for likelihood, reml in (("restricted", True), ("marginal", False)):
        found = fitted(sheet, reml)
        effects = {day: values.iloc[0] for day, values in found.random_effects.items()}
        rows.append(
            {
                "sheet": sheet.sheet[0],
                "likelihood": likelihood,
                "intercept": found.fe_params["Intercept"],
                "x": found.fe_params["x"],
                "w": found.fe_params["w"],
                "within": found.scale,
                "day": found.cov_re.iloc[0, 0],
                "beaker": found.vcomp[0] if nested else "",
                "llf": found.llf,
                "effect_of_day_0": effects[0],
                "effect_of_day_2": effects[2],
            }
        )
with (HERE / "mixed_statsmodels.csv").open("w") as file:
    file.write(note.format("Fits of mixed_sheets.csv by MixedLM", np.__version__))
    pd.DataFrame(rows).to_csv(file, index=False)
