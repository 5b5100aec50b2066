"""A drawing to a better one, with a finding for each change."""
