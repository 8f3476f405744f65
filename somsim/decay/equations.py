"""The equations of first-order decay, written so that no limit is a special case.

A span of `t` years with residue rate L and humus rate M (1/yr, already times the climate factor) is described
by two plain numbers, a = L t and b = M t. Everything the two-stock chain does in that span is a divided
difference of e^-z over the points 0, a and b. Frozen ground (a = b = 0), equal rates (a = b) and very slow or
very fast decay are then ordinary arguments: nothing is divided by a difference that may vanish.

The chain itself, dX/dt = u - L X and dH/dt = h L X - M H, is Andrén & Kätterer (1997), Ecological
Applications 7:1226-1236, eqs 1-7 (remembered), with an older form in Hénin, Monnier & Turc (1959), C. R.
Acad. Sci. 248:138-141 (remembered). Its solution in divided differences is derived here.
"""

from collections.abc import Callable
from math import factorial

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# With every argument at most 1, term n of a series below is at most (n + 1) / (n + 2)!; n = 19 is under
# 4e-19.
SERIES_TERMS = 19
# Numpy computes exp and expm1 several elements at a time and promises nothing about the last bit of a spare
# tail. None was seen to differ (numpy 2.4, x86-64 with and without AVX-512), but other builds may use another
# routine there. A length that is a multiple of 64 (eight vectors of eight doubles) leaves no tail.
WHOLE_VECTORS = 64


def _by_whole_vectors(function: Callable[[Array], Array], z: Array) -> Array:
    """Apply an exponential so that an element's bits do not depend on how many stand beside it."""
    if z.size % WHOLE_VECTORS == 0 and z.flags.c_contiguous:
        return function(z)
    padded = np.zeros(-(-z.size // WHOLE_VECTORS) * WHOLE_VECTORS)
    padded[: z.size] = z.ravel()
    return function(padded)[: z.size].reshape(z.shape)


def _series(a: Array, b: Array, order: int) -> Array:
    """Sum of (-1)^n h_n(a, b) / (n + order)!, h_n the complete homogeneous polynomial; for 0 <= a, b <= 1.

    As (-1)^n h_n = -(a + b) (-1)^(n-1) h_(n-1) - a b (-1)^(n-2) h_(n-2), the sum is taken from its small end
    by the backward recurrence of Clenshaw (1955), Mathematical Tables and Other Aids to
    Computation 9:118-120 (remembered).
    """
    minus_sum, product = -(a + b), a * b
    newer = np.full(minus_sum.shape, 1.0 / factorial(SERIES_TERMS - 1 + order))
    older, term = np.zeros_like(newer), np.empty_like(newer)
    for n in reversed(range(SERIES_TERMS - 1)):
        older *= product
        np.multiply(minus_sum, newer, out=term)
        term -= older
        term += 1.0 / factorial(n + order)
        older, newer, term = newer, term, older
    return newer


def share_left(a: ArrayLike) -> Array:
    """Share of a stock still there after a span: e^-a.

    Parameters
    ----------
    a : array_like (1), rate times years, 0 or more

    Returns
    -------
    ndarray (1), shape of `a`. Source: first-order decay, Olson (1963), Ecology 44:322-331 (remembered).

    Examples
    --------
    >>> round(float(share_left(1.0)), 6)
    0.367879
    """
    return _by_whole_vectors(np.exp, -np.asarray(a, dtype=np.float64))


def share_gone(a: ArrayLike) -> Array:
    """Share of a stock lost in a span: 1 - e^-a, with all its digits when `a` is small.

    Parameters
    ----------
    a : array_like (1), rate times years, 0 or more

    Returns
    -------
    ndarray (1), shape of `a`. Source: first-order decay, Olson (1963), Ecology 44:322-331 (remembered).

    Examples
    --------
    >>> float(share_gone(1e-20))
    1e-20
    """
    return -_by_whole_vectors(np.expm1, -np.asarray(a, dtype=np.float64))


def first_difference(a: ArrayLike) -> Array:
    """Mean of e^-z from 0 to `a`: (1 - e^-a) / a, and 1 at a = 0.

    It is the share of a steady inflow still there as residue when the span ends.

    Parameters
    ----------
    a : array_like (1), rate times years, 0 or more

    Returns
    -------
    ndarray (1), shape of `a`. Source: derived, see the head of this file.

    Examples
    --------
    >>> float(first_difference(0.0)), round(float(first_difference(1.0)), 6)
    (1.0, 0.632121)
    """
    a = np.asarray(a, dtype=np.float64)
    mean: Array = np.divide(share_gone(a), a, out=np.ones_like(a), where=a != 0.0)
    return mean


def first_difference_between(a: ArrayLike, b: ArrayLike) -> Array:
    """Mean of e^-z from `a` to `b`: (e^-a - e^-b) / (b - a), and e^-a at b = a. Symmetric.

    Times `a` it is the share of a starting residue that has been decomposed and, had it all become humus with
    rate b, would still be there.

    Parameters
    ----------
    a, b : array_like (1), rates times years, 0 or more

    Returns
    -------
    ndarray (1), broadcast shape. Source: derived, see the head of this file.

    Examples
    --------
    >>> round(float(first_difference_between(0.8, 0.006)), 6)
    0.686006
    """
    a, b = np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)
    return share_left(np.minimum(a, b)) * first_difference(np.abs(a - b))


def second_difference(a: ArrayLike, b: ArrayLike) -> Array:
    """Second divided difference of e^-z over 0, a, b: (phi(a) - phi(b)) / (b - a), phi the first. Symmetric.

    Times a it is the share of a steady inflow that has been decomposed and, had it all become humus with rate
    b, would still be there. Below 1 a series; above, (phi(low) - mean of e^-z between a and b) / high, whose
    two terms differ by more than a third of the larger whenever high > 1, so that no digits cancel however
    near a and b are.

    Parameters
    ----------
    a, b : array_like (1), rates times years, 0 or more

    Returns
    -------
    ndarray (1), broadcast shape; 1/2 at a = b = 0. Source: derived, see the head of this file.

    Examples
    --------
    >>> float(second_difference(0.0, 0.0)), round(float(second_difference(1.0, 1.0)), 6)
    (0.5, 0.264241)
    """
    a, b = np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)
    low, high = np.minimum(a, b), np.maximum(a, b)
    near = _series(np.minimum(low, 1.0), np.minimum(high, 1.0), 2)
    if np.all(high <= 1.0):
        return near
    far = (first_difference(low) - first_difference_between(low, high)) / np.maximum(high, 1.0)
    return np.where(high <= 1.0, near, far)


