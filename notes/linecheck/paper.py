"""The report of a show on paper: what deviated, who was told, what to repair."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from core import clock, qr
from core.models import Show
from notes.linecheck.report import Report, ReportedMark
from notes.models import LineCheck
from rigs.knob_check.confirming import PanelMark
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at

Plain = dict[str, Any]
SUITS = "By the catalogue it fits: no known problem with level, phantom power or pattern."
UNEXPLAINED = "Nobody has noted yet what changed and why."


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
        "title": f"Report of the show, {show}",
        "heading": "Report of the show",
        "paper": paper,
        "show": ", ".join(filter(None, [str(show), show.town])),
        "stamp": f"printed {printed_at(clock.now())}",
        "place": str(show.leg.production),
        "counts": report.words,
        "who": _who(check) if check else "No line check yet.",
        "rigs": _rigs(report),
        "deviates": [_finding(each, report) for each in report.deviates],
        "expected": [_finding(each, report) for each in report.expected],
        "absent": [_finding(each, report) for each in report.absent],
        "unmarked": [str(day.entry) for day in report.unmarked] if check else [],
        "panels": [_panel(mark) for mark in panel_marks],
        "who_was_told": _lines(check.who_was_told) if check else [],
        "repair": _lines(check.to_repair) if check else [],
    }
    return press("report.typ", data, pictures={"live.svg": qr.for_paper(address)})


def _who(check: LineCheck) -> str:
    begun = f"Begun by {check.opened_by}, {_time(check.opened_at)}"
    if check.closed_by is None or check.closed_at is None:
        return f"{begun}; not finished yet."
    return f"{begun}; finished by {check.closed_by}, {_time(check.closed_at)}."


def _time(at: datetime) -> str:
    return printed_at(at)


def _rigs(report: Report) -> str:
    rigs = report.who.in_the_past
    return f"{'; '.join(rigs)}." if rigs else ""


def _panel(mark: PanelMark) -> str:
    check = mark.check
    at = f", {_time(check.confirmed_at)}" if check.confirmed_at else ""
    words = [f"{mark.name}: all as documented, {check.confirmed_name}{at}"]
    if check.by_eye:
        words.append(f"by eye: {', '.join(check.by_eye)}")
    if mark.since:
        words.append(f"changed on record since: {', '.join(mark.since)}")
    return f"{'; '.join(words)}."


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _finding(each: ReportedMark, report: Report) -> Plain:
    mark = each.mark
    words = f"{each.why[:1].upper()}{each.why[1:]}: {mark.words}" if mark.words else ""
    return {
        "name": f"{mark.input}, {report.who.name_of(mark.input.rig.player)}",
        "words": words or (UNEXPLAINED if mark.is_unexplained else ""),
        "in_place": f"{mark.device} in place of {mark.instead_of or 'nothing'}"
        if mark.device
        else "",
        "mind": (mark.cautions or [SUITS]) if mark.device else [],
        "departs": _departs(each),
        "by": f"{mark.by}, {_time(mark.at)}",
        "permanent": f"Made permanent: change {mark.permanent.number} of the rig."
        if mark.permanent
        else "",
    }


def _departs(each: ReportedMark) -> str:
    signed = each.mark.departs_from
    if signed is None:
        return ""
    sound = f": “{each.signed_sound}”" if each.signed_sound else "."
    return (
        f"Differs from what {signed.name} signed on {signed.at.day} {signed.at:%b %Y} "
        f"(change {signed.revision.number} of {each.mark.input.rig.name}){sound}"
    )
