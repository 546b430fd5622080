"""What a check says of each control, against what is documented now."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.languages.words import number
from rigs.checks.figures import listed
from rigs.editing.pages import address
from rigs.models import Control, PanelCheck, StoredPhoto, TurnBack
from rigs.settings_of_controls import SWEEP_DEG, Travel, angle_of, read_travel, setting_at

SAME_DEG = 8.0  # what is told may be off by so much; what is nearer counts as documented
OUTSIDE_TRAVEL = gettext_lazy("it would point outside its travel: are the ends of its mark right?")
NOT_DOCUMENTED = gettext_lazy("how it stands on the first photo, or now, is not documented")


class Patch(NamedTuple):
    """A picture moved so that a cap fills the same circle: `transform` is for an SVG whose unit is
    the radius of that circle, `width` and `height` in pixels."""

    transform: str
    width: int
    height: int


@dataclass(frozen=True)
class KnobState:
    """One control as a photo shows it. `off` in degrees clockwise from what is documented; None
    where it cannot be told, `reason` says why. `stands` is the setting it then points at, or empty.
    """

    check: PanelCheck
    name: str
    control: Control | None  # None: it is no longer in the rig
    off: float | None
    reason: str
    stands: str
    before: Patch | None
    after: Patch | None
    kind: str = "knob"  # or fader, switch
    turn_back: TurnBack | None = None

    @property
    def is_same(self) -> bool:
        if self.kind == "switch":
            return self.control is not None and self.stands == self.control.setting != ""
        return self.off is not None and abs(self.off) <= SAME_DEG

    @property
    def is_turned(self) -> bool:
        return not self.reason and not self.is_same

    @property
    def off_words(self) -> str:
        """By how much it is turned, and which way."""
        if self.kind == "switch":
            return _("switched")
        if self.off is None:
            return ""
        if self.kind == "fader":
            return _("moved by {share} % of its way").format(
                share=number(abs(self.off) / SWEEP_DEG * 100, 0)
            )
        words = (
            _("turned {angle}° clockwise") if self.off > 0 else _("turned {angle}° anticlockwise")
        )
        return words.format(angle=number(abs(self.off), 0))

    @property
    def take_url(self) -> str:
        """The form that takes over how it stands."""
        if self.control is None:
            return ""
        asked = urlencode({"setting": self.stands, "check": str(self.check.pk)})
        return f"{address(self.control.rig, 'knob_take_over', self.control.pk)}?{asked}"


def states(check: PanelCheck) -> list[KnobState]:
    """Each control of the check, as it is to be read now. Two queries."""
    ids = [reading["control"] for reading in check.readings]
    rows = Control.objects.live().filter(pk__in=ids).select_related("rig", "unit")
    controls = {str(row.pk): row for row in rows}
    backs = {str(row.control_id): row for row in TurnBack.objects.filter(panel_check=check)}
    return [
        _state(check, reading, controls.get(reading["control"]), backs.get(reading["control"]))
        for reading in check.readings
    ]


def _state(
    check: PanelCheck, reading: dict[str, Any], control: Control | None, back: TurnBack | None
) -> KnobState:
    # Stored in English, told in the language of the reader.
    off, reason, stands = None, _(reading["reason"]) if reading["reason"] else "", ""
    if control is None:
        reason = _("it is no longer in the rig")
    elif reading["kind"] == "switch":
        stands = reading["stands"]
    elif reading["turn"] is not None:
        off, reason, stands = _against(control, reading)
    return KnobState(
        check,
        str(control) if control else reading["name"],
        control,
        off,
        reason,
        stands,
        _before(check.before, reading["circle"]),
        _after(check.image, reading["seen"]),
        reading["kind"],
        back,
    )


def _against(control: Control, reading: Mapping[str, Any]) -> tuple[float | None, str, str]:
    """How far it is off, or why that cannot be told, and where it points."""
    travel = read_travel(*reading.get("travel", ("", "")))
    then = _angle(control, reading["shown"], travel)
    documented = _angle(control, control.setting, travel)
    if then is None or documented is None:
        return None, str(NOT_DOCUMENTED), ""
    now = then + reading["turn"]
    if reading["kind"] == "fader":
        now = max(-SWEEP_DEG / 2, min(SWEEP_DEG / 2, now))
    along, before = travel.along(now), travel.along(documented)
    stands = setting_at(control.style, now, control.low, control.high, travel)
    if along is None or before is None or not stands:
        # A knob cannot stand outside its travel: one of the photos is not what it seems.
        return None, str(OUTSIDE_TRAVEL), ""
    # Between the ends there is one way only from one to the other.
    return along - before, "", stands


def _angle(control: Control, setting: str, travel: Travel) -> float | None:
    try:
        return angle_of(control.style, setting, control.low, control.high, travel)
    except ValueError:  # written on another scale, which the dial had then
        return None


def _before(image: StoredPhoto, circle: Sequence[float]) -> Patch | None:
    x, y, radius = circle
    r = radius * image.width
    return _patch(image, (r, 0.0, 0.0, r, x * image.width, y * image.height))


def _after(image: StoredPhoto, seen: Sequence[float]) -> Patch | None:
    return _patch(image, seen) if seen else None


def _patch(image: StoredPhoto, seen: Sequence[float]) -> Patch | None:
    """The way back, from pixels to radii, which moves the picture so that the circle is at 0."""
    a, b, c, d, e, f = seen
    det = a * d - b * c
    if not det:
        return None
    back = (d, -b, -c, a, c * f - d * e, b * e - a * f)
    numbers = " ".join(f"{part / det:.6f}" for part in back)
    return Patch(f"matrix({numbers})", image.width, image.height)


class Summary(NamedTuple):
    """How many of each kind a check has."""

    same: int
    turned: int
    unsure: int

    @property
    def words(self) -> str:
        counted = (
            (self.same, ngettext("{n} as documented", "{n} as documented", self.same)),
            (self.turned, ngettext("{n} turned", "{n} turned", self.turned)),
            (self.unsure, ngettext("{n} to look at by eye", "{n} to look at by eye", self.unsure)),
        )
        return str(listed([words.format(n=n) for n, words in counted if n]))


def summary(found: Collection[KnobState]) -> Summary:
    same = sum(each.is_same for each in found)
    turned = sum(each.is_turned for each in found)
    return Summary(same, turned, len(found) - same - turned)


def plane_words(plane: Sequence[float]) -> str:
    """The plane for the attribute data-plane of a page; empty where there is none."""
    return " ".join(f"{part:.8g}" for part in plane)
