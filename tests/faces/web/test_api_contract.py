"""The API is what its published document says, and stands what no device would send.

The document is held against the OpenAPI 3.1 rules and against the running application by schemathesis, an open-source
tester that makes calls from the document, right and wrong ones; its checks are its own.
"""

import itertools
import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from schemathesis.config import SchemathesisConfig
from schemathesis.engine import from_schema
from schemathesis.engine.events import FatalError, NonFatalError, ScenarioFinished
from starlette.applications import Starlette

from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Bay, Opening, OpenJob, Shelf
from putback.faces.web import make_app
from putback.faces.web.openapi import ADDRESS, CALLS, api_routes, document
from putback.faces.web.shapes import COMPONENTS

HOST = "testserver"
EXAMPLES = 15
"""Random calls of each kind, besides those that go through every bound of the document."""

NOW = "2026-03-02T08:00:00+01:00"


def app_on(folder: Path, store: Any) -> tuple[Starlette, str]:
    """The application with one open job; the job's id."""
    numbers = itertools.count()
    bay = Bay(
        store=store,
        shelf=Shelf(folder / "files"),
        cars={demo_path().name: demo_path()},
        clock=lambda: datetime.fromisoformat(NOW),
        new_id=lambda: f"n{next(numbers)}",
    )
    opened = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
    assert isinstance(opened, OpenJob)
    return make_app(bay, hosts=[HOST, "localhost", "127.0.0.1"]), opened.job


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Starlette]:
    folder = tmp_path_factory.mktemp("api")
    with open_store(str(folder / "store.db"), create=True) as store:
        made, job = app_on(folder, store)
        made.state.job = job
        yield made


def checked(app: Starlette, job: str) -> tuple[list[str], set[str]]:
    """What schemathesis finds wrong with the API, and which calls it made.

    The open job stands in the document as what a job may be called, so that calls reach further than its name.
    """
    raw = document(app.routes)
    for path in raw["paths"].values():
        for operation in path.values():
            for parameter in operation.get("parameters", ()):
                if parameter["name"] == "job" and parameter["in"] == "path":
                    parameter["schema"] = {"type": "string", "enum": [job, "job-ghost"]}
    checks = {
        "positive_data_acceptance": {"expected-statuses": ["2xx", "404", "422"]},
        "negative_data_rejection": {"expected-statuses": ["400", "403", "404", "405", "413", "415", "422"]},
        "unsupported_method": {"enabled": False},
    }
    generation = {"max-examples": EXAMPLES, "deterministic": True, "database": "none", "no-shrink": True}
    config = SchemathesisConfig.from_dict({"checks": checks, "generation": generation})
    schema = schemathesis.openapi.from_dict(raw, config=config)
    schema.app = app
    wrong: list[str] = []
    called: set[str] = set()
    for event in from_schema(schema).execute():
        if isinstance(event, NonFatalError | FatalError):
            wrong.append(str(getattr(event, "info", event)))
        if isinstance(event, ScenarioFinished):
            called.add(str(event.label))
            wrong += [
                f"{event.label}: {check.name}: {check.failure_info.failure.message}: {check.failure_info.code_sample}"
                for found in event.recorder.checks.values()
                for check in found
                if check.failure_info is not None
            ]
    return wrong, called


def test_the_api_is_what_its_document_says(app: Starlette) -> None:
    """422 is right for a body of the right kind: a photo that cannot be decoded, an id that is somebody else's.

    Whether a method is taken is asked below: who does not call from our own page is told 403 before that.
    """
    wrong, called = checked(app, app.state.job)
    assert wrong == []
    assert {f"{method} {path}" for method, path in CALLS} <= called


def test_every_address_of_the_api_is_in_the_document(app: Starlette) -> None:
    assert set(api_routes(app.routes)) == set(CALLS)
    published = Caller(app, HOST).get(ADDRESS).json()
    assert published == json.loads(json.dumps(document(app.routes)))
    assert {(method.upper(), path) for path, found in published["paths"].items() for method in found} == set(CALLS)


def test_every_schema_of_the_document_is_used_and_there(app: Starlette) -> None:
    text = json.dumps(document(app.routes))
    for name in COMPONENTS:
        assert f'"#/components/schemas/{name}"' in text, name
    for named in text.split('"#/components/schemas/')[1:]:
        assert named.partition('"')[0] in COMPONENTS


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "BREW"])
def test_a_method_that_an_address_does_not_take_is_refused_with_those_it_takes(app: Starlette, method: str) -> None:
    """RFC 9110, section 15.5.6: the answer 405 names the methods that the address takes."""
    taken: dict[str, set[str]] = {}
    for known, path in CALLS:
        taken.setdefault(path, set()).update({known, "HEAD"} if known == "GET" else {known})
    sent = {"x-putback": "1", "content-type": "application/json"}
    for path, methods in taken.items():
        if method not in methods:
            answer = Caller(app, HOST)._call(method, path.replace("{job}", app.state.job), headers=sent)
            assert answer.status_code == (415 if method == "POST" and path.endswith("/photos") else 405), path
            assert set(answer.headers["allow"].split(", ")) == methods
