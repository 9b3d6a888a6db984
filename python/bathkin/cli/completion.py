"""What a shell completes beside commands, options and files: recipes, and paths of numbers."""

from __future__ import annotations

import click
from click.shell_completion import CompletionItem

from bathkin.errors import BathkinError
from bathkin.recipe.recipe import load_recipe, recipes


def complete_recipe(
    _ctx: click.Context, _param: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Built-in recipes that begin so; else files."""
    found = [CompletionItem(name) for name in recipes() if name.startswith(incomplete)]
    return found or [CompletionItem(incomplete, type="file")]


def complete_path(
    ctx: click.Context, _param: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Paths that the recipe named before knows; those of `nickel-acid` before one is named."""
    # Before an option that waits for its value, click leaves what was typed in `args`.
    named = [ctx.params.get("recipe"), *ctx.args, "nickel-acid"]
    try:
        recipe = load_recipe(str(next(filter(None, named))))
    except (BathkinError, OSError):
        return []
    paths = (one.path for one in recipe.parameters())
    return [CompletionItem(path) for path in paths if path.startswith(incomplete)]


def completing(parameter: click.Parameter) -> None:
    """Gives a parameter that takes a recipe or a path what it completes."""
    if parameter.name == "recipe":
        parameter._custom_shell_complete = complete_recipe
    elif (parameter.metavar or "").startswith("PATH"):
        parameter._custom_shell_complete = complete_path
