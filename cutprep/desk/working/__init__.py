"""What is worked on beside the server, in processes of its own, which `process` begins and ends.

`workshop` keeps one in which `work` runs the stages of a job, `crew` two of those; `asking` puts questions to one: `templates` to that in which `draw` draws templates,
the page of her own things to that of `aside`;
`hand` sends one job to a machine.
"""
