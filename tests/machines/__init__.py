"""Machines that are not there: a plotter and a controller behind a pseudo-terminal or a local socket.

Their clock is simulated, and stands still while nobody waits. `plotter` and `controller` parse what they are sent by
themselves (`encoded` is PE) and keep a picture of what was drawn; `wire` is the line, its speed and its driver; `seeded` makes jobs and
faults from a seed and judges what came of them. `at_a_socket` puts one behind a socket on the real clock.
"""
