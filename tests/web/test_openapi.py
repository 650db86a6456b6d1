"""The published schema against the page itself: schemathesis sends what the schema allows and what it forbids (OpenAPI 3.1)."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from concurrent.futures import Future
from typing import Any

import pytest

pytest.importorskip("schemathesis")

import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance
from starlette.testclient import TestClient

from yieldopt.demo import inventory
from yieldopt.rack.door.facade import Rack
from yieldopt.web.app import Setup, make_app
from yieldopt.web.bench import Bench
from yieldopt.web.jobs import Jobs
from yieldopt.web.searcher import BrokeOff, Searcher

HEADERS = {"x-yieldopt": "1", "host": "localhost"}
LONG = os.environ.get("YIELDOPT_TESTS") == "long"
# Nothing is asked for there that could be wrong.
UNSPOILT = {"GET /api/who", "GET /api/jobs", "GET /api/bench", "POST /api/labels/photos"}
BOARD = str(uuid.uuid4())


class NoSearch(Searcher):
    """Whatever is asked for, the search breaks off at once: this is about what goes to and fro."""

    def submit(self, work: Any, *args: Any, **_none: Any) -> Any:
        future: Future[Any] = Future()
        future.set_exception(BrokeOff())
        return future


@schemathesis.serializer("image/jpeg", "application/octet-stream")
def as_bytes(context: Any, value: Any) -> bytes:
    return value if isinstance(value, bytes) else bytes(str(value), "utf-8", "replace")


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The page with a board, a job and a plan."""
    from yieldopt.cli import main

    folder = tmp_path_factory.mktemp("schema")
    job = inventory() / "tool-rack"
    assert main(["plan", str(job), "--out", str(folder / "plan"), "--seconds", "1"]) in (0, 3)
    with Rack.open(folder / "shop.rack", create=True) as rack:
        setup = Setup(rack, jobs=Jobs([job]), bench=Bench([folder / "plan"]), searcher=NoSearch())
        app = make_app(setup)
        board = {"board": "W1", "species": "walnut", "quarters": "4/4", "length": "96", "width": "7 3/8"}
        client = TestClient(app, base_url="http://localhost", headers=HEADERS)
        assert client.put(f"/api/boards/{BOARD}", json={"key": BOARD, "cells": board}).status_code == 200
        yield app


@pytest.fixture(scope="module")
def published(app: Any) -> Any:
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app, headers=HEADERS)

    @schema.hook
    def map_path_parameters(context: Any, path_parameters: Any) -> Any:
        # What is there, more often than chance would have it.
        if path_parameters and path_parameters.get("number") in range(500):
            path_parameters["number"] = 0
        if path_parameters and str(path_parameters.get("id", ""))[:1] in set("01234567"):
            path_parameters["id"] = BOARD
        return path_parameters

    return schema


@pytest.mark.parametrize("mode", list(schemathesis.GenerationMode), ids=lambda m: str(m.value))
def test_every_address_keeps_to_the_schema(published: Any, mode: Any) -> None:
    tried: set[str] = set()
    for operation in (r.ok() for r in published.get_all_operations()):
        # A schema can't say what a board is; that such a board is refused with every mistake is tested elsewhere.
        @given(case=operation.as_strategy(generation_mode=mode))
        @settings(max_examples=200 if LONG else 8, deadline=None, suppress_health_check=list(HealthCheck))
        def holds(case: Any) -> None:
            tried.add(case.operation.label)
            case.call_and_validate(headers=HEADERS, excluded_checks=[positive_data_acceptance])

        if mode is schemathesis.GenerationMode.NEGATIVE and operation.label in UNSPOILT:
            continue
        holds()
    assert len(tried) >= 10
