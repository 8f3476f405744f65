"""What a sampled cover is worth in compost, in the terminal."""

from __future__ import annotations

from rich.console import Console

from somsim.report.envelope import as_figure, in_unit, ranged, show_closing, table_of, unit_for, with_unit
from somsim.report.envelope_sample import sentences as sample_sentences
from somsim.report.envelope_sample import surer
from somsim.report.terminal import heading, say
from somsim.report.words import System, months_in_words, short
from somsim.study.envelope_worth import DECIDING, WorthAnswer

SEASON = 6  # months


def show_worth(found: WorthAnswer, console: Console, system: System = "metric") -> None:
    """Print the three equivalences, what they come to on the beds, and where the doubt comes from."""
    for sentence in [*sentences(found, system), *sample_sentences(found.sample, system)]:
        say(console, sentence)
    heading(console, f"In {found.compost}, the middle of {found.draws} possible worlds and where 8 of 10 fall")
    console.print(table_of(*_table(found, system)))
    if found.doubts:
        heading(console, f"Where the doubt comes from, after {months_in_words(DECIDING)} (shares of the variance)")
    for sentence in doubts(found):
        say(console, f"- {sentence}")
    for sentence in surer(found.sample, system):
        say(console, f"- {sentence}")
    show_closing(console, found)


def sentences(found: WorthAnswer, system: System = "metric") -> list[str]:
    """The answer first: one cover in mm of compost, three ways."""
    lasting = ranged(as_figure(found.lasting[DECIDING], "length"), system)
    today = ranged(as_figure(found.on_the_day, "length"), system)
    bulk = "not measured" if found.volume is None else ranged(as_figure(found.volume, "length"), system)
    return [
        f"This {found.sample.crop} is worth {lasting} of {found.compost} on the same beds by what lasts "
        f"{months_in_words(DECIDING)}; {today} by carbon on the day; by volume: {bulk}."
    ]


def _table(found: WorthAnswer, system: System) -> tuple[list[str], list[list[str]]]:
    """The columns with their units, and a row for each way of holding the cover against compost."""
    depth = unit_for(found.on_the_day.p50, "length", system)
    columns = ["by", f"{depth} on the beds"]
    volume = "" if found.on_beds_today is None else unit_for(found.on_beds_today.p50, "volume", system)
    columns += [f"{volume} on all the beds"] if volume else []
    columns += [f"% of {with_unit(found.layer_wanted, 'length', system)}"] if found.layer_wanted else []
    rows = []
    for month, spread in found.lasting.items():
        rows.append([f"what lasts {'this season' if month == SEASON else months_in_words(month)}"])
        rows[-1].append(in_unit(as_figure(spread, "length"), depth))
        if found.on_beds is not None:
            rows[-1].append(in_unit(as_figure(found.on_beds[month], "volume"), volume))
        if found.of_layer is not None:
            rows[-1].append(in_unit(as_figure(found.of_layer[month], "share"), "%"))
    today = ["carbon on the day", in_unit(as_figure(found.on_the_day, "length"), depth)]
    today += [in_unit(as_figure(found.on_beds_today, "volume"), volume)] if found.on_beds_today else []
    bulk = "not measured" if found.volume is None else in_unit(as_figure(found.volume, "length"), depth)
    return columns, [row + [""] * (len(columns) - len(row)) for row in [*rows, today, ["volume", bulk]]]


def doubts(found: WorthAnswer) -> list[str]:
    """The largest contributors in words, and what would settle them."""
    lines = []
    for doubt in found.doubts:
        way = {True: " (the more, the more it is worth)", False: " (the more, the less it is worth)", None: ""}
        lines.append(f"{short(100 * doubt.share)} %: {doubt.what}{way[doubt.more_is_more]}")
    compost = sum(doubt.share for doubt in found.doubts if _measurable(doubt.what, found.compost))
    if compost > 0.0:
        lines.append(f"An analysis of the compost you buy would settle some {short(100 * compost)} % of it.")
    return lines


def _measurable(what: str, compost: str) -> bool:
    return what in {f"{name} of {compost}" for name in ("carbon", "organic matter", "dry matter", "bulk density")}
