"""How much of the geometric core the tests really hold: docs/MUTATION.md."""
