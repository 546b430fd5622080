"""A sheet that cannot be made is tried again, and then it is said; making them takes turns."""

from __future__ import annotations

import threading
import time
from typing import Any

import pytest
import typst

from core.not_now import NotNow
from rigs.paper import pdf
from tests.support.pages import as_user
from tests.support.world import World

SHEET: dict[str, Any] = {"title": "", "headings": ["A"], "rows": [["b"]]}


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch) -> list[Exception]:
    """What the compiler is to fail with, one time after the other; then it works."""
    errors: list[Exception] = []
    real = typst.compile

    def compile(*given: Any, **more: Any) -> Any:
        if errors:
            raise errors.pop(0)
        return real(*given, **more)

    monkeypatch.setattr(typst, "compile", compile)
    monkeypatch.setattr(pdf, "AGAIN_S", 0)
    return errors


def address(world: World) -> str:
    return f"/p/{world.production.pk}/rigs/{world.rig.pk}/recall.pdf"


@pytest.mark.parametrize(
    "error",
    [
        OSError(24, "Too many open files"),
        MemoryError(),
        typst.TypstError("failed to load file (other error)"),  # type: ignore[call-arg]
    ],
)
def test_what_fails_once_is_made_all_the_same(
    world: World, failing: list[Exception], error: Exception
) -> None:
    failing.append(error)
    answer = as_user(world.tech).get(address(world))
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF-")


def test_what_goes_on_failing_is_said(
    world: World, failing: list[Exception], caplog: pytest.LogCaptureFixture
) -> None:
    failing.extend(OSError(28, "No space left on device") for _ in range(2))
    answer = as_user(world.tech).get(address(world))
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "10")
    assert "could not be made just now" in answer.content.decode()
    assert "No space left" not in answer.content.decode()
    assert "No space left" in caplog.text  # for whoever runs it
    assert as_user(world.tech).get(address(world)).status_code == 200  # its turn was given back


def test_a_mistake_of_ours_is_an_error(failing: list[Exception]) -> None:
    failing.append(TypeError("nothing to print"))
    with pytest.raises(TypeError):
        pdf.press("grid.typ", SHEET)


def test_no_more_than_a_few_are_made_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    at_once, most, lock = 0, 0, threading.Lock()

    def made(*_: Any) -> bytes:
        nonlocal at_once, most
        with lock:
            at_once += 1
            most = max(most, at_once)
        time.sleep(0.05)
        with lock:
            at_once -= 1
        return b"%PDF-"

    monkeypatch.setattr(pdf, "_made", made)
    threads = [threading.Thread(target=pdf.press, args=("grid.typ", SHEET)) for _ in range(6)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert most == pdf.AT_ONCE


def test_whoever_gets_no_turn_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "PATIENCE_S", 0.05)
    held = [pdf._turns.acquire() for _ in range(pdf.AT_ONCE)]
    try:
        with pytest.raises(NotNow, match="could not be made just now"):
            pdf.press("grid.typ", SHEET)
    finally:
        for _ in held:
            pdf._turns.release()
    monkeypatch.setattr(pdf, "_made", lambda *_: b"%PDF-")
    assert pdf.press("grid.typ", SHEET) == b"%PDF-"
