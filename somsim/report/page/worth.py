"""What one green manure is worth, three ways, drawn to scale as layers on a bed."""

from __future__ import annotations

from somsim.report.page.section import Layer, Layers, Manner, Part, Section, Words, told_study
from somsim.report.series import span_text
from somsim.report.words import scale
from somsim.study.compare import Study
from somsim.study.equivalence import Equivalence, Spread

MOST_DRAWN = 8
TALLEST = 0.045  # m on paper of the thickest layer
MILLIMETRES = 1000.0


def worth(study: Study, manner: Manner) -> Section | None:
    """Layers of compost that one crop is worth, beside what a strategy spreads; None for a plan without covers."""
    if not study.equivalences:
        return None
    drawn = (told_study(study).equivalences or study.equivalences)[:MOST_DRAWN]
    made = [(one, _layers(one, study, manner)) for one in drawn]
    times = TALLEST / max(layer.high for _, layers in made for layer in layers)
    parts: list[Part] = [
        Words(
            (
                f"Each layer is drawn {times:.0f} times as thick as it is, all to one scale. Solid: the middle of the "
                "possible worlds; the two lines across: 8 in 10 of them lie between. Three ways to count answer three "
                "questions, and are never mixed: go by what lasts if you want to build a soil.",
            )
        )
    ]
    for one, layers in made:
        caption = f"One crop of {one.cover}, in “{one.strategy}”, as a layer of {one.compost}"
        parts.append(Layers(caption, layers, times, _missing(one)))
    if len(drawn) < len(study.equivalences):
        parts.append(Words((f"{len(drawn)} of {len(study.equivalences)} are drawn; all are in summary.csv.",)))
    return Section("worth", "What a green manure is worth, three ways", tuple(parts))


def _layers(one: Equivalence, study: Study, manner: Manner) -> tuple[Layer, ...]:
    unit = scale("length", manner.system)

    def layer(name: str, spread: Spread, metres: float) -> Layer:
        real = Spread(*(value * metres for value in (spread.best, spread.p10, spread.p50, spread.p90)))
        return Layer(name, real.p50, real.p10, real.p90, f"{unit.range(real)} {unit.unit}")

    made = [
        layer(f"by what lasts {span_text(one.horizon / 12.0)}", one.at_horizon, 1.0 / MILLIMETRES),
        layer("by carbon on the day", one.on_the_day, 1.0 / MILLIMETRES),
    ]
    if one.volume is not None:
        made.append(layer("by volume, rotted", one.volume, 1.0 / MILLIMETRES))
    for answer in study.answers:
        depth = answer.spread_depth.get(one.compost)
        if depth and answer.name != one.strategy:
            same = Spread(depth, depth, depth, depth)
            made.append(layer(f"for comparison: spread a year in “{answer.name}”", same, 1.0))
            break
    return tuple(made)


def _missing(one: Equivalence) -> tuple[str, ...]:
    if not one.tops_kept:
        return ("By volume: nothing, its tops are taken off the beds; what is counted are its roots.",)
    if one.volume is None:
        return ("By volume: not measured. Press the cut tops into a bucket of known size; write pressed_volume.",)
    return ()
