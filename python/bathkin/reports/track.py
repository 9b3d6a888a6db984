"""A bath today, on one screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.core import layout
from bathkin.core.layout import Column, number

if TYPE_CHECKING:
    from bathkin.life.results import Plan
    from bathkin.tracking.record import TrackRecord
    from bathkin.tracking.results import Standing

# More looks than this are counted.
_MOST_LOOKS = 6
_DAY_H = 24.0


def track_text(track: TrackRecord) -> str:
    """Alarms, standing, findings, the date with its band, and what one more analysis would do."""
    parts = [
        headline(track),
        _list("ALARMS", [alarm.text for alarm in track.alarms]),
        standing_text(track),
        findings_text(track),
        dump_text(track),
        next_text(track),
    ]
    return "\n\n".join(filter(None, parts))


def headline(track: TrackRecord) -> str:
    """Which bath, when, and how far."""
    when = track.now or f"{number(track.now_h)} h after the first row"
    last = track.rows[-1].row if track.rows else 0
    text = (
        f"{track.recipe.name} on {when}: {len(track.rows)} rows of {track.log.file} to row {last}"
    )
    if track.accepted:
        text += f"; put in: {'; '.join(track.accepted)}"
    return layout.wrapped(text, 0, 2)


def standing_text(track: TrackRecord) -> str:
    """The bath as it stands after what was added last."""
    rows = [one for one in track.standing if one.main]
    share = ["-" if one.pct_of_set_point is None else f"{one.pct_of_set_point:.0f}" for one in rows]
    return layout.render(
        [
            Column("the bath today", [one.title for one in rows], left=True),
            Column("", aligned_each([one.value for one in rows])),
            Column("P10", aligned_each([one.p10 for one in rows])),
            Column("P90", aligned_each([one.p90 for one in rows])),
            Column("", [one.unit for one in rows], left=True),
            Column("set-\npoint", [number(one.set_point) for one in rows]),
            Column("% of\nit", share),
            Column("", [_analysed(one) for one in rows], left=True),
        ]
    )


def _analysed(one: Standing) -> str:
    """Whether a content was ever analysed."""
    return "" if one.analysed or not one.unit.endswith("/L") else "never analysed"


def aligned_each(values: list[float]) -> list[str]:
    """Each number by itself: they have units of their own."""
    return [number(value, 3) for value in values]


def findings_text(track: TrackRecord) -> str:
    """Findings, then looks."""
    found = [one for one in track.findings if one.grade == "finding"]
    looks = [one for one in track.findings if one.grade != "finding"]

    def line(one: object) -> str:
        date = getattr(one, "date", None)
        text: str = getattr(one, "text", "")
        return f"{text} ({date})" if date else text

    parts = [_list("Findings", [line(one) for one in found])]
    shown = [line(one) for one in looks[:_MOST_LOOKS]]
    if len(looks) > len(shown):
        shown.append(f"and {len(looks) - len(shown)} more, which --json lists")
    parts.append(_list("Worth a look (one false alarm in 100 rows per kind)", shown))
    seen = [
        f"{one.solution} {number(one.look_l, 2)} L (as a finding {number(one.finding_l, 2)} L)"
        for one in track.smallest_seen
    ]
    if seen:
        text = f"smallest addition nobody wrote down that would be seen: {', '.join(seen)}"
        parts.append(layout.wrapped(text, 0, 2))
    return "\n\n".join(filter(None, parts))


def dump_text(track: TrackRecord) -> str:
    """When it must go, as dates or hours, and by which limit."""
    dump = track.dump
    ends = ("p10", "p50", "p90")
    rows = [("hours from the first row", dump.clock_h), ("hours left", dump.left_h)]
    rows += [("turnovers", dump.turnovers), ("m2 still to plate", dump.area_left_m2)]
    table = [("date", [getattr(dump.date, end) or "-" for end in ends])] if dump.date.p50 else []
    table += [(name, [number(getattr(spread, end), 3) for end in ends]) for name, spread in rows]
    text = layout.render(
        [
            Column("it must go", [name for name, _ in table], left=True),
            *(
                Column(end.upper(), [cells[at] for _, cells in table])
                for at, end in enumerate(ends)
            ),
        ]
    )
    limits = ", ".join(
        f"{track.recipe.words(name)[0] if name != 'none' else 'no limit'} {100 * part:.0f} %"
        for name, part in track.first_limit.items()
    )
    told = [f"first limit: {limits}"]
    told += [
        f"past {one.limit} of {number(one.bound)} since {one.date or f'row {one.row}'}"
        for one in track.passed
    ]
    if track.failed:
        told.append(f"{track.failed} of {track.members} members failed: {track.first_failure}")
    return "\n".join([text, *(layout.wrapped(line, 0, 2) for line in told)])


def next_text(track: TrackRecord) -> str:
    """What one more analysis would do to the width of the date."""
    width = [one for one in track.next_analysis if one.width_left_h is not None][:3]
    if not width:
        return ""
    told = "; ".join(
        f"{one.of} (to {number(one.sd, 2)}): {one.width_removed_pct:.0f} % less width,"
        f" {number((one.width_left_h or 0.0) / _DAY_H, 2)} d left"
        for one in width
    )
    noise = f"titrations scatter by {number(track.titration_noise_pct, 2)} %"
    noise += ", as the log tells" if track.noise_is_estimated else ", as assumed"
    return "\n".join(
        [
            layout.wrapped(f"one more analysis now: {told}", 0, 2),
            layout.wrapped(noise, 0, 2),
            layout.wrapped(f"drawn: {'; '.join(track.drawn)}", 0, 2),
            layout.wrapped(f"held: {'; '.join(track.held)}", 0, 2),
        ]
    )


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
