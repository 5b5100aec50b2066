"""The tests; a package of its own name, because an installed library ships a `tests` too."""
