"""The stages of a job, each a function from one value to the next; none knows another."""
