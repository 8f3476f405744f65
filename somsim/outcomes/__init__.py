"""What a trajectory means: outcomes with names, units and words."""

from somsim.outcomes.table import Variable, dataset, variables

__all__ = ["Variable", "dataset", "variables"]