def third_difference(a: ArrayLike, b: ArrayLike) -> Array:
    """Third divided difference of -e^-z over 0, 0, a, b: (q(a) - q(b)) / (b - a), q the second.

    Times a b it is the share of a steady inflow that has been decomposed and then, had it all become humus,
    respired.

    Parameters
    ----------
    a, b : array_like (1), rates times years, 0 or more

    Returns
    -------
    ndarray (1), broadcast shape; 1/6 at a = b = 0. Source: derived, see the head of this file.

    Examples
    --------
    >>> round(float(third_difference(0.0, 0.0)), 6), round(float(third_difference(1.0, 1.0)), 6)
    (0.166667, 0.103638)
    """
    a, b = np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)
    low, high = np.minimum(a, b), np.maximum(a, b)
    near = _series(np.minimum(low, 1.0), np.minimum(high, 1.0), 3)
    if np.all(high <= 1.0):
        return near
    far = (second_difference(low, 0.0) - second_difference(low, high)) / np.maximum(high, 1.0)
    return np.where(high <= 1.0, near, far)


def residue_after(residue: ArrayLike, *, inflow: ArrayLike, decay: ArrayLike, years: ArrayLike) -> Array:
    """Residue carbon after a span with a steady inflow.

    Parameters
    ----------
    residue : array_like (kg C/m2), at the start of the span
    inflow : array_like (kg C/m2/yr)
    decay : array_like (1/yr), already times the climate factor, 0 or more
    years : array_like (yr), length of the span

    Returns
    -------
    ndarray (kg C/m2), broadcast shape. Source: Jenny, Gessel & Bingham (1949), Soil Science 68:419-432
    (remembered).

    Examples
    --------
    >>> round(float(residue_after(0.0, inflow=1.0, decay=0.25, years=10.0)), 5)
    3.67166
    """
    a = np.multiply(decay, years)
    kept = np.multiply(residue, share_left(a))
    return np.add(kept, np.multiply(inflow, years) * first_difference(a))


