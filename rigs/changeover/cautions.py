"""What stays in sight where people carry against a clock. Pure."""

from __future__ import annotations

from rigs.cautions import LIFTING

# Two to whatever is heavy and nobody runs: common practice, no source.
HURRY = LIFTING._replace(
    title="Lifting against the clock",
    text="Two people to whatever is heavy, and nobody runs, whatever the clock says. "
    f"{LIFTING.text}",
)
