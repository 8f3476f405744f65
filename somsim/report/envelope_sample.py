"""What a sample says, in the terminal."""

from __future__ import annotations

from rich.console import Console

from somsim.estimate.sample import OUTLIER_RULE
from somsim.report.envelope import ends, ranged, show_closing, table_of, with_unit
from somsim.report.terminal import heading, say
from somsim.report.words import System, scale
from somsim.study.envelope_sample import SampleAnswer, Scaled


def show_sample(found: SampleAnswer, console: Console, system: System = "metric") -> None:
    """Print the answer: sentences, a table, what would make it surer."""
    for sentence in sentences(found, system):
        say(console, sentence)
    heading(console, "On each unit of bed")
    console.print(table_of(("", "middle", "+- one s.e.", "8 in 10", "95 in 100"), _rows(found, system)))
    if found.dry.total is not None:
        heading(console, "On all the beds")
        console.print(table_of(("", "in all", "8 in 10", "95 in 100"), _totals(found, system)))
    heading(console, "How sure")
    for sentence in surer(found, system):
        say(console, f"- {sentence}")
    show_closing(console, found)


def sentences(found: SampleAnswer, system: System = "metric") -> list[str]:
    """The answer first."""
    count = len(found.per_sample)
    dry = with_unit(found.dry.per_area, "mass_per_area", system, 2)
    span = f" ({ends(found.dry.at_80, system)}, 8 times in 10)" if found.dry.at_80 and found.dry.at_80.is_range else ""
    lines = [
        f"{count} sample{'s' if count > 1 else ''} on {with_unit(found.sampled_area, 'area', system)} of ground: "
        f"{dry} of dry matter{span}."
    ]
    if found.carbon.total is not None:
        total = with_unit(found.carbon.total, "mass", system, 2)
        span = (
            f" ({ends(found.carbon.total_at_80, system)})"
            if found.carbon.total_at_80 and found.carbon.total_at_80.is_range
            else ""
        )
        lines.append(f"On all the beds that is {total} of carbon{span}.")
    return lines


def surer(found: SampleAnswer, system: System = "metric") -> list[str]:
    """The single samples, outliers, how many would halve the interval, and what drying is worth."""
    mass = scale("mass_per_area", system)
    each = ", ".join(mass.number(value, 3) for value in found.per_sample)
    lines = [f"The samples, in {mass.unit} fresh: {each}."]
    lines += [
        f"Sample {at} stands out ({OUTLIER_RULE}). It was kept: look whether it was weighed right."
        for at in found.outliers
    ]
    if len(found.per_sample) > 1 and min(found.per_sample) == max(found.per_sample):
        lines.append("All samples weigh the same on their ground, so their range is too narrow: weigh more finely.")
    if found.samples_to_halve is not None:
        count = found.samples_to_halve
        lines.append(f"{count} samples in all would halve the part of the range that comes from sampling.")
    if found.doubt and sum(found.doubt.values()):
        parts = ", ".join(f"{name} {100 * part:.0f} %" for name, part in found.doubt.items())
        lines.append(f"The doubt about the carbon comes from: {parts} (of the variance).")
    off = f"+-{100 * found.undried_error:.0f} %"
    if found.dried:
        lines.append(f"Dried: {ranged(found.dry_matter, system)} of dry matter. Weighed fresh alone it would be {off}.")
    else:
        drying = f"Weigh some fresh, dry it, weigh it again: {with_unit(found.drying_time, 'time')} of work."
        lines.append(f"Not dried: fresh mass alone leaves the dry mass open by {off} (from memory). {drying}")
    return lines


def _named(found: SampleAnswer) -> dict[str, Scaled | None]:
    return {"fresh": found.fresh, "dry matter": found.dry, "carbon": found.carbon, **found.nutrients}


def _rows(found: SampleAnswer, system: System) -> list[list[str]]:
    rows = []
    for name, one in _named(found).items():
        if one is None:
            rows.append([name, "no published figure", "", "", ""])
            continue
        rows.append([name, with_unit(one.per_area, "mass_per_area", system, 2), _error(one), *_spans(one, system)])
    return rows


def _error(one: Scaled) -> str:
    return "-" if one.standard_error is None else f"{100 * one.standard_error / one.per_area:.0f} %"


def _spans(one: Scaled, system: System) -> list[str]:
    return ["-" if span is None or not span.is_range else ends(span, system) for span in (one.at_80, one.at_95)]


def _totals(found: SampleAnswer, system: System) -> list[list[str]]:
    rows = []
    for name, one in _named(found).items():
        if one is None or one.total is None:
            rows.append([name, "no published figure", "", ""])
            continue
        spans = ["-" if span is None else ends(span, system) for span in (one.total_at_80, one.total_at_95)]
        rows.append([name, with_unit(one.total, "mass", system, 2), *spans])
    return rows
