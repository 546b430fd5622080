"""Taps, keys, page loads and time of the server for a whole first rehearsal day on a phone.

python -m tests.bench.first_day

From an empty database, in Chromium at 390 px with touch (tests/bench/counting.py says what counts):
the set-up link, the production, its players and people; a guitar rig with two amplifiers, 16 cables
and 2 microphones; a kit with 10 inputs; 8 microphones and DIs; 12 photos; 4 songs with lengths. A
picture chosen from the phone's own pictures is a tap, as are opening and closing them.

At the end the database is counted, so that a way which leaves content out fails.
"""

from __future__ import annotations

import io
import os
import re
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
django.setup()

from PIL import Image
from playwright.sync_api import Browser, FilePayload, Locator, sync_playwright

from core.models import OneTimeLink, Player, Production, Song
from core.services import first_person
from rigs.models import Control, Device, Input, Link, Photo, Rig, Unit
from tests.bench.counting import Counted, Figures
from tests.bench.serving import served
from tests.conftest import find_browser
from tests.support.phones import PHONE

# Measured before there were lists for players, songs, devices and inputs; not to be repeated.
BEFORE = Figures(taps=573, keys=1676, loads=177)
# What the same content may take at most.
AIM = Figures(taps=250, keys=900, loads=70)

PASSWORD = "two amps and a kit"
PLAYERS = ("Tam Okoro, guitar", "Ines Varga, bass", "Nel Brack, drums", "Ona Reve, voice")
# What else they are, and which player where they are one.
PEOPLE = (("backline tech", ""), ("player", "Tam Okoro"), ("crew", ""))
# Name, kind, maker and model, settings of its usual controls in order.
# The kind may stay empty where the name tells it.
GUITAR_RIG = (
    "Main guitar,,Corve Lark,bridge,10,7",
    "Spare guitar",
    "Radio,,,606.5",
    "Tuner",
    "Squeeze,comp,,on,-18,4",
    "Fuzz,,,off,1,3,11",
    "Drive,,,on,12:30,10",
    "Echo,,,off,380",
    "Splitter",
    "Left head,valve,Tarn Fifty,2:30,11,12,1,9,12",
    "Right head,valve,Orlo 30,12:30,1,10,2,10,11",
    "Left cab,,Tarn 2x12",
    "Right cab,,Orlo 4x12",
    "Supply",
)
# What stands in braces is a unit put in by a tap, with its arrow; all else is typed.
PATH = (
    "{Main guitar}{Radio}{Tuner}{Squeeze}{Fuzz}{Drive}{Echo}{Splitter}",
    "out a{Left head}{Left cab}",
    "{Splitter} out b{Right head}{Right cab}",
    "{Spare guitar}{Splitter} in 2",
    "{Supply}: 1{Tuner}",
    "{Supply}: 2{Fuzz}",
    "{Supply}: 3{Drive}",
    "{Supply}: 4{Echo}",
)
# In braces a word put in by a tap, with a space.
DEVICES = (
    "{boundary}{half cardioid} Orlo Flat",
    "{dynamic}{supercardioid} Tarn D6",
    "{dynamic}{cardioid} Tarn D57",
    "{condenser}{cardioid} Orlo C2",
    "{dynamic}{cardioid} Tarn D4",
    "{condenser}{omni} Orlo Wide",
    "{ribbon}{figure 8} Lume R1",
    "{passive DI} Hale Box",
)
# In braces as above, with a comma.
GUITAR_INPUTS = ("21 Left cab{D57},3cm", "22 Right cab{R1},20cm")
KIT = ("Kick", "Snare", "Hi-hat", "Rack tom", "Floor tom", "Ride", "Crash")
KIT_INPUTS = (
    "1 Kick in{Flat}",
    "2 Kick out{D6},5cm",
    "3 Snare top{D57},4cm",
    "4 Snare bottom{D57},5cm",
    "5 Hi-hat{C2},10cm",
    "6 Rack tom{D4},4cm",
    "7 Floor tom{D4},4cm",
    "8 Ride{C2},12cm",
    "9 OH L{Wide},90cm",
    "10 OH R{Wide},90cm",
)
SONGS = ("Over the Ridge 4:05", "Slow Ferry 3:20", "Cold Harbour 5:10", "Last Light 4:40")
PHOTOS = (8, 4)  # of the guitar rig, of the kit


def pictures(first: int, many: int) -> list[FilePayload]:
    """Photos of different colours, as a phone would give them."""
    return [
        FilePayload(name=f"IMG_{n:04}.jpg", mimeType="image/jpeg", buffer=_jpeg(n))
        for n in range(first, first + many)
    ]


def _jpeg(number: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (1600, 1200), (number * 20 % 256, 90, 40)).save(out, "JPEG")
    return out.getvalue()


