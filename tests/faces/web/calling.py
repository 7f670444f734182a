"""A caller of the web face without a socket: one request at a time, no redirect followed."""

import asyncio
from dataclasses import dataclass
from typing import Any

from httpx import ASGITransport, AsyncClient, Response
from starlette.types import ASGIApp


@dataclass(frozen=True)
class Caller:
    """Requests to `app` under the name `host`."""

    app: ASGIApp
    host: str
    scheme: str = "http"

    def get(self, path: str, **more: Any) -> Response:
        return self._call("GET", path, **more)

    def post(self, path: str, **more: Any) -> Response:
        """A form or a body, sent from a page of this host unless `headers` say otherwise."""
        return self._call("POST", path, **{"headers": {"origin": f"http://{self.host}"}, **more})

    def _call(self, method: str, path: str, **more: Any) -> Response:
        async def calling() -> Response:
            async with AsyncClient(
                transport=ASGITransport(app=self.app), base_url=f"{self.scheme}://{self.host}"
            ) as client:
                return await client.request(method, path, **more)

        return asyncio.run(calling())
