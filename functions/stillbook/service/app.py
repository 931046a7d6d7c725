"""The web application: its routes, and how they answer."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
import time
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from fastapi import FastAPI, HTTPException, Request, Response
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse, PlainTextResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from fastapi_offline import FastAPIOffline
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException as StarletteException
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Receive, Scope, Send

import stillbook
from stillbook import __version__, service
from stillbook.hosts import discovery
from stillbook.hosts.browser.generated import GENERATED
from stillbook.hosts.host import HostError
from stillbook.service.calls import VALUE_SCHEMA, Batch, Busy, Call, Workshop
from stillbook.service.counts import MEDIA_TYPE, Counts
from stillbook.service.guard import ALIVE, CALLS, PANEL, Access, Guard
from stillbook.service.limits import Limits
from stillbook.service.listing import Listing, listed
from stillbook.service.proxy import BehindProxy
from stillbook.service.recent import RecentErrors
from stillbook.units import exact_registry

PANEL_FILES: Final = Path(str(files(stillbook).joinpath("hosts/browser")))
_SHOWN: Final = frozenset(
    {".css", ".html", ".ico", ".js", ".json", ".map", ".mjs", ".png", ".svg", ".txt", ".woff2", ".xml"}
)


class Calls(BaseModel):
    """Formula calls to answer in order."""

    model_config = ConfigDict(extra="forbid")

    calls: list[Call]


class Answers(BaseModel):
    """An answer for each call, in the same order."""

    answers: list[Any] = Field(json_schema_extra={"items": VALUE_SCHEMA})


class RecentError(BaseModel):
    """An error answer, with how often it was given lately."""

    time: str = Field(description="When it was last given, in UTC.")
    formula: str
    code: str
    reason: str
    cell: str = Field(description="The cell that asked; empty where the host did not tell.")
    count: int


class Recent(BaseModel):
    """The latest error answers of all workers, newest first. Very long reasons are cut."""

    errors: list[RecentError]


class Sizes(BaseModel):
    """What one request may hold; a host that has more sends several."""

    body_bytes: int
    calls: int
    cells: int = Field(description="Cells in the arguments of one call, and in its answer.")
    text: int = Field(description="Characters in one cell.")
    seconds: float = Field(description="After this time, calls not yet answered give an error.")


class Health(BaseModel):
    """The service runs."""

    status: str = "ok"
    version: str = __version__
    process: int = Field(description="The worker that answered.")
    limits: Sizes


class Refusal(BaseModel):
    """Why a request was not answered."""

    detail: str


class Answering:
    """How the calls of a request are answered.

    Args:
        limits: What a request may take.
        recent: Where error answers are noted.
    """

    def __init__(self, limits: Limits, recent: RecentErrors) -> None:
        self._limits = limits
        self._recent = recent
        self._workshop = Workshop(limits.threads)

    async def answered(self, body: bytes, caller: str) -> tuple[bytes, dict[str, int]]:
        """The answers to a caller's request as JSON, and what the log says of them.

        Raises:
            HTTPException: If the body is not of the right form, holds too many calls, or the service is busy.
        """
        calls = _read_calls(body).calls
        if len(calls) > self._limits.calls:
            raise HTTPException(413, f"the request has {len(calls)} calls: send at most {self._limits.calls} at a time")
        batch = Batch(calls, self._limits, self._recent.of(caller), time.monotonic() + self._limits.seconds)
        if batch.is_quick():
            batch.work()
        else:
            try:
                await self._workshop.run(batch)
            except Busy:
                sentence = "the service is busy with earlier requests: ask again"
                raise HTTPException(503, sentence, {"Retry-After": "1"}) from None
        content = batch.json().encode()
        return content, {"calls": len(batch.calls), "errors": batch.errors}


class AnswersCalls:
    """Middleware that answers formula calls itself, as the route of theirs does: the framework's way there takes far
    longer than most calls.
    """

    def __init__(self, app: ASGIApp, answering: Answering) -> None:
        self.app = app
        self.answering = answering

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"] != CALLS or scope["method"] != "POST":
            await self.app(scope, receive, send)
            return
        try:
            content, scope["stillbook.facts"] = await self.answering.answered(
                await _body(receive), scope["stillbook.caller"]
            )
        except StarletteException as error:
            await JSONResponse({"detail": error.detail}, error.status_code, error.headers)(scope, receive, send)
            return
        headers = [(b"content-length", b"%d" % len(content)), (b"content-type", b"application/json")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": content})


async def _body(receive: Receive) -> bytes:
    """The body of a request, whole.

    Raises:
        ClientDisconnect: If the caller left before it was.
    """
    pieces = []
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise ClientDisconnect
        pieces.append(message.get("body", b""))
        if not message.get("more_body", False):
            return b"".join(pieces)


class PanelFiles(StaticFiles):
    """Files that a browser shows, and those made from the catalogue; whatever else lies in the folder stays unseen."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        if path in GENERATED and scope["method"] in ("GET", "HEAD"):
            made = GENERATED[path]
            try:
                # The guard has let through none but the service's own names.
                text = made.make(f"{scope['scheme']}://{Headers(scope=scope)['host']}")
            except HostError as error:
                raise HTTPException(404, str(error)) from None
            return Response(text, media_type=made.media_type)
        if Path(path).suffix not in _SHOWN and path not in ("", "."):
            raise HTTPException(404, "there is no such file")
        return await super().get_response(path, scope)


