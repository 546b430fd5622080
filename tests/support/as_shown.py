"""Pages in tests as a browser shows them: without the line breaks of the templates' source.

Tests look for words and tags; where the source of a template breaks a line is no business of
theirs. Only a line break with the indentation of a template after it is taken out: what people
wrote over several lines stays, and so do the lines between blocks.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from typing import Any

from asgiref.sync import iscoroutinefunction
from django.utils.decorators import sync_and_async_middleware

from tests.support.templates.elements import BLOCK_LEVEL

_VERBATIM = re.compile(r"(<(textarea|pre|script)\b.*?</\2>)", re.DOTALL)
_TAG = re.compile(r"<[^<>]*>")
_BREAK = re.compile(r"(</?(\w+)[^<>]*>)?[ \t]*\n {2,}(?:\s*\n {2,})*(?=(</?(\w+))?)")


def as_shown(page: str) -> str:
    """The page with the line breaks of its templates as one space, or none beside a block."""
    parts = _VERBATIM.split(page)
    # The pattern has two groups: what is taken to the letter, and its element's name.
    return "".join(
        _BREAK.sub(_instead, _TAG.sub(_on_one_line, part))
        if number % 3 == 0
        else part * (number % 3 == 1)
        for number, part in enumerate(parts)
    )


def _on_one_line(tag: re.Match[str]) -> str:
    return re.sub(r"\n {2,}", " ", tag[0]).replace(" >", ">")


def _instead(found: re.Match[str]) -> str:
    before, element, after, next_element = found.groups()
    beside_block = any((each or "").lower() in BLOCK_LEVEL for each in (element, next_element))
    if before and after and beside_block:
        return found[0]
    return (before or "") + ("" if beside_block else " ")


@sync_and_async_middleware
def pages_as_shown(get_response: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """The innermost middleware of the tests."""
    if iscoroutinefunction(get_response):

        async def middleware(request: Any) -> Awaitable[Any]:
            return _shown(await get_response(request))

        return middleware
    return lambda request: _shown(get_response(request))


def _shown(response: Any) -> Any:
    kind = response.headers.get("Content-Type", "")
    # A stream cannot be read without using it up.
    if kind.startswith("text/html") and not response.streaming:
        response.content = as_shown(response.content.decode()).encode()
    return response
