"""A checker of G-code lines, written from NISTIR 6556 and not from our writer or reader.

Kramer, Proctor, Messina, *The NIST RS274NGC Interpreter - Version 3*, NISTIR 6556, NIST, August 2000:
3.1 (files), 3.3 (lines, words, comments, repeats), 3.5 (what a motion needs), Table 4 (modal groups).
The limit of 79 characters is that of an open firmware's line buffer (grbl 1.1, protocol.h: 80 bytes
with the closing NUL, blanks and comments already stripped).
"""

from __future__ import annotations

import re

NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
LINE = re.compile(rf"(?P<words>(?:[A-Z]{NUMBER})*)")
#: Table 4, the codes that may occur in a file for a cutter.
GROUPS = [
    {"G0", "G1", "G2", "G3", "G80"},
    {"G17", "G18", "G19"},
    {"G90", "G91"},
    {"G93", "G94"},
    {"G20", "G21"},
    {"G4", "G10", "G28", "G30", "G53", "G92"},
    {"M0", "M1", "M2", "M30", "M60"},
    {"M6"},
    {"M3", "M4", "M5"},
    {"M7", "M8", "M9"},
]
AXES = set("XYZ")


def faults_of_line(line: str, *, own_words: bool = False) -> list[str]:
    """What the report says against one line; empty when it obeys.

    With `own_words` M codes that the report does not know are let through: a profile may have its own.
    """
    found = []
    if len(line) > 256:
        found.append("longer than 256 characters (3.3)")
    if not all(" " <= c <= "~" for c in line):
        found.append("not printable ASCII")
    bare, depth = [], 0
    for c in line:
        if c == "(":
            depth += 1
            if depth > 1:
                found.append("nested comment (3.3.4)")
        elif c == ")" and depth:
            depth -= 1
        elif not depth:
            bare.append(c)
    if depth:
        found.append("open comment (3.3.4)")
    text = "".join(bare).replace(" ", "").replace("\t", "").upper()
    if len(text) > 79:
        found.append("longer than 79 characters without blanks and comments")
    match = re.fullmatch(r"/?(?:N(\d+))?(.*)", text)
    assert match is not None
    if match[1] and len(match[1]) > 5:
        found.append("line number of more than five digits (3.3.1)")
    text = match[2]
    words = re.findall(rf"([A-Z])({NUMBER})", text)
    if "".join(a + b for a, b in words) != text:
        return [*found, "not a sequence of words (3.3.2)"]
    codes = [f"{a}{float(b):g}" for a, b in words if a in "GM"]
    letters = [a for a, _ in words if a not in "GM"]
    if len(set(letters)) < len(letters):
        found.append("a letter twice (3.3.5)")
    if sum(c[0] == "M" for c in codes) > 4:
        found.append("more than four M words (3.3.5)")
    if bad := set(letters) - set("ABCDFHIJKLPQRSTXYZ"):
        found.append(f"letters without meaning: {bad} (Table 2)")
    found += [
        f"two words of one modal group {sorted(group)} (3.3.5)"
        for group in GROUPS
        if sum(code in group for code in codes) > 1
    ]
    known = set().union(*GROUPS)
    found += [f"unknown code {c}" for c in codes if c not in known and not (own_words and c[0] == "M")]
    values = {a: float(b) for a, b in words if a not in "GM"}
    if {"G0", "G1"} & set(codes) and not AXES & set(letters):
        found.append("a straight move without axis word (3.5.1, 3.5.2)")
    if {"G2", "G3"} & set(codes):
        if not {"X", "Y"} & set(letters):
            found.append("an arc without X and Y (3.5.3)")
        if not ({"I", "J"} & set(letters) or "R" in letters):
            found.append("an arc without centre or radius (3.5.3)")
    if "G4" in codes and not values.get("P", -1) >= 0:
        found.append("a dwell without P, or negative (3.5.4)")
    found += [f"negative {a}" for a in "FST" if values.get(a, 0) < 0]
    return found


def faults_of_file(text: str, *, own_words: bool = False) -> list[str]:
    """What the report says against a whole file, and what a careful file has besides."""
    rows = text.split("\n")
    found = [] if rows[-1] == "" else ["no newline at the end"]
    rows = rows[:-1]
    for n, row in enumerate(rows, 1):
        found += [f"line {n}: {fault}" for fault in faults_of_line(row, own_words=own_words)]
    plain = [re.sub(r"\([^)]*\)|\s", "", row) for row in rows]
    spoken = [row for row in plain if row]
    if not spoken or spoken[-1] not in {"M2", "M30"}:
        found.append("does not end with M2 or M30 (3.1)")
    first_move = next((n for n, row in enumerate(plain) if re.search(r"[XYZ]", row)), len(plain))
    frame = "".join(plain[:first_move])
    found += [
        f"{code} is not said before the first motion (3.5.7)"
        for code in ("G21", "G90", "G17", "G94")
        if code not in frame
    ]
    feed = False
    for n, row in enumerate(plain, 1):
        feed |= "F" in row
        if re.match(r"G[123](?!\d)", row) and not feed:
            found.append(f"line {n}: a feed move before any F")
        if len(re.findall(r"G0*[0123](?![\d.])", row)) > 1:
            found.append(f"line {n}: two motions")
    return found
