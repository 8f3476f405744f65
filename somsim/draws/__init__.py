"""Draws of everything uncertain, and how they are summarised."""

from somsim.draws.distribution import value_at
from somsim.draws.draws import Draws, best_values
from somsim.draws.summary import chance, mean, quantile
from somsim.draws.unknowns import Unknown

__all__ = ["Draws", "Unknown", "best_values", "chance", "mean", "quantile", "value_at"]
