"""The dictionary of the numbers of a recipe as text."""

from __future__ import annotations

from bathkin.core import layout
from bathkin.core.layout import number
from bathkin.recipe.recipe import Recipe
from bathkin.recipe.results import Parameter


def parameters_text(recipe: Recipe) -> str:
    """Each number with its value, unit and bounds, and below it what it is and where it is from."""
    head = (
        "path = value, unit, bounds; a default in brackets stands where the recipe says nothing; "
        "below it its role, how fits move it, what it is called, and its source"
    )
    lines = [
        layout.wrapped(f"{recipe.name}: numbers that can be set", 0, 2),
        layout.wrapped(head, 2),
    ]
    for one in recipe.parameters():
        lines += ["", f"{one.path} = {standing(one)}", layout.wrapped(told(one), 4, 6)]
    return "\n".join(lines)


def standing(one: Parameter) -> str:
    """Value or default, unit and bounds."""
    if one.value is not None:
        value = number(one.value, 6)
    else:
        value = "(not set)" if one.default is None else f"({number(one.default, 6)})"
    return f"{value}{one.unit and ' ' + one.unit}, {one.bounds}"


def told(one: Parameter) -> str:
    """Role, scale, name and source."""
    source = f"; {one.kind or 'source'}: {one.source}" if one.source else ""
    return f"{one.role.replace('_', ' ')}, {one.scale}: {one.text}{source}"
