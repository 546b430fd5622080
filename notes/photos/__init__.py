"""Photos of listening notes: added with a note or later, shown wherever it stands, removed."""

from __future__ import annotations
