"""The log of a production: its newest checkpoint, and one from paper or a device compared."""

from __future__ import annotations

import json
from pathlib import Path

from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Checkpoint, Production
from core.proof.checkpoints import newest, stated
from core.proof.code import NoCode, read_code
from core.proof.kept import fits
from core.proof.key import name_of_key

SCRIPT = Path(__file__).parent / "verify_archive.py"


@require_safe
@production_view(Action.READ)
def log(request: ProductionRequest) -> HttpResponse:
    """`?code=` is a checkpoint from paper, to be compared."""
    last = newest(request.production.pk)
    typed = request.GET.get("code", "")[:100]
    context = {
        "last": last,
        "said": stated(last) if last else None,
        "key": name_of_key(last.public_key) if last and last.public_key else "",
        "typed": typed,
        "compared": compared(request.production, typed) if typed.strip() else None,
        "active_nav": "production",
    }
    return render(request, "core/proof/log.html", context)


def compared(production: Production, typed: str) -> tuple[bool, str]:
    """Whether the log still begins as a code says, and that in a sentence."""
    try:
        code = read_code(typed)
    except NoCode as error:
        return False, str(error)
    if fits(production.pk, code):
        return True, ngettext(
            "The first entry is what it was when this was printed.",
            "The first {n} entries are what they were when this was printed.",
            code.size,
        ).format(n=code.size)
    return False, ngettext(
        "The log does not begin with the entry that this code was made of. Either it is of another "
        "production, a letter is wrong, or what was written has been changed since. Keep the "
        "paper, and have whoever runs the server run manage.py verify with it.",
        "The log does not begin with the {n} entries that this code was made of. Either it is of "
        "another production, a letter is wrong, or what was written has been changed since. Keep "
        "the paper, and have whoever runs the server run manage.py verify with it.",
        code.size,
    ).format(n=code.size)


@require_safe
@production_view(Action.READ)
def checkpoint_file(request: ProductionRequest) -> HttpResponse:
    """The newest checkpoint, to be kept elsewhere; back to the page where there is none."""
    last: Checkpoint | None = newest(request.production.pk)
    if last is None:
        return redirect("core:log", request.production.pk)
    body = json.dumps(stated(last).as_json(), indent=1, ensure_ascii=False) + "\n"
    response = HttpResponse(body, content_type="application/json")
    response.headers["Content-Disposition"] = f'attachment; filename="checkpoint-{last.size}.json"'
    return response


@require_safe
@production_view(Action.READ)
def script(request: ProductionRequest) -> FileResponse:
    """The program that verifies an archive by itself."""
    return FileResponse(
        SCRIPT.open("rb"), as_attachment=True, content_type="text/x-python; charset=utf-8"
    )
