"""What a line of G-code says beside the motion: what lasts, what happens once, and what is only said."""

from __future__ import annotations

from cutprep.stages.readback.gcode.lifting import ByServo, Lifting
from cutprep.stages.readback.gcode.words import G_GROUP, Block
from cutprep.stages.readback.track import Track

#: Modal groups that say in what the following numbers are (NISTIR 6556, Table 4): plane, positions,
#: feed, units.
_FRAMES = (6, 3, 2, 5)
#: Codes that are followed as motion or as waiting; every other one is told of.
_FOLLOWED = {0, 10, 20, 30, 40}
_FOLLOWED_M = {0, 2, 6, 30}
_SPINDLE = {3, 4, 5}


def hold_frame(track: Track, block: Block) -> None:
    """Keep which units, positions, plane and kind of feed the file has said last; empty where none."""
    said = {G_GROUP[code]: f"G{code / 10:g}" for code in block.g if G_GROUP.get(code) in _FRAMES}
    if not said:
        return
    before = dict(zip(_FRAMES, track.held.frame or ("",) * len(_FRAMES), strict=True))
    track.hold(frame=tuple((before | said)[group] for group in _FRAMES))


def hold_lifting(track: Track, lifting: Lifting) -> None:
    """Keep what holds the tool up or down: the servo's word, or the force in the profile's own words."""
    if isinstance(lifting, ByServo):
        mode = lifting.mode
        if mode != track.held.mode:
            track.hold(mode=mode)
    elif not lifting.by_height:
        force = lifting.force if lifting.force == lifting.force else None
        if force != track.held.force:
            track.hold(force=force)


def tell_block(track: Track, block: Block, lifting: Lifting) -> None:
    """Say what happens once, and every word that has no effect here."""
    servo = lifting if isinstance(lifting, ByServo) else None
    if servo is not None and ("S" in block.words or _SPINDLE & set(block.m)):
        track.say("mode", *servo.mode)
    known = set("XYZF")
    known |= {"P"} if 40 in block.g else set()
    known |= {"T"} if 6 in block.m else set()
    known |= set("IJR") if {20, 30} & set(block.g) or not block.g else set()
    known |= {"S"} if servo else set()
    spindle = _SPINDLE if servo else set()
    words = [
        f"G{code / 10:g}" for code in block.g if code not in _FOLLOWED and G_GROUP.get(code) not in _FRAMES
    ]
    words += [f"M{code}" for code in block.m if code not in _FOLLOWED_M | spindle]
    words += [f"{letter}{value:g}" for letter, value in block.words.items() if letter not in known]
    for word in words + block.asides:
        track.say("other", word)
