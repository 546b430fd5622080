"""Long material: recordings of whole rehearsals, and an index of where each song and take is."""

from __future__ import annotations
