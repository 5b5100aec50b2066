"""Ways to spoil a prepared job, each by its name: what is changed in a machine file, and what in job.json.

A change is a pair for `re.sub`, applied once with MULTILINE, unless `EVERYWHERE` says otherwise.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

Change = tuple[str, str] | tuple[str, str, int]
EVERYWHERE = 0

#: A profile with an axis that lifts; the stylus scores by 0.1 mm, the knife cuts by 0.6 mm.
AXIS = """title = "An axis that lifts"
area = "400x400mm"
languages = ["gcode", "hpgl"]
[gcode]
lift = "z"
up_z = "3mm"
down_z = "0mm"
plunge = 10
dwell = 0.2
[hpgl]
send_force = false
[[tool]]
name = "stylus"
kind = "stylus"
number = 2
does = ["score"]
speed = 50
force = 0.1
[[tool]]
name = "knife"
number = 1
does = ["cut"]
speed = 30
force = 0.6
offset = "0.25mm"
overcut = "0.5mm"
"""

#: The same for a machine that takes encoded lines.
TAKES_ENCODED = AXIS.replace(
    "[hpgl]\nsend_force = false", '[hpgl]\ncounts = "hpgl2"\nencoded = true'
).replace("An axis that lifts", "HP-GL/2")

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="140mm" viewBox="0 0 200 140">
<g id="score" fill="none" stroke="#00f"><path d="M60 20V120"/><path d="M120 20V120"/></g>
<g id="cut" fill="none" stroke="#000"><path d="M20 20H160V120H20Z"/><circle cx="90" cy="70" r="12"/></g></svg>"""

HPGL: dict[str, Change] = {
    "IN dropped": (r"\AIN;\n", ""),
    "the last SP0 dropped": (r"SP0;\n", ""),
    "the last line dropped": (r"[^\n]*\n\Z", ""),
    "the first tool dropped": (r"SP2;\n", ""),
    "the second tool dropped": (r"SP1;\n", ""),
    "the score worked with the knife": (r"SP2;", "SP1;"),
    "the cut worked with the stylus": (r"SP1;", "SP2;"),
    "a tool that is not there": (r"SP1;", "SP7;"),
    "the speed dropped": (r"VS\d+;\n", ""),
    "the speed 1 cm/s": (r"VS\d+;", "VS1;"),
    "the speed one step more": (r"VS(\d);", r"VS\g<1>1;"),
    "the speed of the other tool only": (r"VS(\d+);", r"VS\1,7;"),
    "every speed dropped": (r"VS\d+;\n", "", EVERYWHERE),
    "the force dropped": (r"FS\d+;\n?", ""),
    "every force dropped": (r"FS\d+;\n?", "", EVERYWHERE),
    "the force made 999": (r"FS\d+;", "FS999;", EVERYWHERE),
    "the force one step more": (r"FS(\d+);", r"FS\g<1>1;"),
    "a force of 999": (r"(SP1;\n(?:[^\n]*\n)*?)(PD)", r"\1FS999;\n\2"),
    "no force": (r"(SP1;\n(?:[^\n]*\n)*?)(PD)", r"\1FS0;\n\2"),
    "a force of 1": (r"(SP1;\n(?:[^\n]*\n)*?)(PD)", r"\1FS1;\n\2"),
    "the score's force 1000": (r"(PD)", r"FS1000;\n\1"),
    "dashes": (r"(SP1;\n)", r"\1LT2;\n"),
    "whole lines said": (r"(SP1;\n)", r"\1LT;\n"),
    "PS in the middle": (r"(SP1;\n)", r"\1PS;\n"),
    "PW in the middle": (r"(SP1;\n)", r"\1PW1;\n"),
    "AS in the middle": (r"(SP1;\n)", r"\1AS2;\n"),
    "PG in the middle": (r"(SP1;\n)", r"\1PG;\n"),
    "a second IN": (r"(SP1;\n)", r"\1IN;\n"),
    "an unknown instruction": (r"(SP1;\n)", r"\1QQ4;\n"),
    "an escape sequence": (r"(SP1;\n)", "\\1\x1b.K\n"),
    "a null byte": (r"(SP1;\n)", "\\1\x00"),
    "small letters": (r"PD", "pd"),
    "the axes turned": (r"(SP1;\n)", r"\1RO90;\n"),
    "a scale": (r"(SP1;\n)", r"\1IP0,0,1000,1000;SC0,1000,0,1000;\n"),
    "a window": (r"(SP1;\n)", r"\1IW0,0,32000,32000;\n"),
    "relative from here on": (r"(SP1;\n)", r"\1PR;\n"),
    "a travel put in": (r"(SP1;\n)", r"\1PU5000,5000;\n"),
    "a travel on the way home": (r"(SP0;\n)", r"PU200,5000;\n\1"),
    "a lift left out": (r"^PU", "PD"),
    "a cut lifted": (r"^PD", "PU"),
    "a stroke left out": (r"^PD[^\n]*\n", ""),
    "a stroke twice": (r"^(PD[^\n]*\n)", r"\1PD1200,1200;\n\1"),
    "the same place said twice": (r"^(PD[^\n]*\n)", r"\1\1"),
    "a place moved by 0.1 mm": (r"^(PD)(\d)(\d*)", r"\g<1>1\2\3"),
    "the overcut taken off": (r",\d+,\d+;\n(?=PU[^\n]*;\nSP0)", ";\n"),
    "a circle put in": (r"(SP1;\n)", r"\1CI400;\n"),
    "a label": (r"(SP1;\n)", "\\1LBhoney\x03\n"),
    "the end of the file lost": (r"[\s\S]{60}\Z", ""),
    "a comma lost": (r",", ""),
    "a fraction": (r"^(PD\d+)", r"\1.7"),
    "an exponent": (r"^(PD\d+)", r"\1e1"),
    "a coordinate too many": (r"^(PD\d+)", r"\1,7"),
    "a place beyond the range": (r"^PU\d+", "PU40000"),
    "another file's words": (r"\A", "G21 G90\n"),
}

