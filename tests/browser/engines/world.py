"""What the path begins with: the small world, a leg, a show, sounds, a player without a rig."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.browser.engines.seat import Seat
from tests.support.phones import Stage
from tests.support.prepared import prepare
from tests.support.server_process import FIRST_SCRIPT, Server

PASSWORD = "long-enough-1"
SET_UP = """
from datetime import date, timedelta
from core.models import Leg, Player, Show
from notes.blind.services import open_blind
from tests.support.clips_side_by_side import clip_of, later, noise
from tests.support.listening import open_a_trial
from tests.support.world import make_world
world = make_world()
Player.objects.create(production=world.production, name="Otis Verrall", instrument="guitar",
                      position=9)
today = date.today()
leg = Leg.objects.create(production=world.production, name="Winter halls",
                         starts_on=today, ends_on=today + timedelta(days=9))
Show.objects.create(leg=leg, held_on=today + timedelta(days=1), room="Granary")
source = noise(3.0, level=0.2)
near, far = clip_of(world, source, "Near"), clip_of(world, 0.25 * later(source, 4800), "Far")
blind = open_blind(trial=open_a_trial(world), clip_a=near, clip_b=far, rounds=5, listeners=2,
                   by=world.engineer)
print(json.dumps({
    "place": f"/p/{world.production.pk}", "leg": str(leg.pk), "rig": str(world.rig.pk),
    "clips": [str(near.pk), str(far.pk)], "blind": str(blind.pk), "unit": str(world.unit.pk),
    "mail": {str(role): user.email for role, user in world.people.items()},
}))
"""


class Scene(Stage):
    """Its server, whose pages keep what goes wrong on them. `made`: the rig of the path."""

    made = ""

    def __init__(self, folder: Path) -> None:
        self.server = Server(folder)
        self.world: dict[str, Any] = prepare(folder, SET_UP)
        script = Path(__file__).parent / "noticed.js"
        (folder / FIRST_SCRIPT).write_text(script.read_text())

    @property
    def place(self) -> str:
        return str(self.world["place"])

    def ask(self, code: str) -> Any:
        return self.server.run(code)


def log_in(seat: Seat, scene: Scene, role: str) -> None:
    seat.go("/login/")
    seat.fill("E-mail", scene.world["mail"][role])
    seat.fill("Password", PASSWORD)
    seat.send()
    seat.until("() => document.querySelector('.masthead-menu')?.nodeName", why="logged in")


def log_out(seat: Seat) -> None:
    seat.go("/")
    seat.press("css", ".masthead-menu summary", within="body")
    seat.leave_by("button", "Log out", within="body")
