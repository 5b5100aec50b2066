"""A sheet to strokes in working order.

`plan` is the door, `ordering` what may be asked. `entry` says where a line can be entered and what must come
before what, `tour` searches a short way through them, `tear` prices what an order lets the blade drag;
`reasons` tells why each stroke stands where it does.
"""
