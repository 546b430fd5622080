"""Debian's WebKitGTK, driven over WebDriver. It has no way without a screen, so it gets one.

Printing is not in this driver (WebKitGTK 2.50 answers “Unknown command”).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from selenium.webdriver import WebKitGTK, WebKitGTKOptions
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.webkitgtk.service import Service

from tests.browser.engines.seat import HEIGHT, WIDTH, Seat
from tests.support.engines import SCREEN, WEBKIT_DRIVER, webkit_browser

# Its own bar of buttons is wider than a telephone, and the page gets no narrower than that.
NARROW = "* { min-width: 0; min-height: 0; padding: 0; margin: 0; border-width: 0; }\n"
NARROW += "entry { font-size: 2px; }\n"
# GStreamer's decoders of AAC, out of the running.
NO_AAC = "avdec_aac:NONE,avdec_aac_fixed:NONE,avdec_aac_latm:NONE,faad:NONE,fdkaacdec:NONE"
KEYS = {"ArrowUp": Keys.ARROW_UP, "ArrowDown": Keys.ARROW_DOWN, "Enter": Keys.ENTER}


class WebKit(Seat):
    engine = "webkit"

    def __init__(self, server: str, shots: Path | None = None, *, aac: bool = True) -> None:
        super().__init__(server, shots)
        self._folder = Path(tempfile.mkdtemp(prefix="toneledger-webkit-"))
        self._screen, display = _screen()
        options = WebKitGTKOptions()
        options.binary_location = str(self._wrapped(display, "" if aac else NO_AAC))
        options.add_argument("--automation")
        options.add_argument("--autoplay-policy=allow")
        self._driver = WebKitGTK(options=options, service=Service(WEBKIT_DRIVER))
        self.version = str(self._driver.capabilities["browserVersion"])
        self._driver.set_script_timeout(60)
        self._driver.set_window_rect(0, 0, WIDTH, HEIGHT)
        inside = self._driver.execute_script("return [innerWidth, innerHeight]")
        self._driver.set_window_rect(0, 0, WIDTH, 2 * HEIGHT - inside[1])

    def _wrapped(self, display: str, without: str) -> Path:
        """The driver hands nothing of its environment on, so a script starts the browser."""
        (self._folder / "gtk-3.0").mkdir()
        (self._folder / "gtk-3.0/gtk.css").write_text(NARROW)
        script = self._folder / "browser"
        wanted = f"DISPLAY={display} LANG=C.UTF-8 GST_PLUGIN_FEATURE_RANK={without}"
        kept = "".join(
            f'export {name}="{self._folder / where}"\n'
            for name, where in (
                ("XDG_CONFIG_HOME", ""),
                ("XDG_CACHE_HOME", "cache"),
                ("XDG_DATA_HOME", "data"),
            )
        )
        start = f'exec {webkit_browser()} "$@" >"{self._folder}/log" 2>&1'
        script.write_text(f"#!/bin/sh\n{kept}export {wanted}\n{start}\n")
        script.chmod(0o755)
        return script

    def call(self, function: str, given: str) -> str:
        # Only the asynchronous one waits for promises in every release.
        script = f"const [given, done] = arguments; ({function})(given)"
        said = self._driver.execute_async_script(
            f"{script}.then((said) => done([said]), (error) => done([null, String(error)]))", given
        )
        assert len(said) == 1, said[1]
        return str(said[0])

    def goto(self, url: str) -> None:
        self._driver.get(url)

    def point(self, x: float, y: float) -> None:
        self.drag(x, y, 0)

    def drag(self, x: float, y: float, up: int) -> None:
        hand = ActionBuilder(self._driver, duration=20)
        hand.pointer_action.move_to_location(round(x), round(y)).pointer_down()
        if up:
            hand.pointer_action.move_to_location(round(x), round(y - up / 2))
            hand.pointer_action.move_to_location(round(x), round(y - up))
        hand.pointer_action.pointer_up()
        hand.perform()

    def type(self, text: str) -> None:
        hand = ActionBuilder(self._driver)
        hand.key_action.send_keys(text)
        hand.perform()

    def key(self, name: str) -> None:
        self.type(KEYS.get(name, name))

    def give(self, path: Path) -> None:
        self._driver.find_element(By.CSS_SELECTOR, "[data-in-hand]").send_keys(str(path))

    def paper(self) -> None:
        return None

    def picture(self) -> bytes:
        return self._driver.get_screenshot_as_png()

    def close(self) -> None:
        self._driver.quit()
        self._screen.terminate()
        self._screen.wait(timeout=30)
        shutil.rmtree(self._folder, ignore_errors=True)


def _screen() -> tuple[subprocess.Popen[bytes], str]:
    """A screen in memory; it chooses its own number and says which."""
    heard, says = os.pipe()
    process = subprocess.Popen(
        [SCREEN, "-displayfd", str(says), "-screen", "0", "1280x1200x24", "-nolisten", "tcp"],
        pass_fds=(says,),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(says)
    with os.fdopen(heard) as said:
        number = said.readline().strip()
    assert number, "Xvfb does not start."
    return process, f":{number}"
