"""How far a crop has ripened at the cut, and what it is made of there.

Young growth is wet, rich in nitrogen and quick to decay; ripe growth is dry, poor in nitrogen and slow.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

STAGES = ("vegetative", "flower", "mature")


def stage_at(share_of_window: ArrayLike, *, flower_at: ArrayLike, mature_at: ArrayLike) -> NDArray[np.str_]:
    """The stage a crop has reached, by the share of its window's degree days gathered since sowing or a cut.

    Parameters
    ----------
    share_of_window : array_like, degree days since sowing (or the last cut) over the window's
    flower_at, mature_at : array_like, shares of the window at which flower and maturity begin; may pass 1

    Returns
    -------
    ndarray of str out of STAGES, the broadcast shape

    Raises
    ------
    ValueError : if maturity does not come after flower

    Examples
    --------
    >>> stage_at([0.4, 1.0, 1.5], flower_at=0.9, mature_at=1.4).tolist()
    ['vegetative', 'flower', 'mature']
    """
    share, flower, mature = (
        np.asarray(given, dtype=np.float64) for given in (share_of_window, flower_at, mature_at)
    )
    if np.any(mature <= flower):
        raise ValueError("maturity must come after flower")
    reached = (share >= flower).astype(np.int64) + (share >= mature)
    return np.asarray(np.array(STAGES)[reached])


def between_stages(share_of_window: ArrayLike, *, stages_at: ArrayLike, values: ArrayLike) -> Floats:
    """A property of the crop at the cut, in straight lines between its known stages and level beyond them.

    For dry matter, nitrogen concentration, decay rate and humification coefficient alike. Not for C:N:
    take carbon and nitrogen each on its own line and divide.

    Parameters
    ----------
    share_of_window : array_like, shape (...), degree days since sowing (or the last cut) over the window's
    stages_at : array_like, shape (n,), rising: the shares at which the values hold
    values : array_like, shape (..., n), any unit; leave out a stage that has no figure

    Returns
    -------
    ndarray, in the unit of values, the broadcast shape of share_of_window and values without its last axis

    Raises
    ------
    ValueError : if the stages do not rise, their number differs from the values', or a value is missing

    Examples
    --------
    >>> dry_matter = between_stages([0.2, 0.75, 3.0], stages_at=[0.5, 1.0, 1.5], values=[0.14, 0.18, 0.3])
    >>> dry_matter.round(3).tolist()
    [0.14, 0.16, 0.3]
    """
    share, at = np.asarray(share_of_window, dtype=np.float64), np.asarray(stages_at, dtype=np.float64)
    known = np.asarray(values, dtype=np.float64)
    if at.ndim != 1 or not np.all(np.diff(at) > 0) or known.shape[-1:] != at.shape:
        raise ValueError("the stages must rise, with one value each")
    if np.any(np.isnan(known)):
        raise ValueError("a stage without a figure must be left out, not given as NaN")
    total = np.zeros(np.broadcast_shapes(share.shape, known.shape[:-1]))
    for position, only_here in enumerate(np.eye(at.size)):
        total = total + np.interp(share, at, only_here) * known[..., position]
    return total
