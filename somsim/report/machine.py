"""The answer for machines: plain dictionaries of numbers in base units, with their words."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from somsim.report import costs, sentences
from somsim.report.benefits import benefits_as_json
from somsim.report.limits import limits_as_json
from somsim.report.nutrients import nutrients_as_json
from somsim.report.settling import next_step, prospect_as_json
from somsim.study.compare import Study
from somsim.study.equivalence import Equivalence, Spread
from somsim.study.loop import Loop
from somsim.version import VERSION

UNITS = {
    "percent": "percent",
    "organic_matter": "kg/m2",
    "surface": "kg/m2",
    "change": "kg/m2",
    "added": "kg C/m2",
    "kept": "1",
    "food": "kg C/m2/yr",
}


def comparison(study: Study) -> dict[str, Any]:
    """A comparison as nested dictionaries that `json.dumps` writes as they are."""
    return {
        "somsim": VERSION,
        "title": study.plan.title,
        "start": study.plan.start.isoformat(),
        "end": study.plan.end.isoformat(),
        "draws": study.draws,
        "seed": study.seed,
        "engine": study.engine,
        "answer": sentences.answer(study),
        "next": next_step(study.prospect),
        "strategies": [_strategy(one) for one in study.answers],
        "pairs": [
            {
                "more": pair.more,
                "less": pair.less,
                "difference": _spread(pair.difference, "kg/m2"),
                "chance": pair.chance,
                "shortfall": {"value": pair.shortfall, "unit": "kg/m2"},
                "regret": {"value": pair.regret, "unit": "kg/m2"},
            }
            for pair in study.pairs
        ],
        "equivalences": [_equivalence(one) for one in study.equivalences],
        "heap_or_place": [_loop(one) for one in study.loops],
        "nutrients": {one.strategy: nutrients_as_json(one) for one in study.nutrients},
        "limits": limits_as_json(study.limits),
        "benefits": benefits_as_json(study.benefits),
        "decision": costs.as_json(study.decision),
        "prospect": prospect_as_json(study.prospect),
        "cautions": [asdict(one) for one in study.cautions],
        "notes": [{"id": name, "text": text} for name, text in study.notes],
    }


def _spread(spread: Spread | None, unit: str) -> dict[str, Any] | None:
    return None if spread is None else {**asdict(spread), "unit": unit}


def _strategy(answer: Any) -> dict[str, Any]:
    return {
        "name": answer.name,
        **{name: _spread(getattr(answer, name), unit) for name, unit in UNITS.items()},
        "chance_of_most": answer.chance_of_most,
        "from_source": {name: _spread(spread, "kg C/m2") for name, spread in answer.from_source.items()},
        "organic_matter_by_family": answer.level_by_family,
        "nitrogen_in_a_year": _spread(answer.nitrogen.most, "kg/ha"),
    }


def _loop(one: Loop) -> dict[str, Any]:
    return {
        "strategy": one.strategy,
        "plant": one.plant,
        "material": one.material,
        "months": one.months,
        "heaped": _spread(one.heaped, "kg C per kg C"),
        "left": _spread(one.left, "kg C per kg C"),
        "difference": _spread(one.difference, "kg C per kg C"),
    }


def _equivalence(one: Equivalence) -> dict[str, Any]:
    return {
        "strategy": one.strategy,
        "cover": one.cover,
        "compost": one.compost,
        "lasting": {str(month): _spread(spread, "mm") for month, spread in one.lasting.items()},
        "horizon_months": one.horizon,
        "on_the_day": _spread(one.on_the_day, "mm"),
        "volume": _spread(one.volume, "mm"),
        "rounds_a_year": one.rounds_a_year,
        "tops_kept": one.tops_kept,
        "carbon": _spread(one.carbon, "kg C/m2"),
    }
