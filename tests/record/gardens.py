"""A small plan and ways to record in it.  Invented."""

from pathlib import Path

from somsim.plan import Plan, parse_plan
from somsim.record import Record
from somsim.record.cells import columns, join
from somsim.record.reading import parse_record

PLAN = """
title: Six beds
start: 2026-10-01
horizon: 8 years
site:
  climate: south-east-england
  shelter: unheated tunnel
  beds: {count: 6, length: 15 m, width: 1.2 m, paths: 0.4 m}
  soil: {texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm}
always:
  - crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}
strategies:
  cover:
    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface, dry_tops: 3 to 4.4 t/ha}
  compost:
    - spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}
    - crop: {name: winter salad leaf, from: 5 Oct, to: 10 Apr, every: year, then: left on surface}
"""


def garden() -> Plan:
    return parse_plan(PLAN.lstrip(), "beds.yaml")


def text_of(*lines: dict[str, str]) -> str:
    rows = [{**line, "line": line.get("line", str(number))} for number, line in enumerate(lines, start=1)]
    return "\n".join([join(columns()), *(join(row.get(name, "") for name in columns()) for row in rows)]) + "\n"


def record_in(plan: Plan, *lines: dict[str, str], skip_damaged: bool = False) -> Record:
    return parse_record(text_of(*lines), Path("beds.record.csv"), plan, skip_damaged=skip_damaged)


def line(date: str, what: str, name: str = "", **cells: str) -> dict[str, str]:
    return {"date": date, "what": what} | ({"name": name} if name else {}) | cells


SOWN = line("2026-10-07", "sown", "rye and vetch")
CUT = line(
    "2027-04-18", "cut", "rye and vetch", then="left on surface",
    fresh="1.3 kg; 1.5 kg; 1.2 kg", area="0.5 m2", dry_matter="17 %",
)  # fmt: skip
PLANTED = line("2027-05-02", "planted", "cucumber")
CLEARED = line("2027-09-25", "cleared", "cucumber", then="carted off")
YEAR = (SOWN, CUT, PLANTED, CLEARED)
