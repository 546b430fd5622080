"""The report of a show on paper: what deviated, who was told, what to repair."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock, qr
from core.languages.dates import day
from core.languages.words import apart, each_of, leading
from core.models import Show
from notes.linecheck.report import Report, ReportedMark
from notes.models import LineCheck, LineCheckMark
from rigs.knob_check.confirming import PanelMark
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at

Plain = dict[str, Any]
SUITS = gettext_lazy(
    "By the catalogue it fits: no known problem with level, phantom power or pattern."
)
UNEXPLAINED = gettext_lazy("Nobody has noted yet what changed and why.")


def report_pdf(
    show: Show,
    report: Report,
    *,
    address: str,
    paper: Paper,
    panel_marks: Sequence[PanelMark] = (),
) -> bytes:
    """Tagged PDF (PDF/UA-1). `address` is the page of the report, for the QR code."""
    check = report.check
    data = {
        "title": _("Report of the show, {show}").format(show=show),
        "heading": _("Report of the show"),
        "paper": paper,
        "show": each_of([str(show), show.town]),
        "stamp": _("printed {at}").format(at=printed_at(clock.now())),
        "place": str(show.leg.production),
        "counts": report.words,
        "who": _who(check) if check else _("No line check yet."),
        "rigs": _rigs(report),
        "deviates": [_finding(each, report) for each in report.deviates],
        "expected": [_finding(each, report) for each in report.expected],
        "absent": [_finding(each, report) for each in report.absent],
        "unmarked": [str(each.entry) for each in report.unmarked] if check else [],
        "panels": [_panel(mark) for mark in panel_marks],
        "who_was_told": _lines(check.who_was_told) if check else [],
        "repair": _lines(check.to_repair) if check else [],
    }
    return press("report.typ", data, pictures={"live.svg": qr.for_paper(address)})


def _who(check: LineCheck) -> str:
    begun = {"by": check.opened_by, "at": _time(check.opened_at)}
    if check.closed_by is None or check.closed_at is None:
        return _("Begun by {by}, {at}; not finished yet.").format(**begun)
    return _("Begun by {by}, {at}; finished by {end_by}, {end}.").format(
        **begun, end_by=check.closed_by, end=_time(check.closed_at)
    )


def _time(at: datetime) -> str:
    return printed_at(at)


def _rigs(report: Report) -> str:
    rigs = report.who.in_the_past
    return f"{apart(rigs)}." if rigs else ""


def _panel(mark: PanelMark) -> str:
    check = mark.check
    by = [check.confirmed_name, *([_time(check.confirmed_at)] if check.confirmed_at else [])]
    words = [_("{panel}: all as documented, {by}").format(panel=mark.name, by=each_of(by))]
    if check.by_eye:
        words.append(_("by eye: {controls}").format(controls=_(", ").join(check.by_eye)))
    if mark.since:
        words.append(
            _("changed on record since: {controls}").format(controls=_(", ").join(mark.since))
        )
    return f"{apart(words)}."


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _finding(each: ReportedMark, report: Report) -> Plain:
    mark = each.mark
    words = leading(f"{each.why[:1].upper()}{each.why[1:]}", mark.words) if mark.words else ""
    return {
        "name": f"{mark.input}, {report.who.name_of(mark.input.rig.player)}",
        "words": words or (str(UNEXPLAINED) if mark.is_unexplained else ""),
        "in_place": _in_place(mark) if mark.device else "",
        "mind": (mark.cautions or [str(SUITS)]) if mark.device else [],
        "departs": _departs(each),
        "by": f"{mark.by}, {_time(mark.at)}",
        "permanent": _("Made permanent: change {number} of the rig.").format(
            number=mark.permanent.number
        )
        if mark.permanent
        else "",
    }


def _departs(each: ReportedMark) -> str:
    signed = each.mark.departs_from
    if signed is None:
        return ""
    said = (
        _("Differs from what {name} signed on {at} (change {number} of {rig}): “{sound}”")
        if each.signed_sound
        else _("Differs from what {name} signed on {at} (change {number} of {rig}).")
    )
    return said.format(
        name=signed.name,
        at=day(signed.at),
        number=signed.revision.number,
        rig=each.mark.input.rig.name,
        sound=each.signed_sound,
    )


def _in_place(mark: LineCheckMark) -> str:
    if mark.instead_of:
        return _("{device} in place of {listed}").format(device=mark.device, listed=mark.instead_of)
    return _("{device} in place of nothing").format(device=mark.device)
