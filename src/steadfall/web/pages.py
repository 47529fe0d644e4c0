"""The routes: a page and a JSON twin for each view, the papers, help while typing, and the look."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from nicegui import app, ui

from steadfall.app.given.document import json_text, refusal
from steadfall.app.page.hints import completions, explained, word
from steadfall.source import NOWHERE, Problem, SteadfallError
from steadfall.web.frame import framed
from steadfall.web.session import Session
from steadfall.web.spoken import script
from steadfall.web.views import VIEWS, View

KINDS = {".css": "text/css", ".js": "text/javascript"}
LOOK = {
    "page.css": ("steadfall.web", "look/page.css"),
    "drop.js": ("steadfall.web", "look/drop.js"),
    "help.js": ("steadfall.web", "look/help.js"),
    "code.js": ("steadfall.web", "look/code.js"),
    "charts.js": ("steadfall.web", "look/charts.js"),
    "trade.js": ("steadfall.web", "look/trade.js"),
    "try.js": ("steadfall.web", "look/try.js"),
    "try.css": ("steadfall.web", "look/try.css"),
    "figure.js": ("steadfall.report", "page/figure.js"),
    "sheet.css": ("steadfall.report", "page/sheet.css"),
    "sketch.css": ("steadfall.report", "sketch/sketch.css"),
    "tokens.css": ("steadfall.report", "page/tokens.css"),
}


def lay(session: Session) -> None:
    """Lay every route."""
    for view in VIEWS:
        ui.page(view.link.path)(_page(session, view))
        app.get(f"/api/{view.name}")(_twin(session, view))
    app.get("/paper/{way}")(_paper(session))
    app.get("/file/{name}")(_file(session))
    app.get("/charts/{way}")(_charts(session))
    app.get("/news/try")(_news(session))
    app.post("/api/complete")(_complete)
    app.post("/api/explain")(_explain)
    app.get("/look/{name}")(_look)


def _page(session: Session, view: View) -> Callable[[], Any]:
    def page() -> RedirectResponse | None:
        if view.link.needs_plan and session.desk is None:
            return RedirectResponse("/")
        with framed(session, [one.link for one in VIEWS], view.link):
            view.build(session)
        return None

    return page


def _twin(session: Session, view: View) -> Callable[[], Response]:
    def twin() -> Response:
        try:
            made = view.twin(session)
            text = made if isinstance(made, str) else json_text(made)
        except SteadfallError as error:
            text = json_text(refusal([Problem(NOWHERE, "usage", "", str(error), "")]))
        return Response(text, media_type="application/json")

    return twin


def _paper(session: Session) -> Callable[[str], Response]:
    def paper(way: str) -> Response:
        papers = {
            "cooldown": session.cooldown,
            "doses": session.doses,
            "sizes": session.sizes,
            "upsets": session.upsets,
            "bench": session.bench,
            "proof": session.proof,
            "compared": session.compared,
            "revised": session.revised,
        }
        job = papers.get(way)
        if job is None or job.shown is None or not job.shown.paper:
            return PlainTextResponse("there is no such paper", 404)
        return HTMLResponse(job.shown.paper, headers={"cache-control": "no-store"})

    return paper


def _file(session: Session) -> Callable[[str], Response]:
    def file(name: str) -> Response:
        code = session.code.shown and session.code.shown.code
        if not code or name not in code.files:
            return PlainTextResponse("there is no such file", 404)
        return Response(code.files[name], media_type="application/octet-stream")

    return file


def _charts(session: Session) -> Callable[[str], Response]:
    jobs = {"cooldown": session.cooldown, "failure": session.failure}

    def charts(way: str) -> Response:
        shown = jobs[way].shown if way in jobs else None
        if shown is None or not shown.charts:
            return PlainTextResponse("nothing is predicted", 404)
        return Response(shown.charts, media_type="application/json")

    return charts


def _news(session: Session) -> Callable[[int, int, int], Response]:
    def news(number: int = 0, changes: int = 0, samples: int = 0) -> Response:
        told = session.live.news(number, max(0, changes), max(0, samples))
        return Response(json_text(told), media_type="application/json", headers={"cache-control": "no-store"})

    return news


async def _complete(request: Request) -> Response:
    text, offset = await _place(request)
    hints = [hint.as_json() for hint in completions(text, offset)]
    return JSONResponse({"hints": hints, "word": word(text, offset)})


async def _explain(request: Request) -> Response:
    hint = explained(*await _place(request))
    return JSONResponse({"hint": None if hint is None else hint.as_json()})


async def _place(request: Request) -> tuple[str, int]:
    """A text and a place in it, as a browser counts: what is odd is taken as nothing."""
    try:
        given = await request.json()
    except ValueError:
        return "", 0
    text = given.get("text", "") if isinstance(given, dict) else ""
    offset = given.get("offset", 0) if isinstance(given, dict) else 0
    if not isinstance(text, str) or not isinstance(offset, int):
        return "", 0
    units = text.encode("utf-16-le", "surrogatepass")[: 2 * max(0, offset)].decode("utf-16-le", "ignore")
    return text, len(units)


def _look(name: str) -> Response:
    if name == "words.js":
        return Response(script(), media_type=KINDS[".js"], headers={"cache-control": "no-cache"})
    if name not in LOOK:
        return PlainTextResponse("there is no such file", 404)
    package, path = LOOK[name]
    text = (files(package) / path).read_text(encoding="utf-8")
    return Response(text, media_type=KINDS[path[path.rindex(".") :]], headers={"cache-control": "no-cache"})
