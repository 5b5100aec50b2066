"""What the commands about machines do and show.

`profiles` lists machines and cards, `calibrating` fits a profile to measured times, `sending` brings a job to a
machine or onto a stick.
"""
