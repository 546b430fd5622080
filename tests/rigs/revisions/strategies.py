"""Hypothesis strategies for snapshots and for what several people do to one rig."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), min_size=1, max_size=12)
VALUES = st.one_of(TEXT, st.integers(-(2**40), 2**40), st.booleans())
PARTS = st.sampled_from([f"part-{n}" for n in range(6)])
KINDS = st.sampled_from(["unit", "control", "input"])
FIELDS = st.dictionaries(st.sampled_from(["name", "setting", "device", "notes"]), VALUES)


@st.composite
def snapshots(draw: Any) -> dict[str, dict[str, Any]]:
    parts = draw(st.dictionaries(PARTS, st.tuples(KINDS, FIELDS), max_size=6))
    return {part: {"kind": kind, **fields} for part, (kind, fields) in parts.items()}
