"""The same problem by stepwise integration: the reference for the closed form."""

from collections.abc import Callable

import numpy as np

from somsim.decay.problem import DECOMPOSED, HUMUS, RESIDUE, RESPIRED, SURFACE, Array, Problem, Stocks, walk

RELATIVE_TOLERANCE = 1e-10
ABSOLUTE_TOLERANCE = 1e-13  # kg C/m2


def slopes(state: Array, inflow: Array, rates: tuple[Array, Array, Array], humified: Array) -> Array:
    """Rate of change of the five quantities of every lane and draw.

    Andrén & Kätterer (1997), Ecological Applications 7:1226-1236, eqs 1-7 (remembered), with a surface stock
    beside the residue.

    Parameters
    ----------
    state : ndarray (5, lane, draw) kg C/m2: surface, residue, humus, decomposed, humus respired
    inflow : ndarray (lane, draw) kg C/m2/yr into the residue
    rates : surface, residue and humus rate, 1/yr, each broadcastable to (lane, draw)
    humified : ndarray (1), share of decomposed carbon that becomes humus

    Returns
    -------
    ndarray (5, lane, draw) kg C/m2/yr

    Examples
    --------
    >>> state = np.array([0.0, 0.3, 4.11, 0.0, 0.0]).reshape(5, 1, 1)
    >>> rates = (np.array(0.48), np.array(0.8), np.array(0.006))
    >>> change = slopes(state, np.array([[0.285]]), rates, np.array(0.13))
    >>> [round(float(value), 5) for value in change.ravel()]
    [-0.0, 0.045, 0.00654, 0.24, 0.02466]
    """
    surface_rate, residue_rate, humus_rate = rates
    surface_loss = surface_rate * state[SURFACE]
    residue_loss = residue_rate * state[RESIDUE]
    humus_loss = humus_rate * state[HUMUS]
    change = np.empty_like(state)
    change[SURFACE] = -surface_loss
    change[RESIDUE] = inflow - residue_loss
    change[DECOMPOSED] = surface_loss + residue_loss
    change[HUMUS] = humified * change[DECOMPOSED] - humus_loss
    change[RESPIRED] = humus_loss
    return change


def _slope_function(problem: Problem, span: int, inflow: Array) -> Callable[[float, Array], Array]:
    """The slopes in force in one span, as the integrator wants them: flat."""
    pattern = problem.pattern[span]
    rates = (problem.surface_rate[pattern], problem.residue_rate[pattern], problem.humus_rate[pattern])

    def flat(_time: float, values: Array) -> Array:
        return slopes(values.reshape(5, *inflow.shape), inflow, rates, problem.humified).ravel()

    return flat


def solve(problem: Problem) -> Stocks:
    """Stocks at every recorded boundary by stepwise integration, all lanes and draws in one system.

    The integrator (eighth-order Runge-Kutta of Dormand and Prince) is started afresh at every span: an
    adaptive step carried across an addition may pass over it.

    Parameters
    ----------
    problem : Problem

    Returns
    -------
    Stocks

    Raises
    ------
    ArithmeticError : the integrator gave up
    """
    from scipy.integrate import solve_ivp

    def advance(state: Array, inflow: Array, first: int, last: int) -> None:
        for span in range(first, last):
            done = solve_ivp(
                _slope_function(problem, span, inflow),
                (0.0, float(problem.years[span])),
                state.ravel(),
                method="DOP853",
                t_eval=(float(problem.years[span]),),
                rtol=RELATIVE_TOLERANCE,
                atol=ABSOLUTE_TOLERANCE,
            )
            if not done.success:
                raise ArithmeticError(f"span {span}: {done.message}")
            state[...] = done.y[:, -1].reshape(state.shape)

    steps = [(span, span + 1) for span in range(problem.spans)]
    return walk(problem, 0, problem.draws, steps, advance)
