"""The library, shown: its tables, the rows of one, and all that is known about one row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.errors import InputError, Problem, nearest
from somsim.library import Entry, Library, MonthValues, Sowing, Value
from somsim.plan.days import MONTHS
from somsim.report.terminal import heading, say
from somsim.report.words import short
from somsim.units import factor

WORDS = {
    "constants": "numbers of the model itself",
    "residues": "kinds of residue and how they decay",
    "materials": "composts, manures, mulches",
    "covers": "green manures and cover crops",
    "crops": "vegetables: yield, leftovers, roots",
    "roots": "published root to shoot ratios",
    "climates": "twelve monthly normals each",
    "soils": "textures",
    "tasks": "hours of work",
    "limits": "legal and usual limits",
    "cautions": "what to watch",
    "benefits": "what organic matter does not show",
    "composting": "heaps and what they lose",
    "measurements": "what can be measured, and what it takes",
    "cut_rules": "when each cover is ready to cut",
    "doubts": "what may be in doubt, in words, and what tells of it",
}


def chosen_table(known: Library, table: str) -> str:
    """A table by its name.

    Raises
    ------
    InputError
        when there is none of that name.
    """
    if table in known.tables:
        return table
    near = nearest(table, known.tables)
    hint = (f"nearest: {near[0]}; " if near else "") + "all: " + ", ".join(known.tables)
    raise InputError([Problem(f'no table "{table}" in the library', hint=hint)], "nothing was shown.")


def chosen_entry(known: Library, table: str, name: str) -> Entry:
    """A row of a table by id, name or alias.

    Raises
    ------
    InputError
        when there is none of that name.
    """
    entry = known.find(table, name)
    if entry is not None:
        return entry
    words = [word for one in known.tables[table].values() for word in one.words()]
    near = nearest(name, words)
    hint = (f"nearest: {', '.join(near)}; " if near else "") + f"all: somsim library {table}"
    raise InputError([Problem(f'nothing called "{name}" in {table}', hint=hint)], "nothing was shown.")


def show_tables(known: Library, console: Console) -> None:
    """Print the tables with what is in them."""
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 1))
    for name, entries in known.tables.items():
        table.add_row(name, str(len(entries)), WORDS.get(name, ""))
    console.print(table)
    say(console, 'One of them: somsim library materials.  One row: somsim library materials "garden compost"')


def show_table(known: Library, table: str, console: Console) -> None:
    """Print the rows of a table with their kind and other names."""
    shown = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1))
    for column in ("name", "kind", "also called, or note"):
        shown.add_column(column, overflow="fold")
    for entry in known.tables[table].values():
        more = "; ".join(entry.aliases) or entry.about.get("note", "")
        shown.add_row(Text(entry.name), Text(entry.kind), Text(more))
    console.print(shown)


def show_entry(known: Library, entry: Entry, console: Console) -> None:
    """Print everything known about one row."""
    say(console, f"{entry.name} ({entry.kind})", style="bold")
    if entry.aliases:
        say(console, f"also called: {'; '.join(entry.aliases)}")
    for line in about_in_words(entry, known):
        say(console, line)
    if sowings := known.sowings_of(entry.id) if entry.table == "covers" else ():
        say(console, by_sowing_day(known, sowings))
    for title, values in in_groups(entry):
        heading(console, title)
        console.print(_values(known, values))
    for months in entry.months.values():
        cells = "  ".join(f"{name} {short(v, 3)}" for name, v in zip(MONTHS, months.printed, strict=True))
        within = f"each within {short(printed_within(months))} ({months.known})"
        heading(console, f"{months.quantity}, {months.unit}, {within}")
        say(console, cells)
    if entry.prices:
        heading(console, "Prices: old guesses, put your own in the plan")
        for price in entry.prices.values():
            span = f"{short(price.best)} ({short(price.low)} to {short(price.high)}) {price.unit}"
            say(console, f"{price.quantity}: {span}, {price.known}")
    if entry.values:
        console.print()
        say(console, LEGEND)


LEGEND = (
    "In brackets the low and the high end of the range; without brackets no range was published. read: in the "
    "publication named; remembered: from memory, so check it before you rely on it; judged: field sense, nobody "
    "published it; derived: worked out from others, as the note says."
)

def by_sowing_day(known: Library, sowings: Sequence[Sowing]) -> str:
    """A printed row by sowing day in one sentence; growth follows it."""
    amounts = ", ".join(f"{one.day} {10_000 * one.best:.0f}" for one in sowings)
    said = f"by sowing day, kg/ha of organic matter left a year after it was turned in: {amounts}"
    return f"{said} ({known.sources[sowings[0].source].title}; read). Its growth follows this row."


AGES = {"vegetative": "in leaf", "flower": "in flower", "mature": "ripe"}
STAGES = tuple(AGES)
# The columns of covers that are said in a sentence of their own, or that only the program reads.
SAID = {"window_sow", "window_end", "window_words", "stage_at_end", "root_family", "composition", "base_temperature"}
SAID |= {f"residue_{stage}" for stage in STAGES} | {"flowering_row", "established", "dry_tops_of"}


def about_in_words(entry: Entry, known: Library | None = None) -> list[str]:
    """The text columns of a row as a person reads them; ``known`` for what stands in another row."""
    said = _season(entry, known) if entry.table == "covers" else []
    left_out = SAID if entry.table == "covers" else set()
    for column, text in entry.about.items():
        if text and column not in left_out:
            said.append(f"{column.replace('_', ' ')}: {text.replace('_', ' ')}")
    return said


def _season(entry: Entry, known: Library | None) -> list[str]:
    about = {column: text.replace("_", " ") for column, text in entry.about.items()}
    decays = [f"{about[f'residue_{stage}']} {AGES[stage]}" for stage in STAGES if about.get(f"residue_{stage}")]
    later = known.tables["covers"].get(entry.about.get("flowering_row", "")) if known is not None else None
    all_cuts = about.get("dry_tops_of") == "all cuts"
    found = [
        ("usual season", about.get("window_words", "")),
        ("counted as", " to ".join(about[key] for key in ("window_sow", "window_end") if about.get(key))),
        ("usually ended", AGES.get(about.get("stage_at_end", ""), "")),
        ("in flower by", later.about.get("window_end", "") if later is not None else ""),
        ("stand", "there already; it only grows in spring" if about.get("established") == "yes" else ""),
        ("dry tops", "those of all cuts of the season together" if all_cuts else ""),
        ("cut, it decays as", ", ".join(decays)),
        ("grows in", {"warm": "the warm season", "cool": "the cool season"}.get(about.get("base_temperature", ""), "")),
    ]
    return [f"{words}: {text}" for words, text in found if text]


# What plans and estimates do with the figures of a cover.  What is named in no group is shown and not used.
RICH = ("carbon", "nitrogen_vegetative", "nitrogen_flower", "nitrogen_mature", "phosphorus", "potassium")
USED = (
    ("How much grows: used where you give no dry_tops and no sample", ("dry_tops",)),
    ("The mass of each cut: used where you give several cuts and no mass", ("cut_mass",)),
    ("How many cuts it bears: a plan with more, or sooner ones, is refused", ("cuts", "cut_interval")),
    ("When frost ends it: used for growth and for notes", ("frost_kill_temperature", "last_cut_before_frost")),
    ("How dry: used for a sample of which no part was dried, and for the fresh weight", ("dry_matter",)),
    ("How rich: used for carbon and nutrients", RICH),
    ("Seed: used for what it costs", ("seed_rate",)),
    ("Nitrogen from the air: used for the nitrogen account", ("fixed_share", "fixed_share_rich_soil")),
    ("Roots: used where you give no root_ratio", ("root_ratio", "root_depth")),
)
NOT_USED = "Shown for you; no plan uses it"


def in_groups(entry: Entry) -> list[tuple[str, list[Value]]]:
    """The values of a row under a heading each that says what they are used for."""
    if entry.table != "covers":
        return [("Figures", list(entry.values.values()))] if entry.values else []
    found: dict[str, list[Value]] = {title: [] for title in (*(title for title, _ in USED), NOT_USED)}
    for value in entry.values.values():
        found[_use_of(value.quantity)].append(value)
    return [(title, values) for title, values in found.items() if values]


def _use_of(quantity: str) -> str:
    for title, quantities in USED:
        for name in quantities:
            if quantity == name or (name in ("cut_mass", "dry_matter") and quantity.startswith(f"{name}_")):
                return title
    return NOT_USED


def _values(known: Library, values: list[Value]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1))
    for column in ("what", "value", "known", "source and note"):
        table.add_column(column, overflow="fold")
    for value in values:
        table.add_row(_what(value.quantity), printed(value), value.known, Text(credited(known, value)))
    return table


def _what(quantity: str) -> str:
    """A quantity in words: "nitrogen_flower" is "nitrogen, in flower"."""
    for stage, words in AGES.items():
        if quantity.endswith(f"_{stage}"):
            return f"{quantity.removesuffix(f'_{stage}').replace('_', ' ')}, {words}"
    return quantity.replace("_", " ")


PLAIN = {"memory", "judgement", "arithmetic"}  # sources that say no more than the column beside them


def credited(known: Library, value: Value) -> str:
    """Who printed a value, and the note to it; nothing where the column "known" says it all."""
    source = known.sources[value.source]
    credit = ", ".join(part for part in (source.authors, source.year) if part) or source.title
    note = "" if value.note == "no range published" else value.note
    return "; ".join(part for part in ("" if value.source in PLAIN else credit, note) if part)


def printed_within(months: MonthValues) -> float:
    """How far off each month may be, in the unit that the months are printed in."""
    return months.within if months.dimension == "temperature" else months.within / factor(months.unit, months.dimension)


def printed(value: Value) -> str:
    """A value as its source prints it: "60 (45 to 70) %"."""
    best, low, high = value.printed
    unit = "" if value.unit == "ratio" else f" {value.unit}"
    if low is None or high is None or low == high:
        return f"{best:g}{unit}"
    return f"{best:g} ({low:g} to {high:g}){unit}"


def as_json(known: Library, table: str | None, name: str | None) -> Any:
    """The tables, one table or one row as plain dictionaries."""
    if table is None:
        return {one: known.names(one) for one in known.tables}
    here = chosen_table(known, table)
    entries = [chosen_entry(known, here, name)] if name is not None else list(known.tables[here].values())
    found = [_entry(entry) for entry in entries]
    return found[0] if name is not None else found


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "name": entry.name,
        "kind": entry.kind,
        "aliases": list(entry.aliases),
        "about": dict(entry.about),
        "values": {key: asdict(value) for key, value in entry.values.items()},
        "months": {key: asdict(value) for key, value in entry.months.items()},
        "prices": {key: asdict(value) for key, value in entry.prices.items()},
    }
