"""Analyses as they are typed: --now NAME=VALUE."""

from __future__ import annotations

from bathkin.errors import RecipeError


def read_analysis(text: str) -> tuple[str, str]:
    """A name and its value from NAME=VALUE."""
    name, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not name or not value:
        raise RecipeError(f"--now {text}: expected NAME=VALUE, such as nickel_g_l=5.6")
    return name, value
