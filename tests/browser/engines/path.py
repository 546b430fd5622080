"""The main path, written once: a rig from nothing to a signature, a handover and a guest.

Words are those of the pages. Each part leaves the browser as the next one needs it.
"""

from __future__ import annotations

from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from PIL import Image, ImageDraw

from tests.browser.engines.seat import Seat
from tests.browser.engines.world import Scene, log_out

# Not waited for: on a busy machine an engine may leave the promise of `play` open for long.
PLAYING = """(number) => {
  const player = document.querySelectorAll("audio")[number];
  if (player.paused) player.play().catch(() => {});
  return player.currentTime > 0.1 && [player.currentSrc.split("/").at(-2)];
}"""
SENT = """() => [...document.querySelectorAll("[data-waiting-list] > li .badge-ok")].some((each) =>
  each.checkVisibility())"""
# With the worker, or, where that is slow to answer, with the page.
KEPT_DRAFT = """async (words) => {
  const own = Object.entries(localStorage).filter(([key]) => key.startsWith("draft "));
  const isIn = ({ fields }) => fields.some(([, value]) => value === words);
  if (own.some(([, text]) => isIn(JSON.parse(text)))) return true;
  const held = await new Promise((resolve) => {
    const opened = indexedDB.open("toneledger");
    opened.onsuccess = () => resolve(opened.result);
  });
  const asked = held.transaction("drafts").objectStore("drafts").getAll();
  const rows = await new Promise((resolve) => (asked.onsuccess = () => resolve(asked.result)));
  held.close();
  return rows.some(isIn);
}"""
# Each icon is fetched and drawn, in the size that the manifest says.
APP = """async () => {
  const told = await (await fetch(document.querySelector("link[rel=manifest]").href)).json();
  const icons = await Promise.all(told.icons.map(async ({ src, sizes }) => {
    const image = new Image();
    image.src = src;
    await image.decode();
    return `${image.naturalWidth}x${image.naturalHeight}` === sizes;
  }));
  const start = await fetch(told.start_url);
  return { display: told.display, icons, start: start.ok };
}"""
RIG = """
from rigs.models import Rig
rig = Rig.objects.get(name="Guitar main")
print(json.dumps({"rig": str(rig.pk), "inputs": [str(i.device) for i in rig.inputs.all()],
    "photos": rig.photos.count(), "head": rig.head_number,
    "settings": {c.name: c.setting for u in rig.units.all() for c in u.controls.all()}}))
"""


def photo(folder: Path) -> Path:
    """A picture as a telephone takes it: JPEG, 12 megapixels, its camera turned on its side."""
    picture = Image.new("RGB", (4032, 3024), "seagreen")
    ImageDraw.Draw(picture).ellipse((600, 400, 2600, 2400), fill="black")
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation, of CIPA DC-008 (Exif)
    path = folder / "rig.jpg"
    picture.save(path, "JPEG", quality=70, exif=exif)
    return path


def document(seat: Seat, scene: Scene) -> None:
    """A rig, a unit with two dials, an input with its microphone."""
    seat.go(f"{scene.place}/rigs/new/")
    seat.choose("Player", "Otis Verrall")
    seat.fill("Name", "Guitar main")
    seat.fill("How it should sound", "A slow door closing.")
    seat.send()
    rig = scene.made = str(seat.run("() => /.*\\/rigs\\/[^/]+\\//.exec(location.pathname)[0]"))
    seat.go(f"{rig}units/new/?gear=valve_head")
    seat.fill("Name", "Thirty-watt head")
    seat.fill("Gain", "2.30")
    seat.fill("Treble", "9:30")
    seat.send()
    seat.go(f"{rig}inputs/new/")
    seat.fill("Name", "Guitar mic")
    seat.choose("Microphone or DI", "Corvane Hollow 2")
    seat.fill("Distance", "1 3/8 in")
    seat.send()
    seat.go(rig)
    for words in ("A slow door closing.", "2:30", "1.375 in (35 mm)"):
        seat.says(words)


def dial(seat: Seat, scene: Scene) -> None:
    """By the arrow keys, 7.5° each, and by a finger, 1.5° a pixel."""
    seat.go(scene.made)
    seat.follow("Thirty-watt head")
    seat.press("field", "Gain")
    seat.key("ArrowUp")
    value = "() => document.querySelector('[data-in-hand]').value"
    seat.until(f"() => ({value})() === '2:45'")
    seat.hold("field", "Treble")
    knob = seat.hold("css", "[data-in-hand] + .knob")
    seat.drag(knob["x"], knob["y"], 20)
    seat.hold("field", "Treble")
    seat.until(f"() => ({value})() === '10:30'", why="10:30 by dragging")
    seat.leave_by("button", "Save the settings")
    turned = {name: on for name, on in scene.ask(RIG)["settings"].items() if on}
    assert turned == {"Gain": "2:45", "Treble": "10:30"}


