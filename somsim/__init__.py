"""somsim: what each way of feeding a growing bed does to its soil, and what it is worth in compost.

>>> import somsim
>>> plan = somsim.read_plan("configs/hillside.yaml")
>>> answer = somsim.compare(plan, draws=16)
>>> sorted(answer.dataset.strategy.values.tolist())[0]
'bought compost'
"""

from typing import TYPE_CHECKING, Any

from somsim.version import VERSION as __version__

if TYPE_CHECKING:
    from somsim.api import Calibration, Comparison, Plan, YearOfWork, calibrate, compare, parse_plan, read_plan, season

__all__ = [
    "Calibration",
    "Comparison",
    "Plan",
    "YearOfWork",
    "__version__",
    "calibrate",
    "compare",
    "parse_plan",
    "read_plan",
    "season",
]


def __getattr__(name: str) -> Any:
    """Load the public names when they are first asked for, so that `import somsim` costs nothing."""
    if name in __all__:
        from somsim import api

        return getattr(api, name)
    raise AttributeError(f"module 'somsim' has no attribute {name!r}")
