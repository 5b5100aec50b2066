"""Benchmarks: they print figures and are not collected by default."""
