"""`plan.json` (format `yieldopt-plan/1`): lengths are JSON numbers in the job's units, and its sections keep their order."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from typing import Any, TypeVar

from pydantic import TypeAdapter

from yieldopt.ground.errors import UsageError
from yieldopt.ground.jsonform import dump, read
from yieldopt.ground.lengths import Units
from yieldopt.records import sections
from yieldopt.wood.plan import Plan, Section

FORMAT = "yieldopt-plan/1"
T = TypeVar("T")
_WHAT = "the plan"
# Keys of the plan itself.
_OWN = frozenset({"format", *(f.name for f in fields(Plan))} - {"sections"})
# Kinds of section by their keys.
_KINDS: dict[str, type[Section]] = {
    kind.KEY: kind
    for kind in vars(sections).values()
    if isinstance(kind, type) and issubclass(kind, Section) and hasattr(kind, "KEY")
}


def to_json(plan: Plan) -> dict[str, Any]:
    """The plan as the dictionary that `plan.json` holds."""
    said = {s.key: _said(s, plan.units) for s in plan.sections}
    return {"format": FORMAT, **dump(_form(Plan), plan, plan.units), **said}


def dumps(plan: Plan) -> str:
    """The text of `plan.json`: valid JSON, one line a value so that a diff can be read."""
    return json.dumps(to_json(plan), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def from_json(body: object) -> Plan:
    """Read what `to_json` wrote or another tool wrote to the same format; unknown top-level keys are kept as they are.

    Raises `UsageError` where the format is another, or a value is missing or of the wrong kind: it names the places.
    """
    if not isinstance(body, Mapping) or body.get("format") != FORMAT:
        raise UsageError(f'not a plan: expected "format": "{FORMAT}"')
    units: Units = body.get("units", "in")
    plan = read(_form(Plan), {k: v for k, v in _counted(body).items() if k in _OWN}, units, _WHAT)
    return plan.saying(*(_section(k, v, units) for k, v in body.items() if k not in _OWN))


def loads(text: str) -> Plan:
    """Read the text of a `plan.json`; raises `UsageError` where it is none."""
    try:
        body = json.loads(text)
    except (ValueError, RecursionError) as error:  # ValueError: also whole numbers of more digits than Python converts
        raise UsageError(f"the plan is not valid JSON: {error}") from error
    return from_json(body)


def _form(kind: type[T]) -> TypeAdapter[T]:
    """How a record stands in the file; made once a kind."""
    return _made(kind)  # type: ignore[return-value, arg-type]


@cache
def _made(kind: type) -> TypeAdapter[object]:
    return TypeAdapter(kind)


def _counted(body: Mapping[str, Any]) -> Mapping[str, Any]:
    """The body with its number of boards, where another program left that to us."""
    boards, totals = body.get("boards"), body.get("totals")
    if not isinstance(boards, list) or not isinstance(totals, Mapping):
        return body
    return {**body, "totals": {"boards_cut": len(boards), **totals}}


def _section(key: str, value: Any, units: Units) -> Section:
    kind = _KINDS.get(key)
    return sections.Foreign(key, value) if kind is None else read(_form(kind), {"value": value}, units, _WHAT, key)


def _said(section: Section, units: Units) -> Any:
    return section.value if isinstance(section, sections.Foreign) else dump(_form(type(section)), section, units)["value"]
