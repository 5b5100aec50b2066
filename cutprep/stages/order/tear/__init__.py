"""What an order of cuts costs the card.

`near` (segments with a narrow strip between them), `exposure` (loose card that the blade drags about), `pairs` (what two cuts cost by their order and directions).
"""
