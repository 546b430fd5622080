"""Save a page of lines in order: what every view of one does with what was typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages

from core.access.views import ProductionRequest
from core.sets.ordered_form import OrderedForm
from core.sets.refused import LinesConflict, LinesRefused


def saved(
    request: ProductionRequest, form: OrderedForm[Any], change: Callable[..., list[str]], same: str
) -> bool:
    """Write what was typed; False where somebody must decide or put something right first.

    `change` writes and tells what changed; `same` is said where nothing did.
    """
    try:
        words = change(
            form.show,
            form.wanted(),
            base=form.version,
            by=request.user,
            decided=form.decided,
            seen=form.more.cleaned_data["seen"],
        )
    except LinesConflict as conflict:
        form.ask(conflict)
        return False
    except LinesRefused as refused:
        form.refuse(refused)
        return False
    messages.success(request, " ".join(words) if words else same)
    return True