_REFUSALS: Final[dict[int | str, dict[str, Any]]] = {
    401: {"model": Refusal, "description": "The token is missing or wrong."},
    403: {"model": Refusal, "description": "The request came under a foreign name or from another site's page."},
}
_CALL_REFUSALS: Final[dict[int | str, dict[str, Any]]] = {
    **_REFUSALS,
    200: {"model": Answers},
    408: {"model": Refusal, "description": "The body did not arrive in time."},
    413: {"model": Refusal, "description": "The body or the number of calls is too large."},
    422: {"model": Refusal, "description": "The body is not JSON of the right form."},
    503: {"model": Refusal, "description": "The service is busy: ask again."},
}
_EXAMPLE: Final = {
    "calls": [
        {"name": "QUANTITY", "arguments": ["36 in", "ft"]},
        {"name": "STILL_QUANTITY", "arguments": ["36 in", {"error": "#N/A"}], "cell": "Shell!C7"},
    ]
}
_CALL_BODY: Final[dict[str, Any]] = {
    "requestBody": {
        "required": True,
        "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Calls"}, "example": _EXAMPLE}},
    }
}


def create_app(
    access: Access,
    recent: RecentErrors,
    limits: Limits | None = None,
    record: discovery.Service | None = None,
    panel: Path = PANEL_FILES,
    counts: Counts | None = None,
    proxies: Sequence[str] = (),
    proxies_alone: bool = False,
) -> FastAPI:
    """The application of one worker.

    Args:
        access: Who may call.
        recent: The list of recent errors, shared with the other workers.
        limits: What a request may take.
        record: What to write to the discovery file once the application is ready to answer.
        panel: Folder of the browser add-in's files; served if it is there.
        counts: What was done so far, shared with the other workers.
        proxies: Addresses of the proxies whose forwarded headers are taken.
        proxies_alone: Whether only they, and this computer, may connect.
    """
    limits = limits or Limits()
    counts = counts or Counts()

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        listed()  # as the definitions of units, which the next line reads, so that no caller waits for it
        exact_registry()
        watch = asyncio.create_task(_end_without_parent(record))
        if record is not None:
            discovery.publish(record)
        yield
        watch.cancel()

    app = FastAPIOffline(
        title="Stillbook calculation service",
        version=__version__,
        description=(service.__doc__ or "").partition("\n\n")[2],
        redoc_url=None,
        swagger_ui_oauth2_redirect_url="/docs/oauth2-redirect",
        lifespan=lifespan,
    )
    answering = Answering(limits, recent)
    app.add_middleware(AnswersCalls, answering=answering)
    app.add_middleware(Guard, access=access, limits=limits, counts=counts)
    if proxies:
        app.add_middleware(BehindProxy, proxies=proxies, alone=proxies_alone)
    app.add_exception_handler(Exception, _failed)

    @app.post(CALLS, summary="Answer formula calls", responses=_CALL_REFUSALS, openapi_extra=_CALL_BODY)
    async def answer_calls(request: Request) -> Response:
        """Answers come in the order of the calls. A call that fails gives an error with its code and reason."""
        caller = request.scope["stillbook.caller"]
        content, request.scope["stillbook.facts"] = await answering.answered(await request.body(), caller)
        return Response(content, media_type="application/json")

    @app.get("/catalogue", summary="List every formula", responses=_REFUSALS | {200: {"model": Listing}})
    async def list_formulas() -> Response:
        """All that a host needs to show the formulas and to call them."""
        return Response(listed(), media_type="application/json")

    @app.get("/recent-errors", summary="Tell why cells failed", responses=_REFUSALS)
    async def recent_errors(request: Request) -> Recent:
        """The latest error answers of all workers to the caller's own token, newest first."""
        return Recent.model_validate({"errors": recent.of(request.scope["stillbook.caller"]).newest_first()})

    @app.get("/health", summary="Tell that the service runs", responses=_REFUSALS)
    async def health() -> Health:
        """Version, worker, and the sizes that a request may have."""
        return Health(process=os.getpid(), limits=Sizes.model_validate(limits, from_attributes=True))

    @app.get(ALIVE, summary="Tell a watcher that the service runs", response_class=PlainTextResponse)
    async def alive() -> str:
        """The word "alive", to anybody: for a proxy, a container or a monitor that holds no token."""
        return "alive\n"

    @app.get("/metrics", summary="Count what was done", responses=_REFUSALS, response_class=PlainTextResponse)
    async def metrics() -> Response:
        """Requests, formula calls and times since the start, in the Prometheus text format."""
        return Response(counts.text(), media_type=MEDIA_TYPE)

    has_panel = panel.is_dir()
    if has_panel:
        app.mount(PANEL, PanelFiles(directory=panel, html=True))

    @app.get("/", include_in_schema=False)
    async def start_page() -> Response:
        return RedirectResponse(f"{PANEL}/" if has_panel else "/docs")

    app.openapi = partial(_described, app)  # type: ignore[method-assign]
    return app


