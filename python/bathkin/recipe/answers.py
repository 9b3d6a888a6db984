"""Ten answers about a bath, each to paths of a recipe with their values."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from bathkin.core.units import to_number
from bathkin.errors import BathkinError, RecipeError
from bathkin.recipe.limit_words import limit_key, spread
from bathkin.recipe.nearest import nearest, of_metal
from bathkin.recipe.recipe import Recipe
from bathkin.recipe.spellings import amount_of, plain_name, substance_named
from bathkin.recipe.values import OFF, Value

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_COUNTS = {"one": 1, "two": 2, "three": 3}
_SHIFT_H = 8
_PRICES = {
    ("waste", "L"): "waste_per_l",
    ("waste", "kg"): "waste_per_kg_metal",
    ("water", "L"): "water_per_l",
    ("energy", "kWh"): "energy_per_kwh",
    ("line", "h"): "line_per_h",
    ("labour", ""): "labour_per_dump",
    ("labour", "dump"): "labour_per_dump",
}


class Line(NamedTuple):
    """A value with what was answered."""

    value: Value
    answer: str


class Answers:
    """What was answered so far: a line for each path, and the built-in recipe below them.

    Attributes:
        lines: Values by path, each with the answer it is read from.
        base: The nearest built-in recipe, known once make-up and pH are.
        why_base: What was compared.
    """

    def __init__(self, folder: Path) -> None:
        self.lines: dict[str, Line] = {}
        self.why_base = ""
        self._base: Recipe | None = None
        self._candidates: list[Recipe] = []
        self._folder = folder

    @property
    def base(self) -> Recipe:
        """The nearest built-in recipe."""
        if self._base is None:
            raise RecipeError("new: metal, make-up and pH come before the other answers")
        return self._base

    def take(self, key: str, texts: Sequence[str]) -> None:
        """Reads an answer; one that is refused leaves nothing behind.

        Raises:
            RecipeError, UnknownNameError: For one that is not understood, with what was expected.
        """
        readers = {
            "metal": self._metal,
            "volume": self._volume,
            "make_up": self._make_up,
            "ph": self._ph,
            "ph_reagent": self._ph_reagent,
            "temperature": self._temperature,
            "loading": self._loading,
            "shifts": self._shifts,
            "limits": self._limits,
            "prices": self._prices,
        }
        before = dict(self.lines)
        try:
            readers[key](spread(texts))
        except BathkinError:
            self.lines = before
            raise

    def own_make_up(self) -> dict[str, Value]:
        """The make-up as answered, and what the base has beside it turned off."""
        theirs = (one for one in self.base.numbers() if one.path.startswith("make_up."))
        off: dict[str, Value] = {one.path: OFF for one in theirs if one.value != OFF}
        lines = self.lines.items()
        return off | {path: line.value for path, line in lines if path.startswith("make_up.")}

    def _say(self, by: str, path: str, value: Value, answer: str) -> None:
        """Keeps a value, once a recipe could have it."""
        recipe = self._base or self._candidates[0]
        recipe._changed([(path, value)], by)
        self.lines[path] = Line(value, answer)

    def _metal(self, texts: list[str]) -> None:
        self._candidates = of_metal(" ".join(texts))

    def _volume(self, texts: list[str]) -> None:
        text = " ".join(texts)
        _refuse_bare("volume", text, ("L", "gal"))
        self._say("volume", "tank.volume_l", to_number("tank.volume_l", text, "volume"), text)

    def _temperature(self, texts: list[str]) -> None:
        text = " ".join(texts)
        _refuse_bare("temperature", text, ("degC", "degF"))
        path = "operation.temperature_c"
        self._say("temperature", path, to_number(path, text, "temperature"), text)

    def _make_up(self, texts: list[str]) -> None:
        known = [one for recipe in self._candidates for one in recipe.reagents()]
        for text in texts:
            name, amount = _parted("make-up", text)
            substance = substance_named(name, known)
            ending, value = "g_l", 0.0
            if re.fullmatch(_NUMBER, amount):
                amount = f"{amount} g/L" if name.lower().endswith("_g_l") else amount
            value, ending = amount_of(amount, f"make-up: {name}")
            path = f"make_up.{substance or plain_name(name.removesuffix('_g_l'))}_{ending}"
            # A refusal names the hydrates, or the nearest names.
            self._say("make-up", path, value, text)

    def _ph(self, texts: list[str]) -> None:
        text = " ".join(texts)
        if "as made up" in text.lower():
            # What is weighed out sets it.
            self.lines["operation.ph"] = Line(OFF, text)
            self._choose()
            return
        match = re.search(_NUMBER, text)
        cooled = re.search(r"\b(cooled|cold|cool|sample|25 ?(deg)?C)\b", text)
        hot = re.search(r"\b(hot|in the bath|bath)\b", text)
        if match is None or bool(hot) == bool(cooled):
            number = match[0] if match else "4.8"
            raise RecipeError(
                f"ph: {text}: expected '{number} hot' (read in the bath) or '{number} cooled'"
                " (read on a sample at 25 degC), or 'as made up'"
            )
        self._say("ph", "operation.ph", float(match[0]), text)
        self._say("ph", "operation.ph_reading", "hot" if hot else "cooled", text)
        self._choose()

    def _choose(self) -> None:
        make_up = [path for path in self.lines if path.startswith("make_up.")]
        ph = self.lines["operation.ph"].value
        self._base, self.why_base = nearest(self._candidates, make_up, ph)

    def _ph_reagent(self, texts: list[str]) -> None:
        text = " ".join(texts)
        name = substance_named(text, self.base.reagents()) or plain_name(text)
        self._say("ph_reagent", "operation.ph_reagent", name, text)
        if any(entry.path == "ph_control.reagent" for entry in self.base.numbers()):
            self._say("ph_reagent", "ph_control.reagent", name, text)

    def _loading(self, texts: list[str]) -> None:
        for text in re.split(r",| at | of ", " , ".join(texts)):
            piece = text.strip()
            file = re.sub(r"^racks?\s+", "", piece)
            if not piece:
                continue
            if file != piece or Path(file).suffix.lower() in {".csv", ".xlsx"}:
                if not Path(file).is_file():
                    raise RecipeError(f"loading: racks {file}: there is no such file")
                beside = os.path.relpath(file, self._folder)
                self.lines["work.calendar"] = Line(Path(beside).as_posix(), piece)
                continue
            if repeated := re.fullmatch(r"(?:repeated )?every (.+)", piece):
                path, span = "work.calendar_repeat_h", repeated[1]
                span = span if span[0].isdigit() else f"1 {span}"
                self.lines[path] = Line(to_number(path, span, "loading"), piece)
                continue
            _refuse_bare("loading", piece, ("dm2/L", "ft2/gal"))
            try:
                path = "work.loading_dm2_l"
                value = to_number(path, piece, "loading")
            except RecipeError as error:
                try:
                    path = "work.thickness_um"
                    value = to_number(path, piece, "loading")
                except RecipeError:
                    raise error from None
            self._say("loading", path, value, piece)

    def _shifts(self, texts: list[str]) -> None:
        text = " ".join(texts)
        words = text.lower()
        for word, count in _COUNTS.items():
            words = re.sub(rf"\b{word}\b", str(count), words)
        shifts = re.search(r"(\d+) ?shifts?", words)
        hours = re.search(r"([\d.]+) ?(?:h|hours?|hrs?)\b", words)
        days = re.search(r"([\d.]+) ?(?:d|days?)\b", words)
        each = float(hours[1]) if hours else _SHIFT_H
        a_day = each * int(shifts[1]) if shifts else each if hours else None
        a_week = float(days[1]) if days else None
        if "24/7" in words or "round the clock" in words:
            a_day, a_week = 24.0, a_week or 7.0
        if a_day is None:
            raise RecipeError(
                f"shifts: {text}: expected hours a day and days a week, such as"
                " '2 shifts of 8 h, 5 days', '8 h, 5 days' or '24/7'"
            )
        for path, value in (("work.hours_per_day", a_day), ("work.days_per_week", a_week)):
            if value is not None:
                self._say("shifts", path, float(value), text)

    def _limits(self, texts: list[str]) -> None:
        bath = self.base.set(self.own_make_up())
        for text in texts:
            found = limit_key(text, bath)
            self.lines[f"limits.{found.key}"] = Line(found.value, text)

    def _prices(self, texts: list[str]) -> None:
        for text in texts:
            form = rf"(.*?)[\s=]+({_NUMBER})\s*([A-Z]{{3}})(?:\s*/\s*(\w+))?"
            match = re.fullmatch(form, text.strip())
            what, amount, money, per = match.groups() if match else ("", "", "", None)
            known = _PRICES.get((what.lower(), per or ""))
            substance = substance_named(what, self.base.reagents())
            if known is None and not (substance and per == "kg"):
                ways = ", ".join(
                    f"{one} 1 EUR{'/' + unit if unit else ''}" for one, unit in _PRICES
                )
                raise RecipeError(
                    f"prices: {text}: expected such as 'lactic acid 3 EUR/kg', {ways}"
                )
            said = self.lines.get("cost.currency")
            if said is not None and said.value != money:
                raise RecipeError(f"prices: {text}: expected {said.value} as before: one currency")
            self._say("prices", "cost.currency", money, text)
            path = f"cost.{known or f'reagent_per_kg.{substance}'}"
            self._say("prices", path, float(amount), text)


def _parted(by: str, text: str) -> tuple[str, str]:
    """A name and an amount, in either order, with or without a sign between them."""
    name, equals, amount = (part.strip() for part in text.partition("="))
    if equals:
        return name, amount
    unit = r"[A-Za-z]+(?:/[A-Za-z]+)?"
    first = re.fullmatch(rf"({_NUMBER}\s*{unit})\s+(?:of\s+)?(.+)", text.strip())
    last = re.fullmatch(rf"(.+?)[\s:]+({_NUMBER}(?:\s*{unit})?)", text.strip())
    if last:
        return last[1], last[2]
    if first:
        return first[2], first[1]
    raise RecipeError(f"{by}: {text}: expected such as 'nickel sulfate hexahydrate = 27 g/L'")


def _refuse_bare(by: str, text: str, units: tuple[str, str]) -> None:
    if re.fullmatch(_NUMBER, text.strip()):
        one, other = units
        raise RecipeError(f"{by}: {text}: expected a unit: {text} {one} or {text} {other}?")