def photograph(seat: Seat, scene: Scene) -> None:
    """A file of some megabytes; shown upright."""
    seat.go(f"{scene.made}photos/new/")
    seat.bring(photo(scene.server.folder))
    seat.send()
    seat.go(scene.made)
    seat.hold("css", ".photo img")
    seat.until(
        """async () => {
          const image = document.querySelector(".photo img");
          await image.decode();
          return image.naturalHeight > image.naturalWidth;
        }""",
        why="the photo upright",
    )
    assert scene.ask(RIG)["photos"] == 1


def note(seat: Seat, scene: Scene) -> None:
    """What was heard, a microphone changed because of it, and none without a reason."""
    seat.go(f"{scene.made}notes/new/")
    seat.tick("Guitar mic")
    seat.fill("What was said", "That is wire, not wool.")
    seat.tick("reject")
    seat.send()
    seat.follow("Change something because of this")
    seat.leave_by("css", "a[href*='/change/inputs/']")
    seat.choose("Microphone or DI", "Corvane Eskvane 4")
    seat.send()
    seat.says("That is wire, not wool.")
    seat.go(f"{scene.place}/changes/")
    for words in ("Corvane Eskvane 4", "That is wire, not wool."):
        seat.says(words)
    seat.go(scene.made)
    seat.follow("Guitar mic")
    seat.follow("Edit")
    seat.choose("Microphone or DI", "Corvane Hollow 2")
    seat.send()
    seat.says("needs a reason")
    assert scene.ask(RIG)["inputs"] == ["Corvane Eskvane 4"]


def hand_over(seat: Seat, scene: Scene) -> None:
    """Published by the engineer, and a section of it read."""
    seat.go(f"{scene.place}/handovers/{scene.world['leg']}/")
    seat.follow("Publish")
    seat.send()
    seat.says("is published")
    seat.leave_by("button", "I have read this")
    seat.says("you read it on")


def listen(seat: Seat, scene: Scene) -> None:
    """In a list, side by side, blind: each is heard, or the page says what to do instead."""
    seat.go(f"{scene.place}/clips/")
    assert seat.until(PLAYING, 0, why="a clip heard in the list") == ["preview"]
    side_by_side(seat, scene)
    seat.go(f"{scene.place}/blind/{scene.world['blind']}/")
    seat.leave_by("button", "Begin")
    for key, number in (("1", 0), ("3", 2)):
        # Worked out anew for whoever listens, so that it takes a moment to come.
        seat.until("(n) => document.querySelectorAll('audio')[n].readyState >= 2", number)
        seat.key(key)
        seat.until("(n) => document.querySelectorAll('audio')[n].currentTime > 0.1", number)
    seat.press("css", "input[name=x]")
    seat.leave_by("button", "Next round")
    seat.says("Round 2 of 5", within="body")


def side_by_side(seat: Seat, scene: Scene) -> str:
    """How it is heard: switched while playing, or one by one where the device gives no sound."""
    one, other = scene.world["clips"]
    seat.go(f"{scene.place}/clips/compare/?clip={one}&clip={other}")
    seat.press("button", "Play")
    state = "document.querySelector('[data-side-by-side]').dataset.state"
    # It rests again once it has played: seconds later, which may be between two looks.
    found = seat.until(f"() => ['playing', 'paused', 'failed'].includes({state}) && {state}")
    if found != "failed":
        seat.press("css", "[data-pick]", which=1)
        seat.says("is heard", within="[data-said]")
    else:
        seat.says("Below they can be played one by one.")
        for number in (0, 1):
            seat.until(PLAYING, number, why=f"clip {number} heard by itself")
    return "failed" if found == "failed" else "playing"


def sign(seat: Seat, scene: Scene) -> None:
    """The engineer asks; whoever has the link signs without an account, once."""
    seat.go(f"{scene.place}/rigs/{scene.world['rig']}/")
    seat.follow("Ask Ines Halloran to sign")
    seat.choose("Clip", "Near")
    seat.send()
    link = seat.run("() => document.querySelector('#link-to-pass-on').value")
    log_out(seat)
    seat.go(link)
    seat.says("Warm, woody, no clank.")
    seat.until(PLAYING, 0, why="the clip that is signed along")
    seat.press("css", ".say-signed textarea")
    seat.type("That is it.")
    seat.leave_by("button", "This is my sound")
    seat.says("Thank you, Ines Halloran")
    seat.go(link)
    seat.says("This link is closed", within="body")


