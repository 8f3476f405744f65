"""Small plans as text, and the way from their text to what happens: for the tests of this folder."""

from somsim.draws import Draws, best_values
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting

# 1 ha of bed, 0.2 m x 1300 kg/m3 = 260 kg of soil and 4 kg of carbon on each m2; rates as in the reference climate.
SOIL = "{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3}"
COMPOST = (
    "materials:\n"
    "  plain compost: {like: garden compost, bulk_density: 600 kg/m3, dry_matter: 50 %, organic_matter: 40 %,\n"
    "    carbon: 20 %, nitrogen: 1 %, phosphorus: 0.2 %, potassium: 0.5 %, decay: 0.4 per year, humified: 45 %}\n"
)
COVER = (
    "covers:\n"
    "  ley: {residue: soft_green, dry_tops: 4 t/ha, carbon: 45 %, root_ratio: 0.4 ratio}\n"
    "  herbs: {residue: straw, dry_tops: 2 t/ha, carbon: 40 %, root_ratio: 0.2 ratio}\n"
)


def plan_text(
    *actions,
    climate="{factor: 1 ratio}",
    shelter="open ground",
    beds="{area: 1 ha}",
    soil=SOIL,
    start="2027-01-01",
    horizon="3 years",
    site="",
    extra="",
    strategies=None,
):
    """A plan with one strategy "a" of some actions, or with several."""
    lists = strategies or {"a": actions}
    written = "".join(
        f"  {name}:\n" + "".join(f"    - {action}\n" for action in each) for name, each in lists.items()
    )
    return (
        f"title: a test\nstart: {start}\nhorizon: {horizon}\n"
        f"site:\n  climate: {climate}\n  shelter: {shelter}\n  beds: {beds}\n  soil: {soil}\n"
        + "".join(f"  {line}\n" for line in site.splitlines())
        + extra
        + f"strategies:\n{written}"
    )


def setting_of(text, *, draws=None, seed=1, library=None, name="plan"):
    """The setting of a plan, with best values alone or some draws."""
    library = library or read_library()
    made = figures(parse_plan(text, name, library), library)
    return setting(made, Draws(draws, seed, made.unknowns) if draws else best_values(made.unknowns))


def run(text, strategy="a", *, draws=None, seed=1, library=None, **how):
    """The trajectory of one strategy of a plan."""
    return simulate(setting_of(text, draws=draws, seed=seed, library=library), strategy, **how)


def months_of(series):
    """Twelve months in words: a list of numbers as a plan writes it."""
    return " ".join(f"{number:g}" for number in series)
