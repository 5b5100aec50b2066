"""What the maker is told about a folded part, each finding with figure, limit and way out.

`tell` (what every part may be told), then one file a subject: `shape`, `flaps`, `thick` (card and grain), `layers` (card over
card), `unfoldable`,
`amiss` (forgotten or too much), `walls` (nearly equal), `ends` (of many sides; gussets); `causes` names the fault of the
drawing behind them.
"""
