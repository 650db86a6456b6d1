"""`source.json` in and out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

from pydantic import TypeAdapter

from yieldopt.ground.errors import UsageError
from yieldopt.ground.jsonform import dump, read
from yieldopt.records.study import FORMAT, StudyRecord


def to_json(record: StudyRecord) -> dict[str, Any]:
    """The dictionary that `source.json` holds."""
    body: dict[str, Any] = dump(_form(), record, record.units)
    return body


def dumps(record: StudyRecord) -> str:
    """The text of `source.json`."""
    return json.dumps(to_json(record), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def from_json(body: object) -> StudyRecord:
    """Raises `UsageError` where it is none of ours, or not whole: it names the places."""
    if not isinstance(body, Mapping) or body.get("format") != FORMAT:
        raise UsageError(f"expected a source.json of the format {FORMAT}")
    return read(_form(), body, "in", "the study")


def loads(text: str) -> StudyRecord:
    """What the text of a `source.json` holds; raises `UsageError` as `from_json`, and where it is no JSON."""
    try:
        body = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise UsageError(f"found no JSON ({error}), expected a source.json") from error
    return from_json(body)


@cache
def _form() -> TypeAdapter[StudyRecord]:
    return TypeAdapter(StudyRecord)
