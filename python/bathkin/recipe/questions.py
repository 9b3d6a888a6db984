"""Ten questions about a bath."""

from __future__ import annotations

from typing import NamedTuple

from bathkin.recipe.limit_words import EXAMPLES


class Question(NamedTuple):
    """A question about a bath.

    Attributes:
        key: Name of its answer and its option.
        text: The question.
        example: An answer.
        needed: Whether a recipe cannot be written without it.
        several: Whether it may have several answers.
    """

    key: str
    text: str
    example: str
    needed: bool = False
    several: bool = False


QUESTIONS = (
    Question("metal", "Which metal, from which reductant?", "nickel, hypophosphite", True),
    Question("volume", "What does the tank hold?", "400 L", True),
    Question(
        "make_up",
        "What is it made up of, by the names on the drums with their water of crystallisation?",
        "nickel sulfate hexahydrate = 27 g/L",
        True,
        True,
    ),
    Question(
        "ph",
        "Which pH, read hot (in the bath) or cooled (25 degC)? 'as made up' where none is set.",
        "4.8 hot",
        True,
    ),
    Question("ph_reagent", "With what is the pH set?", "sodium hydroxide"),
    Question("temperature", "At which temperature is it run?", "88 degC", True),
    Question(
        "loading",
        "How much work hangs in it, and how thick? Or racks FILE.csv, every 168 h.",
        "0.5 dm2/L, 25 um",
    ),
    Question("shifts", "When is it worked?", "2 shifts of 8 h, 5 days"),
    Question("limits", "At what is it dumped?", EXAMPLES, several=True),
    Question("prices", "What does it cost?", "nickel sulfate hexahydrate 6 EUR/kg", several=True),
)
KEYS = tuple(question.key for question in QUESTIONS)
