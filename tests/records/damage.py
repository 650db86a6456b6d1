"""One value of a record spoilt."""

from __future__ import annotations

import json
from typing import Any


def damaged(text: str, place: str, value: Any) -> dict[str, Any]:
    """The record of a JSON text with another value at the place, whose steps have slashes between them."""
    body: dict[str, Any] = json.loads(text)
    *way, last = (int(step) if step.isdigit() else step for step in place.split("/"))
    target: Any = body
    for step in way:
        target = target[step]
    target[last] = value
    return body
