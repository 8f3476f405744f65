"""How many possible worlds are enough?  The error of P10, P50 and P90 against the number of draws.

    python benchmarks/draws.py [--quick] [--out FOLDER]

Three plans of configs/ are worked out with several seeds at each count.  Asked are the organic matter of each strategy
at the horizon, the difference of every two, and what each cover is worth in compost by what lasts.  The truth is taken
from all worlds of all seeds at the largest count together.  An error is a distance from it over the truth's P10 to P90.
Two sums are shown: the error that 95 of 100 runs of all figures stay under, and the same of the worst figure of all.
The count to have is the smallest at which the first is under a tenth for P10, P50 and P90.
`--out` writes draws.csv and the chart draws.png.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import altair as alt
import numpy as np

from somsim.draws import Draws, quantile
from somsim.library import read_library
from somsim.plan import read_plan
from somsim.report.look import INK, QUIET, SMALL_SIZE, WIDTH, colour, dash, dressed, heading
from somsim.report.pictures import png
from somsim.study.questions import ask
from somsim.timeline import figures, setting

ROOT = Path(__file__).parent.parent
COUNTS = (32, 64, 128, 256, 512, 1024)
SEEDS = 12
PLANS = ("starter", "silt-ley", "tunnel-costs")
ENOUGH = 0.10  # of the interval P10 to P90
USUAL = 0.95  # how many of the runs an error is to hold for
SHARES = (0.1, 0.5, 0.9)


def asked(path: Path, count: int, seed: int) -> dict[str, np.ndarray]:
    """Every figure of a plan that is asked, over the draws."""
    known = figures(read_plan(path), read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    made = ask(setting(known, Draws(count, seed, known.unknowns, correlation)))
    return {f"{one.kind}: {one.first} {one.second}".strip(): made.values(one) for one in made.questions()}


def errors(path: Path, counts: tuple[int, ...], seeds: int) -> dict[tuple[str, int], np.ndarray]:
    """Errors (seed, quantile) of each figure of one plan at each count."""
    runs = {count: [asked(path, count, seed) for seed in range(1, seeds + 1)] for count in counts}
    most = runs[max(counts)]
    found = {}
    for name in most[0]:
        low, middle, high = quantile(np.concatenate([run[name] for run in most]), SHARES)
        if high - low <= 1e-9:
            continue
        for count in counts:
            here = np.array([quantile(run[name], SHARES) for run in runs[count]])
            found[f"{path.stem}: {name}", count] = np.abs(here - [low, middle, high]) / (high - low)
    return found


def rows_of(found: dict[tuple[str, int], np.ndarray], counts: tuple[int, ...]) -> Iterator[dict[str, object]]:
    """One row a count and quantile: the error of all figures together, of the worst, and which that is."""
    for count in counts:
        here = {name: made for (name, of), made in found.items() if of == count}
        for place, label in enumerate(("P10", "P50", "P90")):
            each = {name: float(np.quantile(made[:, place], USUAL)) for name, made in here.items()}
            worst = max(each, key=lambda name: each[name])
            yield {
                "draws": count,
                "quantile": label,
                "all": float(np.quantile(np.concatenate([made[:, place] for made in here.values()]), USUAL)),
                "worst": each[worst],
                "figure": worst,
            }


def smallest(rows: list[dict[str, object]], counts: tuple[int, ...]) -> int | None:
    """The smallest count whose errors, of all figures together, are under a tenth."""
    for count in counts:
        if all(float(str(row["all"])) < ENOUGH for row in rows if row["draws"] == count):
            return count
    return None


def chart(rows: list[dict[str, object]]) -> alt.LayerChart:
    """Errors against draws; full lines the worst figure of all, thin ones all figures together."""
    x = alt.X("draws:Q", title="possible worlds").scale(type="log", base=2, nice=False)
    x = x.axis(values=list(COUNTS), grid=False)
    y = alt.Y("percent:Q", title="error, % of the interval P10 to P90").scale(zero=True)
    layers: list[alt.Chart | alt.LayerChart] = []
    for number, label in enumerate(("P10", "P50", "P90")):
        for kind, width, opacity in (("all", 1.2, 0.8), ("worst", 2.6, 1.0)):
            mine = [
                {"draws": row["draws"], "percent": 100.0 * float(str(row[kind])), "name": f"{label}, {kind}"}
                for row in rows
                if row["quantile"] == label
            ]
            drawing = alt.Chart({"values": mine})
            look = {"color": colour(number), "strokeDash": dash(number), "strokeWidth": width, "opacity": opacity}
            layers.append(drawing.mark_line(**look).encode(x=x, y=y))
            first = alt.Chart({"values": mine[:1]}).mark_text(align="left", dx=6, dy=-4, fontSize=SMALL_SIZE, color=INK)
            layers.append(first.encode(x=x, y=y, text="name:N"))
    line = alt.Chart({"values": [{"percent": 100.0 * ENOUGH, "text": "a tenth of the interval"}]})
    layers.append(line.mark_rule(color=QUIET, strokeDash=[2, 3]).encode(y=y))
    layers.append(
        line.mark_text(align="right", dy=-6, fontSize=SMALL_SIZE, color=QUIET).encode(
            x=alt.value(WIDTH - 90), y=y, text="text:N"
        )
    )
    made = alt.layer(*layers).properties(
        width=WIDTH - 80,
        height=320,
        title=alt.TitleParams(
            **heading(
                "The error of a quantile falls as worlds are added",
                ["95 of 100 runs stay under each line: of all figures together (thin), and of the worst one (thick)."],
            )
        ),
        description="Error of P10, P50 and P90 against the number of possible worlds.",
    )
    return dressed(made)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="two plans, few seeds, to see that it works")
    parser.add_argument("--out", type=Path, help="folder for draws.csv and the chart")
    chosen = parser.parse_args()
    counts, seeds = (COUNTS[:5], 4) if chosen.quick else (COUNTS, SEEDS)
    paths = [ROOT / "configs" / f"{name}.yaml" for name in PLANS[: 2 if chosen.quick else None]]
    found: dict[tuple[str, int], np.ndarray] = {}
    with ProcessPoolExecutor(2) as pool:
        for path, made in zip(paths, pool.map(partial(errors, counts=counts, seeds=seeds), paths), strict=True):
            found |= made
            print(f"{path.stem}: {len(made) // len(counts)} figures", flush=True)
    rows = list(rows_of(found, counts))
    figures_counted = len({name for name, _ in found})
    print(f"{figures_counted} figures of {len(paths)} plans, {seeds} seeds; errors in % of the interval P10 to P90")
    for row in rows:
        all_, worst = (100.0 * float(str(row[kind])) for kind in ("all", "worst"))
        print(f"{row['draws']:>6} {row['quantile']}  all {all_:5.1f}  worst {worst:5.1f}  {row['figure']}")
    print(f"smallest count with the errors of all figures under {100 * ENOUGH:.0f} %: {smallest(rows, counts)}")
    if chosen.out is not None:
        with (chosen.out / "draws.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
        (chosen.out / "draws.png").write_bytes(png(chart(rows)))


if __name__ == "__main__":
    main()
