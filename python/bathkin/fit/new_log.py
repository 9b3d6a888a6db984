"""An empty bath log: the headings of a recipe, and a row that shows how they are filled."""

from __future__ import annotations

import csv
import io
import os
from pathlib import Path

from bathkin.core import files
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe
from bathkin.tables.logs import EXAMPLE


def new_log(recipe: Recipe, path: str | os.PathLike[str]) -> Path:
    """Writes an empty log of a bath, a CSV file or a workbook (xlsx).

    Its headings are read as they stand: when, temperature, pH, metal and reductant as the recipe
    weighs them, the work unless the recipe has racks, each replenisher, water, what is taken out,
    calibrations of the electrode, a note. One row shows how they are filled and says that it is an
    example; a log in which it was left is refused.

    Args:
        recipe: The bath.
        path: A new file that ends in .csv or .xlsx.

    Returns:
        The path.

    Raises:
        RecipeError: For another ending, and for a file that is there already.
        OSError: For a place that cannot be written.

    Example:
        >>> import bathkin as bk, tempfile, pathlib
        >>> folder = pathlib.Path(tempfile.mkdtemp())
        >>> made = bk.new_log(bk.load_recipe("nickel-acid"), folder / "log.csv")
        >>> made.read_text(encoding="utf-8-sig").splitlines()[0].split(",")[:4]
        ['timestamp', 'temperature_c', 'ph', 'nickel_g_l']
    """
    place = Path(path)
    if place.suffix.lower() not in {".csv", ".xlsx"}:
        raise RecipeError(f"{place}: expected a file that ends in .csv or .xlsx")
    if place.exists():
        raise RecipeError(f"{place}: that file is there: expected a new one")
    content = _workbook(recipe) if place.suffix.lower() == ".xlsx" else as_csv(recipe).encode()
    files.write(place, content)
    return place


def as_csv(recipe: Recipe) -> str:
    """The sheet as comma-separated values, with a byte order mark for spreadsheets."""
    headings, example = _rows(recipe)
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([headings, example])
    return "\ufeff" + text.getvalue()


def _rows(recipe: Recipe) -> tuple[list[str], list[str]]:
    columns = recipe._core.empty_log()
    return [*(heading for heading, _ in columns), "note"], [*(text for _, text in columns), EXAMPLE]


def _workbook(recipe: Recipe) -> bytes:
    import xlsxwriter

    content = io.BytesIO()
    book = xlsxwriter.Workbook(content, {"in_memory": True})
    sheet = book.add_worksheet("log")
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    moment = book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
    grey = book.add_format({"italic": True, "font_color": "#808080"})
    headings, example = _rows(recipe)
    for at, (heading, text) in enumerate(zip(headings, example, strict=True)):
        sheet.write_string(0, at, heading, bold)
        if at > 0 and text.replace(".", "", 1).isdigit():
            sheet.write_number(1, at, float(text), grey)
        elif text:
            sheet.write_string(1, at, text, grey)
    sheet.set_column(0, 0, 17, moment)
    sheet.set_column(1, len(headings) - 1, 14)
    sheet.freeze_panes(1, 1)
    book.close()
    return content.getvalue()
