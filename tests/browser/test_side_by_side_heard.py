"""What really leaves the player before and after a switch, tapped where it is rendered."""

from __future__ import annotations

import sys
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Page, expect
from scipy.signal import resample_poly

from tests.browser.side_by_side import POSITION, is_now, open_two, play
from tests.support.clips_side_by_side import RATE, noise
from tests.support.world import make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SECONDS = 6.0


# Taps the player's output on the thread that renders it, so that a busy page loses nothing.
WORKLET = """registerProcessor("tap", class extends AudioWorkletProcessor {
  process([[channel]]) {
    if (channel) this.port.postMessage([currentFrame, channel.slice()]);
    return true;
  }
});"""
TAP = """async (source) => {
  const { player } = document.querySelector("[data-side-by-side]");
  const script = new Blob([source], { type: "text/javascript" });
  await player.context.audioWorklet.addModule(URL.createObjectURL(script));
  const tap = new AudioWorkletNode(player.context, "tap");
  window.blocks = [];
  tap.port.onmessage = ({ data: [frame, samples] }) => window.blocks.push([frame, [...samples]]);
  player.output.connect(tap).connect(player.context.destination);
  return player.context.sampleRate;
}"""


@pytest.fixture
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """The tap is a script of the test's own, which the page would rightly refuse."""
    return {**browser_context_args, "bypass_csp": True}


@pytest.fixture
def source() -> NDArray[np.float64]:
    return noise(SECONDS, level=0.2)


@pytest.fixture
def opened(
    page: Page, live_server: Any, transactional_db: None, source: NDArray[np.float64]
) -> Page:
    open_two(page, live_server.url, make_world(), source)
    return page


def tapped(page: Page) -> int:
    """The rate of what is heard from now on."""
    return int(page.evaluate(TAP, WORKLET))


def heard_in(page: Page) -> NDArray[np.float64]:
    """What left the player since it was tapped, each block where it was on the clock."""
    page.wait_for_timeout(200)
    blocks = page.evaluate("window.blocks")
    first = blocks[0][0]
    heard = np.zeros(blocks[-1][0] - first + 128)
    for frame, samples in blocks:
        heard[frame - first : frame - first + 128] = samples
    return heard


def told(what: str, milliseconds: float) -> None:
    """For docs/measurements.md: pytest -s shows it."""
    sys.stdout.write(f"{what}: {milliseconds:.3f} ms\n")


def at_rate(source: NDArray[np.float64], rate: int) -> NDArray[np.float64]:
    """As the browser decodes it for an output of another rate."""
    return np.asarray(resample_poly(source, rate // 100, RATE // 100))


def place_of(piece: NDArray[np.float64], source: NDArray[np.float64]) -> int:
    """Where in `source` a piece of it lies, by the peak of the cross-correlation."""
    size = len(source) + len(piece)
    lines = np.fft.rfft(source, size) * np.conj(np.fft.rfft(piece, size))
    return int(np.argmax(np.fft.irfft(lines, size)[: len(source)]))


def test_switching_keeps_the_position_and_leaves_no_gap(
    opened: Page, source: NDArray[np.float64]
) -> None:
    page = opened
    page.get_by_role("button", name="Full quality").click()
    expect(page.locator("[data-said]")).to_have_text("Now at full quality.")
    rate = tapped(page)
    source = at_rate(source, rate)
    play(page)
    page.wait_for_timeout(1200)
    page.get_by_role("button", name="B Far").click()
    page.wait_for_timeout(1200)
    page.get_by_role("button", name="Pause").click()
    heard = heard_in(page)
    started = int(np.argmax(np.abs(heard) > 0.01)) + rate // 20
    ended = len(heard) - int(np.argmax(np.abs(heard[::-1]) > 0.01)) - rate // 20
    size = rate // 4
    before, after = heard[started : started + size], heard[ended - size : ended]
    # Both play the same performance: were both at the same place, they would differ in the source
    # exactly as far as they lie apart in what was heard.
    played = ended - size - started
    drift = place_of(after, source) - place_of(before, source) - played
    told("switching error", 1000 * drift / rate)
    assert abs(drift) / rate < 0.001
    # No gap: the level in 2 ms windows nowhere falls by more than noise of that length does.
    middle = heard[started:ended]
    steps = middle[: len(middle) // 96 * 96].reshape(-1, 96)
    levels = np.sqrt((steps**2).mean(axis=1))
    assert levels.min() > 0.5 * np.median(levels)
    # Matched: the quieter one is as loud as the other (rms of noise, both a quarter of a second).
    ratio = float(np.sqrt((after**2).mean() / (before**2).mean()))
    assert 20 * np.log10(ratio) == pytest.approx(0, abs=0.3)


def test_small_copies_switch_at_the_same_position_too(
    opened: Page, source: NDArray[np.float64]
) -> None:
    page = opened
    play(page)
    rate = tapped(page)
    source = at_rate(source, rate)
    page.wait_for_timeout(1000)
    before = page.evaluate(f"() => [{POSITION}, performance.now()]")
    page.keyboard.press("2")
    after = page.evaluate(f"() => [{POSITION}, performance.now()]")
    assert abs((after[0] - before[0]) - (after[1] - before[1]) / 1000) < 0.02
    is_now(page, "playing")
    page.wait_for_timeout(800)
    heard = heard_in(page)
    size = rate // 4
    first, last = heard[rate // 4 :][:size], heard[-2 * size : -size]
    played = len(heard) - 2 * size - rate // 4
    drift = place_of(last, source) - place_of(first, source) - played
    told("switching error, small copies", 1000 * drift / rate)
    assert abs(drift) / rate < 0.005


def test_a_loop_stays_in_step(opened: Page) -> None:
    """After many rounds both still lie at the same place: what is heard follows the position."""
    page = opened
    page.get_by_label("from, s").first.fill("1")
    page.get_by_label("to, s").first.fill("1.3")
    page.get_by_role("button", name="Loop").click()
    # The answer on loudness takes the same line of the page as what is said next.
    expect(page.locator("[data-said]")).to_contain_text("Looping 1 to 1.3 s. Equally loud")
    page.get_by_role("button", name="Full quality").click()
    expect(page.locator("[data-said]")).to_have_text("Now at full quality.")
    rate = tapped(page)
    play(page)
    page.wait_for_timeout(2000)
    page.get_by_role("button", name="B Far").click()
    page.wait_for_timeout(1000)
    page.get_by_role("button", name="Pause").click()
    heard = heard_in(page)
    started = int(np.argmax(np.abs(heard) > 0.01))
    ended = len(heard) - int(np.argmax(np.abs(heard[::-1]) > 0.01))
    loop = round(0.3 * rate)
    rounds = (ended - started) // loop - 1
    late = heard[started + (rounds - 1) * loop :][:loop]
    early = heard[started:][:loop]
    size = 1 << 16
    lines = np.fft.rfft(late, size) * np.conj(np.fft.rfft(early, size))
    lag = int(np.argmax(np.fft.irfft(lines, size)))
    drift = min(lag, size - lag)
    told(f"drift after {rounds} rounds", 1000 * drift / rate)
    assert drift / rate < 0.001
