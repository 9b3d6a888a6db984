"""Formation constants: what a bath's equilibrium rests on, and what other sources say."""

from __future__ import annotations

import json
from typing import Any, NamedTuple


class Constant(NamedTuple):
    """A formation constant from one source.

    Attributes:
        label: What `species.NAME.constant` calls it; `default` is used without a choice.
        log_k_25c: log10 K at 25 degC and infinite dilution, molal.
        log_k_uncertainty: One standard deviation of log10 K.
        log_k_class: What that rests on: `stated` with the constant, or its class (`measured`,
            `database`, `analogy`, `recalled`, `assumed`, `standard`), which gives the number.
        enthalpy_kj_mol: Enthalpy of formation from the components, kJ/mol; None for water's law.
        enthalpy_uncertainty_kj_mol: One standard deviation of it, kJ/mol; None for water's law.
        enthalpy_class: What that rests on, as `log_k_class`; None for water's law.
        enthalpy_source: Where the enthalpy comes from if not from `source`: how it was estimated,
            or that it is missing; else None.
        enthalpy_kind: How far the enthalpy is backed if not as `kind` says, else None.
        heat_capacity_j_mol_k: Heat capacity of that reaction, J/(mol K); None for water's law.
        source: Where it comes from.
        kind: How far it is backed.
        note: Traps, and why this value rather than another, or None.
    """

    label: str
    log_k_25c: float
    log_k_uncertainty: float
    log_k_class: str
    enthalpy_kj_mol: float | None
    enthalpy_uncertainty_kj_mol: float | None
    enthalpy_class: str | None
    enthalpy_source: str | None
    enthalpy_kind: str | None
    heat_capacity_j_mol_k: float | None
    source: str
    kind: str
    note: str | None


class SpeciesConstant(NamedTuple):
    """A species or solid of a bath with the constant in use; its attributes are read directly.

    Attributes:
        name: Name, as in `species.NAME` or `solids.NAME`.
        formula: Formula with charge.
        forms_from: Coefficient of each component in the formation reaction.
        group: What its constants are switched together with, or None.
        constant: The constant in use.
        alternatives: The others there are.
    """

    name: str
    formula: str
    forms_from: dict[str, float]
    group: str | None
    constant: Constant
    alternatives: list[Constant]

    @property
    def log_k_25c(self) -> float:
        """log10 K at 25 degC of the constant in use."""
        return self.constant.log_k_25c

    def as_dict(self) -> dict[str, Any]:
        """Plain values: those of the constant in use beside name and formula."""
        return {
            "name": self.name,
            "formula": self.formula,
            "forms_from": self.forms_from,
            "group": self.group,
            **self.constant._asdict(),
            "alternatives": [other._asdict() for other in self.alternatives],
        }


def read_constants(text: str) -> list[SpeciesConstant]:
    """The constants of a recipe from the core's document."""
    return [
        SpeciesConstant(
            name=one["name"],
            formula=one["formula"],
            forms_from=dict(one["forms_from"]),
            group=one["group"],
            constant=Constant(**{field: one[field] for field in Constant._fields}),
            alternatives=[Constant(**other) for other in one["alternatives"]],
        )
        for one in json.loads(text)
    ]
