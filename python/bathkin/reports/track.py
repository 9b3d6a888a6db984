"""A bath today, on one screen."""

from __future__ import annotations

from pathlib import PurePath
from typing import TYPE_CHECKING

from bathkin.core import layout
from bathkin.core.layout import Column, aligned, number
from bathkin.fit.results import Spread
from bathkin.recipe.recipe import recipes
from bathkin.reports.dates import ends_shown, rounded

if TYPE_CHECKING:
    from bathkin.life.results import Plan
    from bathkin.tracking.record import TrackRecord
    from bathkin.tracking.results import (
        BelowDetection,
        CorrectorOfTurnover,
        Finding,
        Standing,
    )

# More looks than this are counted.
_MOST_LOOKS = 6
_DAY_H = 24.0
# Readings whose third figure says nothing.
_DIGITS = {"specific_gravity": 4}
# An analysis that narrows the date by less is not worth naming.
_WORTH_PCT = 5.0

# Headings of the table of the bath, and which of its columns are words.
STANDING = ("the bath", "now", "P10", "P90", "", "set-point", "of it", "")
STANDING_LEFT = (0, 4, 7)


def track_text(track: TrackRecord) -> str:
    """Alarms, standing, findings, the date with its band, and what one more analysis would do."""
    parts = [
        headline(track),
        _list("ALARMS", [alarm.text for alarm in track.alarms]),
        standing_text(track),
        findings_text(track),
        _corrector_text(track),
        dump_text(track),
        next_text(track),
    ]
    return "\n\n".join(filter(None, parts))


def bath_name(track: TrackRecord) -> str:
    """The bath by the name that its recipe has for itself, or else by that of its file."""
    recipe = track.recipe
    inherited = not recipe.is_built_in() and recipe.name in recipes()
    return PurePath(recipe.file).stem if inherited else recipe.name


def headline(track: TrackRecord) -> str:
    """Which bath, when, and how far."""
    when = track.now or f"{number(track.now_h)} h after the first row"
    text = f"{bath_name(track)} on {when}, after {_rows(track)} of {track.log.file}"
    if track.accepted:
        text += f"; put in: {'; '.join(track.accepted)}"
    return layout.wrapped(text, 0, 2)


def _rows(track: TrackRecord) -> str:
    return "1 row" if len(track.rows) == 1 else f"{len(track.rows)} rows"


def standing_text(track: TrackRecord) -> str:
    """The bath as it stands after what was added last."""
    rows = standing_rows(track)
    table = layout.render(
        [
            Column(head, [row[at] for row in rows], left=at in STANDING_LEFT)
            for at, head in enumerate(STANDING)
        ]
    )
    legend = "P10, P90: with a probability of 10 % it is below P10, with 10 % above P90"
    return f"{table}\n{layout.wrapped(legend, 0, 2)}"


def standing_rows(track: TrackRecord) -> list[list[str]]:
    """The cells of the table: how it stands, its spread, and its set-point."""
    rows = []
    for one in track.standing:
        if not one.main:
            continue
        share = "" if one.pct_of_set_point is None else f"{one.pct_of_set_point:.0f} %"
        # In the words and the unit of those who run it.
        said = one.as_given or one
        title = one.title if one.as_given is None else one.as_given.words
        set_point = "" if said.set_point is None else number(said.set_point, 3)
        digits = _DIGITS.get(one.name, 3)
        values = aligned([said.value, said.p10, said.p90], digits)
        unit = "" if said.unit == title.split()[-1] else said.unit
        rows.append([title, *values, unit, set_point, share, _analysed(one)])
    return rows


def _analysed(one: Standing) -> str:
    """Whether a content was ever analysed."""
    return "" if one.analysed or not one.unit.endswith("/L") else "never analysed"


def findings_text(track: TrackRecord) -> str:
    """Findings, then looks."""
    found, looks = findings_lines(track)
    if len(looks) > _MOST_LOOKS:
        more = f"and {len(looks) - _MOST_LOOKS} more, which --json lists"
        looks = [*looks[:_MOST_LOOKS], more]
    parts = [
        _list("Findings", found),
        _list("Worth a look (one false alarm in 100 rows per kind)", looks),
    ]
    seen = [
        f"{one.solution} {number(one.look_l, 2)} L (as a finding {number(one.finding_l, 2)} L)"
        for one in track.smallest_seen
    ]
    if seen:
        text = f"smallest addition nobody wrote down that would be seen: {', '.join(seen)}"
        parts.append(layout.wrapped(text, 0, 2))
    return "\n\n".join(filter(None, parts))


def findings_lines(track: TrackRecord) -> tuple[list[str], list[str]]:
    """Findings and looks in words, each with its day."""

    def line(one: Finding) -> str:
        return f"{one.text} ({one.date})" if one.date else one.text

    found = [line(one) for one in track.findings if one.grade == "finding"]
    return found, [line(one) for one in track.findings if one.grade != "finding"]


def corrector_lines(track: TrackRecord) -> list[str]:
    """What following the measured pH took; nothing where the pH is compared."""
    of = track.ph_corrector
    if of is None:
        return []
    told = (
        f"the measured pH took {number(of.needed_l, 3)} L +- {number(of.sd_l, 2)} of {of.name}"
        " from the first row to the last"
    )
    if of.per_turnover_l is not None:
        told += f", {number(of.per_turnover_l, 3)} L per turnover"
    if of.logged_l is not None:
        told += f"; the log has {number(of.logged_l, 3)} L as added"
    lines = [told]
    if len(of.by_turnover) > 1:
        lines.append("by turnovers: " + "; ".join(map(_of_turnover, of.by_turnover)))
    if of.needed_l < 0.0 or any(one.needed_l < 0.0 for one in of.by_turnover):
        lines.append("below zero: as much acid as would take up so many litres of it")
    return lines


