"""Check that a piece of JSON is what an export writes, and refuse with its place what is not."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import jsonschema

from core.text import unprintable
from notes.archive.schema import schema


class ArchiveRefused(Exception):
    """The archive is not what an export wrote. The message names the place."""


def parsed(place: str, body: bytes) -> Any:
    try:
        # NaN and Infinity, which Python reads, are no JSON (RFC 8259, section 6).
        value = json.loads(body, parse_constant=_no_number)
        if b"\\u" in body:
            # Half of a surrogate pair parses as text, and cannot be encoded again.
            json.dumps(value, ensure_ascii=False).encode()
    except (ValueError, RecursionError) as error:
        raise ArchiveRefused(f"{place}: is no JSON ({error}).") from None
    return value


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no number")


def as_the_schema_wants(place: str, value: Any, table: str) -> Any:
    """`value` itself: a row of `table`, or the manifest where that is empty."""
    validator = _validator(table)
    # Asked first, because finding the best message is slow, and nearly every row is valid.
    if validator.is_valid(value):
        return value
    error = jsonschema.exceptions.best_match(validator.iter_errors(value))
    where = ".".join(str(step) for step in error.absolute_path)
    raise ArchiveRefused(f"{place}{f', {where}' if where else ''}: {error.message[:200]}.")


def as_can_be_printed(place: str, value: Any) -> Any:
    """`value` itself, if every text in it can be written on pages, in drawings and on paper."""
    bad = next(unprintable(value), None)
    if bad:
        where, _, character = bad.rpartition(": ")
        raise ArchiveRefused(
            f"{place}{f', {where}' if where else ''}: holds {character}, which cannot be printed. "
            "Change it where the archive was made, and export it again."
        )
    return value


@cache
def _validator(table: str) -> Any:
    whole = schema()
    chosen = whole["$defs"][table] if table else {k: v for k, v in whole.items() if k != "$defs"}
    return jsonschema.Draft202012Validator(chosen)
