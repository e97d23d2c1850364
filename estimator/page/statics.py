"""Scripts and styles of the page, at addresses that name their version, so that no screen runs with those of another.

A phone keeps screens with their scripts. After an update of the program a screen that is kept names the scripts that it
came with, which are kept too, and one that is loaded names the new ones.
"""

from __future__ import annotations

from functools import cache
from hashlib import sha256

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from geometry.files import packaged

SCRIPT = "text/javascript; charset=utf-8"
PHONE = ("page.css", "page.js", "mixer.js", "queue.js", "crew.js", "phone.js")
"""Files of the screens that a phone keeps."""

STATIC = {name: "text/css; charset=utf-8" if name.endswith("css") else SCRIPT
          for name in (*PHONE, "solid.js", "mix.js", "client.js")}  # fmt: skip
WORKER = "phone-worker.js"
FOREVER = "max-age=31536000, immutable"


@cache
def version() -> str:
    """Version of the scripts and styles: the start of a digest of all of them."""
    parts = (packaged("estimator", f"page/static/{name}") for name in (*STATIC, WORKER))
    return sha256(b"".join(sha256(part).digest() for part in parts)).hexdigest()[:12]


def address(name: str) -> str:
    """Address of a script or style in this version."""
    return f"/static/{version()}/{name}"


def routes() -> list[Route]:
    """Routes of the scripts and styles; those of another version are not found."""

    async def static(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in STATIC or request.path_params["version"] != version():
            raise HTTPException(404)
        content = packaged("estimator", f"page/static/{name}")
        return Response(content, media_type=STATIC[name], headers={"cache-control": FOREVER})

    async def worker(_: Request) -> Response:
        return Response(packaged("estimator", f"page/static/{WORKER}"), media_type=SCRIPT)

    return [Route("/static/{version}/{name}", static), Route(f"/{WORKER}", worker)]
