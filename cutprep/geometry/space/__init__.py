"""Flat panels in space: `hinged` (turned about their hinges), `halfspaces` (convex rooms), `depth_order` (which hides which)."""
