"""What a drawing holds beside lines.

`texts` (places where each copy gets a text of its own), `artwork` (layers that are printed).
"""
