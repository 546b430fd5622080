"""What is told in several languages is read once. Nothing outside to compare with."""

from __future__ import annotations

from collections.abc import Collection

import pytest
from django.utils import translation

from core.one_pass import once_a_pass, one_pass

asked: list[object] = []


@once_a_pass
def read(about: Collection[str], number: int = 0) -> list[str]:
    asked.append(about)
    return sorted(about)


@pytest.fixture(autouse=True)
def _nothing_asked() -> None:
    asked.clear()


def test_within_a_pass_each_is_read_once() -> None:
    for _ in range(2):
        with one_pass():
            for language in ("en-gb", "de", "ja"):
                with translation.override(language), one_pass():
                    assert read({"b", "a"}) == ["a", "b"]
                    assert read(["c"]) == ["c"]
                    assert read(["c"], number=1) == ["c"]
    assert len(asked) == 6  # what one pass has read is not there in the next one


def test_elsewhere_it_is_read_whenever_it_is_asked() -> None:
    read(["a"])
    with pytest.raises(ZeroDivisionError), one_pass():
        1 / 0  # noqa: B018
    read(["a"])
    assert len(asked) == 2


def test_what_can_be_read_only_once_is_no_argument() -> None:
    with one_pass(), pytest.raises(TypeError, match="iterator"):
        read(iter("ab"))  # type: ignore[arg-type]
