"""The plan a grower writes: its types, how it is read, and everything that can be wrong with it."""

from somsim.plan.model import Plan
from somsim.plan.reading import parse_plan, read_plan
from somsim.plan.writing import write_plan

__all__ = ["Plan", "parse_plan", "read_plan", "write_plan"]
