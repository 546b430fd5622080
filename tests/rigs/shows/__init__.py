"""Lists of one show: what differs that day, what is hired there."""

from __future__ import annotations
