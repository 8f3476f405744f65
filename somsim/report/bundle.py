"""The drawing program for web pages: one text of JavaScript, the same for report and planner, fetched from nowhere."""

from __future__ import annotations

import hashlib
import os
import tempfile
from importlib.metadata import version
from pathlib import Path

FACE = "window.vega = vega; window.vegaLite = vegaLite; window.vegaEmbed = vegaEmbed;"


def bundle(folder: Path | None = None) -> str:
    """Vega, Vega-Lite and their embedding as one script that sets `vega`, `vegaLite` and `vegaEmbed`.

    vl-convert puts it together from what it carries (BSD 3-clause licence, Vega authors); that takes two seconds, so
    the text is kept for the next time, under its version and its own digest: a file that was cut short or changed is
    made anew.  It has no closing script tag in it, so that it can stand inside a page.

    Parameters
    ----------
    folder : where it is kept; by default the folder that the system has for such things

    Returns
    -------
    str, 0.9 MB
    """
    import platformdirs

    place = folder or platformdirs.user_cache_path("somsim")
    kept = _kept(place)
    if kept is not None:
        return kept
    made = _made()
    _keep(made, place)
    return made


def _made() -> str:
    import vl_convert

    made: str = vl_convert.javascript_bundle(FACE, vl_version=vegalite_version())
    return made.replace("</script", "<\\/script").replace("<!--", "<\\!--")


def vegalite_version() -> str:
    """The version of Vega-Lite that charts are written in, as vl-convert wants it: "6.4"."""
    import altair

    return ".".join(altair.SCHEMA_VERSION.removeprefix("v").split(".")[:2])


def _name(digest: str) -> str:
    return f"drawing-{version('vl-convert-python')}-{vegalite_version()}-{digest}.js"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _kept(folder: Path) -> str | None:
    for path in sorted(folder.glob(_name("*"))):
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            continue
        if path.name == _name(_digest(text)):
            return text
    return None


def _keep(text: str, folder: Path) -> None:
    """Keep it if that can be: a folder that can't be written costs two seconds a run, and nothing else."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        descriptor, name = tempfile.mkstemp(dir=folder, prefix="drawing-", suffix=".part")
        with os.fdopen(descriptor, "w", encoding="utf-8", newline="") as file:
            file.write(text)
        Path(name).replace(folder / _name(_digest(text)))
    except OSError:
        return
