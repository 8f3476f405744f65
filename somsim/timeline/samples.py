"""How sure a weighed sample is: by its own scatter, or, of one alone, by how much such crops vary in print."""

from __future__ import annotations

from collections.abc import Sequence

from somsim.draws import Unknown
from somsim.estimate.sampling import half_width, standard_error
from somsim.library import Entry, Library
from somsim.plan.samples import Sample


def published_spread(entry: Entry) -> float | None:
    """How far the published dry mass of a cover goes either way, as a share of it; None where no range is."""
    value = entry.values.get("dry_tops")
    return (value.high - value.low) / (2.0 * value.best) if value is not None and value.is_range else None


def lone_error(plants: Sequence[Entry], library: Library) -> float:
    """The error of one sample, as a share: it cannot say how even a bed is, so the published spread stands in.

    Of several plants the widest; of one without a published spread, what fresh weight alone is worth.
    """
    spreads = [spread for plant in plants if (spread := published_spread(plant)) is not None]
    return max(spreads, default=library.tables["constants"]["undried_error"].value("value").high)


def fresh_per_area(path: str, scored_as: str, sample: Sample, lone: float) -> Unknown:
    """Fresh tops per area from weighed samples: their mean, and the 90 % interval of Student's t around it.

    ``lone`` is the error of a single sample, as a share; ``scored_as`` an address without the strategy.
    """
    weights = [amount.best / sample.area.best for amount in sample.fresh]
    mean, count = sum(weights) / len(weights), len(weights)
    half = mean * lone
    if count > 1:
        error = standard_error([amount.best for amount in sample.fresh], [sample.area.best] * count)
        half = half_width(error, freedom=count - 1, level=0.90)
    return Unknown(
        name=f"{path}/fresh_per_area",
        scored_as=f"{scored_as}/fresh_per_area",
        label=f"fresh weight of the cut ({path.removeprefix('plan/')})",
        low=max(mean - half, 0.0),
        best=mean,
        high=mean + half,
        unit="mass_per_area",
        known="plan",
        source=f"{count} sample{'s' if count > 1 else ''} of {sample.area.text}",
    )