def share(seat: Seat, scene: Scene) -> str:
    """The link to a rig, made by somebody of the crew."""
    seat.go(f"{scene.place}/rigs/{scene.world['rig']}/")
    seat.follow("Share")
    seat.fill("For whom", "House engineer, Weir Hall")
    seat.leave_by("button", "Make the link")
    return str(seat.run("() => document.querySelector('#link-to-pass-on').value"))


def be_a_guest(seat: Seat, scene: Scene, link: str) -> None:
    """Read without an account, kept, read without a network."""
    seat.go(link)
    seat.says("House engineer, Weir Hall", within="body")
    seat.press("button", "Keep it on this phone", within="body")
    seat.says("can be read without a network", within="[data-guest-said]")
    scene.server.stop()
    seat.go(link)
    seat.says("The server cannot be reached", within="[data-kept-notice]")
    seat.says("Warm, woody, no clank.", within="body")
    scene.server.start()


def be_offline(seat: Seat, scene: Scene) -> None:
    """A handover that was opened is read; a note waits and goes up by itself."""
    handover = f"{scene.place}/handovers/{scene.world['leg']}/"
    seat.go(handover)
    seat.says("Stored on this device", within="[data-keep]")
    scene.server.stop()
    seat.go(handover)
    seat.says("The server cannot be reached", within="[data-kept-notice]")
    seat.says("Warm, woody, no clank.")
    seat.go(f"{scene.place}/rigs/{scene.world['rig']}/notes/new/")
    seat.fill("What was said", "Wool, not wire.")
    seat.tick("adjust")
    seat.leave_by("button", "Save the note")
    seat.says("Wool, not wire.", within="[data-waiting-list]")
    scene.server.start()
    seat.go("/waiting/")
    seat.until(SENT, why="the note on its way")
    assert scene.found()["notes"].count("Wool, not wire.") == 1


def be_interrupted(seat: Seat, scene: Scene) -> None:
    """A form that was left is put back."""
    form = f"{scene.place}/rigs/{scene.world['rig']}/inputs/new/"
    seat.go(form)
    seat.hold("css", "form[data-draft=ready]")
    seat.fill("Name", "Snare")
    seat.until(KEPT_DRAFT, "Snare", why="kept on the device")
    seat.go(f"{scene.place}/rigs/")
    seat.go(form)
    seat.says("It is put back.", within="[data-draft-said]")
    seat.hold("field", "Name")
    assert seat.run("() => document.querySelector('[data-in-hand]').value") == "Snare"


def be_installed(seat: Seat, scene: Scene) -> None:
    """What an engine reads when somebody puts the app on their home screen."""
    seat.go(f"{scene.place}/")
    told = seat.run(APP)
    assert (told["display"], told["start"]) == ("standalone", True)
    assert told["icons"]
    assert all(told["icons"]), told


def date_a_show(seat: Seat, scene: Scene) -> None:
    """A day from the engine's own field for days, which all three have; and as text, which is what
    an engine without one sends."""
    for days, room, as_text in ((3, "Cellar", False), (4, "Attic", True)):
        day = (date.today() + timedelta(days=days)).isoformat()
        seat.go(f"{scene.place}/tour/legs/{scene.world['leg']}/shows/new/")
        seat.hold("field", "Date")
        if as_text:
            seat.run("() => { document.querySelector('[data-in-hand]').type = 'text'; }")
            seat.fill("Date", day)
        else:
            assert seat.run("() => document.querySelector('[data-in-hand]').type") == "date"
            assert seat.put("Date", day) == day
        seat.fill("Room", room)
        seat.send()
        seat.says(room)


def print_it(seat: Seat, said: str, *, sheets: int) -> None:
    """The page on paper: A4, its words whole, nothing of what is only for pressing."""
    if (paper := seat.paper()) is None:
        return
    with closing(pdfium.PdfDocument(paper)) as made:
        words = "\n".join(page.get_textpage().get_text_bounded() for page in made)
        # In points; engines round to pixels of their own.
        assert made[0].get_size() == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=1)
        assert said in " ".join(words.split()), words
        assert "Log out" not in words
        assert len(made) <= sheets
