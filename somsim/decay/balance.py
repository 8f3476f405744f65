"""Carbon in = carbon still there + carbon respired, in every lane, draw and recorded time."""

import numpy as np

from somsim.decay.problem import Stocks

TOLERANCE = 1e-12
"""Share of the carbon handled that rounding may lose or make."""


def imbalance(stocks: Stocks) -> float:
    """Largest share of the carbon handled that has no account.

    In each lane, draw and time: |start + added - (stocks + respired)| / (start + added). What is respired
    comes from its own integral, so this is a check and not an identity.

    Parameters
    ----------
    stocks : Stocks

    Returns
    -------
    float (1); nan if any stock is; 0 where no carbon was ever handled and none appeared

    Examples
    --------
    >>> import numpy as np
    >>> one, none = np.ones((1, 1, 1)), np.zeros((1, 1, 1))
    >>> start = np.array([0.0, 1.0, 1.0]).reshape(3, 1, 1)
    >>> imbalance(Stocks(none, one, 1.5 * one, none, none, one, start, np.array([[0.5]])))
    0.16666666666666666
    """
    handled = stocks.start[0] + stocks.start[1] + stocks.start[2] + stocks.added
    unaccounted = np.abs(handled - (stocks.total + stocks.respired))
    nothing = (handled == 0.0) & (unaccounted == 0.0)
    with np.errstate(divide="ignore"):
        shares = np.divide(unaccounted, handled, out=np.zeros_like(handled), where=~nothing)
    return float(np.max(shares, initial=0.0))


def check(stocks: Stocks) -> None:
    """Pass if the carbon balance closes.

    Parameters
    ----------
    stocks : Stocks

    Raises
    ------
    ArithmeticError : more than 1e-12 of the carbon handled has no account, or a stock is not a number
    """
    share = imbalance(stocks)
    if not share <= TOLERANCE:
        raise ArithmeticError(f"the carbon balance does not close: {share:.1e} of it has no account")
