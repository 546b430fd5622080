"""Verify an exported archive of Toneledger: its files, histories, log and checkpoints.

    python3 verify_archive.py ARCHIVE.zip [CHECKPOINT.json | CODE …]

Needs nothing but Python 3.11. Signatures of checkpoints are checked where the package cryptography
is installed; otherwise it says that they were not. It shares no code with the service: an error
there is not made here again. What is checked is described in docs/proof.md.
"""

from __future__ import annotations

import hashlib
import json
import sys
import unicodedata
import zipfile
from base64 import b64decode
from pathlib import Path

TAG = b"toneledger personal text 1\x00"
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def number(value):
    """A number as RFC 8785 writes it (ECMAScript's rule; Python's digits are the same)."""
    if value == 0:
        return "0"
    if isinstance(value, int):
        return str(value)
    sign, text = ("-", repr(-value)) if value < 0 else ("", repr(value))
    mantissa, _, power = text.partition("e")
    whole, _, part = mantissa.partition(".")
    digits = (whole + part).lstrip("0")
    point = int(power or 0) + len(whole) - (len(whole + part) - len(digits))
    digits = digits.rstrip("0")
    count = len(digits)
    if count <= point <= 21:
        return sign + digits + "0" * (point - count)
    if 0 < point <= 21:
        return f"{sign}{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"{sign}0.{'0' * -point}{digits}"
    rest = f".{digits[1:]}" if count > 1 else ""
    return f"{sign}{digits[0]}{rest}e{'+' if point > 0 else '-'}{abs(point - 1)}"


def canonical(value):
    """JSON as RFC 8785 writes it."""
    if isinstance(value, dict):
        keys = sorted(value, key=lambda key: key.encode("utf-16-be", "surrogatepass"))
        return "{" + ",".join(f"{canonical(k)}:{canonical(value[k])}" for k in keys) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return number(value)


def sha256(data):
    return hashlib.sha256(data).digest()


def digest(value):
    return sha256(canonical(value).encode()).hex()


def roots(leaves, sizes):
    """The roots of the trees over the first so many leaves (RFC 9162, 2.1.1)."""
    # Complete trees by level: a tree of n leaves is split where the largest of them ends.
    levels = [[sha256(b"\0" + leaf) for leaf in leaves]]
    while len(levels[-1]) > 1:
        row = levels[-1]
        pairs = zip(row[::2], row[1::2], strict=False)
        levels.append([sha256(b"\1" + left + right) for left, right in pairs])
    found = {}
    for size in sizes:
        if size <= len(leaves):
            found[size] = tree(levels, 0, size).hex()
    return found


def tree(levels, start, size):
    if size == 0:
        return sha256(b"")
    height = size.bit_length() - 1
    if size == 1 << height:
        return levels[height][start >> height]
    left = 1 << height
    return sha256(b"\1" + tree(levels, start, left) + tree(levels, start + left, size - left))


