"""The main path in Chromium, Firefox and WebKit, at the width of a telephone.

After each part of it: no error that a page noticed, no violation of its policy, nothing sideways.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from tests.browser.engines import path
from tests.browser.engines.chromium import Chromium
from tests.browser.engines.firefox import Firefox
from tests.browser.engines.seat import Seat
from tests.browser.engines.webkit import WebKit
from tests.browser.engines.world import Scene, log_in

pytestmark = pytest.mark.browser
ENGINES = ("chromium", "firefox", "webkit")
WITHOUT_AAC = ("firefox", "webkit")


@pytest.fixture
def scene(tmp_path: Path) -> Iterator[Scene]:
    scene = Scene(tmp_path / "server")
    scene.server.start()
    yield scene
    scene.server.stop()


@pytest.fixture
def seats(scene: Scene, request: pytest.FixtureRequest) -> Iterator[Any]:
    """Gives a seat at an engine. At the end nothing may have gone wrong on any of its pages."""
    with ExitStack() as leaving:

        def take(engine: str, **lacks: bool) -> Seat:
            if engine == "chromium":
                seat: Seat = Chromium(request.getfixturevalue("browser"), scene.server.url)
            else:
                kind = {"firefox": Firefox, "webkit": WebKit}[engine]
                seat = kind(scene.server.url, **lacks)
            leaving.callback(seat.close)
            return seat

        yield take


@pytest.mark.parametrize("engine", ENGINES)
def test_a_rig_from_nothing_to_a_handover(seats: Any, scene: Scene, engine: str) -> None:
    seat = seats(engine)
    log_in(seat, scene, "engineer")
    for part in (path.document, path.dial, path.photograph, path.note, path.hand_over):
        part(seat, scene)
    seat.go(scene.made)
    path.print_it(seat, "A slow door closing.", sheets=5)
    assert seat.wrong == []


@pytest.mark.parametrize("engine", ENGINES)
def test_heard_signed_shared_and_offline(seats: Any, scene: Scene, engine: str) -> None:
    seat = seats(engine)
    log_in(seat, scene, "engineer")
    for part in (path.listen, path.date_a_show, path.be_interrupted, path.be_installed):
        part(seat, scene)
    path.be_offline(seat, scene)
    link = path.share(seat, scene)
    path.print_it(seat, "House engineer, Weir Hall", sheets=1)
    path.sign(seat, scene)
    path.be_a_guest(seat, scene, link)
    assert seat.wrong == []


@pytest.mark.parametrize("engine", WITHOUT_AAC)
def test_without_a_decoder_of_aac_the_clip_itself_plays(
    seats: Any, scene: Scene, engine: str
) -> None:
    seat = seats(engine, aac=False)
    log_in(seat, scene, "crew")
    seat.go(f"{scene.place}/clips/")
    assert seat.until(path.PLAYING, 0) == ["working"]
    assert path.side_by_side(seat, scene) in ("playing", "failed")
    assert seat.wrong == []


@pytest.mark.parametrize("engine", ["firefox"])
def test_without_a_loudspeaker_the_pages_say_so(seats: Any, scene: Scene, engine: str) -> None:
    """Of the three, this one tells where there is nothing to sound from."""
    seat = seats(engine, sound=False)
    log_in(seat, scene, "crew")
    seat.go(f"{scene.place}/clips/")
    seat.run("() => document.querySelector('audio').play().catch(() => {})")
    seat.says("this device gives no sound", within=".sound-missing")
    one, other = scene.world["clips"]
    seat.go(f"{scene.place}/clips/compare/?clip={one}&clip={other}")
    seat.press("button", "Play")
    seat.says("This device gives no sound. Below they can be played one by one.")
    assert seat.wrong == []
