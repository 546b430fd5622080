"""Which parameters of an address change nothing of what its page says.

A page of an address that differs in those alone may stand in for it on a device without a network.
They are named in the header No-Vary-Search, as in the IETF's draft-ietf-httpbis-no-vary-search (a
draft, no standard). A page that names none is of its exact address only.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

View = TypeVar("View", bound=Callable[..., Any])
HEADER = "No-Vary-Search"


def same_page_without(*names: str) -> Callable[[View], View]:
    """For a view whose pages say the same with or without the parameters `names`."""
    listed = " ".join(f'"{name}"' for name in names)

    def decorate(view: View) -> View:
        @wraps(view)
        def say(*args: Any, **more: Any) -> Any:
            response = view(*args, **more)
            response.headers[HEADER] = f"params=({listed})"
            return response

        return say  # type: ignore[return-value]

    return decorate