class Archive:
    def __init__(self, path):
        self.zip = zipfile.ZipFile(path)
        self.broken = []
        self.manifest = json.loads(self.zip.read("manifest.json"))
        self.production = self.manifest["production"]
        self.tables = {}

    def say(self, words):
        self.broken.append(words)

    def files(self):
        names = set(self.zip.namelist()) - {"manifest.json"}
        for name in sorted(names ^ set(self.manifest["members"])):
            self.say(f"{name}: the manifest and the file do not agree on whether it is there.")
        for name in sorted(names & set(self.manifest["members"])):
            body = self.zip.read(name)
            if sha256(body).hex() != self.manifest["members"][name]["sha256"]:
                self.say(f"{name}: is not what the manifest says.")
            if name.startswith("files/") and sha256(body).hex() != name.rsplit("/", 1)[1]:
                self.say(f"{name}: its name is not its digest.")

    def rows(self, table):
        if table not in self.tables:
            name = f"records/{table}.json"
            there = name in self.zip.namelist()
            self.tables[table] = json.loads(self.zip.read(name)) if there else []
        return self.tables[table]

    # Histories

    def histories(self):
        changes, by_rig, count = {}, {}, 0
        for row in self.rows("rigs.changerow"):
            changes.setdefault(row["revision"], []).append(row)
        for row in self.rows("rigs.revision"):
            by_rig.setdefault(row["rig"], []).append(row)
        for rig in self.rows("rigs.rig"):
            parent, expected = "0" * 64, 1
            for row in sorted(by_rig.get(rig["id"], []), key=lambda row: row["number"]):
                where = f"rig {rig['id']}, change {row['number']}"
                if row["number"] != expected:
                    self.say(f"rig {rig['id']}: change {expected} is missing.")
                if row["parent_digest"] != parent:
                    self.say(f"{where}: does not follow the one before it.")
                if digest(content(row, changes.get(row["id"], []))) != row["digest"]:
                    self.say(f"{where}: its digest does not match its content.")
                parent, expected, count = row["digest"], row["number"] + 1, count + 1
            if (rig["head_number"], rig["head_digest"]) != (expected - 1, parent):
                self.say(f"rig {rig['id']}: its history does not end where the rig says.")
        return count

    # The log

    def log(self, kept):
        entries = self.rows("core.logentry")
        leaves = [leaf(row) for row in entries]
        stated = [stated_of(row) for row in self.rows("core.checkpoint")]
        for each in stated:
            each["where"] = "in the archive"
        wanted = list(stated)
        for each in kept:
            # A code names no production.
            if each.get("production", self.production) == self.production:
                wanted.append(each)
            else:
                self.say(f"A checkpoint is of another production ({each['production']}).")
        found = roots(leaves, {each["size"] for each in wanted})
        for each in wanted:
            name = f"the checkpoint {each['where']} of {each['size']} entries"
            root = found.get(each["size"])
            if root is None:
                self.say(f"The end of the log was cut: {name}, the log {len(leaves)}.")
            elif not (root == each["root"] if "root" in each else code(root) == each["letters"]):
                self.say(f"The log does not begin as {name} says.")
        self.signed = signatures(self, [each for each in wanted if "root" in each])
        self.records(entries)
        return len(entries), len(wanted)

    def records(self, entries):
        newest = {(row["table"], row["key"]): b64decode(row["digest"]).hex() for row in entries}
        salts = {(row["table"], row["key"]): row["salt"] for row in self.rows("core.logsalt")}
        shapes = json.loads(self.zip.read("log.json"))
        for table, shape in shapes.items():
            for row in self.rows(table):
                key = self.key(table, row, shapes)
                said = newest.pop((table, key), None)
                if said is None:
                    self.say(f"{table} {key}: is not in the log.")
                elif not said:
                    self.say(f"{table} {key}: was deleted, says the log, and is there.")
                elif said != self.own(table, row, shape, key, salts, shapes):
                    self.say(f"{table} {key}: is not what was written.")
        for (table, key), said in sorted(newest.items()):
            if said:
                self.say(f"{table} {key}: is in the log, and gone without a word.")

    def own(self, table, row, shape, key, salts, shapes):
        if shape["digest"]:
            return row[shape["digest"]]
        says, texts = {}, {}
        for name in shape["columns"]:
            value = row.get(name)
            # Added to the table later: of one that holds its default nothing was said.
            later = shape.get("later", {})
            if name in later and value == later[name]:
                continue
            if name in shape["pointers"]:
                value = self.pointed(shape["pointers"][name], value, shapes)
            if name in shape["texts"]:
                texts[name] = committed(name, value, salts.get((table, key), ""))
            else:
                says[name] = value
        return digest({"table": table, "key": key, "says": says, "texts": texts})

    def key(self, table, row, shapes):
        parts = []
        for name in shapes[table]["key"]:
            value, target = row.get(name), shapes[table]["pointers"].get(name)
            parts.append(self.pointed(target, value, shapes) if target else value)
        return "/".join("" if part is None else str(part) for part in parts)

    def pointed(self, target, value, shapes):
        """A pointer at a record that has a number for a key: by what names it everywhere."""
        if value is None:
            parts = shapes[target]["parts"]
            return "/" * (parts - 1) if parts > 1 else None
        # Numbers are places in the list.
        return self.key(target, self.rows(target)[value - 1], shapes)


