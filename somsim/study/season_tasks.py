"""The tasks of a year: every job that `work` counts, and what has no hours of its own, with all that belongs to it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from somsim.outcomes.money import is_hired, seed_rates
from somsim.outcomes.work import USUAL, done_by, tool_of, work
from somsim.plan.actions import Cover, Crop, Dig, Spread, Uncover, called
from somsim.plan.model import Plan
from somsim.plan.occurrences import meet
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import spread_of
from somsim.study.season_cautions import Minded
from somsim.study.season_ground import Where, beds_of, called_ground, joined, share_of
from somsim.study.season_types import Date, Task
from somsim.study.season_waits import waits_after, waits_for
from somsim.timeline.cuts import plants_of
from somsim.timeline.ground import Happening, digs
from somsim.timeline.world import HEAP, Load

Year = tuple[int, Date, Date]
TOGETHER = ("dig", "sheet")  # jobs of several groups of beds on one day are one task
IN_A_DAY = (
    "film on",
    "film off",
    "clear",
    "cut",
    "rake",
    "heap",
    "spread",
    "dig",
    "sheet",
    "sow",
    "plant",
    "grow",
)


@dataclass(frozen=True)
class Piece:
    """A task on its way: hours (draw,) by best values and in all draws, and what else is known of each m2."""

    kind: str
    what: str
    first: Date
    last: Date
    where: Where
    hours: tuple[Array, Array] | None = None
    happening: Happening | None = None
    volume: tuple[Array, Array] | None = None
    mass: tuple[Array, Array] | None = None
    number: int = 0
    buried: str = ""


def tasks(best: Trajectory, many: Trajectory, year: Year, mind: Minded) -> tuple[Task, ...]:
    """Every task of a year, in order of date; on one day in the order of work."""
    _, first, end = year
    pieces = [
        piece
        for piece in (*_from_jobs(best, many), *_from_happenings(best), *_without_hours(best, many))
        if piece.first < end and piece.last >= first and (piece.kind == "grow" or first <= piece.first < end)
    ]
    pieces.sort(key=lambda one: (one.first, IN_A_DAY.index(one.kind), one.where, one.what))
    seen: Counter[str] = Counter()
    made = []
    for piece in pieces:
        stem = "-".join(word for word in (str(year[0]), piece.kind.replace(" ", "-"), slug(piece.what)) if word)
        seen[stem] += 1
        made.append(_task(piece, f"{stem}-{seen[stem]}", best, year, mind))
    return tuple(made)


def slug(words: str) -> str:
    """A name as part of an id: letters and digits of any script, joined by hyphens.

    >>> slug("Rye & vetch, late")
    'rye-vetch-late'
    """
    return re.sub(r"[\W_]+", "-", words.casefold()).strip("-")


def _task(piece: Piece, name: str, best: Trajectory, year: Year, mind: Minded) -> Task:
    plan = best.world.figures.plan
    beds = plan.site.beds
    part = _part(piece, year, plan)
    area = share_of(piece.where) * beds.bed_area
    hired = None if plan.money is None else plan.money.hired
    hours = None if piece.hours is None else [values * part * area for values in piece.hours]
    made = Task(
        id=name,
        kind=piece.kind,
        what=piece.what,
        how=_how(piece, plan),
        fate=_fate(piece),
        first=piece.first,
        last=piece.last,
        ground=called_ground(piece.where, beds),
        where=piece.where,
        beds=beds_of(piece.where, beds),
        area=area,
        hours=None if hours is None else spread_of(hours[0][0], hours[1]),
        hired=piece.kind in PAID and is_hired(hired, piece.kind),
        volume=None if piece.volume is None else spread_of(piece.volume[0][0], piece.volume[1]),
        mass=None if piece.mass is None else spread_of(piece.mass[0][0], piece.mass[1]),
        waits_for=(),
        waits_after=(),
        cautions=(),
    )
    found = piece.happening
    return replace(
        made,
        waits_for=waits_for(best, made, found, piece.number),
        waits_after=waits_after(best, made, found, piece.number, piece.where),
        cautions=mind.at(made, found, piece.number),
    )


PAID = ("spread", "sow", "cut", "rake", "dig", "sheet", "heap", "grow")  # the kinds of job that can be hired


def _part(piece: Piece, year: Year, plan: Plan) -> float:
    """Share of a piece of work that falls into the year."""
    _, first, end = year
    return float(np.diff(done_by([(piece.first, piece.last)], (plan.start, first, end)))[0, 1])


def _how(piece: Piece, plan: Plan) -> str:
    if piece.kind in USUAL:
        return tool_of(plan, piece.kind)
    return ""


def _fate(piece: Piece) -> str:
    one = piece.happening
    if one is None:
        return piece.buried
    if piece.kind == "cut" and isinstance(one.action, Cover):
        return one.action.fate(piece.number)
    if piece.kind in ("rake", "heap"):
        return "to the heap" if piece.kind == "heap" else one.action.fate(piece.number)
    return str(one.action.then) if piece.kind in ("spread", "clear") else ""


def _from_jobs(best: Trajectory, many: Trajectory) -> Iterator[Piece]:
    """Jobs with hours: the same in the best run as in the draws, one beside the other."""
    loads = _loads_by_job(best, many)
    rounds = _rounds_by_job(best)
    together: dict[tuple[str, Date], list[Piece]] = {}
    for likely, drawn in zip(work(best).jobs, work(many).jobs, strict=True):
        key = (likely.kind, likely.what, likely.first, likely.where)
        piece = Piece(likely.kind, likely.what, likely.first, likely.last, likely.where, (likely.hours, drawn.hours))
        if likely.kind in TOGETHER:
            together.setdefault((likely.kind, likely.first), []).append(replace(piece, what=""))
            continue
        happening, number = rounds[key].pop(0) if rounds.get(key) else (None, 0)
        volume, mass = loads[key].pop(0) if loads.get(key) else (None, None)
        if likely.kind == "sow" and happening is not None:
            mass = _sown(best, many, happening)
        yield replace(piece, happening=happening, number=number, volume=volume, mass=mass)
    for pieces in together.values():
        yield _as_one(pieces, best)


def _as_one(pieces: list[Piece], best: Trajectory) -> Piece:
    """Digging of several groups of beds on one day; the hours for each m2 are alike."""
    first = pieces[0]
    where = joined([piece.where for piece in pieces])
    today = [one for one in best.timeline.happenings if digs(one) and one.occurrence.last == first.first]
    reasons = [one for one in today if not isinstance(one.action, Dig) and meet(one.where, where)]
    names = list(dict.fromkeys(called(one.action).strip('"') for one in reasons))
    return replace(first, where=where, buried=" and ".join(names) if first.kind == "dig" else "")


Key = tuple[str, str, Date, Where]
Pair = tuple[Array, Array] | None


def _loads_by_job(best: Trajectory, many: Trajectory) -> dict[Key, list[tuple[Pair, Pair]]]:
    """Volume and fresh mass on each m2 of what is spread, cut or heaped, in the order of the jobs."""
    found: dict[Key, list[tuple[Pair, Pair]]] = {}
    tops: dict[tuple[str, Date, Where], list[tuple[Load, Load]]] = {}
    for likely, drawn in zip(best.timeline.arrivals.loads, many.timeline.arrivals.loads, strict=True):
        where = likely.happening.where
        if isinstance(likely.happening.action, Spread):
            found.setdefault(("spread", likely.name, likely.date, where), []).append(_amounts(likely, drawn))
        else:
            if likely.kind == "tops":
                tops.setdefault((likely.name, likely.date, where), []).append((likely, drawn))
            if likely.fate == HEAP:
                found.setdefault(("heap", likely.name, likely.date, where), []).append(_amounts(likely, drawn))
    for (name, date, where), pairs in tops.items():
        for kind in ("cut", "rake"):
            found.setdefault((kind, name, date, where), []).append((None, _together(pairs)))
    return found


def _amounts(likely: Load, drawn: Load) -> tuple[Pair, Pair]:
    volume = None if likely.volume is None or drawn.volume is None else (likely.volume, drawn.volume)
    mass = None if likely.fresh is None or drawn.fresh is None else (likely.fresh, drawn.fresh)
    return volume, mass


def _together(pairs: list[tuple[Load, Load]]) -> Pair:
    """Fresh mass of the plants of a mix; None where it is not known of all."""
    best, many = np.zeros(1), np.zeros(1)
    for likely, drawn in pairs:
        if likely.fresh is None or drawn.fresh is None:
            return None
        best, many = best + likely.fresh, many + drawn.fresh
    return best, many


def _sown(best: Trajectory, many: Trajectory, one: Happening) -> Pair:
    """Seed of a cover on each m2, all its plants together; None where a rate is not known."""
    likely, drawn = (seed_rates(run, one) for run in (best, many))
    known = [(likely[name], drawn[name]) for name in likely]
    if any(rate is None for pair in known for rate in pair):
        return None
    sums = [np.asarray(sum(rate for rate in side if rate is not None)) for side in zip(*known, strict=True)]
    return sums[0], sums[1]


def _rounds_by_job(best: Trajectory) -> dict[Key, list[tuple[Happening, int]]]:
    """The round that each job belongs to, and which cut of it, in the order of the jobs."""
    found: dict[Key, list[tuple[Happening, int]]] = {}
    for one in best.timeline.happenings:
        action, dates = one.action, one.occurrence.dates
        if isinstance(action, Spread):
            found.setdefault(("spread", action.material, dates[0], one.where), []).append((one, 0))
        elif isinstance(action, Cover):
            found.setdefault(("sow", action.name, dates[0], one.where), []).append((one, 0))
            for number, date in enumerate(dates[1:]):
                found.setdefault(("cut", action.name, date, one.where), []).append((one, number))
                found.setdefault(("rake", action.name, date, one.where), []).append((one, number))
                for _ in plants_of(action) if action.fate(number) == HEAP else ():
                    found.setdefault(("heap", action.name, date, one.where), []).append((one, number))
        elif isinstance(action, Crop):
            found.setdefault(("grow", action.name, dates[0], one.where), []).append((one, 0))
            if action.then == HEAP:
                found.setdefault(("heap", action.name, dates[1], one.where), []).append((one, 0))
    return found


def _from_happenings(best: Trajectory) -> Iterator[Piece]:
    """Days that `work` has no job of its own for: planting and clearing crops, the film."""
    for one in best.timeline.happenings:
        first, last = one.occurrence.first, one.occurrence.last
        if isinstance(one.action, Crop):
            yield Piece("plant", one.action.name, first, first, one.where, happening=one)
            yield Piece("clear", one.action.name, last, last, one.where, happening=one)
        elif isinstance(one.action, Uncover):
            yield Piece("film off", "", first, first, one.where, happening=one)
            yield Piece("film on", "", last, last, one.where, happening=one)


def _without_hours(best: Trajectory, many: Trajectory) -> Iterator[Piece]:
    """What is spread or heaped, and crops that are grown, without a figure to reckon hours from."""
    for likely, drawn in zip(best.timeline.arrivals.loads, many.timeline.arrivals.loads, strict=True):
        spread = isinstance(likely.happening.action, Spread) and likely.volume is None
        heap = likely.fate == HEAP and likely.fresh is None
        if spread or heap:
            one, mass = likely.happening, _amounts(likely, drawn)[1]
            kind = "spread" if spread else "heap"
            yield Piece(kind, likely.name, likely.date, likely.date, one.where, happening=one, mass=mass)

