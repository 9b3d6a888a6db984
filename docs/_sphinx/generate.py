"""Everything the library says of itself, written as pages before the site is read."""

from __future__ import annotations

import shutil
from pathlib import Path

import reference_api
import reference_baths
import reference_commands
import reference_constants
import reference_recipe

ROOT = Path(__file__).parents[2]


def write(folder: Path) -> None:
    """Writes the generated pages and copies the notebooks into a folder."""
    reference_api.write(folder / "api")
    reference_commands.write(folder / "commands")
    reference_recipe.write(folder / "recipe")
    reference_constants.write(folder / "constants")
    reference_baths.write(folder / "baths")
    notebooks = folder / "notebooks"
    notebooks.mkdir(parents=True, exist_ok=True)
    for notebook in (ROOT / "notebooks").glob("*.ipynb"):
        shutil.copy2(notebook, notebooks / notebook.name)