#: Only where lines are encoded.
ENCODED: dict[str, Change] = {
    "IN dropped": (r"\AIN;\n", ""),
    "the force made 999": (r"FS\d+;", "FS999;", EVERYWHERE),
    "an encoded line left out": (r"^PE[^\n]*\n", ""),
    "an encoded line twice": (r"^(PE[^\n]*\n)", r"\1\1"),
    "an encoded line lifted": (r"^PE7=", "PE7<="),
    "two encoded lines in each other's place": (r"^(PE[^\n]*\n)(PE[^\n]*\n)", r"\2\1"),
    "a character lost": (r"^(PE7=.{12}).", r"\1"),
    "a character put in": (r"^(PE7=.{12})(.)", r"\1\2\2"),
    "a character of the first place changed": (r"^(PE7=).", r"\1@"),
    "a character in the middle changed": (r"^(PE7=.{16})[`-~]", r"\1_"),
    "two characters exchanged": (r"^(PE7=.{8})([?-^])([?-~])", r"\1\3\2"),
    "the last character lost": (r"^(PE7=[^\n;]*)[^\n];", r"\1;"),
    "the last place lost": (r"^(PE7=[^\n;]*[_-~])[?-^]*[_-~][?-^]*[_-~];", r"\1;"),
    "steps instead of a place": (r"^PE7=", "PE7"),
    "eight bits said": (r"^PE7=", "PE="),
    "the flags in another order": (r"^PE7=", "PE=7"),
    "a tool within": (r"^PE7=", "PE7:b="),
    "parts of a unit": (r"^PE7=", "PE7>c="),
    "a place within": (r"^(PE7=.{8}.*?[_-~])(?=[?-^]*[_-~][?-^]*[_-~];)", r"\1="),
    "lifted within": (r"^(PE7=[?-^]*[_-~][?-^]*[_-~])", r"\1<"),
    "a comma in it": (r"^(PE7=.{12})", r"\1,"),
    "a figure in it": (r"^(PE7=.{12})", r"\g<1>5"),
    "an umlaut in it": (r"^(PE7=.{12})", "\\1\xfc"),
    "the semicolon lost": (r"^(PE[^\n]*);\n", r"\1\n"),
    "an empty one put in": (r"^(PE7=)", r"PE;\n\1"),
    "small letters": (r"^PE", "pe"),
    "turned over by a scale": (r"^(PE7=)", r"IP0,0,1000,1000;SC0,1000,1000,0;\n\1"),
    "relative from here on": (r"(SP1;\n)", r"\1PR;\n"),
    "a plain line in its place": (r"^PE[^\n]*", "PD1200,1200;"),
    "the end of the file lost": (r"[\s\S]{60}\Z", ""),
}

