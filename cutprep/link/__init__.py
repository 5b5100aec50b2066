"""The last metre: proved machine files to a machine, and no further than it has answered.

In the order of their work: `ports` finds and opens a way; `line` is what each can do, `wires` the serial, network
and device ones, `copying` a stick. `runs` proves a job and says what is run on which sheet, `script` divides a file
into whole instructions (`pieces`) with their strokes and seconds, `flows` hold back. `sending` goes through all of it and
tells `events` in `words`; `log` keeps what was sent. `over_line` is how long
all that takes where the line is slower than the machine.
"""
