"""What is wrong with a table, gathered, so that one answer names all of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from bathkin.errors import DataError

# As many are named; more of them rarely have another cause.
MOST_NAMED = 20


class Problems:
    """What is wrong with a table so far.

    Attributes:
        place: The file.
        found: The problems, in the order they were met.
    """

    def __init__(self, place: str) -> None:
        self.place = place
        self.found: list[DataError] = []

    @contextmanager
    def gathered(self) -> Iterator[None]:
        """Keeps what is refused within, and goes on behind it.

        Example:
            >>> from bathkin.errors import DataError
            >>> from bathkin.tables.problems import Problems
            >>> problems = Problems("log.csv")
            >>> with problems.gathered():
            ...     raise DataError("log.csv: row 7, ph = x: expected a number", row=7)
            >>> [error.row for error in problems.found]
            [7]
        """
        try:
            yield
        except DataError as error:
            self.found += error.problems

    def refuse_any(self) -> None:
        """Refuses the table where anything is wrong with it.

        Raises:
            DataError: The problem, or one that lists all of them.
        """
        if self.found:
            raise together(self.place, self.found)


def together(place: str, found: Sequence[DataError]) -> DataError:
    """One error for all problems of a file: the first 20 named, the rest counted.

    Example:
        >>> from bathkin.errors import DataError
        >>> from bathkin.tables.problems import together
        >>> rows = [DataError(f"log.csv: row {row}: expected a date", row=row) for row in (2, 5)]
        >>> print(together("log.csv", rows))
        log.csv: 2 problems:
          row 2: expected a date
          row 5: expected a date
    """
    if len(found) == 1:
        return found[0]
    told = [f"  {str(error).removeprefix(f'{place}: ')}" for error in found[:MOST_NAMED]]
    if len(found) > MOST_NAMED:
        told.append(f"  and {len(found) - MOST_NAMED} more")
    lines = "\n".join(told)
    of_columns = all(error.column and error.row is None for error in found)
    what = "columns cannot be read" if of_columns else "problems"
    return DataError(f"{place}: {len(found)} {what}:\n{lines}", problems=found)