class Day:
    """A crew's first day, step by step, each from the page where the one before ended."""

    def __init__(self, hand: Counted) -> None:
        self.hand, self.page = hand, hand.page

    def link(self, name: str) -> Locator:
        return self.page.get_by_role("link", name=name)

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def set_up(self, link: str) -> None:
        self.page.goto(link)
        self.hand.taps += 1  # on the link, or on what the camera made of its QR code
        self.hand.type_into("password", PASSWORD)
        self.hand.type_into("name", "Low Ferry")
        self.hand.tap(self.page.get_by_label("FOH engineer"))
        self.hand.go(self.button("Begin"))
        self.hand.done("set-up, production")

    def lines(self, lines: tuple[str, ...], *buttons: str) -> None:
        """Into the page's one field, and on by the buttons."""
        self.write("lines", lines)
        for button in buttons:
            self.hand.go(self.button(button))

    def write(self, name: str, lines: tuple[str, ...]) -> None:
        """Into a field; what stands in braces by a tap on the word below it."""
        for piece in re.split(r"(\{.*?\})", "\n".join(lines)):
            if piece.startswith("{"):
                word = self.page.locator(f"[data-words='{name}'] [data-word='{piece[1:-1]}']")
                self.hand.tap(word)
            elif piece:
                self.hand.type_into(name, piece)

    def players(self) -> None:
        self.hand.go(self.link("Add the players"))
        self.lines(PLAYERS, "Add them")
        self.hand.done("players")

    def people(self) -> None:
        self.hand.go(self.link("Low Ferry"))
        self.hand.go(self.link("Invite the others"))
        for place, (role, player) in enumerate(PEOPLE):
            if place:
                self.hand.go(self.link("Invite another"))
            self.hand.tap(self.page.get_by_label(role, exact=True))
            if player:
                self.hand.choose(self.page.locator("[name=player]"), player)
            self.hand.go(self.button("Make the invitation"))
        self.hand.done("people invited")

    def rig(self, player: str, name: str) -> None:
        self.hand.go(self.page.locator(".thumb-nav").get_by_role("link", name="Rigs"))
        self.hand.go(self.link("Add").filter(has_text="rig"))
        self.hand.choose(self.page.locator("[name=player]"), player)
        self.hand.type_into("name", name)
        self.hand.go(self.button("Save"))

    def section(self, key: str) -> None:
        """Reach a section of the rig by the bar of its sections."""
        self.hand.tap(self.page.locator(f".rig-nav a[href='#{key}']"))

    def units(self, lines: tuple[str, ...], *buttons: str) -> None:
        self.section("units")
        self.hand.go(self.page.locator("#units").get_by_role("link", name="Several"))
        self.lines(lines, *buttons)

    def cables(self) -> None:
        self.section("path")
        self.hand.go(self.link("Type the path"))
        self.write("words", PATH)
        self.page.get_by_role("heading", name="Cables (16 new)").wait_for()
        self.hand.go(self.button("Save the cables"))
        self.hand.done("cables")

    def devices(self) -> None:
        self.hand.tap(self.page.locator(".thumb-nav summary"))
        self.hand.go(self.page.locator(".thumb-nav .menu-sheet").get_by_role("link", name="Mic"))
        self.hand.go(self.link("Several"))
        self.lines(DEVICES, "Show what was read", "Add them")
        self.hand.done("devices")

    def inputs(self, lines: tuple[str, ...]) -> None:
        self.section("inputs")
        self.hand.go(self.page.locator("#inputs").get_by_role("link", name="Several"))
        self.lines(lines, "Show what was read", "Add them")

    def photos(self, first: int, many: int, last: str) -> None:
        """Taken in the order of the rig, but for the last one, which shows the unit `last`."""
        self.section("photos")
        self.hand.go(self.page.locator("#photos").get_by_role("link", name="Add").first)
        self.page.locator("input[name=photos]").set_input_files(pictures(first, many))
        self.hand.taps += many + 2  # open the phone's pictures, choose, done
        self.hand.go(self.button("Add"))
        shown = self.page.locator(".describe-row").last.get_by_label("What it shows")
        self.hand.choose(shown, last)
        self.hand.go(self.page.get_by_role("button", name="Save all", exact=True).first)

    def songs(self) -> None:
        self.hand.tap(self.page.locator(".thumb-nav summary"))
        self.hand.go(self.page.locator(".thumb-nav .menu-sheet").get_by_role("link", name="Songs"))
        self.hand.go(self.link("Add the songs"))
        self.lines(SONGS, "Add them")
        self.hand.done("songs")

    def whole(self, link: str) -> None:
        self.set_up(link)
        self.players()
        self.people()
        self.devices()
        self.rig("Tam Okoro", "Main")
        self.units(GUITAR_RIG, "Add them", "Add them")
        self.hand.done("guitar rig, its units")
        self.hand.go(self.page.locator(".trail").get_by_role("link", name="Main"))
        self.cables()
        self.inputs(GUITAR_INPUTS)
        self.hand.done("guitar rig, its inputs")
        self.photos(0, PHOTOS[0], "Left head")
        self.hand.done("guitar rig, its photos")
        self.rig("Nel Brack", "Kit")
        self.units(KIT, "Add them")
        self.hand.done("kit, its units")
        self.hand.go(self.page.locator(".trail").get_by_role("link", name="Kit"))
        self.inputs(KIT_INPUTS)
        self.hand.done("kit, its inputs")
        self.photos(PHOTOS[0], PHOTOS[1], "Crash")
        self.hand.done("kit, its photos")
        self.songs()


