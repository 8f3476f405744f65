"""The model of decay: residue, humus, and what is respired. Plain numbers in, plain arrays out."""

from somsim.decay import balance, exact, ivp
from somsim.decay.problem import Addition, Inflow, Problem, Stocks, Transfer

__all__ = ["Addition", "Inflow", "Problem", "Stocks", "Transfer", "solve"]

ENGINES = {"exact": exact.solve, "ivp": ivp.solve}


def solve(problem: Problem, engine: str = "exact") -> Stocks:
    """Work a problem out, and check that no carbon was lost or made.

    Parameters
    ----------
    problem : Problem
    engine : "exact" (the closed form) or "ivp" (stepwise integration, the slow reference)

    Returns
    -------
    Stocks at every recorded boundary

    Raises
    ------
    ValueError : an engine that is neither
    ArithmeticError : the carbon balance does not close to 1e-12, or the integrator gave up

    Examples
    --------
    >>> import numpy as np
    >>> rates = [np.array(rate).reshape(1, 1, 1) for rate in (0.0, 0.8, 0.006)]
    >>> start, record = np.array([0.0, 0.30, 4.11]).reshape(3, 1, 1), np.array([1])
    >>> years, pattern, humified = np.array([1.0]), np.array([0]), np.array([[0.13]])
    >>> problem = Problem(years, pattern, *rates, humified, (), start, (), (), record)
    >>> round(float(solve(problem).humus[0, 0, 0]), 4)
    4.1068
    """
    if engine not in ENGINES:
        raise ValueError(f'engine: "{engine}" is neither "exact" nor "ivp"')
    stocks = ENGINES[engine](problem)
    balance.check(stocks)
    return stocks
