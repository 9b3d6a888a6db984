"""Solids in `bathkin solution`: saturation, precipitation, calibration, couples with solids."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bathkin.bath.bath import Bath
from bathkin.core import layout
from bathkin.core.flags import Flag
from bathkin.core.layout import Column, spoken
from bathkin.errors import ConvergenceError, RecipeError

PRECIPITATES_AT_HELP = (
    "The pH, hot, at which the solid starts to precipitate (cloud point): prints the --set"
    " that says so. Repeatable."
)


PrecipitationPhs = dict[str, float | None]


def precipitation(bath: Bath) -> tuple[PrecipitationPhs, list[Flag]]:
    """The pH at which each solid precipitates, and a warning where the search failed.

    It is one answer among many: a solution that cannot be solved at pH 13 must not hide the rest.
    """
    found: PrecipitationPhs = {}
    warnings = []
    for solid in bath.saturation_index():
        try:
            found[solid] = bath.precipitation_ph(solid)
        except ConvergenceError as error:
            found[solid] = None
            warnings.append(Flag(f"precipitation_ph.{solid}", f"not found: {error}"))
    return found, warnings


def solids_contents(
    bath: Bath, onsets: PrecipitationPhs, precipitates_at: Sequence[str]
) -> dict[str, Any]:
    """What the JSON document says about solids."""
    contents: dict[str, Any] = {
        "saturation_index": bath.saturation_index(),
        "precipitation_ph": onsets,
        "couples": bath.couples(),
    }
    if precipitates_at:
        contents["calibration"] = calibration(bath, precipitates_at)
    return contents


def calibration(bath: Bath, precipitates_at: Sequence[str]) -> dict[str, float]:
    """Path and value of the constant for each SOLID=PH."""
    found = {}
    for given in precipitates_at:
        solid, equals, text = given.partition("=")
        try:
            ph = float(text)
        except ValueError:
            equals = ""
        if not equals:
            raise RecipeError(f"--precipitates-at {given}: expected SOLID=PH, nickel_phosphite=5.6")
        solid = solid.strip()
        found[f"solids.{solid}.log_k_25c"] = bath.log_k_from_precipitation_ph(solid, ph)
    return found


def solids_text(bath: Bath, onsets: PrecipitationPhs, precipitates_at: Sequence[str]) -> str:
    """Solids, couples and calibration, a short table each; empty when there are none."""
    parts = []
    indices = bath.saturation_index()
    if indices:
        table = layout.render(
            [
                Column("solid", [spoken(name) for name in indices], left=True),
                Column("SI", [f"{index:.2f}" for index in indices.values()]),
                Column("precipitates\nat pH", [ph_text(onsets[name]) for name in indices]),
            ],
            indent=2,
        )
        parts += ["", "Solids (SI: log10 of activity product over solubility product)", table]
    couples = bath.couples()
    if couples:
        rows = [(c.reaction, f"{c.potential_v_she:+.3f} V (SHE)") for c in couples.values()]
        parts += ["", "Couples with pure solids", layout.pairs(rows)]
    if precipitates_at:
        found = calibration(bath, precipitates_at)
        settings = [f"  --set {path}={value:.6f}" for path, value in found.items()]
        parts += ["", "Calibrated to the pH of precipitation", *settings]
    return "\n" + "\n".join(parts) if parts else ""


def ph_text(ph: float | None) -> str:
    """A pH, or a dash where there is none."""
    return "-" if ph is None else f"{ph:.2f}"
