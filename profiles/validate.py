"""Checks plain data against a msgspec type and names all problems at once, each with its key path.

msgspec stops at the first problem, and is fast for good data. Only where it finds one is the data
walked again, key by key, to name every one.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec
from msgspec import inspect as types

from mapper.phrases import any_of, phrase
from mapper.problems import Problem, RequestError, nearest, quoted
from mapper.units import decimal_comma

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

Path = tuple[str | int, ...]
T = TypeVar("T")


def typed(data: Any, kind: type[T], where: Callable[[Path], str]) -> T:
    """``data`` as a ``kind``; ``where`` turns a key path into words for the reader.

    Raises RequestError with one problem for each key that is unknown, missing or holds the wrong
    thing.
    """
    try:
        return msgspec.convert(data, kind)
    except msgspec.ValidationError as error:
        pointed = _with_points(data, types.type_info(kind))
        if pointed != data:
            return typed(pointed, kind, where)
        problems = list(_problems(data, types.type_info(kind), (), where))
        raise RequestError(
            *(problems or [Problem(where(()), phrase("must be valid"), str(error))])
        ) from None


def _problems(
    data: Any, kind: types.Type, path: Path, where: Callable[[Path], str]
) -> Iterator[Problem]:
    """One problem for each thing that is wrong with ``data`` as a ``kind``."""
    kind, optional = _present(kind)
    if data is None and optional:
        return
    if isinstance(kind, types.StructType) and isinstance(data, dict):
        yield from _struct_problems(data, kind, path, where)
    elif isinstance(kind, (types.ListType, types.TupleType)) and isinstance(data, list):
        yield from _list_problems(data, kind, path, where)
    else:
        must = _RULES[type(kind)](data, kind)
        if must:
            yield Problem(where(path), must, _came(data), _instead(data, kind))


def _with_points(data: Any, kind: types.Type) -> Any:
    """``data`` with numbers for texts such as "8,5", as YAML reads a decimal comma."""
    kind, _ = _present(kind)
    if isinstance(kind, types.StructType) and isinstance(data, dict):
        kinds = {field.encode_name: field.type for field in kind.fields}
        return {
            key: _with_points(value, kinds[key]) if key in kinds else value
            for key, value in data.items()
        }
    if isinstance(kind, (types.ListType, types.TupleType)) and isinstance(data, list):
        items = (
            kind.item_types if isinstance(kind, types.TupleType) else (kind.item_type,) * len(data)
        )
        return [
            _with_points(item, item_kind) for item, item_kind in zip(data, items, strict=False)
        ] + data[len(items) :]
    # Three digits behind the comma could be grouped thousands.
    if (
        isinstance(kind, types.FloatType)
        and isinstance(data, str)
        and re.fullmatch(r"[-+]?\d+,(?!\d{3}$)\d+", data)
    ):
        return float(data.replace(",", "."))
    return data


def _present(kind: types.Type) -> tuple[types.Type, bool]:
    """The type of a value that is there, and whether it may be left out."""
    if not isinstance(kind, types.UnionType):
        return kind, False
    options = [option for option in kind.types if not isinstance(option, types.NoneType)]
    return options[0], len(options) < len(kind.types)


def _list_problems(
    data: list[Any],
    kind: types.ListType | types.TupleType,
    path: Path,
    where: Callable[[Path], str],
) -> Iterator[Problem]:
    if isinstance(kind, types.TupleType):
        item_kinds = list(kind.item_types)
        if len(data) != len(item_kinds):
            yield Problem(
                where(path),
                phrase("must be a list of {count}", count=len(item_kinds)),
                phrase("a list of {count}", count=len(data)),
            )
    else:
        item_kinds = [kind.item_type] * len(data)
        if len(data) < (kind.min_length or 0):
            yield Problem(
                where(path),
                phrase("must hold at least {min_length}", min_length=kind.min_length),
                f"{len(data)}",
            )
    for index, (item, item_kind) in enumerate(zip(data, item_kinds, strict=False)):
        yield from _problems(item, item_kind, (*path, index), where)


def _struct_problems(
    data: dict[str, Any], kind: types.StructType, path: Path, where: Callable[[Path], str]
) -> Iterator[Problem]:
    fields = {field.encode_name: field for field in kind.fields}
    missing = [name for name, field in fields.items() if field.required and name not in data]
    for key in data:
        if key not in fields:
            near = nearest(key, [name for name in fields if name not in data] or fields)
            if near in missing:
                missing.remove(near)
            instead = (
                phrase("Did you mean {near}?", near=near)
                if near
                else phrase("The keys here are {fields}", fields=", ".join(fields))
            )
            yield Problem(
                where((*path, key)), phrase("is not a key of this format"), instead=instead
            )
    for name in missing:
        yield Problem(where(path), phrase("must have the key {name}", name=name))
    for name, field in fields.items():
        if name in data:
            yield from _problems(data[name], field.type, (*path, name), where)


def _number_rule(data: Any, kind: types.FloatType | types.IntType) -> str | None:
    whole = isinstance(kind, types.IntType)
    if (
        isinstance(data, bool)
        or not isinstance(data, (int, float))
        or (whole and not isinstance(data, int))
    ):
        return phrase("must be a whole number") if whole else phrase("must be a number")
    if kind.gt is not None and data <= kind.gt:
        return phrase("must be greater than {gt}", gt=f"{kind.gt:g}")
    if kind.ge is not None and data < kind.ge:
        return phrase("must be at least {ge}", ge=f"{kind.ge:g}")
    if kind.le is not None and data > kind.le:
        return phrase("must be at most {le}", le=f"{kind.le:g}")
    return None


def _text_rule(data: Any, kind: types.StrType) -> str | None:
    if not isinstance(data, str):
        return phrase("must be text")
    if len(data) < (kind.min_length or 0):
        return phrase("must not be empty")
    if kind.pattern is not None and not re.search(kind.pattern, data):
        return phrase("must match {pattern}", pattern=kind.pattern)
    return None


def _literal_rule(data: Any, kind: types.LiteralType) -> str | None:
    if any(type(data) is type(value) and data == value for value in kind.values):
        return None
    return phrase("must be {values}", values=any_of([str(value) for value in kind.values]))


# What a value of each type must be, in words, where it is not: a rule for each type of the formats.
_RULES: dict[type[types.Type], Callable[[Any, Any], str | None]] = {
    types.FloatType: _number_rule,
    types.IntType: _number_rule,
    types.StrType: _text_rule,
    types.LiteralType: _literal_rule,
    types.BoolType: lambda data, _: (
        None if isinstance(data, bool) else phrase("must be true or false")
    ),
    types.StructType: lambda *_: phrase("must be a mapping of keys to values"),
    types.ListType: lambda *_: phrase("must be a list"),
    types.TupleType: lambda *_: phrase("must be a list"),
}


def _came(data: Any) -> str:
    """What came, in words for a message."""
    if data is None:
        return phrase("nothing")
    if isinstance(data, dict):
        return phrase("a mapping")
    return phrase("a list") if isinstance(data, list) else quoted(data)


def _instead(data: Any, kind: types.Type) -> str:
    """What to write instead of ``data``, empty where nothing is likely."""
    if isinstance(data, (int, float)) and isinstance(kind, types.StrType):
        return phrase('Write it in quotation marks: "{data}"', data=data)
    if not isinstance(data, str):
        return ""
    if isinstance(kind, types.LiteralType):
        near = nearest(data, [str(value) for value in kind.values])
        return phrase("Did you mean {near}?", near=near) if near else ""
    if not isinstance(kind, (types.FloatType, types.IntType)):
        return ""
    comma = decimal_comma(data, "")
    if comma:
        return comma.instead
    unit = re.fullmatch(r"\s*([-+]?[\d.]+)\s*(?:mm|px|deg)\s*", data)
    return phrase("Write {number}: the key says the unit", number=unit.group(1)) if unit else ""
