"""What stays flat, or is folded flat: tags, dividers, lace, cards, envelopes, pillow boxes."""
