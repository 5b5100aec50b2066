"""`job.json`: everything of a job that a program can use, written and read in this one place.

`form` (name of the form, digests), `write`, `read`, and the two parts that a machine file can be written from again: `plan`
and `machine`. The form is laid down in docs/job.schema.json and explained in docs/JOB-JSON.md.
"""
