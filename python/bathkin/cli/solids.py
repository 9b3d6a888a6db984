"""Solids in `bathkin solution`: saturation, clouding, calibration, couples with pure solids."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bathkin.bath.bath import Bath
from bathkin.core import layout
from bathkin.core.flags import Flag
from bathkin.core.layout import Column, spoken
from bathkin.errors import ConvergenceError, RecipeError

CLOUDS_AT_HELP = "The pH, hot, at which the bath clouds: prints the --set that says so. Repeatable."


CloudPhs = dict[str, float | None]


def clouding(bath: Bath) -> tuple[CloudPhs, list[Flag]]:
    """The pH at which each solid clouds, and a doubt where the search failed.

    It is one answer among many: a solution that cannot be solved at pH 13 must not hide the rest.
    """
    found: CloudPhs = {}
    doubts = []
    for solid in bath.saturation_index():
        try:
            found[solid] = bath.cloud_ph(solid)
        except ConvergenceError as error:
            found[solid] = None
            doubts.append(Flag(f"cloud_ph.{solid}", f"not found: {error}"))
    return found, doubts


def solids_contents(bath: Bath, clouds: CloudPhs, clouds_at: Sequence[str]) -> dict[str, Any]:
    """What the JSON document says about solids."""
    contents: dict[str, Any] = {
        "saturation_index": bath.saturation_index(),
        "cloud_ph": clouds,
        "couples": bath.couples(),
    }
    if clouds_at:
        contents["calibration"] = calibration(bath, clouds_at)
    return contents


def calibration(bath: Bath, clouds_at: Sequence[str]) -> dict[str, float]:
    """Path and value of the constant for each SOLID=PH."""
    found = {}
    for given in clouds_at:
        solid, equals, text = given.partition("=")
        try:
            ph = float(text)
        except ValueError:
            equals = ""
        if not equals:
            raise RecipeError(f"--clouds-at {given}: expected SOLID=PH, nickel_phosphite=5.6")
        solid = solid.strip()
        found[f"solids.{solid}.log_k_25c"] = bath.log_k_from_cloud_ph(solid, ph)
    return found


def solids_text(bath: Bath, clouds: CloudPhs, clouds_at: Sequence[str]) -> str:
    """Solids, couples and calibration, a short table each; empty when there are none."""
    parts = []
    indices = bath.saturation_index()
    if indices:
        table = layout.render(
            [
                Column("solid", [spoken(name) for name in indices], left=True),
                Column("SI", [f"{index:.2f}" for index in indices.values()]),
                Column("clouds at pH", [cloud_text(clouds[name]) for name in indices]),
            ],
            indent=2,
        )
        parts += ["", "Solids (SI: log10 of activity product over solubility product)", table]
    couples = bath.couples()
    if couples:
        rows = [(c.reaction, f"{c.potential_v_she:+.3f} V (SHE)") for c in couples.values()]
        parts += ["", "Couples with pure solids", layout.pairs(rows)]
    if clouds_at:
        found = calibration(bath, clouds_at)
        settings = [f"  --set {path}={value:.6f}" for path, value in found.items()]
        parts += ["", "Calibrated to where the bath clouds", *settings]
    return "\n" + "\n".join(parts) if parts else ""


def cloud_text(ph: float | None) -> str:
    """A pH, or a dash where there is none."""
    return "-" if ph is None else f"{ph:.2f}"
