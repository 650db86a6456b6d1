"""How exact values stand in our JSON files: marks on the types of frozen records, from which pydantic reads and writes them.

A record says once what it holds; there is no codec beside it. What can't be read is one `UsageError` that names every place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

from pydantic import BeforeValidator, ConfigDict, Field, PlainSerializer, PlainValidator, ValidationError

from yieldopt.ground.errors import UsageError
from yieldopt.ground.lengths import Units, from_number, to_number

if TYPE_CHECKING:
    from pydantic import SerializationInfo, TypeAdapter, ValidationInfo
    from pydantic_core import ErrorDetails

T = TypeVar("T")

# Names on disk that are keywords in Python.
_ON_DISK = {"start": "from", "end": "to", "yield_": "yield"}
# What pydantic calls by Python's names.
_WANTED = {
    "missing": "a value",
    "string_type": "a text",
    "tuple_type": "a list",
    "mapping_type": "an object",
    "dict_type": "an object",
    "dataclass_type": "an object",
    "bool_type": "true or false",
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float"), "a whole number"),
    **dict.fromkeys(("float_type", "float_parsing", "finite_number"), "a number"),
}
# Longest value that is shown, in characters.
LONGEST = 40
# Places of one file that are named; the first is mostly what is wrong with the others.
MOST_PLACES = 3


def _length_in(value: Any, info: ValidationInfo) -> Fraction:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("expected a length as a number")
    try:
        units: Any = info.context
        return from_number(value, units)
    except ValueError as error:
        raise ValueError("expected a finite length") from error


def _length_out(value: Fraction, info: SerializationInfo) -> float | int:
    units: Any = info.context
    return to_number(value, units)


def _money_in(value: Any) -> Fraction:
    try:
        return Fraction(repr(float(value)))
    except (ValueError, TypeError, OverflowError) as error:
        raise ValueError("expected an amount of money") from error


def _money_out(value: Fraction) -> float:
    return round(float(value), 6)


def _number_in(value: Any) -> int | float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("expected a number")
    return value


def _no_money(value: Any) -> Any:
    return 0 if value is None else value


# Inches in memory; a JSON number in the job's units on disk, which `read` and `dump` are told.
Length = Annotated[Fraction, PlainValidator(_length_in), PlainSerializer(_length_out)]
# Exact in memory, rounded to a millionth on disk.
Money = Annotated[Fraction, PlainValidator(_money_in), PlainSerializer(_money_out)]
# The same, where null stands for none.
Credit = Annotated[Money, BeforeValidator(_no_money)]
# A figure of a report, as it was written: 78 stays 78, and 78.0 stays 78.0.
Number = Annotated[int | float, PlainValidator(_number_in)]
# What is left out where there is nothing to say.
IF_ANY = Field(exclude_if=lambda value: value is None)
# Of the outermost record; those inside go by it too.
FORM = ConfigDict(
    alias_generator=lambda name: _ON_DISK.get(name, name),
    validate_by_name=False,
    validate_by_alias=True,
    coerce_numbers_to_str=True,
    allow_inf_nan=False,
    arbitrary_types_allowed=True,
)


def or_else(usual: object) -> BeforeValidator:
    """Null on disk stands for the usual value."""
    return BeforeValidator(lambda value: usual if value is None else value)


def needs(*keys: str) -> BeforeValidator:
    """The object must have these keys, though the record has a usual value for them."""

    def there(value: Any) -> Any:
        lost = [k for k in keys if k not in value] if isinstance(value, Mapping) else []
        if lost:
            raise ValueError(f"expected {' and '.join(lost)}")
        return value

    return BeforeValidator(there)


def read(form: TypeAdapter[T], value: object, units: Units, what: str, at: str = "") -> T:
    """The record that the value of a JSON file stands for, or what stands there under `at` (and under one key in the record).

    Raises `UsageError` with the places that can't be read.
    """
    try:
        return form.validate_python(value, context=units)
    except (ValidationError, RecursionError) as error:
        raise UsageError(f"{what} can't be read: {_places(error, at)}") from error


def dump(form: TypeAdapter[T], record: T, units: Units) -> Any:
    """The record as JSON values."""
    return form.dump_python(record, mode="json", by_alias=True, context=units, warnings=False)


def _places(error: ValidationError | RecursionError, at: str) -> str:
    if isinstance(error, RecursionError):
        return "one thing inside another without end"
    found = error.errors(include_url=False, include_context=False)
    told = [f"{_path(at, e['loc'])}: found {_shown(e)}, {_wanted(e)}" for e in found[:MOST_PLACES]]
    more = len(found) - len(told)
    return "; ".join(told) + (f"; and {more} more" if more else "")


def _path(at: str, places: tuple[int | str, ...]) -> str:
    """As in `boards[0].cuts[2].at`."""
    first, *rest = (at, *places[1:]) if at else places or ("the whole",)
    return str(first) + "".join(f"[{place}]" if isinstance(place, int) else f".{place}" for place in rest)


def _shown(error: ErrorDetails) -> str:
    if error["type"] == "missing":
        return "nothing"
    text = repr(error["input"])
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def _wanted(error: ErrorDetails) -> str:
    """Pydantic's sentence, or ours, as what was expected."""
    message = _WANTED.get(error["type"]) or error["msg"].removeprefix("Value error, ").removeprefix("Input should be ")
    return message if message.startswith("expected") else f"expected {message}"
