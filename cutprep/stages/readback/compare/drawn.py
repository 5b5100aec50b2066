"""What a drawing for a machine must hold for a plan, worked out from the plan and the profile alone."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.affine import apply
from cutprep.model.moves import Moves
from cutprep.profile.layers import FRAME, FRAME_COLOUR, layers_of
from cutprep.profile.machine import Machine
from cutprep.stages.readback.track import Track, home_of


def drawn_track(planned: Moves, machine: Machine, language: str, page: tuple[float, float]) -> Track:
    """Work out what a drawing must say.

    Parameters
    ----------
    planned
        mm on the sheet.
    machine
        Whose tools name the layers.
    language
        "svg" or "dxf"; only the first says the page's size.
    page
        Size of the sheet, mm.
    """
    track = Track(home_of(machine))
    width, height = page
    if language == "svg":
        track.say("page", round(width, 4), round(height, 4))
    if machine.frame:
        corners = (0.0, 0.0, width, 0.0, width, height, 0.0, height, 0.0, 0.0)
        track.say("layer", FRAME, FRAME_COLOUR)
        track.say("frame", *(round(corner, 3) for corner in corners))
    spots = apply(machine.to_machine, np.vstack(([planned.home], planned.xy))).tolist()
    for layer in layers_of(planned, machine):
        track.say("layer", layer.name, layer.colour)
        track.take(layer.tool)
        for row in range(layer.first, layer.last):
            if planned.down[row] and not track.down:
                track.move(*spots[row])
            track.down = bool(planned.down[row])
            if track.down:
                track.move(*spots[row + 1])
        track.down = False
    track.say("end")
    track.move(*home_of(machine))
    return track
