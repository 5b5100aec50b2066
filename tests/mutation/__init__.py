"""How much of the code the tests really hold: docs/MUTATION.md."""
