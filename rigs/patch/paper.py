"""The patch on paper: lists, and strips of labels cut to the width of what they go on."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from core.models import Production, Show
from rigs.lists.state import ListState
from rigs.paper.pdf import Paper, press
from rigs.patch.load import changes_of

# ISO 216 and the American letter, the long side across, less a margin of 10 mm on both sides.
_ACROSS_MM = {Paper.A4: 297 - 20, Paper.LETTER: 279.4 - 20}

Strip = tuple[str, list[tuple[str, str]]]


def state_of_patch(
    production: Production, show: Show | None, rows: Sequence[Sequence[str]]
) -> ListState:
    """How often the patch was changed, SHA-256 over what the list says, and the last change. One
    query."""
    times = list(changes_of(production, show).values_list("at", flat=True))
    said = "\n".join("\t".join(row) for row in rows)
    digest = hashlib.sha256(said.encode()).hexdigest()
    return ListState(len(times), digest, times[0] if times else None)


def strips_sheet(title: str, strips: Sequence[Strip], *, mm: float, paper: Paper) -> bytes:
    """The PDF with labels `mm` wide beside each other, as many as the sheet is wide; what is longer
    goes on below. The lines to cut along are drawn."""
    fit = max(1, int(_ACROSS_MM[paper] // mm))
    data = {
        "title": title,
        "paper": paper,
        "mm": mm,
        "strips": [
            {
                "title": name,
                "rows": [
                    [{"number": number, "name": words} for number, words in labels[at : at + fit]]
                    for at in range(0, len(labels), fit)
                ],
            }
            for name, labels in strips
            if labels
        ],
    }
    return press("strips.typ", data)
