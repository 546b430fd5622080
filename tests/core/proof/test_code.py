"""Codes of checkpoints: written down, typed in again, told apart."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.proof.code import NoCode, read_code, short_code

ROOTS = st.binary(min_size=32, max_size=32).map(bytes.hex)


@given(st.integers(0, 10**9), ROOTS)
def test_a_code_is_read_however_it_is_typed(size: int, root: str) -> None:
    code = short_code(size, root)
    for typed in (code, code.lower(), code.replace("-", " - "), f"  {code}  "):
        read = read_code(typed)
        assert read.size == size
        assert read.fits(root)


@given(ROOTS, st.integers(0, 79))
def test_one_other_bit_of_the_first_80_is_another_code(root: str, bit: int) -> None:
    other = f"{int(root, 16) ^ 1 << 255 - bit:064x}"
    assert not read_code(short_code(7, root)).fits(other)


def test_the_letters_are_those_of_base_32() -> None:
    """Crockford's alphabet, common practice; 0x00 44 32 14 c7 42 54 b6 35 cf is 0 to F in turn."""
    assert short_code(3, "00443214c74254b635cf" + "0" * 44) == "3-0123-4567-89AB-CDEF"


def test_letters_that_look_alike_are_taken_for_figures() -> None:
    assert read_code("12-OI23-4567-89AB-CDEF") == read_code("12-0123-4567-89AB-CDEF")


@pytest.mark.parametrize("typed", ["", "12", "K7QX-2MPD-9RTV-H3WA", "12-K7QX-2MPD-9RTV", "x" * 200])
def test_what_is_no_code_is_said_so(typed: str) -> None:
    with pytest.raises(NoCode, match="is no code of a checkpoint"):
        read_code(typed)


def test_a_code_copied_from_a_print_is_read() -> None:
    code = short_code(12, "ab" * 32)
    # A zero-width space stands between letters of long words, where a line may be broken.
    assert read_code("\u200b".join(code)) == read_code(code)
