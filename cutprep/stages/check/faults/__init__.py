"""The checks, a file for each thing that can be wrong; `stretches` gathers what runs together for two of them."""
