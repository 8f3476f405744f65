"""Quantiles and chances over draws that may carry weights."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def quantile(values: ArrayLike, shares: ArrayLike, weights: ArrayLike | None = None, axis: int = -1) -> Array:
    """Quantiles over the draws; the new first axis runs over ``shares``.

    With equal weights this is the usual linear interpolation (Hyndman & Fan 1996, Am. Stat. 50:361, type 7);
    with weights the same line through the weights' mid-ranks.

    Parameters
    ----------
    values : array_like
    shares : array_like (share,), 0 to 1
    weights : array_like (draw,), not negative, or None for equal weights
    axis : int, the axis of draws

    Returns
    -------
    ndarray (share, ...)

    Examples
    --------
    >>> quantile([1.0, 2.0, 3.0], [0.5], weights=[0.0, 1.0, 1.0]).tolist()
    [2.5]
    """
    data = np.moveaxis(np.asarray(values, dtype=float), axis, -1)
    wanted = np.atleast_1d(np.asarray(shares, dtype=float))
    if weights is None or data.shape[-1] == 1:
        return np.asarray(np.quantile(data, wanted, axis=-1))
    weight = np.asarray(weights, dtype=float)
    order = np.argsort(data, axis=-1, kind="stable")
    ranked = np.take_along_axis(data, order, axis=-1)
    spread = weight[order]
    before = np.cumsum(spread, axis=-1) - spread
    room = before[..., -1:] - before[..., :1] + 0.5 * (spread[..., -1:] - spread[..., :1])
    middle = before + 0.5 * spread
    position = (middle - middle[..., :1]) / np.where(room > 0.0, room, 1.0)
    flat, places = ranked.reshape(-1, ranked.shape[-1]), position.reshape(-1, ranked.shape[-1])
    kept = spread.reshape(flat.shape) > 0.0
    rows = [
        np.interp(wanted, _rescaled(place[keep]), row[keep])
        for row, place, keep in zip(flat, places, kept, strict=True)
    ]
    return np.moveaxis(np.array(rows).reshape(*ranked.shape[:-1], len(wanted)), -1, 0)


def _rescaled(position: Array) -> Array:
    width = position[-1] - position[0]
    return (position - position[0]) / width if width > 0.0 else position


def mean(values: ArrayLike, weights: ArrayLike | None = None, axis: int = -1) -> Array:
    """Weighted mean over the draws."""
    return np.asarray(np.average(np.asarray(values, dtype=float), axis=axis, weights=_array(weights)))


def _array(weights: ArrayLike | None) -> Array | None:
    return None if weights is None else np.asarray(weights, dtype=float)


def chance(happens: ArrayLike, weights: ArrayLike | None = None) -> float:
    """Weighted share of the draws (draw,) in which something happens, 0 to 1."""
    return float(np.average(np.asarray(happens, dtype=float), weights=_array(weights)))
