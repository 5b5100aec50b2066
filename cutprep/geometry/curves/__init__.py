"""Curves to chords within a sagitta (`flatten`, `bsplines`), and chords back to `arcs`."""
