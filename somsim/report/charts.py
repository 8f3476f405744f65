"""The charts of a comparison, as Altair charts: `.save`, `.to_json` or `somsim.report.pictures` draw them."""

from somsim.report.carbon import carbon_chart
from somsim.report.difference import difference_chart
from somsim.report.equivalence import equivalence_chart
from somsim.report.organic_matter import organic_matter_chart

__all__ = ["carbon_chart", "difference_chart", "equivalence_chart", "organic_matter_chart"]
