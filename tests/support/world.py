"""A small invented production, built through the services that pages use."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from core.models import Membership, Player, Production, User
from core.models.roles import Role
from rigs.changes.edits import Add, Edit, Set
from rigs.changes.reasons import NO_REASON, Reason, ReasonKind
from rigs.models import Control, Device, Input, Revision, Rig, Unit
from rigs.revisions.record import create, record

HIRE = Reason(ReasonKind.HIRE, "Ours is in repair.")


@dataclass
class World:
    """A production with a person for each role, and one rig with a unit, a control and an input."""

    production: Production
    people: dict[str, User]
    outsider: User
    player: Player
    rig: Rig
    unit: Unit
    control: Control
    input: Input
    mic: Device
    other_mic: Device

    @property
    def engineer(self) -> User:
        return self.people[Role.ENGINEER]

    @property
    def tech(self) -> User:
        return self.people[Role.TECH]

    def record(self, *edits: Edit, base: int | None = None, **more: Any) -> Revision | None:
        # Somebody else may have written since: tests of conflicts name their base instead.
        self.rig.refresh_from_db()
        more.setdefault("author", self.tech)
        at = self.rig.head_number if base is None else base
        return record(self.rig, edits, base=at, **more)

    def turn(self, setting: str, **more: Any) -> Revision | None:
        return self.record(Set(str(self.control.pk), "control", {"setting": setting}), **more)

    def swap(self, device: Device, reason: Reason = NO_REASON, **more: Any) -> Revision | None:
        edit = Set(str(self.input.pk), "input", {"device": str(device.pk)})
        return self.record(edit, reason=reason, **more)


def make_user(name: str) -> User:
    return User.objects.create_user(f"{name.replace(' ', '.')}@example.org", name, "long-enough-1")


def make_device(production: Production, name: str, **more: Any) -> Device:
    values = {"maker": "Corvane", "form": "mic", "principle": "dynamic", "pattern": "cardioid"}
    return Device.objects.create(production=production, name=name, **(values | more))


def make_world(name: str = "The Long Quiet") -> World:
    production = Production.objects.create(name=name)
    # E-mail addresses are unique on a server, and a test may make several worlds.
    tag = uuid4().hex[:6]
    people = {role: make_user(f"{role} {tag}") for role in Role.values}
    player = Player.objects.create(production=production, name="Ines Halloran", instrument="bass")
    for role, user in people.items():
        Membership.objects.create(
            production=production,
            user=user,
            role=role,
            player=player if role == Role.PLAYER else None,
        )
    mic, other = make_device(production, "Hollow 2"), make_device(production, "Eskvane 4")
    unit, control, entry = uuid4(), uuid4(), uuid4()
    rig = make_rig(
        production,
        player,
        people[Role.TECH],
        parts=(
            Add(str(unit), "unit", {"name": "Head", "gear": "valve_head", "maker": "Tarn"}),
            Add(str(control), "control", {"unit": str(unit), "name": "Gain", "setting": "2:30"}),
            Add(str(entry), "input", input_fields(unit, mic.pk)),
        ),
    )
    return World(
        production,
        people,
        make_user(f"outsider {tag}"),
        player,
        rig,
        Unit.objects.get(pk=unit),
        Control.objects.get(pk=control),
        Input.objects.get(pk=entry),
        mic,
        other,
    )


def make_rig(
    production: Production,
    player: Player,
    author: User,
    name: str = "Bass main",
    parts: tuple[Add, ...] = (),
) -> Rig:
    rig = Rig(production=production, player=player, name=name, sound="Warm, woody, no clank.")
    create(rig, author=author, parts=parts)
    return rig


def input_fields(unit: UUID, device: UUID) -> dict[str, Any]:
    return {
        "number": 7,
        "name": "Bass mic",
        "unit": str(unit),
        "device": str(device),
        "aimed_at": "cone edge",
        "reference_point": "grille",
        "distance_m": Decimal("0.035"),
        "angle_deg": Decimal("20"),
        "high_pass_hz": Decimal("30"),
    }
