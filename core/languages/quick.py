"""Words of a language looked up once.

Django asks each catalogue of a language in turn, the one of each app and then those of the language
behind it, whenever a word is said; in English, which has no catalogue, it asks all of them in vain.
A page of long rows says the same few words hundreds of times (docs/measurements.md).
"""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils import translation as of_django
from django.utils.encoding import force_str
from django.utils.safestring import SafeString
from django.utils.translation import trans_real as real

MOST = 20_000  # words kept of a language: more than the program has

_catalogues: Any = real
_translation: Any = of_django
_asked = _catalogues.gettext


def gettext(message: Any) -> Any:
    """As `django.utils.translation.gettext`."""
    active = getattr(_catalogues._active, "value", None) or _catalogues._default
    kind = type(message)
    # Anything else, such as what is lazy, comes back as what it was.
    if active is None or (kind is not str and kind is not SafeString):
        return _asked(message)
    # On the catalogue itself, so that catalogues that are read anew begin without. A safe text and
    # one to escape are equal, and stay what they are.
    known = active.__dict__.get(kind)
    if known is None or len(known) > MOST:
        known = active.__dict__[kind] = {}
    found = known.get(message)
    if found is None:
        found = known[message] = _asked(message)
    return found


def connect() -> None:
    """Let this process look words up here, and labels of choices likewise. Before models are
    made, which hold on to the method of then."""
    _catalogues.gettext = _translation._trans.gettext = gettext
    any_model: Any = models.Model
    any_model._get_FIELD_display = _label


def _label(record: models.Model, field: Any) -> Any:
    """`get_…_display`: Django compares all labels of a field, translated, to find one."""
    value = getattr(record, field.attname)
    labels = field.__dict__.get("labels_by_value")
    try:
        if labels is None or value not in labels:
            # Also where there are more choices now, as a function may give them.
            labels = field.labels_by_value = dict(field.flatchoices)
        label = labels.get(value, value)
    except TypeError:  # a value that no choice can be, such as a list
        label = value
    return force_str(label, strings_only=True)
