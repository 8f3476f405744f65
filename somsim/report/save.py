"""Everything a comparison leaves on disk."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from somsim.plan import write_plan
from somsim.report.charts import carbon_chart, difference_chart, equivalence_chart, organic_matter_chart
from somsim.report.costs import costs_table, hours_table
from somsim.report.folder import Content, write_folder
from somsim.report.netcdf import write_netcdf
from somsim.report.page.write import Telling, report
from somsim.report.pdf import pdf
from somsim.report.pictures import png_and_svg
from somsim.report.tables import csv_bytes, summary_table, yearly_table
from somsim.study.compare import Study


def save(study: Study, folder: Path, telling: Telling, printer: str | None = None) -> Path:
    """Write report, charts, tables, all results and the plan into a folder, whole or not at all.

    Files: report.html; organic-matter, carbon, (with several strategies) difference and (with covers) equivalence as
    .png and .svg; summary.csv, yearly.csv, hours.csv, (with prices) costs.csv, results.nc and plan.yaml; with a printer
    also report.pdf.

    Parameters
    ----------
    study : Study
    folder : where to
    telling : how the report is told; the other files are metric
    printer : path of a Chromium that prints the report

    Returns
    -------
    Path, the real place of the folder

    Raises
    ------
    InputError
        when the folder can't be written; what was there before is then still there.
    OSError
        when the printer prints nothing.
    """
    page = report(study, telling)
    files: dict[str, Content] = {"report.html": page.encode(), **files_of(study)}
    if printer is not None:
        files["report.pdf"] = pdf(page, printer)
    return write_folder(folder, files)


def files_of(study: Study) -> dict[str, Content]:
    """The charts, tables and data of a comparison, by name."""
    files: dict[str, Content] = {}
    charts = {
        "organic-matter": organic_matter_chart(study),
        "carbon": carbon_chart(study),
        "difference": difference_chart(study),
        "equivalence": equivalence_chart(study),
    }
    for name, chart in charts.items():
        if chart is not None:
            files[f"{name}.png"], files[f"{name}.svg"] = png_and_svg(chart)
    files["summary.csv"] = csv_bytes(summary_table(study))
    files["yearly.csv"] = csv_bytes(yearly_table(study))
    files["hours.csv"] = csv_bytes(hours_table(study.decision))
    if study.decision.currency is not None:
        files["costs.csv"] = costs_table(study.decision).to_csv(index=False, lineterminator="\n").encode()
    files["results.nc"] = partial(write_netcdf, study)
    lines = study.plan.source.lines
    files["plan.yaml"] = ("\n".join(lines) if lines else write_plan(study.plan)).encode()
    return files