def content(row, changes):
    """What the digest of a change is over."""
    said = {
        # Since format 2 names and words are kept apart, and a row refers to them.
        "format": 2 if row["author_name"].startswith("sealed-1:") else 1,
        "rig": row["rig"],
        "number": row["number"],
        "parent": row["parent_digest"],
        "author": {"id": row["author"], "name": row["author_name"]},
        "at": row["at"],
        "reason": {
            "kind": row["reason_kind"],
            "words": row["reason_words"],
            "notes": json.loads(row["reason_notes"]),
        },
        "restored": row["restored"],
        "changes": [
            [c["part"], c["kind"], c["field"], json.loads(c["old_json"]), json.loads(c["new_json"])]
            for c in sorted(changes, key=lambda c: (c["part"], c["field"]))
        ],
    }
    for name, column in (("written", "written_at"), ("device_said", "device_said")):
        if row.get(column) is not None:
            said[name] = row[column]
    return said


def leaf(row):
    said = {
        "at": row["at"],
        "digest": b64decode(row["digest"]).hex(),
        "key": row["key"],
        "table": row["table"],
    }
    return canonical(said).encode()


def committed(name, value, salt):
    if value is None or value == "":
        return value
    if isinstance(value, str) and value.startswith("sealed-1:") and len(value) == 73:
        return value
    text = unicodedata.normalize("NFC", canonical([name, value]))
    return sha256(TAG + bytes.fromhex(salt) + text.encode()).hex()


def stated_of(row):
    names = ("production", "size", "root", "at", "protected", "public_key", "signature")
    return {name: row[name] for name in names}


def code(root):
    bits = int(root[:20], 16)
    return "".join(LETTERS[bits >> 5 * at & 31] for at in reversed(range(16)))


def read_code(typed):
    size, _, rest = typed.strip().upper().partition("-")
    letters = rest.replace("-", "").replace(" ", "")
    letters = letters.translate(str.maketrans("ILOU", "110V"))
    if not size.isdigit() or len(letters) != 16 or set(letters) - set(LETTERS):
        sys.exit(f"{typed} is neither a file nor the code of a checkpoint.")
    return {"size": int(size), "letters": letters, "where": "that was typed in"}


def read_kept(given):
    kept = []
    for each in given:
        if not Path(each).is_file():
            kept.append(read_code(each))
            continue
        found = json.loads(Path(each).read_text())
        for row in found if isinstance(found, list) else [found]:
            kept.append({**stated_of(row), "where": f"in {each}"})
    return kept


def signatures(archive, stated):
    """How many were checked; None where nothing here can check them."""
    try:
        from cryptography.exceptions import InvalidSignature
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    except ImportError:
        return None
    count = 0
    for each in stated:
        if not each["signature"]:
            continue
        protected = "protected" if each["protected"] else "unprotected"
        lines = ["toneledger checkpoint 1", each["production"], f"{each['size']} {each['root']}"]
        text = "".join(f"{line}\n" for line in [*lines, each["at"], protected])
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(each["public_key"]))
        try:
            key.verify(bytes.fromhex(each["signature"]), text.encode())
            count += 1
        except InvalidSignature:
            archive.say(f"The checkpoint of {each['size']} entries is not what was signed.")
    return count


def main(arguments):
    if not arguments:
        sys.exit(__doc__)
    archive = Archive(arguments[0])
    archive.files()
    changes = archive.histories()
    entries, checkpoints = archive.log(read_kept(arguments[1:]))
    for words in archive.broken:
        print(words)
    print(f"{changes} changes, {entries} entries of the log, {checkpoints} checkpoints.")
    if archive.signed is None:
        print("Signatures were not checked: the package cryptography is not installed.")
    else:
        print(f"{archive.signed} signatures hold.")
    if archive.broken:
        sys.exit(1)
    print("Everything is as it was written.")


if __name__ == "__main__":
    main(sys.argv[1:])
