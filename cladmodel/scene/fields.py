"""How one field of a scene states its unit, its bounds and where its default comes from."""

from __future__ import annotations

import unicodedata
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError

from cladmodel.errors import unseen
from cladmodel.standards.sources import Standing

COMMON = str(Standing.COMMON)


class Table(BaseModel):
    """Base of every table of a scene: frozen, strict, and no unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def _one_line(text: str) -> str:
    return _seen(text, "")


def _lines(text: str) -> str:
    return _seen(text, "\n\t")


def _seen(text: str, allowed: str) -> str:
    """The same letters by the same signs, and none that cannot be seen: names are told apart by eye."""
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n")).strip()
    hidden = next((n for n, sign in enumerate(text) if unseen(sign) and sign not in allowed), None)
    if hidden is not None:
        raise PydanticCustomError(
            "unseen",
            "holds a sign that cannot be seen, U+{code} after '{before}': type it anew without",
            {"code": f"{ord(text[hidden]):04X}", "before": text[max(hidden - 12, 0) : hidden]},
        )
    return text


def _named(text: str) -> str:
    if not text:
        raise PydanticCustomError("blank", "must not be blank")
    return text


Words = Annotated[str, AfterValidator(_one_line)]
"""One line of text."""
Name = Annotated[Words, AfterValidator(_named)]
"""One line of text that is not blank."""
Notes = Annotated[str, AfterValidator(_lines)]
"""Lines of text."""


def mm(default: Any, low: float, high: float, what: str, basis: str = COMMON) -> Any:
    """A length in millimetres.

    Parameters
    ----------
    default : float or str or ...
        ``...`` makes the field required.
    low, high : float
        Inclusive bounds. [mm]
    what : str
        What it is, in one line.
    basis : str
        Where the default comes from.
    """
    return number(default, low, high, what, basis, unit="mm")


def number(default: Any, low: float, high: float, what: str, basis: str = COMMON, unit: str = "-") -> Any:
    """A number with its bounds.

    Parameters
    ----------
    default : float or int or ...
    low, high : float
        Inclusive bounds, in `unit`.
    what, basis, unit : str
    """
    return Field(
        default,
        ge=low,
        le=high,
        description=what,
        json_schema_extra={"unit": unit, "basis": basis},
    )


def words(default: Any, what: str, basis: str = COMMON, most: int = 200) -> Any:
    """A text or a choice.

    Parameters
    ----------
    default : str or ...
    what, basis : str
    most : int
        Most characters.
    """
    return Field(
        default,
        min_length=None if default == "" else 1,
        max_length=most,
        description=what,
        json_schema_extra={"unit": "text", "basis": basis},
    )


def many(
    default: Any, most: int, what: str, basis: str = COMMON, unit: str = "mm", least: int | None = None
) -> Any:
    """A list; the bounds of its items stand in the field's type.

    Parameters
    ----------
    default : tuple or None
    most : int
        Items.
    what, basis, unit : str
    least : int, optional
        Items.
    """
    return Field(
        default,
        min_length=least,
        max_length=most,
        description=what,
        json_schema_extra={"unit": unit, "basis": basis},
    )


def choice(default: Any, what: str, basis: str = COMMON) -> Any:
    """A value out of a fixed list, or a switch.

    Parameters
    ----------
    default : str or bool
    what, basis : str
    """
    return Field(default, description=what, json_schema_extra={"unit": "choice", "basis": basis})


def basis_of(table: Table, field: str) -> str:
    """Where a field's default comes from; said to be the scene's own when it was changed.

    Parameters
    ----------
    table : Table
    field : str
    """
    info = type(table).model_fields[field]
    extra = info.json_schema_extra
    basis = str(extra.get("basis", COMMON)) if isinstance(extra, dict) else COMMON
    return basis if getattr(table, field) == info.default else f"set in the scene; default from: {basis}"


def table_in(annotation: Any) -> type[BaseModel] | None:
    """The table that a field holds, alone, as a list or as a choice; None if it holds none.

    Parameters
    ----------
    annotation : type
        Of the field.
    """
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        table = table_in(inner)
        if table is not None:
            return table
    return None


def bounds_of(field: Any) -> tuple[float | None, float | None]:
    """Least and most that a field, or each item of it, may be; None where there is no bound.

    Parameters
    ----------
    field : pydantic.fields.FieldInfo
    """
    rules = [*field.metadata, *_inner_rules(field.annotation)]
    low = next((rule.ge for rule in rules if hasattr(rule, "ge")), None)
    high = next((rule.le for rule in rules if hasattr(rule, "le")), None)
    return low, high


def words_of(annotation: Any) -> tuple[Any, ...]:
    """What a field may be if it is one out of a list or a switch; empty if it is neither.

    Parameters
    ----------
    annotation : type
        Of the field.
    """
    if annotation is bool:
        return True, False
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    if get_origin(annotation) in (Union, UnionType):
        return tuple(word for inner in get_args(annotation) for word in words_of(inner))
    return ()


def bound_text(bound: float | None) -> str:
    """A bound as it is told.

    Parameters
    ----------
    bound : float or None
    """
    return "any" if bound is None else f"{bound:g}"


def _inner_rules(annotation: Any) -> list[Any]:
    """Bounds of what a field holds: each item of a list, or each length of a wall."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return list(next(iter(annotation.model_fields.values())).metadata)
    found: list[Any] = []
    for rule in getattr(annotation, "__metadata__", ()):
        found += [rule, *getattr(rule, "metadata", ())]
    for inner in getattr(annotation, "__args__", ()):
        found += _inner_rules(inner)
    return found
