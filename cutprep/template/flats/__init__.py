"""What lies flat: `flat` pieces (tags, dividers, lace), `cards` that fold once, a `popup`, `soft` ones with curved scores."""
