"""Drawings as SVG: dials at their settings, the signal path, where a microphone stands.

Pure: they take the dataclasses of rigs.wording and give text. No style attributes and no
scripts, so that a strict content security policy lets them through; colours come from classes in
drawing.css and, where there is no style sheet, from currentColor.
"""

from __future__ import annotations
