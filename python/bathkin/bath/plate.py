"""One load: what it got, and its thickness against time."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from bathkin.core import files
from bathkin.core.flags import Flag
from bathkin.core.records import Record

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure


class Plate(Record):
    """One load, plated with nothing added.

    Attributes:
        substrate: What was plated.
        activation: What was done to it so that it starts, `none` where nothing was.
        induction_s: Time lost to the start, s: where the late straight line of thickness meets
            zero, at the rate of the fresh bath; infinite where deposition never starts.
        induction_min: The same, min.
        coverage_end: Part of the surface that plates at the end.
        thickness_um: Mean thickness, um.
        mass_g: Mass of the deposit, g.
        metal_g: Metal in it, g.
        phosphorus_wt_pct: Alloying element, wt%; named after the recipe's alloying element.
        density_g_cm3: Density of the deposit, g/cm3.
        minutes: Time in the bath, min.
        area_dm2: Area, dm2.
        deposition_start_um_h: Rate at the start on covered surface, um/h.
        deposition_end_um_h: Rate at the end on covered surface, um/h.
        metal_end_g_l: Metal left in the bath, g/L.
        reductant_end_mol_l: Reductant left, mol/L.
        by_product_end_mol_l: By-product made, mol/L.
        ph_end: pH at the end, in the bath.
        columns: The load against time: `minutes`, `thickness_um`, `coverage` (part of the surface
            that plates), `deposition_um_h` (growth of the mean thickness), `metal_g_l`.
        flags: Warnings.
    """

    _title = "Load"

    substrate: str
    activation: str
    induction_s: float
    induction_min: float
    coverage_end: float
    thickness_um: float
    mass_g: float
    metal_g: float
    density_g_cm3: float
    minutes: float
    area_dm2: float
    deposition_start_um_h: float
    deposition_end_um_h: float
    metal_end_g_l: float
    reductant_end_mol_l: float
    by_product_end_mol_l: float
    ph_end: float
    columns: dict[str, list[float]]
    flags: list[Flag]

    def table(self) -> pd.DataFrame:
        """The columns as a table, a row per point of time.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> table = bath.plate(30, 10).table()
            >>> bool(table.thickness_um.is_monotonic_increasing)
            True
        """
        import pandas as pd

        table: pd.DataFrame = pd.DataFrame(self.columns)
        return table

    def to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the table as CSV, with a decimal point and column names that carry the unit.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.table())

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """Thickness against time, and where deposition starts late, its start.

        Args:
            path: File to write the picture to as well; the ending names the format.

        Returns:
            A matplotlib figure, not tied to any window.

        Raises:
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.picture import saved
        from bathkin.plots.plate import draw_load

        return saved(draw_load(self), path)

    @property
    def surface(self) -> str:
        """Substrate and activation in words."""
        words = self.substrate.replace("_", " ")
        after = self.activation.replace("_", " ")
        return words if self.activation == "none" else f"{words} after {after}"
