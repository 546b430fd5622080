"""The log as text, or as one JSON object a line for programs that collect logs
(`TONELEDGER_LOG_FORMAT=json`).

In JSON there are no personal words: of an exception its kind and where it was raised are told, but
not its message, which may quote a value. Of a request that failed both tell the pattern of its
address: the address may hold the secret of a link.
"""

from __future__ import annotations

import json
import logging
import traceback
from copy import copy
from datetime import UTC, datetime
from types import TracebackType
from typing import Any

from django.http import HttpRequest

from core.operation.requests import request_id, route_of


class TextLines(logging.Formatter):
    """For people, with messages of errors; but of a request no address, as in JSON."""

    def format(self, record: logging.LogRecord) -> str:
        told = copy(record)  # others may format it, too
        told.msg, told.args = _message(record), ()
        return super().format(told)


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": _message(record),
        }
        if number := request_id.get():
            line["request"] = number
        line |= getattr(record, "told", {})
        if record.exc_info and record.exc_info[0]:
            line["error"] = record.exc_info[0].__qualname__
            line["at"] = _frames(record.exc_info[2])
        return json.dumps(line, ensure_ascii=False)


def _message(record: logging.LogRecord) -> str:
    # Django puts the address into these, and hands the request along.
    request = getattr(record, "request", None)
    if isinstance(request, HttpRequest):
        status = getattr(record, "status_code", "")
        return f"{request.method} {route_of(request) or '(no such page)'} {status}".rstrip()
    return record.getMessage()


def _frames(raised: TracebackType | None) -> list[str]:
    return [f"{each.filename}:{each.lineno} {each.name}" for each in traceback.extract_tb(raised)]
