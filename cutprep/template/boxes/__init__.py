"""Boxes.

`tray` (open, or with a lid), `hinged` (of one piece), `sets` (several pieces that fit), `prism` (n sides),
`point` (they come to one).
"""