def _of_turnover(one: CorrectorOfTurnover) -> str:
    part = "" if one.part > 0.995 else f" ({100 * one.part:.0f} % of it)"
    logged = "" if one.logged_l is None else f", {number(one.logged_l, 3)} L logged"
    return f"turnover {one.turnover}{part} {number(one.needed_l, 3)} L{logged}"


def _corrector_text(track: TrackRecord) -> str:
    return "\n".join(layout.wrapped(line, 0, 2) for line in corrector_lines(track))


def dump_text(track: TrackRecord) -> str:
    """When it must go, as dates or hours, and by which limit."""
    rows = dump_rows(track)
    text = layout.render(
        [
            Column(head, [row[at] for row in rows], left=at == 0)
            for at, head in enumerate(("must be dumped", "P10", "P50", "P90"))
        ]
    )
    told = [first_limits(track), *past(track)]
    if track.beyond:
        told.append(f"{track.beyond} of {track.members} members reach no limit")
    if track.failed:
        told.append(f"{track.failed} of {track.members} members failed: {track.first_failure}")
    return "\n".join([text, *(layout.wrapped(line, 0, 2) for line in told)])


def dump_rows(track: TrackRecord) -> list[list[str]]:
    """When it must go: name, P10, P50, P90, as fine as their width deserves."""
    dump = track.dump
    days = [None if left is None else left / _DAY_H for left in _ends(dump.left_h)]
    rows = [["date", *ends_shown(track)]] if dump.date.p10 else []
    rows += [] if rows else [["hours from the first row", *rounded(dump.clock_h)]]
    rows.append(["days from the last row", *rounded(Spread(*days))])
    rows.append(["turnovers", *rounded(dump.turnovers)])
    rows.append(["m2 still to plate", *rounded(dump.area_left_m2)])
    return rows


def _ends(spread: Spread) -> list[float | None]:
    return [spread.p10, spread.p50, spread.p90]


def first_limits(track: TrackRecord) -> str:
    """Which limit comes first, with its probability."""
    limits = ", ".join(
        f"{track.recipe.words(name)[0] if name != 'none' else 'no limit'} {100 * part:.0f} %"
        for name, part in track.first_limit.items()
    )
    return f"first limit: {limits}"


def past(track: TrackRecord) -> list[str]:
    """Limits that it is past."""
    told = []
    for one in track.passed:
        given = one.as_given
        since = one.date or f"row {one.row}"
        bound = f"past its limit: {given.words}, {number(given.bound)} {given.unit}".rstrip()
        told.append(f"{bound}, since {since}")
    return told


def next_text(track: TrackRecord) -> str:
    """What one more analysis would do to the width of the date; what was drawn, what held."""
    noise = (
        f"titrations of {track.recipe.metal} scatter by {number(track.titration_noise_pct, 2)} %"
    )
    noise += ", as the log tells" if track.noise_is_estimated else ", as assumed"
    told = [
        *filter(None, [next_analysis(track)]),
        noise,
        *map(_bound, track.below_detection),
        f"drawn for each of {track.members} members: {'; '.join(track.drawn)}",
        f"held: {'; '.join(track.held)}",
    ]
    return "\n".join(layout.wrapped(line, 0, 2) for line in told)


def _bound(one: BelowDetection) -> str:
    """What was made of readings below detection."""
    told = f"{one.column}: {one.readings} below detection, taken as an upper bound"
    return f"{told}; {one.less_than_expected} had less than was expected"


def next_analysis(track: TrackRecord) -> str:
    """Which analyses would narrow the date most."""
    known = [one for one in track.next_analysis if one.width_left_h is not None]
    worth = [one for one in known if one.width_removed_pct >= _WORTH_PCT][:3]
    if not known:
        return ""
    if not worth:
        return f"no single analysis now would narrow the date by more than {_WORTH_PCT:.0f} %"
    told = "; ".join(
        f"{_spoken(track, one.of)} to +- {number(one.sd, 2)}: {one.width_removed_pct:.0f} % less"
        f" width, {number((one.width_left_h or 0.0) / _DAY_H, 2)} d left"
        for one in worth
    )
    return f"one more analysis now would narrow the date: {told}"


def _spoken(track: TrackRecord, name: str) -> str:
    titles = {one.name: one.title for one in track.standing}
    return titles.get(name, name)


def additions_text(plan: Plan) -> str:
    """What to add in the next shift, in one line for each solution."""
    if not plan.totals:
        return layout.wrapped(f"next {number(plan.shift_h)} h: {'; '.join(plan.notes)}", 0, 2)
    told = [f"{one.replenisher} {number(one.volume_ml / 1000.0, 3)} L" for one in plan.totals]
    return layout.wrapped(f"next {number(plan.shift_h)} h take {', '.join(told)}", 0, 2)


def _list(title: str, lines: list[str]) -> str:
    if not lines:
        return ""
    return "\n".join([title, *(layout.wrapped(f"- {line}", 2, 4) for line in lines)])