GCODE: dict[str, Change] = {
    "the first line dropped": (r"\AG21[^\n]*\n", ""),
    "inches": (r"G21", "G20"),
    "steps instead of places": (r"G90", "G91"),
    "another plane": (r"G17", "G18"),
    "the kind of feed unsaid": (r" G94", ""),
    "the waits dropped": (r"^G4[^\n]*\n", "", EVERYWHERE),
    "one wait dropped": (r"^G4[^\n]*\n", ""),
    "0.2 s made 2000": (r"^G4 P\S+", "G4 P2000", EVERYWHERE),
    "a wait in a cut": (r"^(G1 X[^\n]*\n)", r"\1G4 P3\n"),
    "the feed a hundredth": (r"F(\d+)00", r"F\1"),
    "the feed ten times": (r"F(\d+)", r"F\g<1>0"),
    "the feed unsaid": (r" F\d+$", ""),
    "G1 made G0 in a cut": (r"^G1 X", "G0 X"),
    "G0 made G1 on the way": (r"^G0 X", "G1 F60 X"),
    "an extra G0 inside the area": (r"^(\(MSG[^\n]*\n)", r"\1G0 X100 Y100\n"),
    "a way on the way home": (r"^(M2)", r"G0 X50 Y90\nG0 X0 Y0\n\1"),
    "a Z-5": (r"^(G1 X[^\n]*\n)", r"\1G0 Z-5\n"),
    "a Z-5 on the way": (r"^(G0 X[^\n]*)", r"\1 Z-5"),
    "G53": (r"^(G1 X)", r"G53 \1"),
    "another system of places": (r"^(\(MSG)", r"G55\n\1"),
    "an origin set": (r"^(\(MSG)", r"G92 X0\n\1"),
    "coolant": (r"^(G0 X[^\n]*\n)", r"\1M8\n"),
    "an unknown M word": (r"^(G0 X[^\n]*\n)", r"\1M280 P0\n"),
    "a semicolon that swallows a word": (r"^(G1 X\S+) (Y)", r"\1 ;\2"),
    "a block deleted by a slash": (r"^(G1 X)", r"/\1"),
    "a block in brackets": (r"^(G1 X[^\n]*)$", r"(\1)"),
    "the tool asked for another": (r"MSG,tool 1", "MSG,tool 3"),
    "the pause left out": (r"^M0\n", ""),
    "a pause put in": (r"^(G0 X[^\n]*\n)", r"\1M1\n"),
    "the end left out": (r"^M2\n", ""),
    "something after the end": (r"^M2\n", "M2\nG0 X10 Y10\n"),
    "a stroke left out": (r"^G1 X[^\n]*\n", ""),
    "a stroke twice": (r"^(G1 X[^\n]*\n)", r"\1G1 X1 Y1\n\1"),
    "a place moved by 1 mm": (r"^(G1 X)(\d)", r"\g<1>1\2"),
    "an arc the other way round": (r"^G3", "G2"),
    "a centre moved": (r"(I)(-?)(\d)", r"\1\g<2>1\3"),
    "a tool word": (r"^(G0 X[^\n]*\n)", r"\1T3 M6\n"),
    "small letters": (r"^G1 X", "g1 x"),
    "a number of a line": (r"^(G1 X)", r"N10 \1"),
    "a per cent sign": (r"\A", "%\n"),
    "a null byte": (r"^(G1 X)", "\x00\\1"),
    "an overlong line": (r"^(G1 X\S+)", r"\1" + "0" * 260),
    "two motions on a line": (r"^G1 X", "G0 G1 X"),
    "the overcut taken off": (r"^G[123] [^\n]*\n(?=(?:M5|M3 S\d+|G0 Z3)\n(?:G4[^\n]*\n)?G0 X0 Y0)", ""),
    "another language's words": (r"\A", "IN;SP1;\n"),
}

#: Only where a servo or a coil is switched by M words.
SWITCHED: dict[str, Change] = {
    "pressed a little harder": (r"^M3 S(90|160)$", "M3 S120.5"),
    "pressed ten times harder": (r"^M3 S(90|160)$", r"M3 S\g<1>0"),
    "the cut's power ten times": (r"(MSG,tool 1[\s\S]*?^M3 S)(90|120)$", r"\1\g<2>0"),
    "a lift deleted by a slash": (r"^(?=(?:M5|M3 S30)$)", "/"),
    "hardly pressed": (r"^M3 S(90|160)$", "M3 S35"),
    "M4 for M3": (r"^M3 S(90|160)$", r"M4 S\1"),
    "a lift left out": (r"^(?:M5|M3 S30)\n(?=G4[^\n]*\nG0 X)", ""),
    "a lift that presses": (r"^(?:M5|M3 S30)$", "M3 S90", EVERYWHERE),
    "lifted by another word": (r"^(?:M5|M3 S30)$", "M3 S0", EVERYWHERE),
    "lowered on the way": (r"^(M3 S(?:90|160)\n)", r"\1M5\n"),
    "M5 put in a cut": (r"^(G1 X[^\n]*\n)", r"\1M5\n"),
    "S alone in a cut": (r"^(G1 X[^\n]*\n)", r"\1S200\n"),
}

