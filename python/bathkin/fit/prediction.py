"""What a run would show."""

from __future__ import annotations

from bathkin.fit import results


class Prediction(results.Prediction):
    """What a run would show, with 95 % bands. Made by `Fit.predict`."""

    __slots__ = ()

    def _shown(self) -> list[tuple[str, str]]:
        """The bands, the flags, and the number held that matters most."""
        shown = [*super()._shown(), *(("flag", str(flag)) for flag in self.flags)]
        if self.held_numbers and self.held_numbers[0].moved is not None:
            first = self.held_numbers[0]
            text = f"10 % more of {first.path} moves it by {first.moved:+.2g} %"
            shown.append(("held", text))
        return shown
