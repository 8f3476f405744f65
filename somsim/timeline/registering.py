"""Give new library unknowns their dimension: `python -m somsim.timeline.registering` adds rows, never moves one."""

from __future__ import annotations

from pathlib import Path

from somsim.draws.draws import FAMILY
from somsim.draws.unknowns import LIBRARY_DIMENSIONS
from somsim.library import read_library
from somsim.timeline.figures import LibraryKey, library_unknowns

TABLE = Path(__file__).parent.parent / "library" / "unknowns.csv"
FIRST = ("shared", "constants", "climates", "residues", "materials", "covers", "crops")


def wanted_names() -> list[str]:
    """Every score that the library's uncertain values need, the widely used ones first.

    Low dimensions of the sequence are the most even, so they go to what most plans use.
    """
    library = read_library()
    found = library_unknowns(LibraryKey(library, id(library))).values()
    names = {unknown.scored_as or unknown.name for unknown in found if unknown.is_range}
    names |= {unknown.shared for unknown in found if unknown.shared and unknown.is_range}
    order = {table: number for number, table in enumerate(FIRST)}
    return [FAMILY, *sorted(names, key=lambda name: (order.get(name.split("/")[0], len(FIRST)), name))]


def missing_rows(registered: dict[str, int]) -> dict[str, int]:
    """New names with the dimensions that follow the last one given out.

    Raises
    ------
    ValueError
        when the library has more uncertain values than dimensions.
    """
    new = [name for name in wanted_names() if name not in registered]
    following = max(registered.values(), default=-1) + 1
    if following + len(new) > LIBRARY_DIMENSIONS:
        raise ValueError(f"{len(new)} new names do not fit into {LIBRARY_DIMENSIONS} dimensions")
    return {name: following + number for number, name in enumerate(new)}


def main() -> None:
    """Add the missing rows to ``library/unknowns.csv``."""
    text = TABLE.read_text(encoding="utf-8") if TABLE.exists() else "name,dimension\n"
    rows = [line.rsplit(",", 1) for line in text.splitlines()[1:]]
    new = missing_rows({name: int(dimension) for name, dimension in rows})
    TABLE.write_text(text + "".join(f"{name},{number}\n" for name, number in new.items()), encoding="utf-8")
    print(f"{len(new)} rows added, {len(rows) + len(new)} in all")


if __name__ == "__main__":
    main()