def humus_after(
    humus: ArrayLike,
    residue: ArrayLike,
    *,
    inflow: ArrayLike = 0.0,
    decay: ArrayLike,
    humus_decay: ArrayLike,
    humified: ArrayLike,
    years: ArrayLike,
) -> Array:
    """Humus carbon after a span, fed by decomposing residue and a steady inflow of it.

    First-order transfer from residue to humus: Andrén & Kätterer (1997), Ecological Applications 7:1226-1236,
    eqs 1-7 (remembered).

    Parameters
    ----------
    humus, residue : array_like (kg C/m2), at the start of the span
    inflow : array_like (kg C/m2/yr), into the residue
    decay, humus_decay : array_like (1/yr), already times the climate factor, 0 or more; may be equal
    humified : array_like, share of decomposed residue carbon that becomes humus, 0-1
    years : array_like (yr), length of the span

    Returns
    -------
    ndarray (kg C/m2), the inputs' broadcast shape

    Examples
    --------
    >>> round(float(humus_after(4.11, 0.30, decay=0.8, humus_decay=0.006, humified=0.13, years=1.0)), 4)
    4.1068
    """
    a, b = np.multiply(decay, years), np.multiply(humus_decay, years)
    from_residue = np.multiply(residue, a * first_difference_between(a, b))
    from_inflow = np.multiply(inflow, years) * a * second_difference(a, b)
    return np.add(np.multiply(humus, share_left(b)), np.multiply(humified, from_residue + from_inflow))


def steady_residue(inflow: ArrayLike, decay: ArrayLike) -> Array:
    """Residue at which decay uses up a steady inflow: u / L.

    Parameters
    ----------
    inflow : array_like (kg C/m2/yr)
    decay : array_like (1/yr), already times the climate factor, above 0

    Returns
    -------
    ndarray (kg C/m2), broadcast shape. Source: Olson (1963), Ecology 44:322-331 (remembered).

    Raises
    ------
    ValueError : a rate of 0 or less has no steady stock

    Examples
    --------
    >>> float(steady_residue(1.0, 0.25))
    4.0
    """
    if not np.all(np.asarray(decay) > 0.0):
        raise ValueError("decay: a rate of 0 or less has no steady stock")
    return np.asarray(np.divide(inflow, decay), dtype=np.float64)


def steady_humus(inflow: ArrayLike, *, humified: ArrayLike, humus_decay: ArrayLike) -> Array:
    """Humus at which its decay uses up what a steady inflow leaves: h u / M.

    Parameters
    ----------
    inflow : array_like (kg C/m2/yr), residue carbon
    humified : array_like, share of decomposed residue carbon that becomes humus, 0-1
    humus_decay : array_like (1/yr), already times the climate factor, above 0

    Returns
    -------
    ndarray (kg C/m2), broadcast shape. Source: Andrén & Kätterer (1997), Ecological Applications 7:1226-1236
    (remembered).

    Raises
    ------
    ValueError : a rate of 0 or less has no steady stock

    Examples
    --------
    >>> round(float(steady_humus(0.285, humified=0.13, humus_decay=0.006)), 3)
    6.175
    """
    return steady_residue(np.multiply(inflow, humified), humus_decay)


def inflow_to_hold(humus: ArrayLike, *, humified: ArrayLike, humus_decay: ArrayLike) -> Array:
    """Steady inflow of residue that keeps humus where it is: M H / h.

    Parameters
    ----------
    humus : array_like (kg C/m2)
    humified : array_like, share of decomposed residue carbon that becomes humus, above 0
    humus_decay : array_like (1/yr), already times the climate factor

    Returns
    -------
    ndarray (kg C/m2/yr), broadcast shape. Source: the humus balance of Hénin & Dupuis (1945), Annales
    agronomiques 15:17-29 (remembered).

    Raises
    ------
    ValueError : where nothing is humified no inflow can hold it

    Examples
    --------
    >>> round(float(inflow_to_hold(6.3, humified=0.20, humus_decay=0.02)), 3)
    0.63
    """
    if not np.all(np.asarray(humified) > 0.0):
        raise ValueError("humified: where nothing becomes humus, no inflow can hold it")
    return np.asarray(np.divide(np.multiply(humus, humus_decay), humified), dtype=np.float64)
