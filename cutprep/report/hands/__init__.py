"""What hands do with a template: its pieces, where their scores lie, and the steps in order."""
