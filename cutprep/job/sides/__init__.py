"""Sheets that are scored from the back before they are turned over.

`asked` (the words of the settings), `possible` (what can't be turned over), `folds` (which scores are mountains, and
which valleys), `turning` (where the back of the card has what the front has), `meeting` (the proof that both sides meet).
"""
