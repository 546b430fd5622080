"""How long a test waits for what is to come.

On a busy machine it comes late. Nothing that passes waits for the end of it.
"""

from __future__ import annotations

PATIENCE_S = 120
PATIENCE_MS = 1000 * PATIENCE_S