def run(browser: Browser, link: str) -> Counted:
    """The whole day from its set-up link on."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    hand = Counted(context.new_page())
    try:
        Day(hand).whole(link)
    finally:
        context.close()
    return hand


def missing() -> list[str]:
    """What of the day's content the database has not; empty where all of it is there."""
    settings = Control.objects.exclude(setting="").filter(unit__rig__name="Main")
    placed = Input.objects.exclude(distance_m=None)
    wanted: list[tuple[str, int, int]] = [
        ("productions", Production.objects.filter(name="Low Ferry").count(), 1),
        ("players", Player.objects.count(), len(PLAYERS)),
        ("invitations", OneTimeLink.objects.filter(purpose="invitation").count(), len(PEOPLE)),
        ("rigs", Rig.objects.count(), 2),
        ("units of the guitar rig", _of(Unit, "Main"), len(GUITAR_RIG)),
        ("amplifiers", Unit.objects.filter(gear="valve_head").count(), 2),
        ("settings", settings.count(), 28),
        ("cables", _of(Link, "Main"), 16),
        ("devices", Device.objects.exclude(maker="").count(), len(DEVICES)),
        ("patterns", Device.objects.exclude(pattern="").count(), 7),
        ("units of the kit", _of(Unit, "Kit"), len(KIT)),
        ("drums", Unit.objects.filter(gear="drum").count(), 4),
        ("cymbals", Unit.objects.filter(gear="cymbal").count(), 3),
        ("inputs of the kit", _of(Input, "Kit"), len(KIT_INPUTS)),
        ("inputs of the amplifiers", _of(Input, "Main"), len(GUITAR_INPUTS)),
        ("inputs with a device", Input.objects.exclude(device=None).count(), 12),
        ("inputs with a unit", Input.objects.exclude(unit=None).count(), 10),
        ("inputs with a channel", Input.objects.exclude(number=None).count(), 12),
        ("distances", placed.count(), 11),
        ("photos", Photo.objects.count(), sum(PHOTOS)),
        ("photos of what was chosen", _photos_of("Left head", "Crash"), 2),
        ("described photos", sum(photo.is_described for photo in Photo.objects.all()), 12),
        ("songs with a length", Song.objects.exclude(length_s=None).count(), len(SONGS)),
    ]
    return [f"{what}: {found} of {n}" for what, found, n in wanted if found != n]


def _of(model: Any, rig: str) -> int:
    return int(model.objects.filter(rig__name=rig, retired=False).count())


def _photos_of(*units: str) -> int:
    about = Unit.objects.filter(name__in=units).values("pk")
    return Photo.objects.filter(about__in=about).count()


def table(hand: Counted) -> str:
    """Each step and the sum, beside what the day took before."""
    rows = [("", "taps", "keys", "loads", "server, s")]
    rows += [(step, *_cells(spent)) for step, spent in hand.steps]
    rows += [
        ("the whole day", *_cells(hand.so_far)),
        ("before", *map(str, BEFORE[:3]), ""),
        ("aim: under", *map(str, AIM[:3]), ""),
    ]
    return "\n".join(f"{row[0]:<24}" + "".join(f"{cell:>10}" for cell in row[1:]) for row in rows)


def _cells(spent: Figures) -> list[str]:
    return [str(spent.taps), str(spent.keys), str(spent.loads), f"{spent.server_s:.1f}"]


def main() -> None:
    with served() as server, sync_playwright() as play:
        person = first_person.make_first_person(name="Tilda Marnock", email="t@marnock.example")
        browser = play.chromium.launch(executable_path=find_browser(), args=["--no-sandbox"])
        hand = run(browser, server + first_person.make_link(person).path)
        browser.close()
        print(table(hand))
        left_out = missing()
        print("all there" if not left_out else f"NOT WHOLE: {'; '.join(left_out)}")


if __name__ == "__main__":
    main()
