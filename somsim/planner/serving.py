"""Serving the page: on this machine alone, on a free port, until it is stopped."""

from __future__ import annotations

import asyncio
import os
import secrets
import socket
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from somsim.planner.folder import Folder
from somsim.planner.guard import KEY, Application, Guard

if TYPE_CHECKING:
    from somsim.planner.desk import Desk

TITLE = "somsim planner"


@dataclass(frozen=True)
class Wanted:
    """What a planner is started with: its folder, a plan in it or none, and a port (0: any that is free)."""

    root: Path
    plan: str | None
    port: int = 0


def serve(wanted: Wanted, ready: Callable[[str], None]) -> None:
    """Serve the planner until it is interrupted; ``ready`` is told the address, token and all.

    Raises
    ------
    InputError
        when the plan can't be read.
    OSError
        when the port is taken.
    """
    with tempfile.TemporaryDirectory(prefix="somsim-planner-") as storage:
        os.environ["NICEGUI_STORAGE_PATH"] = storage  # read once, when the library is imported
        from somsim.planner.desk import Desk

        desk = Desk(Folder(wanted.root))
        if wanted.plan is not None:
            desk.open(wanted.plan)
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind(("127.0.0.1", wanted.port))
            port, token = listening.getsockname()[1], secrets.token_urlsafe(24)
            application = _application(desk)
            try:
                asyncio.run(_run(Guard(application, port, token), listening, port, token, ready))
            except KeyboardInterrupt:
                pass
            finally:
                desk.put_away()


def _application(desk: Desk) -> Application:
    from fastapi import FastAPI
    from fastapi.responses import Response
    from nicegui import ui

    from somsim.planner.page import Page
    from somsim.report.bundle import bundle
    from somsim.report.embed import drawing_script

    served = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    look = files("somsim.planner").joinpath("page.css").read_text(encoding="utf-8")
    script = files("somsim.planner").joinpath("page.js").read_text(encoding="utf-8")

    @served.get("/drawing.js")
    def drawing() -> Response:
        # As a module: its short names stay its own, and those of the page's other scripts are left alone.
        text = f"{bundle()}\n{drawing_script()}\nwindow.drawChart = drawChart;\n"
        return Response(text, media_type="text/javascript")

    @ui.page("/", title=TITLE, language="en-GB")
    def planner() -> None:
        ui.add_head_html('<script type="module" src="/drawing.js"></script>')
        ui.add_css(look)
        ui.add_head_html(f"<script>{script}</script>")
        Page(desk)
        desk.start()

    ui.run_with(served, title=TITLE, language="en-GB", dark=None, tailwind=False, show_welcome_message=False)
    return served


async def _run(
    guarded: Guard, listening: socket.socket, port: int, token: str, ready: Callable[[str], None]
) -> None:
    import uvicorn

    settings = uvicorn.Config(guarded, log_level="warning", lifespan="on", ws_max_size=4_000_000)
    server = uvicorn.Server(settings)
    task = asyncio.create_task(server.serve(sockets=[listening]))
    while not server.started and not task.done():
        await asyncio.sleep(0.02)
    if server.started:
        ready(f"http://127.0.0.1:{port}/?{KEY}={token}")
    await task
