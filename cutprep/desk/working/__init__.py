"""What is worked on beside the server, in processes of its own, which `process` begins and ends.

`workshop` keeps the one in which `work` runs the stages of a job; `templates` asks the one in which `draw` draws templates;
`hand` sends one job to a machine.
"""
