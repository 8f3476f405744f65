"""Where a kg C is later: what a stretch of steady rates does to it, and what is left of it at the end of a round.

A stretch is some spans in a row in which nothing is added or dug in. A round is what lies between two recorded
boundaries. `Step` is what a stretch does; `Onward` is what becomes, by the end of the round, of a kg C that is
there at some boundary. Steps are put before an `Onward` one by one, from the end of the round to its start: only
sums of positive terms, so no digits are lost.

A fate is an array whose first axis says where the kg C is by then: (kept, humus, decomposed, respired). Decomposed
counts what became humus or was respired; respired, what became humus and was respired again. The last two axes
are (lane, draw), either may be 1.
"""

from dataclasses import dataclass

import numpy as np

from somsim.decay.equations import (
    first_difference,
    first_difference_between,
    second_difference,
    share_gone,
    share_left,
    third_difference,
)
from somsim.decay.problem import Array

KEPT, AS_HUMUS, ONCE_DECOMPOSED, BREATHED = range(4)
FATES = 4


@dataclass(frozen=True)
class Step:
    """What a stretch does to one kg C of each stock."""

    residue: Array
    """Its fate: (4, lane, draw)."""
    humus: Array
    """Kept and respired: (2, lane, draw)."""
    surface: Array | None
    """Its fate, kept on the surface: (4, surface lane, draw); None where no lane ever has anything there."""


@dataclass(frozen=True)
class Onward:
    """What becomes, by the end of a round, of one kg C that is in a stock now."""

    residue: Array
    """Its fate: (4, lane, draw)."""
    humus: Array
    """Kept and respired: (2, lane, draw)."""
    surface: Array | None
    """Still on the surface, then the fate of the rest: (5, surface lane, draw); None as in `Step`."""


def of_lanes(values: Array, lanes: slice) -> Array:
    """Some lanes of (..., lane, draw), or the array itself where lane is 1."""
    return values if values.shape[-2] == 1 else values[..., lanes, :]


def fate_of_stock(a: Array, b: Array, humified: Array) -> Array:
    """Where one kg C that is residue at the start of a stretch is at its end.

    What is respired again is h b times the mean humus that 1 kg C becomes, (gone(b) - b x mean of e^-z between a and
    b) without the h: off by no more than a rounding of b, and never the remainder of the other fates.

    Parameters
    ----------
    a, b : ndarray (1), residue and humus rate times years
    humified : ndarray (1), share of decomposed carbon that becomes humus

    Returns
    -------
    ndarray (4, broadcast shape), per kg C. Source: derived from the chain at the head of equations.py.

    Examples
    --------
    >>> fate = fate_of_stock(np.array(0.8), np.array(0.006), np.array(0.13))
    >>> round(float(fate[KEPT]), 4), round(float(fate[AS_HUMUS]), 5)
    (0.4493, 0.07134)
    """
    fate = np.empty((FATES, *np.broadcast_shapes(a.shape, b.shape, humified.shape)))
    later = first_difference_between(a, b)
    fate[KEPT] = share_left(a)
    fate[AS_HUMUS] = humified * a * later
    fate[ONCE_DECOMPOSED] = share_gone(a)
    fate[BREATHED] = np.maximum(humified * (share_gone(b) - b * later), 0.0)
    return fate


def fate_of_inflow(a: Array, b: Array, humified: Array, *, years: Array) -> Array:
    """Where a steady inflow of 1 kg C/m2/yr into the residue is at the end of a span.

    Parameters
    ----------
    a, b : ndarray (1), residue and humus rate times years
    humified : ndarray (1), share of decomposed carbon that becomes humus
    years : ndarray (yr), length of the span

    Returns
    -------
    ndarray (4, broadcast shape), kg C/m2. Source: derived from the chain at the head of equations.py.

    Examples
    --------
    >>> fate = fate_of_inflow(np.array(0.8), np.array(0.006), np.array(0.13), years=np.array(1.0))
    >>> round(float(fate[KEPT]), 4), round(float(fate[AS_HUMUS]), 5)
    (0.6883, 0.04043)
    """
    fate = np.empty((FATES, *np.broadcast_shapes(a.shape, b.shape, humified.shape, years.shape)))
    second, third = second_difference(a, b), third_difference(a, b)
    humified_a = years * humified * a
    fate[KEPT] = years * first_difference(a)
    fate[AS_HUMUS] = humified_a * second
    # The second difference over 0, 0, a is second + b third: a sum of positive terms, cheaper than its own
    # series.
    fate[ONCE_DECOMPOSED] = years * a * (second + b * third)
    fate[BREATHED] = humified_a * b * third
    return fate


def fate_of_humus(b: Array) -> Array:
    """What is kept and what is respired of one kg C of humus in a stretch.

    Parameters
    ----------
    b : ndarray (1), humus rate times years

    Returns
    -------
    ndarray (2, shape of b)

    Examples
    --------
    >>> [round(float(share), 4) for share in fate_of_humus(np.array(0.006))]
    [0.994, 0.006]
    """
    return np.stack([share_left(b), share_gone(b)])


def at_the_end(on_surface: bool) -> Onward:
    """At the end of a round everything is where it is."""
    residue, humus, surface = np.zeros((FATES, 1, 1)), np.zeros((2, 1, 1)), np.zeros((1 + FATES, 1, 1))
    residue[0], humus[0], surface[0] = 1.0, 1.0, 1.0
    return Onward(residue, humus, surface if on_surface else None)


def carried(fate: Array, residue: Array, humus: Array) -> Array:
    """A fate, and then what becomes of the part kept and of the part that is humus.

    Parameters
    ----------
    fate : ndarray (4, lane, draw)
    residue : ndarray (4 or 5, lane, draw), what becomes of the part kept; one more first where it is on the surface
    humus : ndarray (2, lane, draw), what becomes of humus

    Returns
    -------
    ndarray, first axis as that of `residue`
    """
    both: Array = fate[KEPT] * residue
    end = both[-FATES:]
    end[AS_HUMUS] += fate[AS_HUMUS] * humus[0]
    end[BREATHED] += fate[AS_HUMUS] * humus[1]
    end[ONCE_DECOMPOSED:] += fate[ONCE_DECOMPOSED:]
    return both


def before(step: Step, after: Onward, surface: slice | None) -> Onward:
    """A stretch, and then `after`; `surface` are the lanes that may have something there."""
    humus = step.humus[0] * after.humus
    humus[1] += step.humus[1]
    residue, on_top = carried(step.residue, after.residue, after.humus), None
    if step.surface is not None and after.surface is not None and surface is not None:
        on_top = carried(step.surface, after.surface, of_lanes(after.humus, surface))
    return Onward(residue, humus, on_top)


def dug_in(after: Onward, lanes: tuple[int, ...], share: float, surface: slice | None) -> Onward:
    """A share of the surface of some lanes becomes residue, and then `after`."""
    if after.surface is None or surface is None:
        return after
    dug = np.zeros((surface.stop - surface.start, 1))
    dug[[lane - surface.start for lane in lanes if surface.start <= lane < surface.stop]] = share
    on_top = (1.0 - dug) * after.surface
    below = dug * of_lanes(after.residue, surface)
    on_top = np.broadcast_to(on_top, (1 + FATES, *np.broadcast_shapes(on_top.shape[1:], below.shape[1:]))).copy()
    on_top[1:] += below
    return Onward(after.residue, after.humus, on_top)
