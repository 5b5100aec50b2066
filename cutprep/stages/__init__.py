"""The stages of a job, none of which knows another; `job/` alone calls them in turn.

`read` (bytes to a drawing), `classify` (which operation a line stands for), `check` and `mend`, `divide`
(lines to parts), `fold` (does it close), `nest` (copies to sheets), `order` (a sheet to strokes), `blade`
(strokes to moves), `write` (moves to text), `readback` (text to moves again), `motion` (moves to seconds).
"""
