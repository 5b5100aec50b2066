"""Templates and copies to sheets."""
