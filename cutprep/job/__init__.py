"""The job and the one place that knows the sequence of stages."""