#: Only where an axis lifts.
LIFTED: dict[str, Change] = {
    "depth -0.6 made -6": (r"Z-0\.6", "Z-6", EVERYWHERE),
    "depth -0.6 made -0.1": (r"Z-0\.6", "Z-0.1", EVERYWHERE),
    "the score's depth the cut's": (r"Z-0\.1", "Z-0.6", EVERYWHERE),
    "one score cut through": (r"Z-0\.1", "Z-0.6"),
    "a lift of 3 mm made 0.3": (r"Z3", "Z0.3", EVERYWHERE),
    "a lift of 3 mm made 0.01": (r"Z3", "Z0.01", EVERYWHERE),
    "one lift made 0.3": (r"Z3", "Z0.3"),
    "one lift left out": (r"^G0 Z3\n(?=(?:G4[^\n]*\n)?G0 X)", ""),
    "a plunge ten times faster": (r"F600$", "F6000"),
    "a plunge as fast as it goes": (r"^G1 Z(\S+) F600", r"G0 Z\1"),
    "the axis let down on the way": (r"^G1 (Z-0.6) F600\n", r"G1 \1 F600\nG0 X100 Y100\n"),
    "a lift deleted by a slash": (r"^(?=G0 Z3$)", "/"),
    "a spindle switched on": (r"^(G1 Z)", r"M3 S1000\n\1"),
    "a ramp in a cut": (r"^(G1 X[^\n]*)( F)", r"\1 Z-2\2"),
}


def spoilt(text: str, change: Change) -> str:
    """The text with the change made, or the same text where there is no place for it."""
    pattern, new, *count = change
    return re.sub(pattern, new, text, count=count[0] if count else 1, flags=re.MULTILINE)


def _stroke(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = data["sheets"][0]["plan"]["strokes"][0]
    return found


INDEX: dict[str, Callable[[dict[str, Any]], object]] = {
    "sheets removed": lambda d: d["sheets"].clear(),
    "a sheet emptied": lambda d: d["sheets"][0]["plan"]["strokes"].clear(),
    "copies": lambda d: d.update(copies=99),
    "copies on a sheet": lambda d: d["sheets"][0].update(copies=99),
    "times": lambda d: d.update(seconds=1.0),
    "the tools' force": lambda d: d["machine_profile"]["tools"][-1].update(force=77.0),
    "the tools' offset": lambda d: d["machine_profile"]["tools"][-1].update(offset=1.0),
    "a stroke's operation from score to cut": lambda d: _stroke(d).update(operation="cut"),
    "a stroke's speed": lambda d: _stroke(d).update(speed=1.0),
    "a stroke's force": lambda d: _stroke(d).update(force=1.0),
    "a stroke's tool": lambda d: _stroke(d).update(tool=1),
    "a stroke's places": lambda d: _stroke(d)["xy"].__setitem__(0, 1.0),
    "home": lambda d: d["sheets"][0]["plan"].update(home_mm=[9.0, 9.0]),
    "home in the profile": lambda d: d["machine_profile"].update(home=[9.0, 9.0]),
    "how high it lifts": lambda d: d["machine_profile"]["gcode"].update(up_z=9.0),
    "how long it waits": lambda d: d["machine_profile"]["gcode"].update(dwell=9.0),
    "the language": lambda d: d.update(language="gcode" if d["language"] == "hpgl" else "hpgl"),
    "the title": lambda d: d.update(title="another"),
    "a finding removed": lambda d: d.update(findings=[{}]),
    "a placement moved": lambda d: d["sheets"][0]["placements"][0].update(x_mm=1.0),
    "how often a sheet is run": lambda d: d["sheets"][0].update(runs=7),
    "a file's digest": lambda d: d["files"]["job-sheet.html"].update(sha256="0" * 64),
    "a file taken off the list": lambda d: d["files"].pop("job-sheet.html"),
    "a change said to be on purpose": lambda d: d["accepted"].append(
        {"file": "job-sheet.html", "sha256": "0" * 64, "changes": []}
    ),
    "the digest itself": lambda d: d["digest"].update(whole="0" * 64),
    "no digest": lambda d: d.pop("digest"),
}