def _described(app: FastAPI) -> dict[str, Any]:
    """The description, with the form of the calls and the token that every route needs."""
    if app.openapi_schema is None:
        schema = get_openapi(title=app.title, version=app.version, description=app.description, routes=app.routes)
        body = Calls.model_json_schema(ref_template="#/components/schemas/{model}")
        schema["components"]["schemas"] |= {**body.pop("$defs"), "Calls": body}
        schema["components"]["securitySchemes"] = {"token": {"type": "http", "scheme": "bearer"}}
        schema["security"] = [{"token": []}]
        app.openapi_schema = schema
    return app.openapi_schema


def _read_calls(body: bytes) -> Calls:
    """The calls in a request's body. Read here in one step: the framework's way by Python objects takes far longer.

    Raises:
        HTTPException: If the body is not of the right form; the sentence repeats nothing it holds.
    """
    try:
        return Calls.model_validate_json(body)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False, include_input=False)[0]
        place = "".join(f"{part}, " for part in first["loc"]).removesuffix(", ")
        raise HTTPException(422, f"{place or 'the body'}: {first['msg'][:200]}") from None


async def _failed(_: Request, __: Exception) -> JSONResponse:
    return JSONResponse({"detail": "the service failed on this request: its log tells where"}, 500)


async def _end_without_parent(record: discovery.Service | None) -> None:
    """Stop a worker whose parent was killed: nobody else would."""
    parent = multiprocessing.parent_process()
    while parent is not None:
        await asyncio.sleep(2)
        if not parent.is_alive():
            if record is not None:
                discovery.withdraw(record.pid)
            signal.raise_signal(signal.SIGTERM)
            return
