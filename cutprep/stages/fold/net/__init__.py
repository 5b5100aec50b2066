"""The flat net: from the lines of a drawing to panels, the hinges between them, and parts.

In the order of the work: `net_lines` (lines that count, rows of dashes as one each), `steady` (their order, direction and splits taken
away), `pieces` (the planar graph as straight pieces), `panels`,
`hinges`, `groups` (what hangs together), `part` (one part with its own numbering). Read off a part: `hems` (rows of strips), `idle`
(scores that take no part in folding) and `vertices` (corners that can or can't fold flat).
"""
