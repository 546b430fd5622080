"""Voice memos of listening notes: recorded with a note, played where it stands, written out."""

from __future__ import annotations
