"""Acoustics and electrics as pure functions: SI in, SI out, no Django, nothing stored.

One module per subject; docs/signal.md lists them with formula, source and valid range.
Scalars give a float, arrays give an array, nonsense gives a ValueError naming the argument.
"""

from __future__ import annotations
