"""Debian's Firefox, which speaks WebDriver BiDi itself: no driver stands between.

Commands are those of the W3C's WebDriver BiDi; Selenium carries them.
"""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.websocket_connection import WebSocketConnection

from tests.browser.engines.seat import HEIGHT, WIDTH, Seat
from tests.support.engines import FIREFOX
from tests.support.patience import PATIENCE_S

# It says here, in its profile, where it listens.
LISTENS = "WebDriverBiDiServer.json"
# Plays without being asked; fetches nothing that no test asked for.
PREFERENCES = {
    "media.autoplay.default": 0,
    "media.cubeb.backend": "alsa",
    "browser.shell.checkDefaultBrowser": False,
    "browser.startup.homepage_override.mstone": "ignore",
    "browser.safebrowsing.downloads.remote.enabled": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "app.normandy.enabled": False,
    "extensions.getAddons.cache.enabled": False,
    "extensions.update.enabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "services.settings.server": "data:,",
    "signon.autofillForms": False,
    "toolkit.telemetry.server": "",
    "intl.accept_languages": "en-GB",
}
# A device that takes whatever is played. Without any, Firefox plays nothing.
NO_LOUDSPEAKER = "pcm.!default { type null }\nctl.!default { type null }\n"
KEYS = {"ArrowUp": Keys.ARROW_UP, "ArrowDown": Keys.ARROW_DOWN, "Enter": Keys.ENTER}

DOWN, UP = {"type": "pointerDown", "button": 0}, {"type": "pointerUp", "button": 0}


class Firefox(Seat):
    engine = "firefox"

    def __init__(
        self, server: str, shots: Path | None = None, *, aac: bool = True, sound: bool = True
    ) -> None:
        super().__init__(server, shots)
        self._profile = Path(tempfile.mkdtemp(prefix="toneledger-firefox-"))
        # Its decoder of AAC is that of the system's ffmpeg; others it has itself.
        self._process = self._started(PREFERENCES | {"media.ffmpeg.enabled": aac}, sound)
        self._wire = WebSocketConnection(f"ws://127.0.0.1:{self._port()}/session", PATIENCE_S, 0.01)
        told = self._ask("session.new", capabilities={})["capabilities"]
        self.version = str(told["browserVersion"])
        self._tab = self._ask("browsingContext.getTree")["contexts"][0]["context"]
        viewport = {"width": WIDTH, "height": HEIGHT}
        self._ask("browsingContext.setViewport", context=self._tab, viewport=viewport)

    def _started(self, preferences: dict[str, Any], sound: bool) -> subprocess.Popen[bytes]:
        lines = (f"user_pref({json.dumps(k)}, {json.dumps(v)});" for k, v in preferences.items())
        (self._profile / "user.js").write_text("\n".join(lines))
        device = self._profile / "asound.conf"
        device.write_text(NO_LOUDSPEAKER if sound else "")
        command = [FIREFOX, "--headless", "--no-remote", "--profile", str(self._profile)]
        return subprocess.Popen(
            [*command, "--remote-debugging-port", "0"],
            env={**os.environ, "ALSA_CONFIG_PATH": str(device)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def _port(self) -> int:
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            if (self._profile / LISTENS).exists():
                said = (self._profile / LISTENS).read_text()
                if said.endswith("}"):  # it is written whole
                    return int(json.loads(said)["ws_port"])
            time.sleep(0.05)
        raise AssertionError("Firefox does not listen.")

    def _ask(self, method: str, **params: Any) -> Any:
        answer = self._wire.send_cmd(method, params)
        assert "result" in answer, f"{method}: {answer.get('error')}: {answer.get('message')}"
        return answer["result"]

    def call(self, function: str, given: str) -> str:
        answer = self._ask(
            "script.callFunction",
            functionDeclaration=function,
            arguments=[{"type": "string", "value": given}],
            awaitPromise=True,
            target={"context": self._tab},
        )
        assert answer["type"] == "success", answer["exceptionDetails"]["text"]
        return str(answer["result"]["value"])

    def goto(self, url: str) -> None:
        self._ask("browsingContext.navigate", context=self._tab, url=url, wait="complete")

    def _act(self, source: dict[str, Any], *steps: dict[str, Any]) -> None:
        actions = [{**source, "actions": list(steps)}]
        self._ask("input.performActions", context=self._tab, actions=actions)

    def _mouse(self, *steps: dict[str, Any]) -> None:
        source = {"type": "pointer", "id": "hand", "parameters": {"pointerType": "mouse"}}
        self._act(source, *steps)

    def point(self, x: float, y: float) -> None:
        self._mouse(_to(x, y), DOWN, UP)

    def drag(self, x: float, y: float, up: int) -> None:
        self._mouse(_to(x, y), DOWN, _to(x, y - up / 2), _to(x, y - up), UP)

    def type(self, text: str) -> None:
        strokes = [
            {"type": kind, "value": letter} for letter in text for kind in ("keyDown", "keyUp")
        ]
        self._act({"type": "key", "id": "keys"}, *strokes)

    def key(self, name: str) -> None:
        self.type(KEYS.get(name, name))

    def give(self, path: Path) -> None:
        locator = {"type": "css", "value": "[data-in-hand]"}
        found = self._ask("browsingContext.locateNodes", context=self._tab, locator=locator)
        element = {"sharedId": found["nodes"][0]["sharedId"]}
        self._ask("input.setFiles", context=self._tab, element=element, files=[str(path)])

    def paper(self) -> bytes:
        page = {"width": 21.0, "height": 29.7}
        made = self._ask("browsingContext.print", context=self._tab, page=page)
        return base64.b64decode(made["data"])

    def picture(self) -> bytes:
        shot = self._ask("browsingContext.captureScreenshot", context=self._tab)
        return base64.b64decode(shot["data"])

    def close(self) -> None:
        self._wire.close()
        self._process.terminate()
        self._process.wait(timeout=30)
        shutil.rmtree(self._profile, ignore_errors=True)


def _to(x: float, y: float) -> dict[str, Any]:
    return {"type": "pointerMove", "x": round(x), "y": round(y), "origin": "viewport"}
