"""What a machine file does, beside what was planned.

`runs` (stretches with the tool down), `align` (which belongs to which), `walk` (where two lines part), `strokes` (the
findings about places and tools). `proof` goes further: `legs` (strokes with all that is said between them), `expected`
(what a plan and a profile ask for; `drawn`: of a drawing), `steps` (whether all is as planned, move by move), `unlike` (in what two legs differ). `texts` lays two
files beside each other, instruction by instruction.
"""
