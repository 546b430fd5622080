"""How many cells of a list are read as they are meant, asked about, or wrong."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

from openpyxl.utils import get_column_letter

from core.models import Production, User
from rigs.list_import.services import Preview, import_list, preview
from rigs.models import Input, ListImport
from tests.rigs.list_import.crews.build import data_of, grid_of
from tests.rigs.list_import.crews.meant import ASK, Crew


def brought(crew: Crew, production: Production, by: User) -> ListImport:
    return import_list(production=production, by=by, name=crew.file, data=data_of(crew))


def verdicts(crew: Crew, found: ListImport) -> dict[str, str]:
    """Cell → right, asked or wrong, for every cell that is not empty: “C7: wrong, …”."""
    shown = preview(found)
    said: dict[str, str] = {}
    for at, row in enumerate(grid_of(crew), start=1):
        for index, cell in enumerate(row):
            if cell.strip():
                name = f"{get_column_letter(index + 1)}{at}"
                said[name] = _verdict(crew, shown, found, at, index, cell.strip())
    return said


def tally(crew: Crew, found: ListImport) -> Counter[str]:
    return Counter(said.split(":")[0] for said in verdicts(crew, found).values())


def _verdict(crew: Crew, shown: Preview, found: ListImport, at: int, index: int, cell: str) -> str:
    letter = get_column_letter(index + 1)
    key = found.mapping.get(str(index))
    meant = crew.columns.get(letter)
    kind = next((line.kind.name for line in shown.lines if line.number == at), "ABOVE")
    if at < crew.heading or at in crew.aside:
        return "right" if kind in ("ABOVE", "ASIDE") else f"wrong: {cell!r} taken as {kind}"
    if at == crew.heading:
        ours = {"distance": "distance_m", "height": "height_m"}.get(key or "", key)
        if ours == meant:
            return "right"
        return f"asked: {cell!r} is no heading" if key is None else f"wrong: {cell!r} is {key}"
    if at in crew.groups:
        return "right" if kind == "GROUP" else f"wrong: {cell!r} taken as {kind}"
    if meant is None:
        return "right" if key is None else f"wrong: {cell!r} taken as {key}"
    return _of_input(crew, shown, at, letter, key, cell)


def _of_input(crew: Crew, shown: Preview, at: int, letter: str, key: str | None, cell: str) -> str:
    field = crew.columns[letter]
    truth = crew.cells.get(f"{letter}{at}", crew.words.get(letter, {}).get(cell))
    rows = [row for row in shown.rows if row.number == at]
    asked = key is None or any(key in row.errors or row.waits for row in rows)
    if truth == {} and not any(key in row.errors for row in rows):
        return "right"
    if truth == ASK:
        return "right" if asked else f"wrong: {cell!r} was not asked about"
    if asked:
        why = {m for row in rows for m in row.errors.values()}
        return f"asked: {cell!r} {sorted(why)}"
    if field == "player":
        player = rows[0].rig.player if rows and rows[0].rig else None
        right = player is not None and cell in (player.name, player.instrument, "Gtr", "Vox")
        return "right" if right else f"wrong: {cell!r} is {player}"
    if truth is None:
        truth = {field: int(cell) if field == "number" else cell}
        if field in ("gain_db", "angle_deg"):
            truth = {field: float(cell)}
    got = [_fields(row) for row in rows]
    if not got:
        return f"wrong: {cell!r} made no input"
    for name, value in truth.items():
        wanted = value if isinstance(value, tuple) else (value,) * len(got)
        if len(wanted) != len(got):
            return f"wrong: {cell!r} made {len(got)} inputs"
        for each, want in zip(got, wanted, strict=True):
            if not _same(each.get(name), want, name):
                return f"wrong: {cell!r} gave {name}={each.get(name)!r}, not {want!r}"
    return "right"


def _fields(row: Any) -> dict[str, Any]:
    fields = dict(getattr(row.edit, "fields", {}))
    if plans := [plan for plan in row.devices if plan.device]:
        fields["device"] = plans[0].words
    return fields


def _same(got: Any, want: Any, name: str) -> bool:
    if isinstance(want, bool) or want is None or isinstance(want, str):
        default = Input._meta.get_field(name).get_default() if name != "device" else None
        if got is None and want == default:
            return True
        return str(got or "").split("\n")[0].casefold() == str(want or "").casefold() or got == want
    return got is not None and abs(Decimal(str(got)) - Decimal(str(want))) < Decimal("1e-6")
